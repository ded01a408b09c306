"""The loop of a session: facts go into ``step``, and its effects go out to the edges.

It is the only one: live, typed, recorded, on the page, practiced and simulated sessions all run through it. It owns
nothing but the order of things: a ``Record`` is on disk before its replies are spoken, and one answer is taken for
one ``Listen``.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Generic, Literal, Protocol, TypeVar

from assistant.clock import Clock
from assistant.errors import DefectError, OperatorError
from assistant.inputs.ports import Listener
from assistant.messages import (
    Began,
    Expectation,
    Fact,
    Finish,
    FoundBefore,
    Heard,
    HistoryTold,
    HistoryWeight,
    InputEnded,
    Listen,
    LookUp,
    Recorded,
    RecordFailed,
    Say,
    Wait,
)
from assistant.messages.decisions import Effect, Record, Spoken
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import Sentence, phrase
from assistant.session.step import step as session_step


class Writer(Protocol):
    """What keeps the record; ``records.journal.writer.Journal`` is the real one."""

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry and return its number; raise OperatorError when it is not safely on disk."""
        ...


class Teller(Protocol):
    """What shows and speaks; both sides of the talk pass through it."""

    def say(self, at: float, sentence: Sentence) -> None:
        """Show and speak one thing."""
        ...

    def heard(self, at: float, fact: Heard) -> None:
        """Show what came in."""
        ...

    def listening(self, expectation: Expectation) -> None:
        """Show that an answer is awaited."""
        ...


class History(Protocol):
    """What earlier records say about a unit; ``records.index.weights.Told`` is the real one."""

    @property
    def text(self) -> str:
        """For the technician, '' when nothing is known."""
        ...

    @property
    def weights(self) -> tuple[HistoryWeight, ...]:
        """What it changes."""
        ...

    @property
    def found(self) -> FoundBefore | None:
        """A fault found earlier whose repair waits."""
        ...

    @property
    def facts(self) -> Mapping[str, str]:
        """What its last sessions knew of it."""
        ...

    @property
    def seen(self) -> str:
        """When that was, as it is said."""
        ...


class Setting(Protocol):
    """What a dialogue works with, as far as the loop needs it."""

    @property
    def vocabulary(self) -> Vocabulary:
        """What people say."""
        ...


TALK_MOST = 200
"""Sentences between two entries that are kept: the last ones."""
_TEXT_MOST = 1000
"""Signs of one of them."""
_ON_HOLD = "on_hold"
"""Answers words on hold, when others talk as well and nothing is kept."""


class _Talk:
    """Both sides of the talk since the last entry, until it is written with the next."""

    def __init__(self) -> None:
        self._since: deque[Spoken] = deque(maxlen=TALK_MOST)
        self._written: list[str] = []
        """Sentences of the last entry that are still to be said: they stand in it already."""
        self._sent: Record | None = None
        """A record that nobody knows to be kept: it is sent again as it was."""

    def heard(self, fact: Fact, effects: Iterable[Effect]) -> None:
        """Keep what was heard, where it led to something; on hold nothing is kept."""
        keys = [
            effect.key if isinstance(effect, Say) else "" for effect in effects if isinstance(effect, Say | Record)
        ]
        if isinstance(fact, Heard) and fact.hypotheses and keys and _ON_HOLD not in keys:
            self._since.append(Spoken(fact.at, "you", fact.hypotheses[0].words[:_TEXT_MOST]))

    def said(self, at: float, say: Say, shown: str) -> None:
        """Keep what was said, unless the last entry has it."""
        if shown in self._written:
            self._written.remove(shown)
        elif say.key != _ON_HOLD:
            self._since.append(Spoken(at, "us", shown[:_TEXT_MOST]))

    def with_it(self, record: Record) -> Record:
        """The record with all that was said on the way to it; the same where it is sent again."""
        if self._sent is not None and replace(self._sent, talk=()) == record:
            return self._sent
        fact, talk = record.fact, tuple(self._since)
        if isinstance(fact, Heard) and fact.hypotheses:
            accepted = fact.hypotheses[0].words
            talk = tuple(
                replace(one, text=accepted) if (one.who, one.at) == ("you", fact.at) else one for one in talk
            )
            if talk == (Spoken(fact.at, "you", accepted),):
                talk = ()
        self._since.clear()
        self._sent = replace(record, talk=talk)
        return self._sent

    def kept(self, said: Iterable[str]) -> None:
        """The record is written, with these sentences still to be said."""
        self._sent, self._written = None, list(said)


