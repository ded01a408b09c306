"""The put-back list, and the ends that a person asks for."""

from __future__ import annotations

from assistant.messages import Finish, Reason, Say, Why
from assistant.messages.decisions import Ended, Ending, Phase, PutBackDone
from assistant.session.advance import ending
from assistant.session.next_action import put_back_items
from assistant.session.questions import put_back_parts
from assistant.session.turn import Result, Turn, reask, record


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
    """No at a part of the list: from there on item by item. No at an item: it waits."""
    items = put_back_items(turn.context, turn.state)
    if turn.state.dialog.item is None and items:
        before = put_back_parts(items)[: turn.state.dialog.part]
        return reask(turn.with_dialog(item=sum(len(part) for part in before), misses=0), Say("one_by_one"))
    return reask(turn, Say("take_time"))


def really_stop(turn: Turn) -> Result:
    """Yes to the end: the session is over, and what must be put back is said."""
    return record(turn, (Ended(Ending.STOPPED, Reason(Why.STOPPED)),))


def left(turn: Turn) -> Result:
    """No more answers will come: the session can be taken up again."""
    return turn.state.settled(), (Finish("left"),)
