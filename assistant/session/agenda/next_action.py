"""The planner as a session uses it: what is suspected, what comes next, what must be measured again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from assistant.diagnosis.asking import NextQuestion, best_question
from assistant.diagnosis.conditions import assumed_facts, may_hold
from assistant.diagnosis.evidence import touched_tasks
from assistant.diagnosis.fault_model import Cure, FaultModel, Opening, Suspect, Task, fault_model
from assistant.diagnosis.planner import Choice, choose
from assistant.diagnosis.planner import whats_left as likeliest
from assistant.diagnosis.posterior import missed, posterior
from assistant.diagnosis.progress import Progress, progress_of
from assistant.messages import PromptKind, check_prompt
from assistant.messages.decisions import FixDone, Observed
from assistant.session.agenda.choice_memory import Situation, recalled, recalled_question
from assistant.session.agenda.facts_to_ask import open_questions
from assistant.session.agenda.not_there import places_not_there
from assistant.session.agenda.outcomes import is_fine
from assistant.session.agenda.presence import must_be_seen, not_at_rest, unseen
from assistant.session.context import Context
from assistant.session.fold import State


def view_of(context: Context, state: State) -> FaultModel:
    """What of the procedure applies, with what is known so far."""
    return fault_model(context.procedure, state.facts, places_not_there(context, state))


def shares(context: Context, state: State) -> dict[Suspect, float]:
    """Share of each suspect, with what the unit's history says."""
    return posterior(view_of(context, state), state.work, _factors(context, state))


def missed_by_proof(context: Context, state: State) -> float:
    """How likely the proof that has just passed missed something that is still there."""
    return missed(view_of(context, state), state.work, _factors(context, state))


def _factors(context: Context, state: State) -> Mapping[tuple[str, str | None], float]:
    return {(one.fault, one.place): one.times for one in state.history} or context.weights


def suspicion(context: Context, state: State) -> dict[Suspect, float]:
    """Share of each suspect while one is looked for: none while a repair waits for its proof, and after it passed."""
    cured = bool(state.proofs) and state.proofs[-1].passed
    return {} if cured or to_prove(context, state) else shares(context, state)


def whats_left(context: Context, state: State, limit: int = 4) -> list[tuple[str, float]]:
    """The likeliest suspects, by title with place, and their shares, while one is looked for."""
    return likeliest(view_of(context, state), suspicion(context, state), limit)


def next_choice(context: Context, state: State) -> Choice | NextQuestion:
    """What is asked of the person next, where the answer is worth it; else ``next_work``."""
    seen, progress, situation = _situation(context, state)
    asked = open_questions(context, state)
    question = recalled_question(situation, lambda: best_question(seen, shares(context, state), progress, asked))
    return question or recalled(situation, lambda: choose(seen, shares(context, state), progress))


def next_work(context: Context, state: State) -> Choice:
    """The check or the fix with the least expected minutes to a verified repair, or why there is none."""
    seen, progress, situation = _situation(context, state)
    return recalled(situation, lambda: choose(seen, shares(context, state), progress))


def _situation(context: Context, state: State) -> tuple[FaultModel, Progress, Situation]:
    seen = view_of(context, state)
    progress = _progress(context, state, seen)
    return seen, progress, Situation(seen, state.work, progress, _factors(context, state))


def _progress(context: Context, state: State, seen: FaultModel) -> Progress:
    """Progress, without what stands behind an opening that the person passed by."""
    opened = frozenset(Opening(*pair) for pair in state.opened)
    progress = replace(progress_of(seen, state.work), opened=opened)
    spoiled = frozenset(task for task in seen.tasks if _spoiled(seen, state, task))
    progress = replace(progress, skipped=progress.skipped | spoiled, deferred=progress.deferred - spoiled)
    hidden = must_be_seen(context.procedure) and unseen(context, state)
    progress = replace(progress, unseen=hidden, not_at_rest=not_at_rest(context, state))
    shut = _refused(state)
    if not shut:
        return progress
    columns = [number for number, opening in enumerate(seen.openings) if opening in shut]
    tasks = {task for number, task in enumerate(seen.tasks) if seen.task_openings[number][columns].any()}
    cures = {cure for number, cure in enumerate(seen.cures) if seen.cure_openings[number][columns].any()}
    return replace(
        progress,
        skipped=progress.skipped | tasks,
        deferred=progress.deferred - tasks,
        declined=progress.declined | cures,
    )


def _refused(state: State) -> frozenset[Opening]:
    prompts = (skip.prompt for skip in state.skipped)
    return frozenset(Opening(one.name, one.place) for one in prompts if one.kind is PromptKind.ACCESS)


