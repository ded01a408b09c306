"""Questions of the technician: answered in one short sentence; the prompt stays open and is not repeated."""

from __future__ import annotations

from assistant.messages import Heard, Reason, Say, Why
from assistant.messages.decisions import Remarked
from assistant.session.saying.replies import reply
from assistant.session.turn import Result, Turn, record


def asked(turn: Turn) -> Result:
    """A question alone."""
    return record(turn, (question_asked(turn),), *replied(turn), keep=True, ask=False)


def question_asked(turn: Turn) -> Remarked:
    """The question for the record."""
    about = turn.meant.about
    return Remarked(Reason(Why.ASKED, {"about": about.value if about is not None else "", "words": turn.meant.heard}))


def replied(turn: Turn) -> tuple[Say, ...]:
    """What is said to the question of a turn."""
    seconds = turn.fact.at if isinstance(turn.fact, Heard) else 0.0
    return reply(turn.context, turn.state, turn.meant, seconds)
