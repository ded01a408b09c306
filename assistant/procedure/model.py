"""What a procedure file may say. Pydantic checks shapes; ``procedure.check`` checks that the whole makes sense.

A procedure names **facts** asked once, **faults** (weight, fix), **checks** (what to ask, limits, minutes and what
each fault would show), **access** (what must be opened, minutes), **fixes** and one **proof**. Nothing scripts the
order: the engine chooses it from these numbers.

Words used by several tables:

* ``when = {brakes = "drum"}``: holds when each named fact has one of the given values. A fact not yet known, or
  answered 'not sure', makes a condition hold (better ask than miss), except in ``factors`` and ``minutes_when``.
* ``each = "wheel"``: once for every applicable place of that group; ``{place}`` in a sentence names it.
* minutes are working minutes of one practised technician.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from assistant.procedure.figures import Figures

Name = Annotated[str, Field(min_length=1, max_length=80)]
Sentence = Annotated[str, Field(min_length=1, max_length=600)]
Minutes = Annotated[float, Field(ge=0, le=600)]
When = dict[str, str | tuple[str, ...]]


class Table(BaseModel):
    """Base of every table: frozen, and a key that is not known is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Option(Table):
    """One answer among several."""

    name: Name
    also: tuple[str, ...] = ()
    """Other ways to say it."""


class Place(Table):
    """A position that faults and checks can have, such as a wheel."""

    name: Name
    """Spoken and recorded, such as ``left rear``."""
    group: Name
    """Such as ``wheel`` or ``modulator``; ``each`` names it."""
    also: tuple[str, ...] = ()
    """Other ways to say it, such as ``road side rear``."""
    when: When = {}


class Caution(Table):
    """A warning. With ``first`` it is spoken and acknowledged before any work; otherwise behind an access."""

    name: Name
    say: Sentence
    source: str
    """Regulation, standard, or 'common practice, no source'."""
    first: bool = False
    short: str = ""
    """A few words for it when it comes again at another place; its name where empty."""
    when: When = {}


class Factor(Table):
    """Multiplies a fault's weight when facts hold."""

    when: When
    times: Annotated[float, Field(gt=0, le=1000)]


class Question(Table):
    """A fact about the unit or the complaint, asked once before the finding begins."""

    name: Name
    ask: Sentence
    kind: Literal["choice", "identifier", "reading", "note"] = "choice"
    choices: tuple[Option, ...] = ()
    unit: str | None = None
    span: tuple[Decimal, Decimal] | None = None
    unsure: bool = True
    """True when 'not sure' and 'skip' are answers too."""
    assume: str | None = None
    """Value taken when unsure (for conditions only; the record says 'not sure')."""
    when: When = {}
    help: str = ""


class MinutesWhen(Table):
    """Minutes under conditions; the first that holds counts."""

    when: When
    minutes: Minutes


class Access(Table):
    """Something to open or reach before a check or a fix; shared by all that need it."""

    name: Name
    say: Sentence
    minutes: Minutes
    minutes_when: tuple[MinutesWhen, ...] = ()
    each: str | None = None
    """Group of places, when it is opened place by place."""
    needs: tuple[str, ...] = ()
    """Other accesses that come first."""
    cautions: tuple[str, ...] = ()
    """Names of cautions spoken before it is opened."""
    put_back: tuple[str, ...] = ()
    """Items of the put-back list that this opening makes."""
    when: When = {}


class Leads(Table):
    """How the meter is connected; spoken before a reading when it changes."""

    dial: str = ""
    hole: str = ""
    """Jack of the red lead."""
    red: str = ""
    black: str = ""


class LimitSet(Table):
    """Inclusive limits in the check's unit, and where they come from."""

    low: Decimal | None = None
    high: Decimal | None = None
    usual: tuple[Decimal, Decimal] | None = None
    """Narrower everyday window: outside it, good with a remark."""
    usual_source: str = ""
    source: str = ""
    over_range: Literal["good", "bad"] | None = None
    copper: bool = False
    small_ohms: bool = False


class LimitsWhen(Table):
    """Limits under conditions, such as the chamber type; the first that surely holds counts.

    ``place`` is a condition too: it holds at the places named.
    """

    when: When
    limits: LimitSet


ReadingOutcome = Literal["good", "low", "high", "over_range", "unsteady"]


