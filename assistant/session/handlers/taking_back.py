"""Taking an answer back: withdraw, correct, go back. Work done on the unit is never undone by it."""

from __future__ import annotations

from assistant.messages import Command, Expects, Heard, Outcome, Prompt, PromptKind, Reason, Say, Why
from assistant.messages.decisions import (
    CheckChosen,
    Decision,
    FactWithdrawn,
    ObservationWithdrawn,
    Phase,
    PhaseEntered,
    ProofStepWithdrawn,
    QuestionChosen,
)
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.lengths import KNOWN
from assistant.phrasing.wording import at_place
from assistant.session.agenda.advance import searching
from assistant.session.agenda.facts_to_ask import AS_LAST_TIME, is_first
from assistant.session.agenda.prompts import question_named
from assistant.session.context import Context
from assistant.session.fold import Answered, State
from assistant.session.handlers import answering
from assistant.session.handlers.answering import answer
from assistant.session.handlers.finding import confirm
from assistant.session.ledger import AS_TOLD
from assistant.session.saying.questions import expectation, question
from assistant.session.turn import Result, Turn, lift, reask, record, stay
from assistant.understanding.interpret import interpret


def last_answer(state: State, *, before: Prompt | None = None) -> Answered | None:
    """The last answer that can be taken back: a fact, an observation, or a step of the running proof."""
    history = list(state.answer_history)
    if before is not None:
        # A prompt that was answered twice counts where it was answered last: going back must come to an end.
        last = {done.prompt: index for index, done in enumerate(history)}
        end = last.get(before, len(history))
        history = [done for index, done in enumerate(history[:end]) if last[done.prompt] == index]
    running = {step.step for step in state.proof} if state.phase is Phase.PROVING else set()
    for done in reversed(history):
        kind = done.prompt.kind
        if kind in (PromptKind.FACT, PromptKind.CHECK) or (kind is PromptKind.PROOF and done.prompt.name in running):
            return done
    return None


def withdraw(turn: Turn) -> Result:
    """Take back the last reading or answer, even after its verdict was spoken; it is asked again next."""
    state, dialog = turn.state, turn.state.dialog
    if turn.meant.withdrawn:
        return reask(turn.with_dialog(overlay=None), Say("dropped"))
    if dialog.kept is not None:  # it waits for its verdict, and is the last thing that was told
        check = turn.context.check(dialog.kept.prompt.name)
        dropped = Say("withdrawn", {"text": at_place(check.title, dialog.kept.prompt.place)})
        return reask(turn.with_dialog(kept=None, overlay=None), dropped)
    last = _named(state, dialog.revisit) if dialog.revisit else last_answer(state)
    if last is None:
        return reask(turn, Say("nothing_to_take_back"))
    said = _said_with(state, last)
    if len(said) > 1:
        return _withdraw_together(turn, said)
    if last.prompt.kind is PromptKind.CHECK:
        made = _withdraw_check(turn.context, state, last)
        # what is asked again at once names itself
        again = {KNOWN: 1} if any(isinstance(one, CheckChosen) for one in made) else {}
        return record(turn, made, Say("withdrawn", {"text": _title(turn, last), **again}))
    name = last.prompt.name
    says = Say("withdrawn", {"text": _title(turn, last)})
    if last.prompt.kind is PromptKind.PROOF:
        return record(turn, (ProofStepWithdrawn(name),), says)
    if name == AS_LAST_TIME:
        same = [one for one, value in state.ledger.last_facts.items() if state.facts.get(one) == value]
        back = () if state.phase is Phase.FACTS else (PhaseEntered(Phase.FACTS),)
        return record(turn, (*map(FactWithdrawn, same), FactWithdrawn(name), *back), says)
    if name == AS_TOLD:
        told = [one for one, value in turn.context.told_facts.items() if state.facts.get(one) == value]
        back = () if state.phase is Phase.FACTS else (PhaseEntered(Phase.FACTS),)
        return record(turn, (*map(FactWithdrawn, told), FactWithdrawn(name), *back), says)
    return record(turn, (FactWithdrawn(name), *_asked_for(turn.context, state, name)), says)


def _asked_for(context: Context, state: State, fact: str) -> tuple[Decision, ...]:
    """What asks for a fact again: the part of the session that asks it first, or the question by itself."""
    if state.phase is Phase.FACTS:
        return ()
    if is_first(context, question_named(context, fact)):
        return (PhaseEntered(Phase.FACTS),)
    again = QuestionChosen(fact, 0.0, Reason(Why.TAKEN_BACK))
    here = state.phase in (Phase.FINDING, Phase.REPAIRING)
    return (again,) if here else (PhaseEntered(searching(context)), again)


def _said_with(state: State, last: Answered) -> tuple[Answered, ...]:
    """What still stands of the breath in which an answer was said, the answer among it."""
    said = next((group for group in reversed(state.together) if last in group), ())
    return tuple(done for done in said if done in state.answer_history)


