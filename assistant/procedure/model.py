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

from pydantic import Field, model_validator

from assistant.procedure.base import Minutes, Name, Sentence, Table, When
from assistant.procedure.figures import Figures
from assistant.procedure.hands import Hands, Probe, Sees
from assistant.procedure.tables import (
    Access,
    Bundle,
    Caution,
    Factor,
    MinutesWhen,
    Option,
    Place,
    Question,
)

__all__ = [
    "NOTHING_TO_PROVE",
    "Access",
    "Beyond",
    "Bundle",
    "Caution",
    "Check",
    "Compare",
    "Factor",
    "Fault",
    "Fix",
    "Leads",
    "LimitSet",
    "LimitsWhen",
    "MinutesWhen",
    "Option",
    "Place",
    "Procedure",
    "Proof",
    "ProofStep",
    "Question",
    "Table",
    "When",
]


class Leads(Table):
    """How the meter is connected; spoken before a reading when it changes."""

    dial: str = ""
    """Where the dial stands, such as DC volts."""
    hole: str = ""
    """Jack of the red lead."""
    red: str = ""
    """Where the red tip goes."""
    black: str = ""
    """Where the black tip goes."""


class LimitSet(Table):
    """Inclusive limits in the check's unit, and where they come from."""

    low: Decimal | None = None
    """Lowest good reading; a reading equal to it is good."""
    high: Decimal | None = None
    """Highest good reading; a reading equal to it is good."""
    usual: tuple[Decimal, Decimal] | None = None
    """Narrower everyday window: outside it, good with a remark."""
    usual_source: str = ""
    """Where the everyday window comes from, or 'common practice, no source'."""
    source: str = ""
    """Where the limits come from, or 'common practice, no source'."""
    unverified: str = ""
    """How a figure was come by that nobody has held against the published text, such as 'from memory'; empty: it was.
    Records carry it, reports have one footnote for it, and ``inspect`` counts them."""
    over_range: Literal["good", "bad"] | None = None
    """What a reading beyond the range of the meter means: good for insulation, bad for a coil."""
    copper: bool = False
    """True for a copper winding: the reading is corrected to 20 degrees Celsius before it is judged."""
    small_ohms: bool = False
    """True for a few ohms: what the leads read when held together is taken off."""


class LimitsWhen(Table):
    """Limits under conditions, such as the chamber type; the first that surely holds counts.

    ``place`` is a condition too: it holds at the places named.
    """

    when: When
    """Facts, or places, for which these limits hold."""
    limits: LimitSet
    """The limits then, instead of the plain ones."""


class Compare(Table):
    """What a reading is judged against, where it differs from system to system: another reading of this session."""

    check: Name
    """Check that gives the figure: at the same place, or, where it is the check itself, at the other places."""
    within: Annotated[float, Field(gt=0, lt=1)]
    """Share of that figure by which a good reading may differ."""


class Beyond(Table):
    """From where a reading that has only a lower limit is more than can be there, and what is asked then."""

    above: Decimal
    """Highest figure that is taken without a question, in the check's unit."""
    ask: Sentence
    """What is asked about a higher one: what else must be so, or is not as it should be."""


