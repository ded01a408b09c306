"""A session that was left is offered again: which one, how it is asked by voice and typed, and the answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from assistant.clock import Clock
from assistant.composition import context_from
from assistant.errors import LeadsmanError
from assistant.inputs.base import Ear
from assistant.loop import Teller
from assistant.messages import (
    Command,
    Expectation,
    Expects,
    Heard,
    InputEnded,
    MicrophoneLost,
    Prompt,
    PromptKind,
    Say,
    WentQuiet,
)
from assistant.messages.decisions import Phase
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import Sentence, phrase
from assistant.records.index.listing import listed
from assistant.records.store.ports import Store, find
from assistant.session.fold import fold
from assistant.understanding.interpret import interpret

YES_OR_NO = Expectation(Expects.COMMAND, Prompt(PromptKind.OFFER), hint="yes or no")
"""What the offer waits for."""
REMIND = 20.0
"""Seconds of silence after which the offer is made once more; then it waits."""
_WHERE = {
    Phase.CAUTIONS: "at the cautions",
    Phase.FACTS: "at the questions",
    Phase.FINDING: "while looking for the fault",
    Phase.SURVEYING: "in the middle of the survey",
    Phase.REPAIRING: "at the repair",
    Phase.PROVING: "at the proof",
    Phase.CLOSING: "while closing up",
}


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """A session that was left before its end."""

    id: str
    """Its identity."""
    unit: str
    """Number of the unit, '' when it was never told."""
    when: str
    """When it began, in words."""
    where: str
    """Where it stood, in words; '' when its record does not say."""

    @property
    def offer(self) -> Say:
        """The question."""
        at = f"{self.where}, {self.when}" if self.where else self.when
        if not self.unit:
            return Say("left_without_number", {"text": at})
        return Say("left_open", {"unit": self.unit, "text": at})


def left_open(store: Store, procedure: str, unit: str, now: datetime) -> LeftOpen | None:
    """The newest session of a procedure that was left on a unit; of any unit where none is named."""
    for one in listed(store, left=True, unit=unit):
        if one.procedure == Path(procedure).stem:
            return LeftOpen(one.id, one.unit, _when(one.started, now), _where(store, one.id))
    return None


def wants_it(left: LeftOpen, ear: Ear, teller: Teller, clock: Clock, vocabulary: Vocabulary) -> bool | None:
    """Ask whether to go on with it, by every way that is open; None when it was stopped or the input ended."""
    question = phrase(left.offer, vocabulary)
    said: Sentence | None = question
    reminded = False
    while True:
        if said is not None:
            teller.say(clock.now(), said)
        teller.listening(YES_OR_NO)
        try:
            fact = ear.listen(YES_OR_NO, None if reminded else REMIND)
        except KeyboardInterrupt:
            return None
        if isinstance(fact, InputEnded):
            return None
        said = None
        if isinstance(fact, WentQuiet):
            reminded, said = True, question
        elif isinstance(fact, MicrophoneLost):
            said = phrase(Say("microphone_lost", {"text": fact.reason}), vocabulary)
        elif isinstance(fact, Heard):
            teller.heard(fact.at, fact)
            meant = interpret(fact.hypotheses, YES_OR_NO, vocabulary, snr_db=fact.snr_db)
            command = None if meant.confirm else meant.command
            if command in (Command.YES, Command.RESUME):
                return True
            if command is Command.NO:
                return False
            if command is Command.STOP:
                return None
            again = command in (Command.SAY_AGAIN, Command.WHERE, Command.HELP, Command.WHY)
            said = question if again else phrase(Say("yes_or_no"), vocabulary)


def _when(started: str, now: datetime) -> str:
    """'today at 2:23 PM', 'on January 31 at 2:23 PM'; '' for a time that is lost."""
    try:
        time = datetime.fromisoformat(started)
    except ValueError:
        return "at a time that is lost"
    clock = f"{time.hour % 12 or 12}:{time.minute:02d} {'AM' if time.hour < 12 else 'PM'}"
    if time.date() == now.date():
        return f"today at {clock}"
    year = f", {time.year}" if time.year != now.year else ""
    return f"on {time:%B} {time.day}{year} at {clock}"


def _where(store: Store, session_id: str) -> str:
    try:
        session = find(store, session_id)
        decisions = [decision for _, entry in session.entries() for decision in entry.decisions]
        return _WHERE.get(fold(context_from(session.header), decisions).phase, "")
    except LeadsmanError:
        return ""  # a damaged record is still offered; resuming says what is wrong with it