def _withdraw_together(turn: Turn, said: tuple[Answered, ...]) -> Result:
    """Take back everything that was said in one breath; it is asked again from its beginning."""
    context, state = turn.context, turn.state
    made: list[Decision] = []
    names = tuple(_title(turn, done) if done.number else done.prompt.name for done in said)
    for done in said:
        if done.prompt.kind is PromptKind.FACT:
            made.append(FactWithdrawn(done.prompt.name))
        elif done.number:
            made.append(ObservationWithdrawn(done.number, Reason(Why.SCRATCHED)))
    first = said[0]
    if first.prompt.kind is PromptKind.FACT:
        told = [done.prompt.name for done in said if done.prompt.kind is PromptKind.FACT]
        opening = any(is_first(context, question_named(context, name)) for name in told)
        # a late one is asked as it was before: the same situation has the same question
        back_to = Phase.FACTS if opening else searching(context)
        here = (Phase.FACTS,) if opening else (Phase.FACTS, Phase.FINDING, Phase.REPAIRING)
        made += [] if state.phase in here else [PhaseEntered(back_to)]
    else:
        check = first.prompt.name
        back = (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING)
        made += [] if state.phase in back else [PhaseEntered(searching(context))]
        made.append(CheckChosen(check, first.prompt.place, context.check(check).minutes, Reason(Why.TAKEN_BACK)))
    return record(turn, made, Say("withdrawn_all", {"items": names}))


def _withdraw_check(context: Context, state: State, last: Answered) -> tuple[Decision, ...]:
    withdrawn = ObservationWithdrawn(last.number, Reason(Why.SCRATCHED))
    place = next((seen.place for seen in state.observations if seen.number == last.number), last.prompt.place)
    check = last.prompt.name
    again = CheckChosen(check, place, context.check(check).minutes, Reason(Why.TAKEN_BACK))
    if not last.number:  # it was passed by: an answer takes that back
        return (
            (again,)
            if state.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING)
            else (PhaseEntered(searching(context)), again)
        )
    if state.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING):
        return (withdrawn, again)
    if state.phase is Phase.CLOSING and (state.unproven or (state.proofs and state.proofs[-1].passed)):
        return (withdrawn,)
    return (withdrawn, PhaseEntered(searching(context)), again)


def _named(state: State, prompt: Prompt) -> Answered | None:
    return next((done for done in reversed(state.answer_history) if done.prompt == prompt), None)


def _title(turn: Turn, last: Answered) -> str:
    seen = next((one for one in turn.state.observations if one.number == last.number), None)
    if seen is not None:
        return at_place(seen.title, seen.place)
    name, context = last.prompt.name, turn.context
    if last.prompt.kind is PromptKind.CHECK:
        return at_place(context.check(name).title, last.prompt.place)
    if last.prompt.kind is PromptKind.FACT:
        return question_named(context, name).title or name
    return next((step.title for step in context.procedure.proof.steps if step.name == name), "") or name


def go_back(turn: Turn) -> Result:
    """The previous question again; its answer stands until a new one is given."""
    last = last_answer(turn.state, before=turn.state.dialog.revisit)
    if last is None:
        return reask(turn, Say("nothing_before"))
    back = turn.with_dialog(revisit=last.prompt, revisit_because=Why.WENT_BACK, misses=0, reminded=False)
    return reask(back, Say("back"), full=True)


def correction(turn: Turn) -> Result:
    """'Correction': what replaces the last answer comes next."""
    state = turn.state
    if state.dialog.overlay is not None:
        return lift(turn, Say("corrected_next"))
    last = last_answer(state) if not state.dialog.revisit else _named(state, state.dialog.revisit)
    if last is None:
        return reask(turn, Say("nothing_to_take_back"))
    back = turn.with_dialog(revisit=last.prompt, revisit_because=Why.CORRECTED, misses=0, reminded=False)
    return stay(back, Say("correction_of", {"text": _title(turn, last)}), *_short(back))


def _short(turn: Turn) -> tuple[Say, ...]:
    """The question below without the meter's connection, which has not changed."""
    return question(turn.context, turn.state)[-1:]


def corrected(turn: Turn) -> Result:
    """'Correction twelve hundred': the last answer is replaced; with nothing to replace it is a plain answer."""
    done = replacement(turn)
    return answer(turn) if done is None else done


def misunderstood(turn: Turn) -> Result:
    """Not understood at this prompt; it may correct the last answer, which had another unit."""
    done = None if turn.state.dialog.overlay is not None else replacement(turn)
    return answering.misunderstood(turn) if done is None else done


def replacement(turn: Turn) -> Result | None:
    """Replace the last answer; None when this is no correction.

    It is interpreted at the prompt that it corrects, whose unit may be another one.
    """
    state, fact = turn.state, turn.fact
    last = None if state.dialog.kept is not None else last_answer(state)
    if last is None or last.prompt.kind is PromptKind.PROOF or not isinstance(fact, Heard) or state.dialog.revisit:
        return None
    back = turn.with_dialog(revisit=last.prompt, revisit_because=Why.CORRECTED, overlay=None, misses=0)
    there = expectation(turn.context, back.state)
    if there.expects is not Expects.READING:
        return None
    meant = interpret(fact.hypotheses, there, turn.context.vocabulary, snr_db=fact.snr_db)
    if meant.command is not Command.CORRECTION or meant.outcome is Outcome.COMMAND or meant.withdrawn:
        return None
    if meant.outcome not in (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY):
        return None
    return answer(Turn(turn.context, back.state, fact, meant, there))


def did_you_mean(turn: Turn) -> Result:
    """A mistyped command: ask before it is obeyed."""
    meant = turn.meant
    return confirm(turn, meant, clarified(meant.ask) if meant.ask is not None else Say("did_you_mean_that"), "slip")
