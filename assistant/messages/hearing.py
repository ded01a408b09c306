"""What a prompt expects, what was heard, and what was meant."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Literal

from assistant.messages.asking import About, Detail, Report
from assistant.messages.clarifying import Clarification
from assistant.messages.prompts import NO_PROMPT, Prompt


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
    WHERE = "where"
    SAY_LESS = "say_less"
    SAY_MORE = "say_more"
    SAY_USUAL = "say_usual"


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
    """What could be said now: it shapes the recognizer, decides between meanings and words the question."""

    expects: Expects
    prompt: Prompt = NO_PROMPT
    """The prompt that is answered; ``NO_PROMPT`` outside a session."""
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
    places: tuple[Choice, ...] = ()
    """Places of the unit that a question or a reading can name; no answers to the prompt."""
    told: str = ""
    """What the person was told to do; '' where something is asked."""
    jumps: tuple[Choice, ...] = ()
    """Places that can be named to go there next ('right rear outer next'); no answers to the prompt."""
    hint: str = ""
    """Short words for the screen, such as ``ohms, 900 to 1400``."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing the recognizer may have heard."""

    words: str
    """Lower-case words divided by spaces; ``[unclear]`` stands for a word outside the grammar."""
    score: float = 0.0
    """Log score, higher is better; only differences within one utterance mean anything."""
    recognized: float | None = None
    """The recognizer's own part of the score; None where it stands alone."""
    second: float | None = None
    """Log probability of the words by the second opinion; None where there was none."""
    own: bool = False
    """True for words of the second opinion's own, which the recognizer did not have."""


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
    QUESTION = "question"
    """Something is asked about the session; ``about`` says what."""
    REPORT = "report"
    """Something is told that answers nothing; ``report`` says what."""
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
    about: About | None = None
    """What is asked, alone or behind an answer."""
    detail: Detail | None = None
    """Which number of the papers was told; ``identifier`` is its value."""
    report: Report | None = None
    place: str | None = None
    """Place of the unit that a question or a report names."""
    approximate: bool = False
    """'about', 'around', 'just under': near a limit the exact figure is asked for."""
    withdrawn: tuple[Decimal, ...] = ()
    """Values taken back inside the same utterance ('eleven hundred, I mean twelve hundred')."""
    confirm: bool = False
    """True when a yes is needed before it counts."""
    ask: Clarification | None = None
    """What to ask; None when nothing needs asking."""
    reason: str = ""
    """Why it is asked or not understood, as a short name: ``two_meanings``, ``twin``, ``odd``, ``leftover``."""
    chance: float = 0.0
    """Chance that something else was said, as far as the sound or the keyboard tells."""
    otherwise: float = 0.0
    """Chance that it would be judged otherwise; a part of ``chance``."""
    said_at: tuple[int, int] | None = None
    """Span of the value's words inside ``heard``, as character offsets."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """What the recognizer made of one piece of sound."""

    hypotheses: tuple[Hypothesis, ...]
    """Best first, each set of words once; empty when no speech was found."""
    snr_db: float | None = None
    """Signal-to-noise ratio of the sound in decibels, None when it could not be told."""
    warnings: tuple[str, ...] = ()
    """Whole sentences about the sound: clipped, faint, too noisy."""
