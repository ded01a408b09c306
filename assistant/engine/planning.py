"""The planner as a session uses it: what is suspected, what comes next, what must be measured again."""

from __future__ import annotations

from dataclasses import replace

from assistant.engine.decisions import AccessOpened, FixDone, Observed
from assistant.engine.opening import access_named
from assistant.engine.outcomes import is_fine
from assistant.engine.plan import Choice, choose
from assistant.engine.plan import whats_left as likeliest
from assistant.engine.progress import Progress, progress_of
from assistant.engine.setting import Setting
from assistant.engine.state import State, identity
from assistant.engine.suspects import touched_tasks, weigh
from assistant.engine.view import Cure, Opening, Suspect, Task, View, view


def view_of(setting: Setting, state: State) -> View:
    """What of the procedure applies, with what is known so far."""
    return view(setting.procedure, state.facts)


def shares(setting: Setting, state: State) -> dict[Suspect, float]:
    """Share of each suspect, with what the unit's history says."""
    weights = weigh(view_of(setting, state), state.work)
    if not setting.weights:
        return weights
    times = {suspect: share * _factor(setting, suspect) for suspect, share in weights.items()}
    total = sum(times.values())
    return {suspect: share / total for suspect, share in times.items()} if total > 0 else weights


def _factor(setting: Setting, suspect: Suspect) -> float:
    anywhere = setting.weights.get((suspect.fault, None), 1.0)
    return setting.weights.get((suspect.fault, suspect.place), anywhere)


def whats_left(setting: Setting, state: State, limit: int = 4) -> list[tuple[str, float]]:
    """The likeliest suspects, by title with place, and their shares."""
    return likeliest(view_of(setting, state), shares(setting, state), limit)


def next_choice(setting: Setting, state: State) -> Choice:
    """The check or the fix with the least expected minutes to a proven cure, or why there is none."""
    seen = view_of(setting, state)
    return choose(seen, shares(setting, state), _progress(state, seen))


def _progress(state: State, seen: View) -> Progress:
    """Progress, without what stands behind an opening that the person passed by."""
    progress = progress_of(seen, state.work)
    shut = _refused(state)
    if not shut:
        return progress
    columns = [number for number, opening in enumerate(seen.openings) if opening in shut]
    tasks = {task for number, task in enumerate(seen.tasks) if seen.task_openings[number][columns].any()}
    cures = {cure for number, cure in enumerate(seen.cures) if seen.cure_openings[number][columns].any()}
    return replace(progress, skipped=progress.skipped | tasks, declined=progress.declined | cures)


def _refused(state: State) -> frozenset[Opening]:
    found = set()
    for skip in state.skipped:
        kind, _, rest = skip.prompt.partition(":")
        if kind == "access":
            name, _, place = rest.partition(":")
            found.add(Opening(name, place or None))
    return frozenset(found)


def to_prove(setting: Setting, state: State) -> tuple[FixDone, ...]:
    """Work done that waits for its proof; none once a reading after it showed that it did not help."""
    waiting: list[FixDone] = []
    for entry in state.since_proof():
        if isinstance(entry, FixDone):
            waiting.append(entry)
        elif isinstance(entry, Observed) and entry.proof and not is_fine(setting, entry):
            waiting = []
    return tuple(waiting)


def to_measure_again(setting: Setting, state: State) -> tuple[Task, ...]:
    """What a fix since the last proof touched and was not good before it, in the order of the file."""
    seen = view_of(setting, state)
    left: dict[Task, None] = {}
    last: dict[Task, Observed] = {}
    skipped = {skip.prompt for skip in state.skipped}
    for entry in state.work:
        if isinstance(entry, Observed):
            task = Task(entry.check, entry.place)
            last[task] = entry
            left.pop(task, None)
        elif isinstance(entry, FixDone):
            touched = touched_tasks(seen, Cure(entry.fix, entry.place))
            for task, observed in last.items():
                number = seen.task_index.get(task)
                if number is not None and touched[number] and not is_fine(setting, observed):
                    left[task] = None
    standing = [task for task in left if identity("check", task.check, task.place) not in skipped]
    return tuple(sorted(standing, key=lambda task: seen.task_index[task]))


def put_back_items(setting: Setting, state: State) -> tuple[str, ...]:
    """The put-back list: what was opened and done, then what holds for every session."""
    items: dict[str, None] = {}
    for entry in state.work:
        if isinstance(entry, AccessOpened):
            found: tuple[str, ...] = access_named(setting, entry.access).put_back
        elif isinstance(entry, FixDone):
            found = setting.fix(entry.fix).put_back
        else:
            continue
        items.update(dict.fromkeys(at(text, entry.place) for text in found))
    items.update(dict.fromkeys(setting.procedure.put_back))
    return tuple(items)


def at(text: str, place: str | None) -> str:
    """A sentence of the procedure with its place filled in."""
    return text.replace("{place}", place or "").replace("  ", " ").strip()
