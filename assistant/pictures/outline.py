"""A whole procedure as bands of boxes, to be printed: the questions, the checks by what must be opened for them, what
each outcome points to, the fixes and the proof.

Bands in the order of work: what is settled first, the checks by what must be opened for them (the least first), the
fixes with the faults they cure, the proof. The order inside a band is the planner's to choose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.phrasing.wording import limits
from assistant.procedure.model import Check, Fix, LimitSet, Procedure, Question, When


@dataclass(frozen=True, slots=True)
class Box:
    """One thing in a band."""

    title: str
    lines: tuple[str, ...]
    check: Check | None = None
    """The check that it tells of, None for another thing."""


@dataclass(frozen=True, slots=True)
class Band:
    """Boxes that belong together."""

    title: str
    boxes: tuple[Box, ...]


def outline_of(procedure: Procedure) -> list[Band]:
    """Its bands, those without a box left out."""
    return [band for band in _bands(procedure) if band.boxes]


def _bands(procedure: Procedure) -> Sequence[Band]:
    survey = procedure.kind == "survey"
    facts = tuple(Box(fact.name, (fact.ask, *_options(fact), *_only(fact.when))) for fact in procedure.facts)
    first = tuple(Box(one.name, (one.say,)) for one in procedure.cautions if one.first)
    later = tuple(Box(one.name, (one.say,)) for one in procedure.cautions if not one.first)
    ends = tuple(
        Box(
            f"{number}. {step.name}", (step.say, *((f"cured when: {', '.join(step.passes)}",) if step.passes else ()))
        )
        for number, step in enumerate(procedure.proof.steps, 1)
    )
    unproven = (f"What it does not show: {procedure.proof.limits}",) if procedure.proof.limits else ()
    return (
        Band("Cautions before any work", first),
        Band("Asked about the unit", facts),
        Band("Cautions before the work that names them", later),
        *_check_bands(procedure),
        Band("Fixes, and the faults each one cures", _fixes(procedure)),
        Band(
            "Proof of cure, after every fix", () if survey else (*ends, *(Box("Limits", (one,)) for one in unproven))
        ),
        Band(
            "In the end",
            (Box("Table", ("Every position with its reading, limits and remarks.",)),) if survey else (),
        ),
    )


def _options(fact: Question) -> tuple[str, ...]:
    if not fact.choices:
        return ()
    answers = f"answers: {', '.join(option.name for option in fact.choices)}"
    return (answers, f"does not fit: {', '.join(fact.declines)}") if fact.declines else (answers,)


def _check_bands(procedure: Procedure) -> list[Band]:
    """Checks by what must be open for them, the least minutes first."""
    minutes = {access.name: float(access.minutes) for access in procedure.access}
    groups: dict[tuple[str, ...], list[Check]] = {}
    for check in procedure.checks:
        groups.setdefault(_openings(procedure, check.needs), []).append(check)
    order = sorted(groups, key=lambda names: sum(minutes[name] for name in names))
    bands = []
    for names in order:
        opened = " + ".join(f"{name} ({minutes[name]:g} min)" for name in names)
        title = f"Checks behind: {opened}" if names else "Checks with nothing to open"
        warned = [caution for access in procedure.access if access.name in names for caution in access.cautions]
        if warned:
            title += f"; cautions: {', '.join(dict.fromkeys(warned))}"
        bands.append(Band(title, tuple(_check(check) for check in groups[names])))
    return bands


def _openings(procedure: Procedure, needs: Sequence[str]) -> tuple[str, ...]:
    """These openings and all that they need, prerequisites first."""
    access = {one.name: one for one in procedure.access}
    found: dict[str, None] = {}

    def add(name: str) -> None:
        for other in access[name].needs:
            add(other)
        found[name] = None

    for name in needs:
        add(name)
    return tuple(found)


def _check(check: Check) -> Box:
    lines = [f"{float(check.minutes):g} min" + (f", at each {check.each}" if check.each else "")]
    if check.title.lower() != check.name.lower():
        lines[0] = f"{check.title}; {lines[0]}"
    lines += _only(check.when)
    if check.after:
        lines.append(f"after: {', '.join(check.after)}")
    if check.cautions:
        lines.append(f"caution: {', '.join(check.cautions)}")
    if check.conditions:
        lines.append(f"with: {'; '.join(f'{name} {value}' for name, value in check.conditions.items())}")
    if check.kind == "reading":
        lines += _limits(check)
    elif not check.finds:
        lines.append(f"answers: {', '.join(option.name for option in check.choices)}")
    points: dict[str, list[str]] = {}
    for fault, entry in check.finds.items():
        shares = {entry: 1.0} if isinstance(entry, str) else entry
        for outcome, share in shares.items():
            if outcome != check.otherwise:
                points.setdefault(outcome, []).append(fault if share > 0.5 else f"{fault} ({share:.0%})")
    for outcome, faults in points.items():
        mark = ", condemns" if outcome in check.condemns else ""
        lines.append(f"{outcome.replace('_', ' ')}{mark} → {', '.join(faults)}")
    return Box(check.name, tuple(lines), check)


def _limits(check: Check) -> list[str]:
    """The plain limits, then each other one once with everything under which it holds."""
    lines = [f"limits: {_between(check.limits, check.unit)}"] if check.limits is not None else []
    under: dict[str, dict[str, None]] = {}
    for row in check.limits_when:
        facts = " ".join(" or ".join(_values(one)) for name, one in row.when.items() if name != "place")
        places = ", ".join(_values(row.when.get("place", ())))
        under.setdefault(_between(row.limits, check.unit), {})[facts or places or "else"] = None
    lines += [f"{between}: {'; '.join(holds)}" for between, holds in under.items()]
    return lines


def _only(when: When) -> list[str]:
    """Under what it comes up, as one line; none where it always does."""
    if not when:
        return []
    return ["only when: " + "; ".join(f"{name} is {' or '.join(_values(one))}" for name, one in when.items())]


def _values(wanted: str | tuple[str, ...]) -> tuple[str, ...]:
    return (wanted,) if isinstance(wanted, str) else tuple(wanted)


def _between(row: LimitSet, unit: str | None) -> str:
    return limits(row.low, row.high, unit) or ("over range is good" if row.over_range == "good" else "as declared")


def _part(fix: Fix) -> str:
    """What it puts in, and when that depends on how it is done."""
    parts = [f"{way.part} if {way.name}" for way in fix.ways if way.part] or ([fix.part] if fix.part else [])
    return f"part: {', '.join(parts)}" if parts else "no part"


def _fixes(procedure: Procedure) -> tuple[Box, ...]:
    boxes = []
    for fix in procedure.fixes:
        cured = [fault for fault in procedure.faults if fault.fix == fix.name]
        what = _part(fix)
        lines = [f"{float(fix.minutes):g} min, {what}" + (", may be tried at once" if fix.trial else "")]
        opened = _openings(procedure, fix.needs)
        if opened:
            lines.append(f"behind: {', '.join(opened)}")
        if fix.after:
            lines.append(f"after: {', '.join(fix.after)}")
        if fix.cautions:
            lines.append(f"caution: {', '.join(fix.cautions)}")
        lines += [f"cures {fault.name}" + (f", at each {fault.each}" if fault.each else "") for fault in cured]
        boxes.append(Box(fix.name, tuple(lines)))
    return tuple(boxes)
