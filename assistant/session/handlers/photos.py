"""Photos that come from a screen beside the talk: kept, erased, and what they are of."""

from __future__ import annotations

from assistant.errors import DefectError
from assistant.messages import PhotoGone, PhotoTaken, Say
from assistant.messages.decisions import PhotoErased, PhotoKept
from assistant.session.saying.questions import listening
from assistant.session.turn import Result, Turn, record, stay


def taken(turn: Turn) -> Result:
    """One belongs to the record; one that came twice is kept once."""
    if not isinstance(turn.fact, PhotoTaken):
        raise DefectError(f"No photo came with the fact '{turn.fact.kind}'.")
    photo = turn.fact.photo
    if photo.name in turn.state.ledger.photos:
        return stay(turn)
    return record(turn, (PhotoKept(photo),), Say("photo_kept"), keep=True, ask=False)


def gone(turn: Turn) -> Result:
    """A picture was erased: the record says so."""
    if not isinstance(turn.fact, PhotoGone):
        raise DefectError(f"No photo was erased by the fact '{turn.fact.kind}'.")
    name = turn.fact.name
    if name not in turn.state.ledger.photos or name in turn.state.ledger.erased:
        return stay(turn)
    return record(turn, (PhotoErased(name),), Say("photo_erased"), keep=True, ask=False)


def not_now(turn: Turn) -> Result:
    """While an entry waits to be written nothing else is: the screen keeps its photo."""
    return turn.state, listening(turn.context, turn.state)
