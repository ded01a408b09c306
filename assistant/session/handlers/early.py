"""What is told with the work, before it is asked: 'done, and it reads 1190'. It is asked about at its own prompt."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Heard, Outcome, Say
from assistant.messages.decisions import NoteTaken, Record
from assistant.phrasing.wording import at_place, first_up
from assistant.session.agenda.prompts import asked_now
from assistant.session.dialog_state import DialogState, Mode, Overlay
from assistant.session.saying.questions import expectation
from assistant.session.turn import Result, Turn
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
    question = Say("is_it_there", {"title": title, "text": meant.choice or ""})
    if meant.value is not None:
        question = Say("is_it_here", {"title": title, "value": meant.value, "unit": check.unit})
    elif meant.outcome is Outcome.OVER_RANGE:
        question = Say("is_it_over_range")
    heard = turn.fact if isinstance(turn.fact, Heard) else None
    overlay = Overlay(Mode.CONFIRM, question, replace(meant, confirm=True), heard, asked_for="told_early")
    after = replace(after, dialog=DialogState(live=True, overlay=overlay))
    entry = replace(entry, replies=(*entry.replies, question))
    return replace(state, pending=replace(state.pending, record=entry, following=after)), (entry,)
