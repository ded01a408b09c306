"""One turn of the dialogue: what a handler gets, and the few ways in which it can answer.

A handler either answers at once (``reask``, ``stay``, ``lay``), which changes nothing that is recorded, or sends one
``Record`` (``record``) and says the rest once that is on disk.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from assistant.errors import DefectError
from assistant.messages import Expectation, Fact, Heard, Hypothesis, Outcome, Say, Source, Understanding
from assistant.messages.decisions import Decision, Effect, Ended, FixChosen, PhaseEntered, ProofFinished, Record
from assistant.procedure.model import Question
from assistant.session.agenda.advance import move_on
from assistant.session.agenda.prompts import Asked, asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Overlay
from assistant.session.fold import State, apply_all
from assistant.session.saying.announcements import announcement
from assistant.session.saying.questions import listening, question
from assistant.session.state import Pending
from assistant.session.unprompted.codes import CodeRead
from assistant.session.unprompted.mending import Mending
from assistant.session.unprompted.road_test import Rolled
from assistant.session.unprompted.sightings import Sighting
from assistant.understanding.utterance import understand

ALTERNATIVES = 2
"""Rivals of an accepted answer that its record shows."""
Result = tuple[State, tuple[Effect, ...]]


@dataclass(frozen=True, slots=True)
class Turn:
    """A fact and the state in which it is met."""

    context: Context
    """What the session works with."""
    state: State
    """Where it stands."""
    fact: Fact
    """What happened."""
    understood: Understanding | None = None
    """What was meant, for something heard in a mode that listens."""
    expectation: Expectation | None = None
    """What could have been said."""
    facts_told: tuple[tuple[Question, Understanding], ...] = ()
    """Facts that were told together."""
    readings_told: tuple[tuple[str, str], ...] = ()
    """Places, each with the words of its reading, that were told together."""
    places_left: tuple[str, ...] = ()
    """Places told beside them, at which nothing can be taken now."""
    code_told: bool = False
    """Whether the wheel and the kind of a code were told together, at the check that asks for the wheel."""
    sighting: Sighting | None = None
    """A finding that was told without being asked."""
    mending: Mending | None = None
    """An earlier answer that was told to be wrong."""
    left: tuple[int, ...] | None = None
    """Items of the put-back list that were told to be all that is left; None where that was not told."""
    early: str = ""
    """What was told beside the work, before it is asked: 'done, and it reads 1190'."""
    code_read: CodeRead | None = None
    """What was told of the codes in the proof."""
    rolled: Rolled | None = None
    """A test drive that was told."""

    @property
    def meant(self) -> Understanding:
        """What was meant.

        Raises:
            DefectError: nothing was heard in this turn.
        """
        if self.understood is None:
            raise DefectError(f"Nothing was heard in the fact '{self.fact.kind}'.")
        return self.understood

    @property
    def asked(self) -> Asked:
        """The prompt below any question."""
        return asked_now(self.context, self.state)

    @property
    def typed(self) -> bool:
        """Whether what was said came from a keyboard."""
        fact = self.fact
        return isinstance(fact, Heard) and fact.snr_db is None and fact.source in (Source.TYPED, Source.PAGE)

    def accepted(self) -> Fact:
        """The fact as recorded: the words that were used, and rivals that the prompt could have taken."""
        if not isinstance(self.fact, Heard):
            return self.fact
        words = self.understood.heard if self.understood is not None else ""
        kept = next((heard for heard in self.fact.hypotheses if heard.words == words), None) or Hypothesis(words)
        others = dict.fromkeys(heard.words for heard in self.fact.hypotheses if heard.words not in ("", kept.words))
        rivals = self.fact.alternatives or tuple(words for words in others if self._answers(words))[:ALTERNATIVES]
        return replace(self.fact, hypotheses=(kept,), alternatives=rivals)

    def _answers(self, words: str) -> bool:
        """Whether the prompt could take these words: what was overheard beside the answer is not kept, be it talk."""
        if self.expectation is None:
            return False
        meant = understand(words, self.expectation, self.context.vocabulary).outcome
        return meant not in (Outcome.NOT_UNDERSTOOD, Outcome.REPORT, Outcome.QUESTION)

    def with_dialog(self, **changes: object) -> Turn:
        """The same turn with what is being asked right now changed."""
        dialog = replace(self.state.dialog, **changes)  # type: ignore[arg-type]
        return replace(self, state=replace(self.state, dialog=dialog))

    def with_pending(self, *, failed: bool, leaving: bool = False) -> Turn:
        """The same turn with what is known of the record that is not yet on disk."""
        pending = self.state.pending
        if pending is None:
            raise DefectError(f"No record waits in the fact '{self.fact.kind}'.")
        changed = replace(pending, failed=failed, leaving=leaving)
        return replace(self, state=replace(self.state, pending=changed))


def spoken(turn: Turn) -> bool:
    """Whether what was heard in this turn was spoken, not typed."""
    fact = turn.fact
    sources = (Source.MICROPHONE, Source.RECORDING)
    return isinstance(fact, Heard) and (fact.source in sources or fact.snr_db is not None)


def stay(turn: Turn, *says: Say) -> Result:
    """Say something and go on listening; the question is not repeated."""
    return turn.state, (*says, *listening(turn.context, turn.state))


def reask(turn: Turn, *says: Say, full: bool = False) -> Result:
    """Say something, ask the question again and listen; ``full`` with the meter's connection and the conditions."""
    asked = question(turn.context, turn.state, full=full)
    return stay(turn, *says, *(asked if full else asked[-1:]))


def lay(turn: Turn, overlay: Overlay, *says: Say) -> Result:
    """Lay a question over the prompt."""
    return reask(turn.with_dialog(overlay=overlay, misses=0, reminded=False), *says)


def lift(turn: Turn, *says: Say) -> Result:
    """Take the question away and ask the one below again."""
    under = turn.state.dialog.overlay.under if turn.state.dialog.overlay is not None else None
    return reask(turn.with_dialog(overlay=under, misses=0), *says)


def record(
    turn: Turn,
    decisions: Iterable[Decision],
    *says: Say,
    keep: bool = False,
    dialog: DialogState | None = None,
    ask: bool = True,
    full: bool = False,
) -> Result:
    """Send one record; nothing is said and the state is not advanced before it is on disk.

    Args:
        turn: the turn whose fact is recorded, reduced to what was accepted.
        decisions: what was decided; what follows without an answer is added.
        says: said first, once it is on disk; then come announcements, then the next question.
        keep: True when the dialogue goes on where it was (a note, a 'why'): nothing else follows.
        dialog: the transient part afterwards; without it a fresh one, or the present one with ``keep``.
        ask: False when the question is not repeated afterwards.
        full: True when it is repeated with the meter's connection and the conditions.
    """
    context, state = turn.context, turn.state
    made = tuple(decisions)
    after = apply_all(context, state, made)
    if not keep and not after.held:
        more = move_on(context, after)
        made += more
        after = apply_all(context, after, more)
    after = replace(after, pending=None, dialog=dialog or (state.dialog if keep else DialogState(live=True)))
    replies = [*says]
    for decision in made:
        if isinstance(decision, PhaseEntered | FixChosen | ProofFinished | Ended):
            replies += announcement(context, state, after, decision)
    if after.ended is None and ask:
        asked = question(context, after, full=full)
        replies += asked[-1:] if keep and not full else asked
    entry = Record(turn.accepted(), made, tuple(replies))
    return replace(state, pending=Pending(entry, after)), (entry,)