def _spoiled(seen: FaultModel, state: State, task: Task) -> bool:
    """True while something stands open that would spoil the answer, as codes that are read with plugs off."""
    names = seen.checks[task.check].spoiled_by
    return any(
        access in names and (task.place is None or place is None or place == task.place)
        for access, place in state.opened
    )


def to_prove(context: Context, state: State) -> tuple[FixDone, ...]:
    """Work done that waits for its proof; none once a reading after it showed twice that it did not help."""
    waiting: list[FixDone] = []
    looks = _Looks()
    for entry in state.since_proof():
        if isinstance(entry, FixDone):
            waiting.append(entry)
            looks = _Looks()
        elif isinstance(entry, Observed) and entry.proof:
            task = Task(entry.check, entry.place)
            if looks.failed(task, fine=is_fine(context, entry)) >= _looks(context, task):
                waiting = []
    return tuple(waiting)


class _Looks:
    """How often each thing read bad since the last repair: two good looks after a bad one settle it, one does not."""

    def __init__(self) -> None:
        self._failed: Counter[Task] = Counter()
        self._passed: Counter[Task] = Counter()

    def failed(self, task: Task, *, fine: bool) -> int:
        """Bad looks that stand, with this one."""
        if not fine:
            self._failed[task] += 1
        elif self._failed[task]:
            self._passed[task] += 1
            if self._passed[task] > 1:
                self._failed[task] = self._passed[task] = 0
        return self._failed[task]


def _looks(context: Context, task: Task) -> int:
    """Looks that a repair may fail before it counts as none: one slip must not undo what was mended. What names a
    place, as codes do, is read once: another place is another fault."""
    return 1 if context.check(task.check).kind == "place" else 2


def to_measure_again(context: Context, state: State) -> tuple[Task, ...]:
    """What a fix since the last proof touched and was not good before it.

    Readings come first and what names a place (codes) last; among them the least handling, the place of the fix
    first. What the proof reads anyway is left to it while something is open.
    """
    seen = view_of(context, state)
    left: dict[Task, None] = {}
    last: dict[Task, Observed] = {}
    looks = _Looks()
    skipped = {skip.prompt for skip in state.skipped}
    where: str | None = None
    for entry in state.work:
        if isinstance(entry, Observed):
            task = Task(entry.check, entry.place)
            last[task] = entry
            left.pop(task, None)
            failed = looks.failed(task, fine=is_fine(context, entry)) if entry.proof else 0
            if 0 < failed < _looks(context, task):
                left[task] = None
        elif isinstance(entry, FixDone):
            where = entry.place
            looks = _Looks()
            touched = touched_tasks(seen, Cure(entry.fix, entry.place))
            changes = context.fix(entry.fix).also_changes
            for task, observed in last.items():
                number = seen.task_index.get(task)
                proves = task.check not in changes
                if number is not None and touched[number] and proves and not is_fine(context, observed):
                    left[task] = None
    standing = [
        task
        for task in left
        if check_prompt(task.check, task.place) not in skipped
        and not _left_to_proof(context, state, task)
        and not _spoiled(seen, state, task)
    ]
    return tuple(sorted(standing, key=lambda task: _handling(seen, state, task, where)))


def to_see_first(context: Context, state: State) -> Task | None:
    """What shows the complaint itself and was not asked yet: the one with the least handling; None for none."""
    seen = view_of(context, state)
    asked = {check_prompt(one.check, one.place) for one in state.observations} | {one.prompt for one in state.skipped}
    left = [
        task
        for task in seen.tasks
        if seen.checks[task.check].complaint
        and check_prompt(task.check, task.place) not in asked
        and not _spoiled(seen, state, task)
    ]
    return min(left, key=lambda task: _handling(seen, state, task, None), default=None)


def _left_to_proof(context: Context, state: State, task: Task) -> bool:
    """True when the proof reads the same and putting back comes before it anyway."""
    check = context.check(task.check)
    under = check.at_proof
    # codes that were not cleared name what was repaired as well: they are read again once they have been
    waits = bool(state.opened) or check.reads_codes
    return under is not None and waits and may_hold(under, assumed_facts(context.procedure, state.facts))


_KINDS = ("reading", "choice", "place")


def _handling(seen: FaultModel, state: State, task: Task, where: str | None) -> tuple[int, float, bool, float, int]:
    """How much handling a check takes: its kind, minutes to open, another place, its own minutes, file order."""
    number = seen.task_index[task]
    opening = sum(
        float(seen.opening_minutes[seen.opening_index[one]])
        for one in seen.unopened(seen.task_openings[number], [Opening(*pair) for pair in state.opened])
    )
    kind = _KINDS.index(seen.checks[task.check].kind)
    return kind, opening, task.place not in (None, where), float(seen.task_minutes[number]), number


def at(text: str, place: str | None) -> str:
    """A sentence of the procedure with its place filled in."""
    return text.replace("{place}", place or "").replace("  ", " ").strip()
