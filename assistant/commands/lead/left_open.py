"""A session that was left is offered again: which one, how it is asked by voice and typed, and the answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from assistant.clock import Clock
from assistant.composition import context_from
from assistant.errors import LeadsmanError
from assistant.inputs.ports import Listener
from assistant.loop import Loop, Teller
from assistant.messages import Say
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import Sentence, phrase
from assistant.phrasing.wording import PHASES, time_of_day
from assistant.records.index.listing import listed
from assistant.records.store.ports import Store, find
from assistant.session.fold import fold
from assistant.session.offer import Answer, OfferContext, OfferState, offer_step


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """A session that was left before its end."""

    id: str
    unit: str
    """Number of the unit, '' when it was never given."""
    when: str
    """When it began, in words."""
    where: str
    """Where it stood, in words; '' when its record does not say."""

    @property
    def told(self) -> Say:
        """Which session it is."""
        at = f"{self.where}, {self.when}" if self.where else self.when
        if not self.unit:
            return Say("left_without_number", {"text": at})
        return Say("left_open", {"unit": self.unit, "text": at})


def left_open(store: Store, procedure: str, unit: str, now: datetime) -> LeftOpen | None:
    """The newest session of a procedure that was left on a unit; of any unit where none is named."""
    for one in listed(store, left=True, unit=unit):
        if one.procedure == Path(procedure).stem and not store.in_use([one.id]):
            return LeftOpen(one.id, one.unit, _when(one.started, now), _where(store, one.id))
    return None


def ask(left: LeftOpen, listener: Listener, teller: Teller, clock: Clock, vocabulary: Vocabulary) -> Answer:
    """Ask whether to go on with it, by every way that is open."""
    context = OfferContext(vocabulary, left.told)
    return Answer(Loop(context, OfferState(), None, listener, teller, clock, step=offer_step).run())


def told(left: LeftOpen, vocabulary: Vocabulary, *, question: bool) -> Sentence:
    """Which session was left, followed by the question where it can be answered."""
    says = [left.told, *([Say("resume_it")] if question else [])]
    sentences = [phrase(say, vocabulary) for say in says]
    return Sentence(" ".join(one.shown for one in sentences), " ".join(one.spoken for one in sentences))


def _when(started: str, now: datetime) -> str:
    """'today at 2:23 p.m.', 'on January 31 at 2:23 p.m.'; '' for a time that is lost."""
    try:
        time = datetime.fromisoformat(started)
    except ValueError:
        return "at a time that is lost"
    clock = time_of_day(time)
    if time.date() == now.date():
        return f"today at {clock}"
    year = f", {time.year}" if time.year != now.year else ""
    return f"on {time:%B} {time.day}{year} at {clock}"


def _where(store: Store, session_id: str) -> str:
    try:
        session = find(store, session_id)
        decisions = [decision for _, entry in session.entries() for decision in entry.decisions]
        return PHASES.get(fold(context_from(session.header), decisions).phase, "")
    except LeadsmanError:
        return ""  # a damaged record is still offered; resuming says what is wrong with it