ContextT = TypeVar("ContextT", bound=Setting)
StateT = TypeVar("StateT")


@dataclass
class Loop(Generic[ContextT, StateT]):
    """One dialogue from its first fact to its end: a session, or the offer of one that was left."""

    context: ContextT
    state: StateT
    writer: Writer | None
    """None for a dialogue that records nothing."""
    listener: Listener
    teller: Teller | None
    """None where nobody listens: then no sentence is made, and none is kept with an entry."""
    clock: Clock
    on_listen: Callable[[Expectation], None] | None = None
    """Called before each answer; a demo scene lets its time pass here."""
    history: Callable[[str], History] | None = None
    """What earlier records say about a unit; None when it is not asked."""
    moved: Callable[[], Literal["", "here", "back"]] | None = None
    """Where the record goes on since the last entry; None when it stays where it is."""
    step: Callable[[Any, Any, Fact], tuple[Any, tuple[Effect, ...]]] = session_step
    """What leads: of the context, the state and a fact it makes the next state and the effects."""
    _talk: _Talk = field(default_factory=_Talk, init=False)

    def run(self, opening: Fact | None = None) -> str:
        """Run to the end and return its name; ``left`` when the input ended first.

        Raises:
            OperatorError: an edge gave up (a broken recording); what was logged is on disk.
        """
        fact: Fact = opening or Began(at=self.clock.now())
        while True:
            self.state, effects = self.step(self.context, self.state, fact)
            if self.teller is not None:
                self._talk.heard(fact, effects)
            following: Fact | None = None
            expectation: Expectation | None = None
            seconds: float | None = None
            for effect in effects:
                if isinstance(effect, Say):
                    self._say(effect)
                elif isinstance(effect, Record):
                    following = self._write(effect)
                elif isinstance(effect, LookUp):
                    following = self._look_up(effect.unit)
                elif isinstance(effect, Listen):
                    expectation = effect.expectation
                elif isinstance(effect, Wait):
                    seconds = effect.seconds
                elif isinstance(effect, Finish):
                    return effect.ending
            if following is not None:
                fact = following
            elif expectation is not None:
                fact = self._listen(expectation, seconds)
            else:
                raise DefectError(f"the session neither listens nor records nor finishes after {fact.kind}")

    def _say(self, say: Say) -> None:
        if self.teller is None:
            return
        sentence = phrase(say, self.context.vocabulary)
        if sentence.shown:  # in some lengths nothing is said
            at = self.clock.now()
            self._talk.said(at, say, sentence.shown)
            self.teller.say(at, sentence)

    def _write(self, record: Record) -> Fact:
        if self.writer is None:
            raise DefectError("A dialogue that records nothing sent a record.")
        replies = record.replies if self.teller is not None else ()
        said = tuple(phrase(say, self.context.vocabulary).shown for say in replies)
        said = tuple(text for text in said if text)
        try:
            number = self.writer.append(self._talk.with_it(record), said, self.clock.now())
        except OperatorError as error:
            return RecordFailed(at=self.clock.now(), reason=str(error))
        self._talk.kept(said)
        return Recorded(self.clock.now(), number, self.moved() if self.moved is not None else "")

    def _look_up(self, unit: str) -> Fact:
        if self.history is None:
            return HistoryTold(at=self.clock.now(), unit=unit)
        told = self.history(unit)
        facts, seen = dict(told.facts), told.seen
        return HistoryTold(self.clock.now(), unit, told.text, told.weights, told.found, facts, seen)

    def _listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        if self.on_listen is not None:
            self.on_listen(expectation)
        if self.teller is not None:
            self.teller.listening(expectation)
        try:
            fact = self.listener.listen(expectation, seconds)
        except KeyboardInterrupt:
            fact = InputEnded(at=self.clock.now())
        if isinstance(fact, Heard) and self.teller is not None:
            self.teller.heard(fact.at, fact)
        return fact
