"""What must be opened before an action, in order, and the cautions that come first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.diagnosis.fault_model import Cure, Opening, Task, fault_model
from assistant.messages.decisions import CheckChosen, FixChosen
from assistant.session.context import Context

Opened = Iterable[tuple[str, str | None]]


def left_to_open(
    context: Context, facts: Mapping[str, str], opened: Opened, action: CheckChosen | FixChosen
) -> tuple[Opening, ...]:
    """Openings that an action still needs; one that another depends on comes before it."""
    seen = fault_model(context.procedure, facts)
    if isinstance(action, CheckChosen):
        number = seen.task_index.get(Task(action.check, action.place))
        needed = None if number is None else seen.task_openings[number]
    else:
        number = seen.cure_index.get(Cure(action.fix, action.place))
        needed = None if number is None else seen.cure_openings[number]
    return () if needed is None else seen.unopened(needed, [Opening(*pair) for pair in opened])


def opening_minutes(context: Context, facts: Mapping[str, str], opening: Opening) -> float:
    """Minutes of one opening, 0.0 when nothing needs it any longer."""
    seen = fault_model(context.procedure, facts)
    number = seen.opening_index.get(opening)
    return 0.0 if number is None else float(seen.opening_minutes[number])


def cautions_behind(context: Context, openings: Iterable[Opening]) -> set[str]:
    """Names of the cautions that stand before these openings."""
    return {name for opening in openings for name in context.access(opening.access).cautions}
