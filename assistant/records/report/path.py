"""The path through the suspects: what share each had after every observation and every repair."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.errors import DefectError
from assistant.messages.decisions import FixDone, ObservationWithdrawn, Observed, Phase, PhaseEntered
from assistant.phrasing.wording import at_place, read
from assistant.records.journal.reader import Session
from assistant.session.agenda.next_action import suspicion, view_of
from assistant.session.context import Context
from assistant.session.fold import State, apply, begin


@dataclass(frozen=True, slots=True)
class Point:
    """The suspects at one moment."""

    at: float
    """Seconds since the session began."""
    label: str
    """Short label for the picture's axis: the reading's number, ``fix`` or ``start``."""
    what: str
    """What led here, as a line."""
    repair: bool
    """True when work was done here."""
    shares: dict[str, float]
    """Title of each suspect to its share."""


def path_of(session: Session, context: Context | None) -> tuple[Point, ...]:
    """The suspects after each observation; empty where the procedure is lost or no longer fits the record."""
    if context is None:
        return ()
    points: list[Point] = []
    state, begun = begin(context), False
    try:
        for line, entry in session.entries():
            for decision in entry.decisions:
                state = apply(context, state, decision)
                if isinstance(decision, PhaseEntered) and decision.phase is Phase.FINDING and not begun:
                    begun = True
                    points.append(_point(line.mono, "start", "What the facts about the unit leave", context, state))
                elif isinstance(decision, Observed):
                    title = at_place(decision.title, decision.place)
                    what = f"{title}: {read(decision, context.vocabulary)}"
                    points.append(_point(line.mono, str(decision.number), what, context, state))
                elif isinstance(decision, ObservationWithdrawn):
                    what = f"reading {decision.number} deleted"
                    points.append(_point(line.mono, f"-{decision.number}", what, context, state))
                elif isinstance(decision, FixDone):
                    what = at_place(decision.title, decision.place)
                    points.append(_point(line.mono, "fix", what, context, state, repair=True))
    except (DefectError, StopIteration, KeyError):
        return ()
    return tuple(points)


def _point(at: float, label: str, what: str, context: Context, state: State, *, repair: bool = False) -> Point:
    seen = view_of(context, state)
    weighed = suspicion(context, state)
    return Point(at, label, what, repair, {seen.title(suspect): share for suspect, share in weighed.items()})


WORTH_A_ROW = 0.1
LEAST = 3
"""Share that a suspect must have reached to be drawn, and how many are drawn all the same."""


def likeliest(points: tuple[Point, ...], most: int = 7) -> list[str]:
    """Suspects that led at some point, by their largest share."""
    largest: dict[str, float] = {}
    for point in points:
        for title, share in point.shares.items():
            largest[title] = max(largest.get(title, 0.0), share)
    order = sorted(largest, key=lambda title: -largest[title])[:most]
    return [title for number, title in enumerate(order) if number < LEAST or largest[title] >= WORTH_A_ROW]
