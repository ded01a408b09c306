"""Surveys: every check at every place, in order or as the person names them, and readings that stand out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from statistics import median

from assistant.diagnosis.fault_model import Task
from assistant.messages import NO_PROMPT, Choice, Grade, Prompt, PromptKind, Reason, Say, Why, check_prompt
from assistant.messages.decisions import CheckChosen, Decision, Observed, Phase, Remarked, Skipped
from assistant.messages.reasons import ReasonSlot
from assistant.phrasing.speech_chunks import chunks_of, say_list, words_around
from assistant.phrasing.wording import at_place
from assistant.procedure.model import Check
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.outcomes import is_fine
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.session.holding import is_withheld, to_put_right
from assistant.session.openings import left_to_open
from assistant.session.results.signs import checks_of

SCALED = Decimal("1.4826")
"""Brings the median absolute deviation to a standard deviation where errors are normal."""
FAR = 3
"""Scaled deviations from the median beyond which a reading stands out; common practice, no source."""
FEWEST = 4
"""Good readings of one check that are needed before one of them can stand out."""
UNKNOWN_METER = Decimal("0.1")
"""Share of the median that counts as the meter's uncertainty where no meter is named; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Outlier:
    """A good reading that stands out from the others of its check."""

    seen: Observed
    """The reading."""
    middle: Decimal
    """Median of the good readings, in the check's unit."""


def tasks_of(context: Context, state: State) -> tuple[Task, ...]:
    """Every check at every place, in order; consecutive checks of one group are done place by place."""
    seen = view_of(context, state)
    checks = [check for check in context.procedure.checks if check.name in seen.checks]
    found: list[Task] = []
    for each, run in groupby(checks, key=lambda check: check.each if check.kind != "place" else None):
        names = [check.name for check in run]
        places: tuple[str | None, ...] = (None,) if each is None else seen.places.get(each, ())
        found += [Task(name, place) for place in places for name in names]
    return tuple(found)


def done_at(state: State) -> dict[Task, Observed]:
    """The standing observation of each check and place, the last one where there are several."""
    return {Task(seen.check, seen.place): seen for seen in state.observations}


def _passed_by(context: Context, state: State, task: Task) -> int:
    """How often a task, or an opening that it needs, was skipped."""
    needed = left_to_open(context, state.facts, (), chosen(context, task, Why.IN_ORDER))
    shut = {Prompt(PromptKind.ACCESS, one.access, one.place) for one in needed}
    own = check_prompt(task.check, task.place)
    return sum(isinstance(one, Skipped) and (one.prompt == own or one.prompt in shut) for one in state.work)


def next_task(context: Context, state: State) -> CheckChosen | None:
    """The next position not yet read, from the last one on; after all of them, once, what was skipped."""
    tasks = tasks_of(context, state)
    done = done_at(state)
    first = put_right_first(context, state)
    if first is not None:
        return first
    start = _last(state, tasks) + 1

    def _sums_up_unread(task: Task) -> bool:
        sums = context.check(task.check).sums_up if task.place is None else ()
        return any(one.check in sums and one not in done and not _passed_by(context, state, one) for one in tasks)

    for times, order, why in ((0, (*tasks[start:], *tasks[:start]), Why.IN_ORDER), (1, tasks, Why.SKIPPED_BEFORE)):
        for task in order:
            if task not in done and _passed_by(context, state, task) == times and not _sums_up_unread(task):
                return chosen(context, task, why)
    return None


def put_right_first(context: Context, state: State) -> CheckChosen | None:
    """What others hold under and is out of its limits while one of them is not read; None where all is well."""
    done = done_at(state)
    unread = frozenset(task.check for task in tasks_of(context, state) if task not in done)
    return to_put_right(context, state, unread)


def contradicted(context: Context, state: State, check: Check, answer: str) -> tuple[int, int] | None:
    """How many places are bad by the readings that a check sums up, of how many, where its answer is another."""
    between = check.tally.get(answer)
    summed = [task for task in tasks_of(context, state) if task.check in check.sums_up]
    places = {task.place for task in summed}
    if between is None or not places:
        return None
    done = done_at(state)
    bad = {task.place for task in summed if task in done and _is_bad(context, done[task])}
    share = len(bad) / len(places)
    all_told = all(task in done and not is_withheld(done[task]) for task in summed)
    if share > between[1] or (all_told and share < between[0]):
        return len(bad), len(places)
    return None


def _is_bad(context: Context, seen: Observed) -> bool:
    return not _close(seen) and not is_fine(context, seen)


def _last(state: State, tasks: tuple[Task, ...]) -> int:
    """Index of the task that was answered or skipped last, -1 at the beginning."""
    number = {check_prompt(task.check, task.place): index for index, task in enumerate(tasks)}
    for entry in reversed(state.work):
        prompt = NO_PROMPT
        if isinstance(entry, Observed):
            prompt = check_prompt(entry.check, entry.place)
        elif isinstance(entry, Skipped):
            prompt = entry.prompt
        if prompt in number:
            return number[prompt]
    return -1


def chosen(context: Context, task: Task, why: Why) -> CheckChosen:
    """The decision to read a task next."""
    return CheckChosen(task.check, task.place, context.check(task.check).minutes, Reason(why))


