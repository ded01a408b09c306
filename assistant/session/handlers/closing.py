"""The put-back list, and ending or leaving a session."""

from __future__ import annotations

from assistant.messages import Finish, Reason, Say, Why
from assistant.messages.decisions import Ended, Ending, NoteTaken, Phase, PhaseEntered, PutBackDone
from assistant.phrasing.speech_chunks import say_list
from assistant.session.agenda.advance import ending
from assistant.session.agenda.put_back import put_back_items
from assistant.session.questions import put_back_parts
from assistant.session.turn import Result, Turn, reask, record

HAND_OVER, NOT_NOW = "hand_over", "not_now"
"""Why it is asked whether to leave the session as it stands, or to end it as not present today."""


def put_back(turn: Turn) -> Result:
    """Yes or next at the put-back list: a part of it, or one item, is done."""
    item, part = turn.state.dialog.item, turn.state.dialog.part
    items = put_back_items(turn.context, turn.state)
    if item is not None and item + 1 < len(items):
        return reask(turn.with_dialog(item=item + 1, misses=0, reminded=False))
    if item is None and part + 1 < len(put_back_parts(items)):
        return reask(turn.with_dialog(part=part + 1, misses=0, reminded=False), full=True)
    done = (PutBackDone(items),) if items else ()
    says = (Say("put_back_logged"),) if items else ()
    if turn.state.phase is Phase.PROVING:
        return record(turn, done, *says)
    return record(turn, (*done, ending(turn.context, turn.state)), *says)


def one_by_one(turn: Turn) -> Result:
    """No at a part of the list: item by item from there. No at an item: wait."""
    items = put_back_items(turn.context, turn.state)
    if turn.state.dialog.item is None and items:
        before = put_back_parts(items)[: turn.state.dialog.part]
        return reask(turn.with_dialog(item=sum(len(part) for part in before), misses=0), Say("one_by_one"))
    return reask(turn, Say("take_time"))


def really_stop(turn: Turn) -> Result:
    """Yes, end it: the session is over, with a reminder of what must be put back. Handed over, it stays open."""
    overlay = turn.state.dialog.overlay
    if overlay is not None and overlay.asked_for == HAND_OVER:
        items = put_back_items(turn.context, turn.state)
        owed = turn.state.opened or turn.state.fixes
        says = say_list("put_back_reminder", "put_back_more", items) if items and owed else ()
        return turn.state.settled(), (Say("handed_over"), *says, Finish("left"))
    if overlay is not None and overlay.asked_for == NOT_NOW:
        words = overlay.heard.hypotheses[0].words if overlay.heard is not None else ""
        return record(turn, (*((NoteTaken(words),) if words else ()), PhaseEntered(Phase.CLOSING)))
    return record(turn, (Ended(Ending.STOPPED, Reason(Why.STOPPED)),))


def left(turn: Turn) -> Result:
    """No more answers will come: the session is left and can be resumed."""
    return turn.state.settled(), (Finish("left"),)
