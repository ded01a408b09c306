"""The transient part of a session: what is being asked right now.

Nothing here is recorded. Resuming a session drops it: the prompt follows from the recorded part alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from assistant.messages import Heard, Prompt, Say, Understanding
from assistant.messages.reasons import Why


class Mode(StrEnum):
    """What the session waits for; with an event it names one row of ``dispatch.TABLE``."""

    NEW = "new"
    """Not begun, or left: waits for ``Began`` or ``Resumed``."""
    READY = "ready"
    """Prompt ``ready``: everything in hand?"""
    CAUTION = "caution"
    """Prompt ``caution:<name>``."""
    FACT = "fact"
    """Prompt ``fact:<name>``."""
    ACCESS = "access"
    """Prompt ``access:<name>[:<place>]``."""
    CHECK = "check"
    """Prompt ``check:<name>[:<place>]``."""
    FIX = "fix"
    """Prompt ``fix:<name>[:<place>]``."""
    PROOF = "proof"
    """Prompt ``proof:<step>``."""
    OFFER = "offer"
    """Prompt ``offer:hand over`` or ``offer:found before``: yes or no."""
    PUT_BACK = "put_back"
    """Prompt ``close:put back``."""
    CONFIRM = "confirm"
    """Prompt ``confirm:<prompt>``: yes, no, or a new answer."""
    CHOOSE = "choose"
    """Prompt ``choose:<prompt>``: which of several values."""
    SPREAD = "spread"
    """Prompt ``choose:<prompt>``: the lowest, then the highest, of a reading that moves."""
    REASON = "reason"
    """Prompt ``skip:<prompt>``: why is it skipped?"""
    NOTE = "note"
    """Prompt ``note``: free speech."""
    STOP = "stop"
    """Prompt ``stop``: really end?"""
    HELD = "held"
    """Prompt ``held``: everything but 'resume', 'where are we' and 'what's left' is ignored."""
    LOOK_UP = "look_up"
    """The unit's number was told, and what earlier records say about it is being looked up."""
    RECORDING = "recording"
    """A record was sent; nothing else may come before ``Recorded`` or ``RecordFailed``."""
    UNWRITTEN = "unwritten"
    """The record could not be written; the next words or silence try again."""
    ENDED = "ended"
    """The session is over."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """A question laid over the main prompt."""

    mode: Mode
    """CONFIRM, CHOOSE, SPREAD, REASON, NOTE or STOP."""
    question: Say | None = None
    """What was asked, said again on request."""
    candidate: Understanding | None = None
    """What counts once it is confirmed."""
    heard: Heard | None = None
    """The fact that the candidate came from, reduced to the words used."""
    values: tuple[Decimal, ...] = ()
    """Competing values of a CHOOSE; the lowest, once it is known, of a SPREAD."""
    asked_for: str = ""
    """Why it is asked, a short name: ``condemns``, ``negative``, ``fails``, or the understanding's reason."""
    prompt: Prompt | None = None
    """The prompt that the candidate answers, None for the one below."""
    prompts: tuple[Prompt, ...] = ()
    """Prompts of which one is asked for: whose answer was told to be wrong."""
    under: Overlay | None = None
    """The question that comes back after a note or a 'no' to the end."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A reading that waits for a fact by which it is judged."""

    prompt: Prompt
    """The check that it answers."""
    meant: Understanding
    """What was understood."""
    heard: Heard | None
    """What was heard."""


@dataclass(frozen=True, slots=True)
class DialogState:
    """What is being asked right now. Never recorded."""

    live: bool = False
    """True between ``Began`` or ``Resumed`` and the end of the input."""
    overlay: Overlay | None = None
    """The question laid over the main prompt, if any."""
    revisit: Prompt | None = None
    """An earlier prompt that is being asked again, None for the main prompt."""
    revisit_because: Why = Why.WENT_BACK
    """CORRECTED or WENT_BACK."""
    kept: Kept | None = None
    """A reading that comes back once the fact is answered which its verdict hangs on."""
    misses: int = 0
    """How often running the answer was not understood."""
    reminded: bool = False
    """True when the one reminder of this prompt was given."""
    second: bool = False
    """True when a reading is taken once more because it was too close to call."""
    exact: bool = False
    """True when the exact figure was asked for."""
    swapped: bool = False
    """True when swapped leads were already hinted at, at this prompt."""
    left: tuple[int, ...] = ()
    """Items of the put-back list that are told to be the only ones left."""
    alarmed: bool = False
    """True after a danger was told, until it is told to be over: 'we're good' does no step then."""
    slow: bool = False
    """True after a test drive that was too slow: 'next' alone tells of no faster one."""
    zero: bool = False
    """True when a display that shows nothing, or more than can be, was already questioned, at this prompt."""
    asked_at: float | None = field(default=None, compare=False)
    """When the main prompt was asked, in seconds since the session began; None before the first entry."""
    quick: bool = False
    """True while a yes is wanted for work that was answered sooner than it can be done."""
    blank: int = 0
    """How often running the display showed nothing, at this prompt."""
    part: int = 0
    """Which part of the put-back list is being asked; each is short enough to hear."""
    item: int | None = None
    """Which put-back item is being asked, None for a part of the list."""
    rest: tuple[Say, ...] = ()
    """Chunks of a list that were not said yet; 'go on' says the next."""
