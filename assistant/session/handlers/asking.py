"""Questions of the technician: answered in one short sentence; the prompt stays open and is not repeated."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import About, Heard, Reason, Say, Why
from assistant.messages.decisions import Remarked
from assistant.phrasing.reasons import reason_text
from assistant.session.saying.replies import reply
from assistant.session.saying.safe_words import safe_words
from assistant.session.turn import Result, Turn, record
from assistant.understanding.hazards import SAFETY
from assistant.understanding.place_names import place_meant


def asked(turn: Turn) -> Result:
    """A question alone."""
    return record(turn, (question_asked(turn),), *replied(turn), keep=True, ask=False)


def no_condition(turn: Turn) -> bool:
    """Whether a question how the key or a plug stands has no answer at what is asked."""
    return [say.key for say in replied(turn)] == ["no_condition"]


def question_asked(turn: Turn) -> Remarked:
    """The question for the record."""
    about = turn.meant.about
    return Remarked(Reason(Why.ASKED, {"about": about.value if about is not None else "", "words": turn.meant.heard}))


def replied(turn: Turn) -> tuple[Say, ...]:
    """What is said to the question of a turn."""
    seconds = turn.fact.at if isinstance(turn.fact, Heard) else 0.0
    meant, here, action = turn.meant, turn.asked.place, turn.state.action
    if meant.reason == SAFETY:
        return safe_words(turn.context, turn.state, meant.heard)
    if meant.about is None:
        return (Say("question_unknown"),)
    if meant.about is About.WHY:
        return (Say("because", {"text": reason_text(action.because)}) if action is not None else Say("why"),)
    if meant.about is About.AT_PLACE and meant.place and here:
        known = {place.name for place in turn.context.procedure.places}
        meant = replace(meant, place=place_meant(meant.place, here, known) or meant.place)
    return reply(turn.context, turn.state, meant, seconds)
