"""A drawing of a whole procedure: the questions, the checks by what must be opened for them, what each outcome points
to, the fixes and the proof.

Bands from top to bottom in the order of work: what is settled first, the checks by what must be opened for them (the
least first), the fixes with the faults they cure, the proof. The order inside a band is the planner's to choose.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.phrasing.wording import limits
from assistant.procedure.model import Check, LimitSet, Procedure, Question, When
from assistant.svg import Drawing

COLUMNS = 3
"""Boxes side by side: a band fits the width of a printed page."""
WIDTH, GAP, MARGIN = 330, 16, 28
"""Width of a box, room between boxes, and around the drawing, in pixels."""
LINE, PAD = 15, 9
"""Height of a line of text and the room inside a box, in pixels."""
LETTER = 6.9
"""Room that one letter takes at most on average at 11 pixels, so that no line leaves its box."""
INDENT = 10
"""Indent of a line that continues the one above, in pixels."""
STYLE = """
svg text.head { font-size: 19px; } svg text.band { font-size: 13px; font-weight: 700; }
.paper { fill: #fcfaf4; } .box { fill: #fff; stroke: #8a9a94; } .back { fill: #e8eee6; }
.flow { fill: none; stroke: #24312e; stroke-width: 2; }
@media screen and (prefers-color-scheme: dark) {
.paper { fill: #071216; } .box { fill: #071216; stroke: #7d979e; } .back { fill: #1a2f38; } .flow { stroke: #eef3f4; }
}
"""
"""Classes of this drawing beside those of all."""


@dataclass(frozen=True, slots=True)
class _Box:
    """One thing in a band."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Band:
    """Boxes that belong together."""

    title: str
    boxes: tuple[_Box, ...]


def draw_procedure(procedure: Procedure) -> str:
    """The procedure as one SVG document."""
    width = 2 * MARGIN + COLUMNS * WIDTH + (COLUMNS - 1) * GAP
    drawing = Drawing(
        width,
        0,
        f"{procedure.title}: the procedure as a drawing",
        told=f"{len(procedure.checks)} checks, {len(procedure.faults)} faults, {len(procedure.fixes)} fixes. "
        "Bands from top to bottom: what is settled first, checks by what must be opened, fixes with the faults they "
        "cure, the proof.",
        style=STYLE,
        fixed=True,
    )
    paper = drawing.rect(0, 0, width, 0, "paper")
    y = float(MARGIN + 22)
    drawing.text(MARGIN, y, procedure.title, "head")
    for line in _wrapped(procedure.summary, width - 2 * MARGIN):
        y += LINE + 2
        drawing.text(MARGIN, y, line)
    y += 18
    bands = [band for band in _bands(procedure) if band.boxes]
    for number, band in enumerate(bands):
        y = _band(drawing, band, y)
        if number < len(bands) - 1:
            middle = width / 2
            drawing.line(middle, y, middle, y + 14, "flow")
            drawing.polyline([(middle - 5, y + 9), (middle, y + 14), (middle + 5, y + 9)], "flow")
            y += 22
    drawing.height = y + MARGIN
    paper.set("height", f"{drawing.height:.0f}")
    return drawing.svg() + "\n"


def _band(drawing: Drawing, band: _Band, top: float) -> float:
    """Draw a band from ``top``; where it ends."""
    back = drawing.rect(MARGIN - 6, top, COLUMNS * WIDTH + (COLUMNS - 1) * GAP + 12, 0, "back", rx="3")
    titled = _wrapped(band.title, COLUMNS * WIDTH, 0.78)
    for number, line in enumerate(titled):
        drawing.text(MARGIN + PAD, top + 20 + 17 * number, line, "band")
    wrapped = [(_wrapped(box.title, WIDTH - 2 * PAD, 0.92), _body(box)) for box in band.boxes]
    y = top + 15 + 17 * len(titled)
    for start in range(0, len(wrapped), COLUMNS):
        row = wrapped[start : start + COLUMNS]
        height = max(len(title) + len(lines) for title, lines in row) * LINE + 2 * PAD
        for column, (title, lines) in enumerate(row):
            x = MARGIN + column * (WIDTH + GAP)
            drawing.rect(x, y, WIDTH, height, "box", rx="3")
            for number, line in enumerate([*title, *lines]):
                # SVG drops leading spaces, so a continued line is indented by its position
                left = x + PAD + (INDENT if line.startswith(" ") else 0)
                drawing.text(left, y + PAD + 10 + number * LINE, line.strip(), "b" if number < len(title) else "")
        y += height + 10
    back.set("height", f"{y - top:.0f}")
    return y + 6


def _body(box: _Box) -> list[str]:
    return [part for line in box.lines for part in _wrapped(line, WIDTH - 2 * PAD)]


def _wrapped(text: str, width: float, tight: float = 1.0) -> list[str]:
    return textwrap.wrap(text, int(width / LETTER * tight), subsequent_indent="  ") or [""]


def _bands(procedure: Procedure) -> Sequence[_Band]:
    survey = procedure.kind == "survey"
    facts = tuple(_Box(fact.name, (fact.ask, *_options(fact), *_only(fact.when))) for fact in procedure.facts)
    first = tuple(_Box(one.name, (one.say,)) for one in procedure.cautions if one.first)
    later = tuple(_Box(one.name, (one.say,)) for one in procedure.cautions if not one.first)
    ends = tuple(
        _Box(
            f"{number}. {step.name}", (step.say, *((f"cured when: {', '.join(step.passes)}",) if step.passes else ()))
        )
        for number, step in enumerate(procedure.proof.steps, 1)
    )
    unproven = (f"What it does not show: {procedure.proof.limits}",) if procedure.proof.limits else ()
    return (
        _Band("Cautions before any work", first),
        _Band("Asked about the unit", facts),
        _Band("Cautions before the work that names them", later),
        *_check_bands(procedure),
        _Band("Fixes, and the faults each one cures", _fixes(procedure)),
        _Band(
            "Proof of cure, after every fix", () if survey else (*ends, *(_Box("Limits", (one,)) for one in unproven))
        ),
        _Band(
            "In the end",
            (_Box("Table", ("Every position with its reading, limits and remarks.",)),) if survey else (),
        ),
    )


def _options(fact: Question) -> tuple[str, ...]:
    if not fact.choices:
        return ()
    answers = f"answers: {', '.join(option.name for option in fact.choices)}"
    return (answers, f"does not fit: {', '.join(fact.declines)}") if fact.declines else (answers,)


def _check_bands(procedure: Procedure) -> list[_Band]:
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
        bands.append(_Band(title, tuple(_check(check) for check in groups[names])))
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


def _check(check: Check) -> _Box:
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
    return _Box(check.name, tuple(lines))


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


def _fixes(procedure: Procedure) -> tuple[_Box, ...]:
    boxes = []
    for fix in procedure.fixes:
        cured = [fault for fault in procedure.faults if fault.fix == fix.name]
        what = f"part: {fix.part}" if fix.part else "no part"
        lines = [f"{float(fix.minutes):g} min, {what}" + (", may be tried at once" if fix.trial else "")]
        opened = _openings(procedure, fix.needs)
        if opened:
            lines.append(f"behind: {', '.join(opened)}")
        if fix.after:
            lines.append(f"after: {', '.join(fix.after)}")
        if fix.cautions:
            lines.append(f"caution: {', '.join(fix.cautions)}")
        lines += [f"cures {fault.name}" + (f", at each {fault.each}" if fault.each else "") for fault in cured]
        boxes.append(_Box(fix.name, tuple(lines)))
    return tuple(boxes)