class Check(Table):
    """One test. ``finds`` says what each fault would make it show.

    Outcomes of a reading: ``good``, ``low``, ``high``, ``over_range``, ``unsteady``. Outcomes of a choice: the names
    of its ``choices``. Outcomes of a ``place`` check: ``here`` (the fault's own place was named) or a name in
    ``choices`` such as ``none``. A fault not named shows ``otherwise`` (``good`` for a reading) with probability
    1 - slip; the slip is shared evenly by the other outcomes.
    """

    name: Name
    """Its name, for 'after' and for records."""
    title: Name
    """Short noun for lists and records, such as ``resistance at the sensor``."""
    ask: Sentence
    """The question, as it is spoken; {place} is filled in."""
    help: str = ""
    """More words, spoken on 'help'."""
    kind: Literal["reading", "choice", "place"] = "reading"
    """reading: a number with limits; choice: one of the choices; place: names a place of the group."""
    each: str | None = None
    """Group of places it is done at, one by one; for kind ``place`` the group the answer names."""
    unit: str | None = None
    """Unit of the reading, named in grammars/units.toml."""
    span: tuple[Decimal, Decimal] | None = None
    """Lowest and highest that the meter could show there; limits never select a meaning."""
    limits: LimitSet | None = None
    """When a reading is good."""
    limits_when: tuple[LimitsWhen, ...] = ()
    """Other limits under conditions; the first that surely holds counts."""
    compare: Compare | None = None
    """Another reading against which this one is judged once it was taken and is good by its own limits."""
    typical: tuple[Decimal, Decimal] | None = None
    """What a sound unit usually shows, lowest and highest. For practice only: judging never looks at it."""
    choices: tuple[Option, ...] = ()
    """The answers of a choice, or the answers of a place check that name no place."""
    otherwise: str = "good"
    """Outcome that a unit shows whose faults are not named in finds."""
    minutes: Minutes
    """Working minutes of doing it, without what must be opened."""
    needs: tuple[str, ...] = ()
    """Accesses that must be open."""
    after: tuple[str, ...] = ()
    """Checks (at the same place where both have one) that come first: answered, skipped or ruled out."""
    sums_up: tuple[str, ...] = ()
    """Checks of a survey whose answers this one only sums up or asks once more: what they showed is not counted
    twice."""
    under: tuple[str, ...] = ()
    """Readings of a survey, of the whole unit, with which this one rises and under which alone it holds: one that is
    out of its limits is put right first, or this one gets no verdict. One that comes after it in the file is read at
    the end: out of its limits, all of them are read again."""
    tally: dict[str, tuple[float, float]] = Field(default_factory=dict)
    """For what ``sums_up``: outcome to the share of places, lowest and highest, at which one of those is bad. An
    answer that the readings contradict is asked about."""
    spoiled_by: tuple[str, ...] = ()
    """Accesses that spoil the answer while they are open, at the same place where both have one: not asked then."""
    conditions: dict[str, str] = Field(default_factory=dict)
    """Under what the reading holds, such as ``key = "on"``, ``plugged = "no"``, ``load = "headlamp"``."""
    leads: Leads | None = None
    """How the meter is connected."""
    hands: Hands | None = None
    """How the unit must stand for it, in the unit's own names."""
    probe: Probe | None = None
    """Where the tips stand on the unit, for a reading."""
    sees: Sees | None = None
    """What is looked at or read off on the unit, for a choice or a place."""
    by_eye: bool = False
    """True for a look at a part that is judged by eye, such as whether pins are clean: whoever looks twice sees the
    same, so a second look says nothing more, and what hangs on it is measured instead where a reading can tell."""
    healthy: tuple[str, ...] = ()
    """Outcomes that a sound unit shows; empty: ``otherwise``."""
    complaint: tuple[str, ...] = ()
    """Outcomes that show the complaint itself. Where a procedure names any, no repair is proposed on suspicion before
    the complaint, or a reading that is not good, was seen."""
    finds: dict[str, str | dict[str, float]] = Field(default_factory=dict)
    """Fault name to its outcome, or to outcomes with probabilities that sum to 1."""
    elsewhere: dict[str, str | dict[str, float]] = Field(default_factory=dict)
    """The same for a fault that sits at another place than the check."""
    tools: dict[str, Sentence] = Field(default_factory=dict)
    """Outcomes that say that the meter or another tool is at fault and not the unit, each with what to do about it:
    nothing is concluded, and it is asked again."""
    zero: Sentence | None = None
    """Question asked once when a reading shows nothing where something must show, such as a drop under load."""
    beyond: Beyond | None = None
    """Question asked once when a reading is higher than can be, where the limits have no upper end: a rested battery
    at charging volts, a supply at more than any charging system gives."""
    condemns: tuple[str, ...] = ()
    """Outcomes that condemn a part outright, so that it may be replaced."""
    slip: Annotated[float, Field(gt=0, lt=0.5)] | None = None
    """Chance of a wrong outcome; None: the procedure's."""
    cautions: tuple[str, ...] = ()
    """Cautions spoken before it."""
    when: When = Field(default_factory=dict)
    """Condition under which it can be done on the unit; empty: always."""
    reads_codes: bool = False
    """True when the system's codes are read: one that appears after ``may_set_codes`` may be self-made."""
    may_set_codes: bool = False
    """True when doing it with the power on can set codes (a wheel spun, plugs swapped)."""
    at_proof: When | None = None
    """The proof reads this too: with these facts it is left to the proof while something is open (``{}``: always)."""
    repeatable: bool = False
    """True when asking twice is worth it (an intermittent)."""

    @property
    def sound(self) -> tuple[str, ...]:
        """Outcomes that a sound unit shows."""
        return (*(self.healthy or (self.otherwise,)), *self.tools)


