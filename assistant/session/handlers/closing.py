"""The put-back list, and ending or leaving a session."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Finish, Reason, Say, Why
from assistant.messages.decisions import (
    Decision,
    Ended,
    Ending,
    NotAsNeeded,
    NoteTaken,
    Phase,
    PhaseEntered,
    PutBackDone,
)
from assistant.phrasing.speech_chunks import say_list
from assistant.session.agenda.advance import ending
from assistant.session.agenda.put_back import needed, put_back_items
from assistant.session.handlers.taking_back import misunderstood
from assistant.session.saying.questions import put_back_parts, question
from assistant.session.turn import Result, Turn, reask, record, stay

NO_FIRST = frozenset({"no", "nope", "not", "isn't", "only", "it's", "just", "less", "below", "under"})
"""First words of what is said where something is not as it must be."""
HAND_OVER, NOT_NOW = "hand_over", "not_now"
"""Why it is asked whether to leave the session as it stands, or to end it as not present today."""


def put_back(turn: Turn) -> Result:
    """Yes or next at the put-back list: a part of it, or one item, is done."""
    item, part = turn.state.dialog.item, turn.state.dialog.part
    items = put_back_items(turn.context, turn.state)
    if item is not None and turn.state.dialog.left:
        left = turn.state.dialog.left[1:]
        return _next_left(turn, left) if left else _all_back(turn, items)
    if item is not None and item + 1 < len(items):
        return reask(turn.with_dialog(item=item + 1, misses=0, reminded=False))
    if item is None and part + 1 < len(put_back_parts(items)):
        following = turn.with_dialog(part=part + 1, misses=0, reminded=False)
        return stay(following, *question(following.context, following.state))
    return _all_back(turn, items)


def _next_left(turn: Turn, left: tuple[int, ...], *says: Say) -> Result:
    """The next item of those that were told to be all that is left."""
    return reask(turn.with_dialog(item=left[0], left=left, misses=0, reminded=False), *says)


def _all_back(turn: Turn, items: tuple[str, ...], *found: NotAsNeeded, told: tuple[Say, ...] = ()) -> Result:
    """The list is at its end: what is back is logged, and what follows it comes."""
    done: tuple[Decision, ...] = (*found, PutBackDone(items)) if items or found else ()
    says = (*told, *((Say("put_back_logged"),) if items and not found else ()))
    if turn.state.phase is Phase.PROVING:
        return record(turn, done, *says)
    return record(turn, (*done, ending(turn.context, turn.state)), *says)


def one_by_one(turn: Turn) -> Result:
    """No at a part of the list: item by item from there. No at an item: wait; at a look: it is logged as found."""
    items = put_back_items(turn.context, turn.state)
    item = turn.state.dialog.item
    if item is not None and item < len(items):
        needs = needed(turn.context, turn.state, items[item])
        if needs:
            return _not_so(turn, items, item, needs)
    if turn.state.dialog.item is None and items:
        before = put_back_parts(items)[: turn.state.dialog.part]
        return reask(turn.with_dialog(item=sum(len(part) for part in before), misses=0), Say("one_by_one"))
    return reask(turn, Say("take_time"))


def other_words(turn: Turn) -> Result:
    """Words at an item: one that begins with a no is one; a look is asked about, anything else was not understood."""
    if turn.left is not None:
        return _next_left(turn, turn.left, Say("all_but")) if turn.left else one_by_one(turn)
    items, item = put_back_items(turn.context, turn.state), turn.state.dialog.item
    if item is None or item >= len(items) or not needed(turn.context, turn.state, items[item]):
        return misunderstood(turn)
    words = turn.meant.heard.lower().replace(",", " ").split()
    if words and words[0] in NO_FIRST:
        return one_by_one(turn)
    return reask(turn, Say("so_or_not"))


def _not_so(turn: Turn, items: tuple[str, ...], item: int, needs: str) -> Result:
    heard = turn.meant.heard or "no"
    found = NotAsNeeded(items[item], needs, heard)
    told = Say("not_as_needed", {"item": items[item], "needs": needs})
    if item + 1 < len(items):
        dialog = replace(turn.state.dialog, misses=0, reminded=False)  # what stands after it moves up
        return record(turn, (found,), told, keep=True, dialog=dialog)
    return _all_back(turn, items[:item], found, told=(told,))


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
