"""What was done so far, as far as it matters for what comes next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.diagnosis.constants import OFFERS
from assistant.diagnosis.evidence import Evidence, fixes_done, standing
from assistant.diagnosis.fault_model import Cure, FaultModel, Opening, Task
from assistant.messages import PromptKind
from assistant.messages.decisions import (
    AccessOpened,
    Decision,
    FixDeclined,
    FixDone,
    Observed,
    ProofFinished,
    Skipped,
)


@dataclass(frozen=True)
class Progress:
    """What was done so far. Made by ``progress`` or ``progress_of``."""

    evidence: tuple[Evidence, ...] = ()
    """Observations that stand; a task whose evidence a fix made stale may be asked again."""
    skipped: frozenset[Task] = frozenset()
    """Checks that are not asked (again)."""
    deferred: frozenset[Task] = frozenset()
    """Checks passed by once and never answered: not now, so they are offered once more where that is worth it."""
    resting: frozenset[Task] = frozenset()
    """Those of them since which nothing else was answered or done: offered again only before giving up."""
    declined: frozenset[Cure] = frozenset()
    """Fixes that the person will not do now."""
    opened: frozenset[Opening] = frozenset()
    """What is open now. A proof rolls the unit, so what was open before it has been put back."""
    tried: tuple[Cure, ...] = ()
    """Fixes done, in order, with repeats."""
    unseen: bool = False
    """True while nothing shows that the fault is there today: then nothing is mended."""
    not_at_rest: bool = False
    """True where it comes every time, but only under something that a standing unit lacks."""


def progress(
    fault_model: FaultModel,
    events: Sequence[Decision],
    *,
    declined: Iterable[tuple[str, str | None]] = (),
    opened: Iterable[tuple[str, str | None]] = (),
) -> Progress:
    """Progress from observations and work done, in order.

    Args:
        fault_model: what applies on the unit.
        events: decisions in order; ``Observed``, ``ObservationWithdrawn``, ``Skipped`` and ``FixDone`` count.
        declined: (fix, place) of the fixes that the person will not do now.
        opened: (access, place) of what is open now: opened since the last proof.
    """
    skipped, deferred, resting = _passed_by(fault_model, events)
    return Progress(
        evidence=standing(fault_model, events),
        skipped=skipped,
        deferred=deferred,
        resting=resting,
        declined=frozenset(Cure(fix, place) for fix, place in declined),
        opened=frozenset(Opening(access, place) for access, place in opened),
        tried=fixes_done(events),
    )


def progress_of(fault_model: FaultModel, events: Sequence[Decision]) -> Progress:
    """Progress from all decisions so far, in order."""
    opened: list[tuple[str, str | None]] = []
    for event in events:
        if isinstance(event, AccessOpened):
            opened.append((event.access, event.place))
        elif isinstance(event, ProofFinished):
            opened.clear()
    return progress(
        fault_model,
        events,
        declined=[(event.fix, event.place) for event in events if isinstance(event, FixDeclined)],
        opened=opened,
    )


def _passed_by(
    fault_model: FaultModel, events: Sequence[Decision]
) -> tuple[frozenset[Task], frozenset[Task], frozenset[Task]]:
    """Checks that are not asked again, that are offered once more, and those of them that were passed by just now."""
    times: Counter[Task] = Counter()
    answered: set[Task] = set()
    refused: set[Task] = set()
    resting: set[Task] = set()
    for event in events:
        if isinstance(event, Observed):
            task = Task(event.check, event.place)
            answered.add(task)
            refused.discard(task)
        if isinstance(event, Observed | FixDone):
            resting.clear()
        elif isinstance(event, Skipped) and event.prompt.kind is PromptKind.CHECK:
            task = Task(event.prompt.name, event.prompt.place)
            times[task] += 1
            resting.add(task)
            if task in answered or times[task] >= OFFERS:
                refused.add(task)
    known = fault_model.task_index
    deferred = {task for task in times if task in known and task not in answered and times[task] < OFFERS}
    return frozenset(task for task in refused if task in known), frozenset(deferred), frozenset(resting & deferred)
