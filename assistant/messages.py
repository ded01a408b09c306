"""Plain data that crosses rooms: facts (past tense), effects (imperative), and what they carry.

All of it is frozen. Readings, limits and uncertainties are ``Decimal``; weights, probabilities, seconds and
minutes are ``float``. Times called ``at`` are seconds since the session began.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Literal

# --- what a prompt expects -------------------------------------------------------------------------------


class Command(StrEnum):
    """What a person can say at any prompt, by canonical name."""

    SAY_AGAIN = "say_again"
    GO_BACK = "go_back"
    SKIP = "skip"
    HOLD = "hold"
    RESUME = "resume"
    WITHDRAW = "withdraw"
    YES = "yes"
    NO = "no"
    STOP = "stop"
    HELP = "help"
    WHY = "why"
    WHATS_LEFT = "whats_left"
    NEXT = "next"
    CORRECTION = "correction"
    NOTE = "note"


class Expects(StrEnum):
    """The kind of answer a prompt waits for. Commands are always possible beside it."""

    READING = "reading"
    CHOICE = "choice"
    IDENTIFIER = "identifier"
    COMMAND = "command"
    """Only commands: a yes or no, or 'next' when a thing is done."""
    NOTE = "note"
    """Free speech, kept as words."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer among several, with every way to say it."""

    name: str
    """What is recorded, and the first way to say it."""
    also: tuple[str, ...] = ()
    """Other ways to say it."""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What could be said now: it shapes the recogniser, decides between meanings and words the question."""

    expects: Expects
    prompt: str = ""
    """Identity of the prompt, such as ``check:sensor ohms:left rear``; empty outside a session."""
    unit: str | None = None
    """Unit of the reading, by its name in ``grammars/units.toml``."""
    span: tuple[Decimal, Decimal] | None = None
    """What the meter could show here, in ``unit``, apart from the limits. None: the unit's own default."""
    low: Decimal | None = None
    """Lower limit in ``unit``. Limits never select a meaning; they tell when a yes is needed."""
    high: Decimal | None = None
    """Upper limit in ``unit``."""
    over_range: Literal["good", "bad", ""] = ""
    """What an over-range display means at this prompt, '' when nobody has said."""
    resolution: Decimal | None = None
    """Value of the meter's last digit in ``unit``, None when unknown."""
    choices: tuple[Choice, ...] = ()
    """The answers of a choice prompt."""
    values: tuple[Decimal, ...] = ()
    """Competing values just named in a question: an answer picks among them first."""
    hint: str = ""
    """Short words for the screen, such as ``ohms, 900 to 1400``."""


# --- what was heard and what was meant -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing the recogniser may have heard."""

    words: str
    """Lower-case words divided by spaces; ``[unk]`` stands for a word outside the grammar."""
    score: float = 0.0
    """Log score, higher is better; only differences within one utterance mean anything."""


class Outcome(StrEnum):
    """What an utterance turned out to be."""

    READING = "reading"
    CHOOSE = "choose"
    INCOMPLETE = "incomplete"
    RANGE = "range"
    UNSTEADY = "unsteady"
    OVER_RANGE = "over_range"
    NOTHING = "nothing"
    COMMAND = "command"
    CHOICE = "choice"
    IDENTIFIER = "identifier"
    NOTE = "note"
    NOT_UNDERSTOOD = "not_understood"


@dataclass(frozen=True, slots=True)
class Understanding:
    """What was meant. ``value`` is None wherever there is no single value."""

    outcome: Outcome
    heard: str
    """The words this was made from."""
    value: Decimal | None = None
    """The reading, in ``unit``, or a withdrawn value's replacement."""
    unit: str | None = None
    values: tuple[Decimal, ...] = ()
    """All plausible meanings, the chosen one among them."""
    low_end: Decimal | None = None
    """Lower end of a range or of an unsteady reading."""
    high_end: Decimal | None = None
    command: Command | None = None
    choice: str | None = None
    identifier: str | None = None
    """Digits and letters as text; leading zeros are kept."""
    note: str | None = None
    approximate: bool = False
    """'about', 'around', 'just under': near a limit the exact figure is asked for."""
    withdrawn: tuple[Decimal, ...] = ()
    """Values taken back inside the same utterance ('eleven hundred, I mean twelve hundred')."""
    confirm: bool = False
    """True when a yes is needed before it counts."""
    ask: str = ""
    """The question to speak; empty when nothing needs asking."""
    reason: str = ""
    """Why it is asked or not understood, as a short name: ``two_meanings``, ``twin``, ``odd``, ``leftover``."""
    said_at: tuple[int, int] | None = None
    """Span of the value's words inside ``heard``, as character offsets."""