class Fault(Table):
    """One thing that can be wrong, at every place of ``each``."""

    name: Name
    """Its name, for 'finds'."""
    title: Name
    """As spoken in 'what is left', such as ``open sensor``."""
    each: str | None = None
    """Group of places at each of which it can sit; none: once for the unit."""
    weight: Annotated[float, Field(gt=0, le=1_000_000)]
    """How common, relative to the others (each place has the whole weight)."""
    factors: tuple[Factor, ...] = ()
    """What makes it likelier or less likely."""
    fix: str
    """Name of the fix that cures it."""
    same_as: tuple[str, ...] = ()
    """Faults that no check of this procedure tells it from."""
    when: When = Field(default_factory=dict)
    """Condition under which the unit can have it; empty: always."""


class Way(Option):
    """One of several ways to do a fix that leave different records: a part was put in, or none was."""

    title: Name
    """Noun for the record's correction when it was done so, such as ``wheel bearing replaced``."""
    part: str | None = None
    """The part that this way puts in."""


class Fix(Table):
    """What cures a fault."""

    name: Name
    """Its name, for the 'fix' of faults."""
    title: Name
    """Noun for the record's correction, such as ``sensor replaced``."""
    say: Sentence
    """What to do, as it is spoken; {place} is filled in."""
    help: str = ""
    """How it is done, at more length, said where somebody asks how."""
    minutes: Minutes
    """Working minutes of doing it, without what must be opened."""
    waits: str = ""
    """What is waited for beside the work, such as ``a night on the charger``: said apart, and in no minutes."""
    each: str | None = None
    """Group of places at which it is done one by one."""
    needs: tuple[str, ...] = ()
    """Accesses that must be open."""
    part: str | None = None
    """The part that is replaced, however it is done; None for an adjustment or repair without one."""
    ways: tuple[Way, ...] = ()
    """Ways to do it that the record has to tell apart (set, or replaced). Which it was is asked with the work; where
    nobody says, the record has the fix's own title and part, so that nothing is billed that was perhaps not used."""
    trial: bool = False
    """True for a minute or two of adjustment that may be tried before any check has pointed at it."""
    tried: str = ""
    """For a trial that puts in a part, a known good one: what the record calls it where it did not help; empty:
    ``known good cord tried``. It stands there as a test that was done, and as no repair and no part."""
    also_cures: tuple[str, ...] = ()
    """Faults with a fix of their own that this one takes away as well: a new sensor comes with a new clip. Where both
    have a place, those at the same one; a fix without a place cures them at every place."""
    also_changes: tuple[str, ...] = ()
    """Checks whose answer its own work changes, whatever was wrong: batteries that are charged with it rest higher.
    What they show after it proves neither this fix nor one before it, and they are not measured again for it."""
    after: tuple[str, ...] = ()
    """Checks that must be answered before it may be done (a swap test before any module)."""
    cautions: tuple[str, ...] = ()
    """Cautions spoken before it."""
    put_back: tuple[str, ...] = ()
    """Items of the put-back list that it makes, in order."""
    put_back_last: tuple[str, ...] = ()
    """Items that come when everything else is back, such as a brake test before it rolls."""
    put_back_cautions: tuple[str, ...] = ()
    """Names of cautions spoken before the put-back list."""
    hands: Hands | None = None
    """What it does to the unit, with the parts that it renews."""

    @property
    def as_test(self) -> str:
        """What a record calls a trial of a known good part that did not help; '' for any other fix."""
        return (self.tried or f"known good {self.part} tried") if self.trial and self.part else ""


class TooQuick(Table):
    """When an answer comes sooner than the work can have been done, and what is asked then."""

    seconds: Annotated[float, Field(gt=0)]
    """Least time from asking to the answer, in seconds; chosen, no source."""
    ask: Sentence
    """What is asked once more; a yes counts, with a remark in the record."""


