"""What was done so far, as far as it matters for what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.diagnosis.evidence import Evidence, fixes_done, standing
from assistant.diagnosis.fault_model import Cure, FaultModel, Opening, Task
from assistant.messages import Prompt, PromptKind
from assistant.messages.decisions import AccessOpened, Decision, FixDeclined, ProofFinished, Skipped


@dataclass(frozen=True)
class Progress:
    """What was done so far. Made by ``progress`` or ``progress_of``."""

    evidence: tuple[Evidence, ...] = ()
    """Observations that stand; a task whose evidence a fix made stale may be asked again."""
    skipped: frozenset[Task] = frozenset()
    """Checks passed by or declined."""
    declined: frozenset[Cure] = frozenset()
    """Fixes that the person will not do now."""
    opened: frozenset[Opening] = frozenset()
    """What is open now. A proof rolls the unit, so what was open before it has been put back."""
    tried: tuple[Cure, ...] = ()
    """Fixes done, in order, with repeats."""


def progress(
    fault_model: FaultModel,
    events: Sequence[Decision],
    *,
    skipped: Iterable[Prompt] = (),
    declined: Iterable[tuple[str, str | None]] = (),
    opened: Iterable[tuple[str, str | None]] = (),
) -> Progress:
    """Progress from observations and work done, in order.

    Args:
        fault_model: what applies on the unit.
        events: decisions in order; ``Observed``, ``ObservationWithdrawn`` and ``FixDone`` count.
        skipped: the prompts passed by; those of other prompts than checks are passed over.
        declined: (fix, place) of the fixes that the person will not do now.
        opened: (access, place) of what is open now: opened since the last proof.
    """
    passed = set(skipped)
    return Progress(
        evidence=standing(fault_model, events),
        skipped=frozenset(task for task in fault_model.tasks if prompt_of(task) in passed) if passed else frozenset(),
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
        skipped=[event.prompt for event in events if isinstance(event, Skipped)],
        declined=[(event.fix, event.place) for event in events if isinstance(event, FixDeclined)],
        opened=opened,
    )


def prompt_of(item: Task | Cure | Opening) -> Prompt:
    """The prompt of a task, a cure or an opening."""
    match item:
        case Task(check=name):
            kind = PromptKind.CHECK
        case Cure(fix=name):
            kind = PromptKind.FIX
        case Opening(access=name):
            kind = PromptKind.ACCESS
    return Prompt(kind, name, item.place)
