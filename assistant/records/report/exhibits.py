"""Where the hands were at what a repair rests on: pictures beside the evidence of a record, each once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.diagnosis.conditions import known_facts
from assistant.errors import DefectError
from assistant.messages.decisions import Observed
from assistant.pictures.sheet import Picture, pictures_of
from assistant.records.journal.reader import Session
from assistant.records.report.rows import Exhibit
from assistant.records.summary.summary import SessionSummary
from assistant.session.context import Context
from assistant.session.fold import State, apply, begin
from assistant.session.observing.standing import standing

MOST = 2
"""Pictures that a record shows: one row of its first page."""


def exhibits_of(session: Session, context: Context | None, one: SessionSummary) -> Mapping[int, Sequence[Exhibit]]:
    """Number of a reading to its pictures; none where the procedure is lost or no longer fits the record.

    A circuit stands at the first reading of its check and place that speaks for a repair, the unit from above at the
    first of its place.

    Args:
        session: the record.
        context: what it was worked with.
        one: what it came to.
    """
    wanted = dict.fromkeys(
        number
        for repair in (*one.repairs, *one.tests)
        for number in sorted({*repair.found_by, *(each for pair in repair.again for each in pair)})
    )
    if context is None or not wanted:
        return {}
    drawn: dict[int, list[tuple[tuple[str, ...], Picture]]] = {}
    state = begin(context)
    try:
        for _, entry in session.entries():
            for decision in entry.decisions:
                if isinstance(decision, Observed) and decision.number in wanted:
                    drawn[decision.number] = [
                        ((each.kind, decision.place or "", decision.check if each.kind == "circuit" else ""), each)
                        for each in _pictures(context, state, decision)
                    ]
                state = apply(context, state, decision)
    except (DefectError, StopIteration, KeyError):
        return {}
    found: dict[int, list[Exhibit]] = {}
    shown: set[tuple[str, ...]] = set()
    for kind in ("circuit", "plan"):
        for number in wanted:
            for key, picture in drawn.get(number, ()):
                if picture.kind == kind and key not in shown and len(shown) < MOST:
                    shown.add(key)
                    found.setdefault(number, []).append(Exhibit(picture.told, picture.drawing, kind=picture.kind))
    return found


def _pictures(context: Context, state: State, seen: Observed) -> Sequence[Picture]:
    return pictures_of(
        context.procedure,
        context.check(seen.check),
        seen.place,
        facts=known_facts(state.facts),
        before=standing(context, state),
        lines=False,
    )