def next_at(context: Context, state: State, place: str) -> CheckChosen | None:
    """What to read at a place that the person named: the first check not yet read there, else the first again."""
    there = [task for task in tasks_of(context, state) if task.place == place]
    if not there:
        return None
    done = done_at(state)
    task = next((one for one in there if one not in done), None)
    if task is None:
        return chosen(context, there[0], Why.ASKED_FOR_AGAIN)
    return chosen(context, task, Why.ASKED_FOR)


def jumps(context: Context, state: State) -> tuple[Choice, ...]:
    """Places of a survey, with every way to say them; none outside a survey."""
    if state.phase is not Phase.SURVEYING:
        return ()
    names = {task.place for task in tasks_of(context, state)}
    standing = {name for group in view_of(context, state).places.values() for name in group}
    return tuple(place for place in context.places_named() if place.name in names & standing)


def left_out(context: Context, state: State) -> tuple[str, ...]:
    """Checks with places that are not read, the next one first."""
    done, tasks = done_at(state), tasks_of(context, state)
    start = _last(state, tasks) + 1
    return tuple(
        at_place(context.check(task.check).title, task.place)
        for task in (*tasks[start:], *tasks[:start])
        if task not in done
    )


def not_read(context: Context, state: State) -> tuple[Say, ...]:
    """What was not read, for the summary and the end: all that fits one breath, else how many and the first."""
    missing = left_out(context, state)
    chunks = say_list("survey_left", "and_then", missing)
    if len(chunks) < 2:
        return chunks
    first = chunks_of(missing, words_around("survey_left_first"))[0]
    return (Say("survey_left_first", {"items": first, "count": len(missing)}),)


def outliers(state: State) -> tuple[Outlier, ...]:
    """Good readings of a survey that stand out from the others of their check."""
    return standing_out(done_at(state).values())


def standing_out(observed: Iterable[Observed]) -> tuple[Outlier, ...]:
    """Good readings that stand out from the others of their check.

    One stands out when it lies further from the median than three scaled median absolute deviations, and further than
    the meter's uncertainty; fewer than four good readings compare nothing. Common practice, no source.
    """
    found: list[Outlier] = []
    by_check: dict[str, list[Observed]] = {}
    for seen in observed:
        if seen.value is not None and seen.verdict is not None and seen.verdict.grade is Grade.GOOD:
            by_check.setdefault(seen.check, []).append(seen)
    for group in by_check.values():
        values = [_judged(seen) for seen in group]
        if len(values) < FEWEST:
            continue
        middle = median(values)
        spread = FAR * SCALED * median([abs(value - middle) for value in values])
        for seen, value in zip(group, values, strict=True):
            uncertain = seen.verdict.uncertainty if seen.verdict is not None else Decimal(0)
            if abs(value - middle) > max(spread, uncertain or abs(middle) * UNKNOWN_METER):
                found.append(Outlier(seen, middle))
    return tuple(found)


def _judged(seen: Observed) -> Decimal:
    """The value that was judged, after corrections."""
    corrected = seen.verdict.corrected if seen.verdict is not None else None
    return corrected if corrected is not None else seen.value or Decimal(0)


def remarks(state: State) -> tuple[Decision, ...]:
    """Remarks for the record on what stands out."""
    return tuple(Remarked(Reason(Why.STANDS_OUT, _standing_out(one))) for one in outliers(state))


def _standing_out(one: Outlier) -> dict[str, ReasonSlot]:
    value = _judged(one.seen)
    return {
        "check": at_place(one.seen.title, one.seen.place),
        "value": f"{value:f}",
        "unit": one.seen.unit or "",
        "middle": f"{rounded_like(one.middle, value):f}",
    }


def summary(context: Context, state: State) -> tuple[Say, ...]:
    """The result of a survey: how many were read, what is bad or too close, what stands out, what was left out."""
    done = checks_of(context.procedure).counted(done_at(state).values())
    close = [seen for seen in done if _close(seen)]
    bad = [seen for seen in done if _is_bad(context, seen)]
    withheld = [seen for seen in close if is_withheld(seen)]
    close = [seen for seen in close if seen not in withheld]
    says = [Say("survey_counts", {"count": len(done), "good": len(done) - len(close) - len(withheld) - len(bad)})]
    for key, group in (("survey_bad", bad), ("survey_close", close), ("survey_withheld", withheld)):
        says += say_list(key, "and_then", [at_place(seen.title, seen.place) for seen in group])
    for one in outliers(state):
        value = _judged(one.seen)
        text = at_place(one.seen.title, one.seen.place)
        middle = rounded_like(one.middle, value)
        says.append(Say("stands_out", {"text": text, "value": value, "middle": middle, "unit": one.seen.unit}))
    return (*says, *not_read(context, state))


def rounded_like(middle: Decimal, like: Decimal) -> Decimal:
    """A median with as many decimal places as a reading that it is compared with."""
    exponent = like.as_tuple().exponent
    return middle.quantize(Decimal(1).scaleb(min(0, exponent if isinstance(exponent, int) else 0)))


def _close(seen: Observed) -> bool:
    return seen.verdict is not None and seen.verdict.grade is Grade.TOO_CLOSE
