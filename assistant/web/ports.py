"""What the page needs of the rest: sessions, records, hearing. The command line puts the real ones together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Protocol

from assistant.audio.sound import Samples
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Hearing
from assistant.records.index.board import BoardRow
from assistant.records.index.queries import Comeback, Done, Visit
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


@dataclass(frozen=True, slots=True)
class UnitPast:
    """What the records know of a unit."""

    unit: str
    """Its number as it was asked for."""
    visits: tuple[Visit, ...]
    """The newest first."""
    work: tuple[Done, ...]
    """The newest first."""
    comebacks: tuple[Comeback, ...]


class Hears(Protocol):
    """The recognizer, shared by all sessions. Both calls may come from any thread."""

    def prepare(self, expectation: Expectation) -> None:
        """Get ready for the answers of a prompt; blocks."""

    def hear(self, samples: Samples, expectation: Expectation) -> Future[Hearing]:
        """Hear sound at 16 kHz as an answer to a prompt, when its turn comes."""


class Speaks(Protocol):
    """Makes sound of a sentence. Calls may come from any thread."""

    def synthesize(self, text: str) -> tuple[Samples, int]:
        """Samples and samples a second; blocks. Raises ``tts.synthesizer.VoiceFailedError``."""


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
    answered: Callable[[], int]
    """Answers that stand in the record, each a turn of ``you`` in the talk."""
    after: Callable[[str], tuple[str, ...]] = lambda _: ()
    """Of the ending it makes what is told of the session once it is over, line by line."""
    told: tuple[str, ...] = ()
    """What is said before the first question: the unit's history, and that sound is kept."""
    keeps_sound: bool = False
    """True when the sound of accepted answers is kept."""


class Shop(Protocol):
    """Sessions and records of this machine. All of it blocks and may raise OperatorError or DocumentError."""

    def offers(self) -> Sequence[Offer]:
        """Procedures that can be started."""

    def about(self, words: str) -> Sequence[str]:
        """Names of the procedures that a complaint in own words may be about, the nearest first."""

    def meters(self) -> Sequence[tuple[str, str]]:
        """Name and title of each meter."""

    @property
    def meter(self) -> str:
        """Name of the meter that is in hand unless another is named, '' for none."""

    def records(self) -> Sequence[Summary]:
        """The newest records, newest first, each with the title of its procedure where that is known."""

    def board(self) -> Sequence[BoardRow]:
        """What of the shop's sessions was left or waits."""

    def unit(self, number: str) -> UnitPast | None:
        """What the records know of a unit, None when it was never here."""

    def record(self, session_id: str, *, customer: bool = False) -> RecordPage | None:
        """One record to show, or the page of it for who owns the unit; None when no record has this identity."""

    def unit_of(self, session_id: str) -> str:
        """Number of the unit that a session is on, '' where there is none."""

    def keep_photo(self, session_id: str, name: str, content: bytes) -> None:
        """Keep a photo's picture, JPEG, where it can be erased."""

    def photo(self, session_id: str, name: str) -> bytes | None:
        """A photo's picture, None where there is none (any more)."""

    def erase_photo(self, session_id: str, name: str) -> bool:
        """Erase one picture; False where there was none."""

    def left(self, procedure: str, unit: str) -> LeftOffer | None:
        """The newest session of a procedure that was left on this unit."""

    def start(self, procedure: str, unit: str, meter: str, air: str, words: str = "", order: str = "") -> Opened:
        """Begin a session. ``air`` is the air temperature as it was typed, ``order`` the work order's number; '' when
        unknown."""

    def practice(self, procedure: str) -> Opened:
        """Begin a session on an invented unit with a hidden fault, beside the shop's records."""

    def resume(self, session_id: str) -> Opened:
        """Take up a session that was left."""
