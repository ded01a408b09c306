"""Tables of a procedure file that say what the unit is and how to reach it; ``procedure.model`` has the others."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from assistant.procedure.base import Minutes, Name, Sentence, Table, When
from assistant.procedure.hands import Hands, Sees


class Option(Table):
    """One answer among several."""

    name: Name
    """What the answer is, as it is said, shown and recorded."""
    also: tuple[str, ...] = ()
    """Other ways to say it."""
    share: Annotated[float, Field(gt=0, le=1000)] = 1.0
    """Answer to a fact: how common it is beside the others, where no factor speaks for or against it."""


class Place(Table):
    """A position that faults and checks can have, such as a wheel."""

    name: Name
    """Spoken and recorded, such as ``left rear``."""
    group: Name
    """Such as ``wheel`` or ``modulator``; ``each`` names it."""
    also: tuple[str, ...] = ()
    """Other ways to say it, such as ``road side rear``."""
    when: When = Field(default_factory=dict)
    """Condition under which the unit has this place; empty: always."""


class Bundle(Table):
    """A name that stands for one plug at each place of a group, such as all sensor plugs at the module."""

    each: Name
    """Group of the places."""
    plug: Name
    """Name of one of the plugs; {place} is filled in."""


class Caution(Table):
    """A warning. With ``first`` it is spoken and acknowledged before any work; otherwise behind an access."""

    name: Name
    """Its name, for the 'cautions' of other tables."""
    say: Sentence
    """The warning, as it is spoken; the person says yes to it."""
    source: str
    """Regulation, standard, or 'common practice, no source'."""
    first: bool = False
    """True: spoken before any work begins."""
    short: str = ""
    """A few words for it when it comes again at another place; its name where empty."""
    when: When = Field(default_factory=dict)
    """Condition under which it is spoken; empty: always."""


class Factor(Table):
    """Makes a fault likelier, or less likely, where facts hold than where they do not."""

    when: When
    """Facts that must be known to hold."""
    times: Annotated[float, Field(gt=0, le=1000)]
    """How many times likelier than on a unit where they do not hold; over all units the weight stays the same, so
    that another answer speaks against a fault that this one speaks for."""


class Question(Table):
    """A fact about the unit or the complaint, asked once before the finding begins."""

    name: Name
    """The fact's name, for conditions such as when = { brakes = "drum" }."""
    title: str = ""
    """What a record calls it, such as ``recent work``; '' for its name."""
    ask: Sentence
    """The question, as it is spoken."""
    kind: Literal["choice", "identifier", "reading", "note"] = "choice"
    """choice: one of the choices; identifier: letters and digits; reading: a number; note: free speech."""
    choices: tuple[Option, ...] = ()
    """The answers, for kind choice."""
    unit: str | None = None
    """Unit of the number, for kind reading; named in grammars/units.toml."""
    span: tuple[Decimal, Decimal] | None = None
    """Lowest and highest number that can be meant, for kind reading."""
    unsure: bool = True
    """True when 'not sure' and 'skip' are answers too."""
    assume: str | None = None
    """Value taken when unsure (for conditions only; the record says 'not sure')."""
    when: When = Field(default_factory=dict)
    """Condition under which it is asked, on facts asked before it; empty: always."""
    help: str = ""
    """More words, spoken on 'help'."""
    sees: Sees | None = None
    """What of the unit the answer is read off."""
    first: bool = False
    """True: asked before the finding begins. All others, but the unit's number and what may decline the procedure,
    are asked when the answer is worth more than the asking, or when the next step depends on it."""
    lasts: bool = False
    """True for what stays so on a unit (how many sensors, which brakes): its last answer is offered next time."""
    complaint: tuple[str, ...] = ()
    """Answers that show that the fault is there today, such as an active code."""
    not_at_rest: tuple[str, ...] = ()
    """Answers that say that it comes every time, but only under something that a standing unit lacks, such as after
    rolling: that nothing shows at rest does not say that nothing is there."""
    declines: dict[str, Sentence] = Field(default_factory=dict)
    """Answers on which this procedure does not fit the unit, each with why and what to do: the session ends there."""


class MinutesWhen(Table):
    """Minutes under conditions; the first that holds counts."""

    when: When
    """Facts that must be known to hold."""
    minutes: Minutes
    """Working minutes then."""


class Access(Table):
    """Something to open or reach before a check or a fix; shared by all that need it."""

    name: Name
    """Its name, for 'needs'."""
    say: Sentence
    """What to do, as it is spoken; {place} is filled in."""
    help: str = ""
    """How it is done, at more length, said where somebody asks how."""
    minutes: Minutes
    """Working minutes of opening it."""
    waits: str = ""
    """What is waited for beside the work, such as ``a night on the charger``: said apart, and in no minutes."""
    minutes_when: tuple[MinutesWhen, ...] = ()
    """Other minutes under conditions; the first that surely holds counts."""
    each: str | None = None
    """Group of places, when it is opened place by place."""
    needs: tuple[str, ...] = ()
    """Other accesses that come first."""
    cautions: tuple[str, ...] = ()
    """Names of cautions spoken before it is opened."""
    put_back: tuple[str, ...] = ()
    """Items of the put-back list that this opening makes, in order. They come before those of the accesses that it
    needs, at every place."""
    looks: dict[str, str] = Field(default_factory=dict)
    """Items among them that say how something must be, each with what it needs where it is not so: a no to one is
    found and logged, and nothing is waited for."""
    put_back_last: tuple[str, ...] = ()
    """Items that come when everything else is back, such as a brake test before it rolls."""
    put_back_cautions: tuple[str, ...] = ()
    """Names of cautions spoken before the put-back list."""
    absent: Option | None = None
    """What is said where the place has nothing to open, as an axle without spring brakes: the record says so, and
    nothing of it is put back."""
    back_after: tuple[str, ...] = ()
    """Other accesses and fixes whose items come before this one's, though they do not need it."""
    when: When = Field(default_factory=dict)
    """Condition under which the unit has it; where it does not hold, nothing need be opened. ``place`` names the
    places of the group that have it: ``when = { place = ["left rear drive", "right rear drive"] }``."""
    hands: Hands | None = None
    """What it does to the unit."""
