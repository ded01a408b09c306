"""What a journal is made of: a header, and entries and attempts behind it, each on a line of its own."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

import msgspec

from assistant.messages import Fact, FoundBefore, HistoryWeight, Say, Talk
from assistant.messages.decisions import Decision, Record, Spoken
from assistant.verdict.uncertainty import Meter

FORMAT = 3
"""Number of the format that this version writes. 2 added the unit's history as an entry (``history_told`` and
``history_taken``), ``asks_history`` in the header and the alternatives of an answer. 3 has what a verdict was made
of and its remarks as values (``basis``, ``remarks``); before, they were sentences (``reason``, ``remark``).
Reasons of decisions are values too (``journal.decisions`` reads the sentences that stood there)."""


@dataclass(frozen=True, slots=True)
class Header:
    """What a session works with, so that the journal alone is enough to resume, replay and review it."""

    session_id: str
    started: str
    """Wall time, ISO 8601 with offset."""
    procedure: str
    """Name of the procedure."""
    procedure_toml: str = ""
    """The whole text of the procedure file."""
    procedure_sha256: str = ""
    """Hash of ``procedure_toml`` in UTF-8."""
    grammars: dict[str, str] = field(default_factory=dict)
    """File name to SHA-256 of each grammar file."""
    model: str = ""
    """Speech model heard with; '' for a typed session."""
    model_sha256: str = ""
    meter: Meter | None = None
    """The meter in hand with its ranges and accuracies; None when not known."""
    unit: str = ""
    """Number of the truck or trailer; '' when it is asked in the session."""
    air_fahrenheit: Decimal | None = None
    """Air temperature in degrees Fahrenheit."""
    weights: tuple[HistoryWeight, ...] = ()
    """What the history of the unit that was named at the start changed."""
    found_before: FoundBefore | None = None
    """What an earlier session on the unit that was named at the start found and left to be mended."""
    last_facts: dict[str, str] = field(default_factory=dict)
    """What the last sessions of the unit that was named at the start knew of it."""
    last_seen: str = ""
    """When that was, as it is said."""
    own_words: str = ""
    """What is wrong in the person's own words, told at the start; '' when it was not."""
    asks_words: bool = False
    """True when they are asked for in the session; False in records from before that was done."""
    told_facts: dict[str, str] = field(default_factory=dict)
    """Facts that were understood from them, to be asked back."""
    asks_history: bool = False
    """True when the history of a unit whose number is told in the session is looked up then, and stands as an entry
    of its own; False in records from before that was done."""
    talk: Talk = Talk.USUAL
    """How much was said at the beginning."""
    shop: str = ""
    """Name of the shop, for the head of its reports; '' where none was set."""
    work_order: str = ""
    """Number of the work order that was named at the start; '' when it is told in the session, or not at all."""
    vin: str = ""
    """The unit's vehicle identification number, the same way."""
    odometer: str = ""
    """What the odometer showed, in miles as it was given, the same way."""
    invented: bool = False
    """True for demo sessions: the unit, the fault and the readings are made up."""
    source: str = ""
    """How answers came in at the start: ``typed``, ``recording``, ``microphone``, ``page``."""
    program: str = ""
    """Version of this program."""
    ordinal: int = 0
    """Counts the sessions of one place from 1, so that a clock years off does not change their order; 0 in records
    from before that was done."""
    format: int = FORMAT
    kind: Literal["header"] = "header"


class Entry(msgspec.Struct, frozen=True, gc=False):
    """One fact with the decisions it led to and what was answered."""

    fact: Fact
    decisions: tuple[Decision, ...] = ()
    replies: tuple[Say, ...] = ()
    said: tuple[str, ...] = ()
    """The replies as sentences, in the words of that day."""
    talk: tuple[Spoken, ...] = ()
    """All that was said since the entry before, where that is more than the fact's own words: what was asked about an
    answer, the yes to it, parts of a list. () in records from before that was kept."""
    kind: Literal["entry"] = "entry"


class Attempt(msgspec.Struct, frozen=True, gc=False):
    """The session was opened again to go on."""

    number: int
    """Counts from 2: the header is the first."""
    set_aside: int = 0
    """Bytes of a torn end that were moved to the ``.torn`` file on opening."""
    findings: tuple[str, ...] = ()
    """What was damaged when it was opened."""
    kind: Literal["attempt"] = "attempt"


Body = Header | Entry | Attempt


class Line(msgspec.Struct, frozen=True, gc=False):
    """One line of a journal."""

    seq: int
    """Counts from 0, the header."""
    wall: str
    """Wall time, ISO 8601 with offset; it may jump back."""
    mono: float
    """Seconds of work since the session began; breaks between attempts do not count. Never goes back."""
    prev: str
    """Hash of the line before; '' in the header."""
    body: Body
    hash: str = ""
    """Hash of this line, filled in by writing and reading."""


def entry_of(record: Record, said: tuple[str, ...]) -> Entry:
    """What is written for a record, with its replies as sentences."""
    return Entry(record.fact, record.decisions, record.replies, said, record.talk)