class Check(Table):
    """One test. ``finds`` says what each fault would make it show.

    Outcomes of a reading: ``good``, ``low``, ``high``, ``over_range``, ``unsteady``. Outcomes of a choice: the names
    of its ``choices``. Outcomes of a ``place`` check: ``here`` (the fault's own place was named) or a name in
    ``choices`` such as ``none``. A fault not named shows ``otherwise`` (``good`` for a reading) with probability
    1 - slip; the slip is shared evenly by the other outcomes.
    """

    name: Name
    title: Name
    """Short noun for lists and records, such as ``resistance at the sensor``."""
    ask: Sentence
    help: str = ""
    kind: Literal["reading", "choice", "place"] = "reading"
    each: str | None = None
    """Group of places it is done at, one by one; for kind ``place`` the group the answer names."""
    unit: str | None = None
    span: tuple[Decimal, Decimal] | None = None
    limits: LimitSet | None = None
    limits_when: tuple[LimitsWhen, ...] = ()
    typical: tuple[Decimal, Decimal] | None = None
    """What a sound unit usually shows, lowest and highest. For practice only: judging never looks at it."""
    choices: tuple[Option, ...] = ()
    otherwise: str = "good"
    minutes: Minutes
    needs: tuple[str, ...] = ()
    """Accesses that must be open."""
    after: tuple[str, ...] = ()
    """Checks (at the same place where both have one) that come first: answered, skipped or ruled out."""
    conditions: dict[str, str] = {}
    """Under what the reading holds, such as ``key = "on"``, ``plugged = "no"``, ``load = "headlamp"``."""
    leads: Leads | None = None
    finds: dict[str, str | dict[str, float]] = {}
    """Fault name to its outcome, or to outcomes with probabilities that sum to 1."""
    elsewhere: dict[str, str | dict[str, float]] = {}
    """The same for a fault that sits at another place than the check."""
    condemns: tuple[str, ...] = ()
    """Outcomes that condemn a part outright, so that it may be replaced."""
    slip: Annotated[float, Field(gt=0, lt=0.5)] | None = None
    """Chance of a wrong outcome; None: the procedure's."""
    cautions: tuple[str, ...] = ()
    when: When = {}
    reads_codes: bool = False
    """True when the system's codes are read: one that appears after ``may_set_codes`` may be self-made."""
    may_set_codes: bool = False
    """True when doing it with the power on can set codes (a wheel spun, plugs swapped)."""
    at_proof: When | None = None
    """The proof reads this too: with these facts it is left to the proof while something is open (``{}``: always)."""
    repeatable: bool = False
    """True when asking twice is worth it (an intermittent)."""


class Fault(Table):
    """One thing that can be wrong, at every place of ``each``."""

    name: Name
    title: Name
    """As spoken in 'what is left', such as ``open sensor``."""
    each: str | None = None
    weight: Annotated[float, Field(gt=0, le=1_000_000)]
    """How common, relative to the others (each place has the whole weight)."""
    factors: tuple[Factor, ...] = ()
    fix: str
    same_as: tuple[str, ...] = ()
    """Faults that no check of this procedure tells it from."""
    when: When = {}


class Fix(Table):
    """What cures a fault."""

    name: Name
    title: Name
    """Noun for the record's correction, such as ``sensor replaced``."""
    say: Sentence
    minutes: Minutes
    each: str | None = None
    needs: tuple[str, ...] = ()
    part: str | None = None
    """The part that is replaced; None for an adjustment or repair without one."""
    trial: bool = False
    """True for a minute or two of adjustment that may be tried before any check has pointed at it."""
    after: tuple[str, ...] = ()
    """Checks that must be answered before it may be done (a swap test before any module)."""
    cautions: tuple[str, ...] = ()
    put_back: tuple[str, ...] = ()


class ProofStep(Table):
    """One step of the proof of cure."""

    name: Name
    say: Sentence
    kind: Literal["do", "choice"] = "do"
    """``do``: wait for 'next'. ``choice``: the answer must be among ``passes`` for the cure to count."""
    choices: tuple[Option, ...] = ()
    passes: tuple[str, ...] = ()
    put_back: bool = False
    """True where the put-back list is said and acknowledged; without such a step it comes before the first one."""
    quiet: bool = False
    """True while driving: nothing is asked and no reminder comes."""
    minutes: Minutes = 0
    cautions: tuple[str, ...] = ()
    when: When = {}


class Proof(Table):
    """The proof: done after every fix that was measured good."""

    steps: Annotated[tuple[ProofStep, ...], Field(min_length=1)]
    source: str
    limits: str = ""
    """What this proof does not show."""


NOTHING_TO_PROVE = {"steps": [{"name": "none", "say": "Nothing to prove."}], "source": "a survey mends nothing"}
"""Stands for the proof of a survey."""


class Procedure(Table):
    """One ``dialogs/*.toml`` file."""

    format: Literal[1]
    kind: Literal["find", "survey"] = "find"
    """``find``: look for a fault, mend it, prove it. ``survey``: read every check at every place, in order."""
    name: Name
    title: Name
    summary: Sentence
    complaint: Sentence
    """The complaint, as it is written into the record."""
    in_hand: tuple[str, ...] = ()
    """What to have before going under, spoken first."""
    slip: Annotated[float, Field(gt=0, lt=0.5)] = 0.02
    replace_above: Annotated[float, Field(gt=0.5, le=1)] = 0.9
    """Suspicion above which a part may be replaced without a check that condemned it."""
    serves: tuple[str, ...] = ()
    """Field accounts that this procedure serves."""
    cautions: tuple[Caution, ...] = ()
    facts: tuple[Question, ...] = ()
    places: tuple[Place, ...] = ()
    access: tuple[Access, ...] = ()
    faults: Annotated[tuple[Fault, ...], Field(min_length=1)] = ()
    checks: Annotated[tuple[Check, ...], Field(min_length=1)]
    fixes: Annotated[tuple[Fix, ...], Field(min_length=1)] = ()
    proof: Proof
    put_back: tuple[str, ...] = ()
    """Put-back items that hold for every session."""
    figures: Figures | None = None
    """What proving it must reach, for a procedure that looks for a fault."""

    @model_validator(mode="before")
    @classmethod
    def _survey_needs_less(cls, data: Any) -> Any:
        """A survey may leave out faults, fixes and proof; any other procedure may not."""
        if not isinstance(data, dict):
            return data
        if data.get("kind") == "survey":
            return {"proof": NOTHING_TO_PROVE, **data}
        return {"faults": (), "fixes": (), **data}
