"""Yes or no to what only a person can decide: to hand over, to mend at once what was found before."""

from __future__ import annotations

from assistant.messages.decisions import OfferAnswered
from assistant.session.turn import Result, Turn, record


def taken(turn: Turn) -> Result:
    """Yes."""
    return record(turn, (OfferAnswered(turn.asked.prompt, taken=True),))


def not_taken(turn: Turn) -> Result:
    """No, or passed by: the session goes on."""
    return record(turn, (OfferAnswered(turn.asked.prompt, taken=False),))