class ProofStep(Table):
    """One step of the proof of cure."""

    name: Name
    """Its name, for the record."""
    say: Sentence
    """What to do or to look at, as it is spoken."""
    help: str = ""
    """How it is done, at more length, said where somebody asks how."""
    kind: Literal["do", "choice"] = "do"
    """``do``: wait for 'next'. ``choice``: the answer must be among ``passes`` for the cure to count."""
    choices: tuple[Option, ...] = ()
    """The answers, for kind choice."""
    passes: tuple[str, ...] = ()
    """Answers with which the cure counts."""
    leaves: dict[str, str] = Field(default_factory=dict)
    """Answer that passes to what it leaves undone, as it is said with the result and kept in the record."""
    why: str = ""
    """What it is for, said where somebody asks why."""
    source: str = ""
    """Where this step comes from, '' where it is common practice."""
    title: str = ""
    """For a choice: what its answer tells to who drives the unit, as 'ABS light after the test drive'."""
    too_quick: TooQuick | None = None
    """For work that takes minutes, as a test drive does."""
    put_back: bool = False
    """True where the put-back list is said and acknowledged; without such a step it comes before the first one."""
    faster_than: Annotated[Decimal, Field(gt=0)] | None = None
    """For a test drive: miles per hour that it must be faster than; what was slower proves nothing."""
    better_from: Annotated[Decimal, Field(gt=0)] | None = None
    """For a test drive: miles per hour from which it shows more, as a wide gap does; slower counts, and is told."""
    reads_codes: bool = False
    """True where codes are read: a wheel and a kind told there are held against the code from before the repair."""
    quiet: bool = False
    """True while driving: nothing is asked and no reminder comes."""
    minutes: Minutes = 0
    """Working minutes of it."""
    cautions: tuple[str, ...] = ()
    """Cautions spoken before it."""
    when: When = Field(default_factory=dict)
    """Condition under which it is done; empty: always."""
    hands: Hands | None = None
    """What it does to the unit."""
    sees: Sees | None = None
    """What is looked at on the unit, for a choice."""


class Proof(Table):
    """The proof: done after every fix that was measured good."""

    steps: Annotated[tuple[ProofStep, ...], Field(min_length=1)]
    """The steps, in order."""
    source: str
    """Where this proof comes from, or 'common practice, no source'."""
    limits: str = ""
    """What this proof does not show."""
    misses: dict[str, Annotated[float, Field(gt=0, lt=1)]] = Field(default_factory=dict)
    """Fault to the chance that the proof passes although it is still there, as one that comes and goes; what is not
    named never passes."""


NOTHING_TO_PROVE = {"steps": [{"name": "none", "say": "Nothing to prove."}], "source": "a survey mends nothing"}
"""Stands for the proof of a survey."""


class Procedure(Table):
    """One ``dialogs/*.toml`` file."""

    format: Literal[1]
    """Version of this format; 1."""
    kind: Literal["find", "survey"] = "find"
    """``find``: look for a fault, mend it, prove it. ``survey``: read every check at every place, in order."""
    name: Name
    """The file's name without its ending."""
    title: Name
    """What it is about, in a few words, as it is spoken."""
    summary: Sentence
    """One sentence for the list of procedures and the greeting."""
    complaint: Sentence
    """The complaint, as it is written into the record."""
    led_on: str = ""
    """Kind of simulated unit that comes in with this complaint, by its name there; empty: none knows it yet."""
    not_looked_at: tuple[str, ...] = ()
    """What a survey leaves out, in words that whoever owns the unit knows; the record says so."""
    in_hand: tuple[str, ...] = ()
    """What to have before going under, spoken first."""
    slip: Annotated[float, Field(gt=0, lt=0.5)] = 0.02
    """Chance that a check is answered wrongly."""
    replace_above: Annotated[float, Field(gt=0.5, le=1)] = 0.9
    """Suspicion above which a part may be replaced without a check that condemned it."""
    read_twice: Annotated[float, Field(gt=0, lt=0.5)] | None = None
    """Suspicion held off by one reading alone from which that reading is taken once more before anything is mended,
    and a reading that is still bad after a repair is taken twice; None: only what condemns a part is taken twice."""
    last_resort: Annotated[float, Field(gt=0, le=1)] | None = None
    """Suspicion from which the likeliest part is replaced once no check is left that tells; None: never."""
    serves: tuple[str, ...] = ()
    """Field accounts that this procedure serves."""
    cautions: tuple[Caution, ...] = ()
    """Warnings."""
    facts: tuple[Question, ...] = ()
    """What is asked once before the finding begins, in order."""
    bundles: dict[Name, Bundle] = Field(default_factory=dict)
    """Names in ``hands`` that stand for several plugs."""
    places: tuple[Place, ...] = ()
    """Positions that faults and checks can have."""
    access: tuple[Access, ...] = ()
    """What must be opened or reached."""
    faults: Annotated[tuple[Fault, ...], Field(min_length=1)] = ()
    """What can be wrong."""
    checks: Annotated[tuple[Check, ...], Field(min_length=1)]
    """Tests; the planner chooses their order."""
    fixes: Annotated[tuple[Fix, ...], Field(min_length=1)] = ()
    """What cures the faults."""
    proof: Proof
    """How a cure is proven."""
    put_back_first: tuple[str, ...] = ()
    """Put-back items that hold for every session and come before anything is closed: what was hung on it to test."""
    put_back: tuple[str, ...] = ()
    """Put-back items that hold for every session, after what was opened."""
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
