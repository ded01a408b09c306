"""What is told before it can count: with the work, before it is asked ('done, and it reads 1190'), and a reading
whose verdict hangs on a fact that nobody was asked yet. Both are asked about at their own prompt.

So a fact that only judges is asked when a reading shows that it matters; most never are.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Grade, Heard, Outcome, Reason, Say, Understanding, Why
from assistant.messages.decisions import CheckChosen, Decision, NoteTaken, Phase, QuestionChosen, Record
from assistant.phrasing.wording import at_place, first_up
from assistant.procedure.model import Check, Question
from assistant.session.agenda.facts_to_ask import to_judge
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Kept, Mode, Overlay
from assistant.session.fold import State, apply_all
from assistant.session.observing.observations import verdict_of
from assistant.session.saying.questions import expectation, question
from assistant.session.state import Pending
from assistant.session.turn import Result, Turn, record
from assistant.understanding.utterance import answer_of

_ANSWERS = (Outcome.READING, Outcome.OVER_RANGE, Outcome.CHOICE)


def with_early(turn: Turn, result: Result) -> Result:
    """The work's record with what was told beside it: asked about where it answers what is asked next, else a note.

    Nothing counts that was not asked: an answer waits for its yes under the prompt that it answers.
    """
    state, effects = result
    if not turn.early or state.pending is None or not effects or not isinstance(effects[0], Record):
        return result
    context, after, entry = turn.context, state.pending.following, effects[0]
    asked = asked_now(context, after)
    meant = None
    if asked.mode is Mode.CHECK:
        meant = answer_of(turn.early, expectation(context, after), context.vocabulary)
    if meant is None or meant.outcome not in _ANSWERS or asked.mode is not Mode.CHECK:
        entry = replace(entry, decisions=(NoteTaken(turn.early), *entry.decisions))
        return replace(state, pending=replace(state.pending, record=entry)), (entry,)
    check = context.check(asked.name)
    title = first_up(at_place(check.title, asked.place))
    ask = Say("is_it_there", {"title": title, "text": meant.choice or ""})
    if meant.value is not None:
        ask = Say("is_it_here", {"title": title, "value": meant.value, "unit": check.unit})
    elif meant.outcome is Outcome.OVER_RANGE:
        ask = Say("is_it_over_range")
    heard = turn.fact if isinstance(turn.fact, Heard) else None
    overlay = Overlay(Mode.CONFIRM, ask, replace(meant, confirm=True), heard, asked_for="told_early")
    return _asked_about(state, state.pending, after, replace(entry, replies=(*entry.replies, ask)), overlay)


def _asked_about(state: State, pending: Pending, after: State, entry: Record, overlay: Overlay) -> Result:
    """The record, with the answer that was told before it was asked waiting for its yes."""
    after = replace(after, dialog=DialogState(live=True, overlay=overlay))
    return replace(state, pending=replace(pending, record=entry, following=after)), (entry,)


def kept_for(turn: Turn, check: Check, meant: Understanding) -> Result | None:
    """The question for what the verdict on a reading hangs on; None where nothing more is to be asked for it."""
    kept = Kept(turn.asked.prompt, meant, turn.fact if isinstance(turn.fact, Heard) else None)
    if turn.state.dialog.revisit or turn.state.phase not in (Phase.FINDING, Phase.REPAIRING):
        return None
    fact = _hangs_on(turn.context, turn.state, kept)
    if fact is None:
        return None
    said = Say("read_back", {"value": meant.value, "unit": check.unit})
    return record(turn, (_chosen(fact),), said, dialog=DialogState(live=True, kept=kept))


def _hangs_on(context: Context, state: State, kept: Kept) -> Question | None:
    """The next fact that the verdict hangs on."""
    check = context.check(kept.prompt.name)
    if not check.limits_when or kept.meant.value is None:
        return None

    def grade(then: State) -> Grade:
        return verdict_of(context, then, check, kept.prompt.place, kept.meant).grade

    return to_judge(context, state, check, grade)


def _chosen(fact: Question) -> QuestionChosen:
    return QuestionChosen(fact.name, 0.0, Reason(Why.JUDGED_BY))


def back_to_it(turn: Turn, kept: Kept, made: tuple[Decision, ...], said: Say) -> Result:
    """The record of such a fact: then the next one, else the reading, asked about at its check.

    Args:
        turn: the answer to the fact.
        kept: the reading that waits.
        made: what the answer decides.
        said: what is said to it.
    """
    context = turn.context
    fact = _hangs_on(context, apply_all(context, turn.state, made), kept)
    if fact is not None:
        return record(turn, (*made, _chosen(fact)), said, dialog=DialogState(live=True, kept=kept))
    check = context.check(kept.prompt.name)
    # whatever else the answer makes likely: it was read, and is judged before anything else
    chosen = CheckChosen(check.name, kept.prompt.place, check.minutes, Reason(Why.JUDGED_BY))
    state, effects = record(turn, (*made, chosen), said)
    if state.pending is None or not effects or not isinstance(effects[0], Record):
        return state, effects
    after, entry = state.pending.following, effects[0]
    asked = asked_now(context, after)
    if asked.mode is not Mode.CHECK or asked.prompt != kept.prompt:
        return state, effects
    title = first_up(at_place(check.title, asked.place))
    ask = Say("is_it_here", {"title": title, "value": kept.meant.value, "unit": check.unit})
    overlay = Overlay(Mode.CONFIRM, ask, replace(kept.meant, confirm=True), kept.heard, asked_for="kept")
    # how to read it is not said: it was read
    unsaid = len(question(context, after))
    entry = replace(entry, replies=(*entry.replies[: len(entry.replies) - unsaid], ask))
    return _asked_about(state, state.pending, after, entry, overlay)
