"""What the page needs of the rest: sessions, records, hearing. The command line puts the real ones together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Protocol

from assistant.audio.sound import Samples
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Hearing
from assistant.records.report.talk import Turn
from assistant.records.summary.sessions import Summary
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.web.answers import PageListener
from assistant.web.teller import PageTeller


@dataclass(frozen=True, slots=True)
class Offer:
    """A procedure that can be started."""

    name: str
    title: str
    summary: str
    kind: str = "find"
    """``find``, or ``survey`` for one that measures every position."""


@dataclass(frozen=True, slots=True)
class LeftOffer:
    """A session on a unit that was left, offered instead of a new one."""

    id: str
    text: str
    """The question, to be shown."""
    spoken: str
    """The same for the voice."""


@dataclass(frozen=True, slots=True)
class RecordPage:
    """One record, ready to be shown."""

    title: str
    """Unit and procedure."""
    html: str
    """The record as one element; its texts are escaped."""
    left: bool
    """True when nobody ended the session."""


class Hears(Protocol):
    """The recognizer, shared by all sessions. Both calls may come from any thread."""

    def prepare(self, expectation: Expectation) -> None:
        """Get ready for the answers of a prompt; blocks."""

    def hear(self, samples: Samples, expectation: Expectation) -> Future[Hearing]:
        """Hear sound at 16 kHz as an answer to a prompt, when its turn comes."""


@dataclass(frozen=True)
class Opened:
    """A session whose record is open, ready to run."""

    id: str
    context: Context
    now: Callable[[], float]
    """Seconds since it began."""
    opening: Fact | None
    """The first fact; None for a new session."""
    past: tuple[Turn, ...]
    """What was said before it was resumed."""
    make_loop: Callable[[PageListener, PageTeller], Loop[Context, State]]
    """Puts the loop together once there is a listener and a teller."""
    close: Callable[[], None]
    """Lets go of the record."""
    told: tuple[str, ...] = ()
    """What is said before the first question: the unit's history, and that sound is kept."""
    keeps_sound: bool = False
    """True when the sound of accepted answers is kept."""


class Shop(Protocol):
    """Sessions and records of this machine. All of it blocks and may raise OperatorError or DocumentError."""

    def offers(self) -> Sequence[Offer]:
        """Procedures that can be started."""

    def meters(self) -> Sequence[tuple[str, str]]:
        """Name and title of each meter."""

    @property
    def meter(self) -> str:
        """Name of the meter that is in hand unless another is named, '' for none."""

    def records(self) -> Sequence[Summary]:
        """The newest records, newest first, each with the title of its procedure where that is known."""

    def record(self, session_id: str) -> RecordPage | None:
        """One record to show, None when no record has this identity."""

    def left(self, procedure: str, unit: str) -> LeftOffer | None:
        """The newest session of a procedure that was left on this unit."""

    def start(self, procedure: str, unit: str, meter: str, air: str) -> Opened:
        """Begin a session. ``air`` is the air temperature as it was typed, '' when unknown."""

    def resume(self, session_id: str) -> Opened:
        """Take up a session that was left."""