# --- verdicts ----------------------------------------------------------------------------------------------


class Grade(StrEnum):
    """The answer of judging one reading against limits."""

    GOOD = "good"
    BAD_LOW = "bad_low"
    BAD_HIGH = "bad_high"
    TOO_CLOSE = "too_close"


@dataclass(frozen=True, slots=True)
class Limits:
    """Inclusive limits of one reading, in the prompt's unit, with their source."""

    low: Decimal | None = None
    high: Decimal | None = None
    source: str = ""
    """Regulation, standard, or 'common practice, no source'."""
    usual_low: Decimal | None = None
    """Second, narrower window: outside it the reading is good with a remark."""
    usual_high: Decimal | None = None
    over_range: Literal["good", "bad", ""] = ""
    copper: bool = False
    """True for a copper winding: the reading is brought to 20 degrees Celsius before judging."""
    small_ohms: bool = False
    """True when the meter leads' own resistance is taken off first."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """A judged reading. Uncertainty is twice the standard uncertainty (k = 2)."""

    grade: Grade
    uncertainty: Decimal
    probability_good: float
    guarded_low: Decimal | None
    guarded_high: Decimal | None
    corrected: Decimal | None
    """The value that was judged, after temperature and lead corrections; None for an over-range display."""
    reason: str
    """One sentence: the value, the limits, the uncertainty."""
    remark: str = ""
    """Good but unusual, or negative (swapped leads?)."""


# --- facts ---------------------------------------------------------------------------------------------------


class Source(StrEnum):
    """Where an utterance came in."""

    TYPED = "typed"
    RECORDING = "recording"
    MICROPHONE = "microphone"
    PAGE = "page"


@dataclass(frozen=True, slots=True)
class Began:
    """The session began."""

    at: float
    kind: Literal["began"] = "began"


@dataclass(frozen=True, slots=True)
class Resumed:
    """A session that was left is taken up again."""

    at: float
    kind: Literal["resumed"] = "resumed"


@dataclass(frozen=True, slots=True)
class Heard:
    """Somebody said or typed something."""

    at: float
    hypotheses: tuple[Hypothesis, ...]
    """Best first; a typed line has exactly one."""
    source: Source = Source.TYPED
    snr_db: float | None = None
    """Signal-to-noise ratio in decibels, None when it was typed."""
    sound: str = ""
    """Name of the recording, when there is one."""
    kind: Literal["heard"] = "heard"


@dataclass(frozen=True, slots=True)
class WentQuiet:
    """The seconds of a ``Wait`` passed with nothing said."""

    at: float
    kind: Literal["went_quiet"] = "went_quiet"


@dataclass(frozen=True, slots=True)
class InputEnded:
    """No more answers will come: end of the keyboard input or of the recordings."""

    at: float
    kind: Literal["input_ended"] = "input_ended"


@dataclass(frozen=True, slots=True)
class MicrophoneLost:
    """The microphone went away; the step is kept."""

    at: float
    reason: str
    kind: Literal["microphone_lost"] = "microphone_lost"


@dataclass(frozen=True, slots=True)
class Recorded:
    """The entry is on disk."""

    at: float
    number: int
    """Sequence number of the entry."""
    kind: Literal["recorded"] = "recorded"


@dataclass(frozen=True, slots=True)
class RecordFailed:
    """The entry could not be written; it is kept in memory and tried again."""

    at: float
    reason: str
    """A sentence: what failed and what to do."""
    kind: Literal["record_failed"] = "record_failed"


Fact = Began | Resumed | Heard | WentQuiet | InputEnded | MicrophoneLost | Recorded | RecordFailed

# --- effects -------------------------------------------------------------------------------------------------

Slot = str | int | float | Decimal | None | tuple[str, ...] | tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class Say:
    """Speak (and show) one thing. ``mouth.phrasing`` turns the key and its slots into sentences."""

    key: str
    """Name of a phrase in ``mouth/phrases``."""
    slots: Mapping[str, Slot] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Listen:
    """Wait for an answer to this prompt."""

    expectation: Expectation


@dataclass(frozen=True, slots=True)
class Wait:
    """Bring back ``WentQuiet`` when nothing was said for so long."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Finish:
    """The session is over; ``ending`` names which end it came to."""

    ending: str


# ``Record`` carries the engine's decisions and is defined beside them, in ``engine.decisions``.
