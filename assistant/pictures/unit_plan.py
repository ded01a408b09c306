"""A plan of the unit, seen from above, its front at the top: the place that is meant is lit, suspects are shaded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.phrasing.pictures import FRONT, SIDES, SUSPECTED
from assistant.pictures.places import LEFT, Plan, Wheel
from assistant.pictures.style import STYLE
from assistant.svg import Drawing

WIDTH = 360.0
_MIDDLE = 180.0
_HALF = 58.0
"""From the middle line to the outer side of the body."""
_TIRE, _LONG = 15.0, 34.0
_PITCH = 50.0
"""From axle to axle."""
_HEAD = 34.0


@dataclass(frozen=True, slots=True)
class Marks:
    """What is marked on a plan."""

    lit: frozenset[str] = frozenset()
    """Places and stations where hands go now."""
    doubts: Mapping[str, float] | None = None
    """Place to the share of suspicion that sits there, 0 to 1."""
    signs: Mapping[str, str] | None = None
    """Place to a word beside it, such as numbers of readings."""


def draw_plan(plan: Plan, marks: Marks, title: str, told: str) -> Drawing:
    """The unit from above."""
    drawing = Drawing(WIDTH, 0, title, told=told, kind="hands", style=STYLE)
    drawing.text(_MIDDLE, 14, FRONT, "b", "middle")
    drawing.polygon([(_MIDDLE - 26, 14), (_MIDDLE - 34, 14), (_MIDDLE - 30, 6)], "lit")
    for name, x, anchor in ((SIDES[0], 6.0, "start"), (SIDES[1], WIDTH - 6, "end")):
        drawing.text(x, 14, name, "b", anchor)
    if plan.kind in ("doubles", "triples"):
        drawing.height = _train(drawing, 2 if plan.kind == "doubles" else 3, marks)
    else:
        drawing.height = _single(drawing, plan, marks)
    return drawing


def axle_y(plan: Plan, axle: str) -> float:
    """Height of an axle in the picture."""
    axles = plan.axles
    steered = axles[:1] == ("steer",) or (plan.kind in ("truck", "tractor") and bool(axles))
    start = _HEAD + (56 if plan.kind in ("truck", "tractor") else 110)
    y = start
    for number, name in enumerate(axles):
        if number:
            y += _PITCH + (40 if number == 1 and steered else 0)
        if name == axle:
            return y
    return y


def _height(plan: Plan, wheel: Wheel) -> float:
    """A wheel lies at its axle; valves without an axle of that name lie before and behind the last one."""
    if wheel.axle in plan.axles:
        return axle_y(plan, wheel.axle)
    return axle_y(plan, plan.axles[-1]) + (20 if wheel.axle == "back" else -20)


def wheel_x(wheel: Wheel) -> float:
    """Middle of a wheel in the picture."""
    inward = {"inner": _TIRE + 3}.get(wheel.ring, 0.0) + (36 if wheel.valve else 0)
    away = _HALF + 2 - inward
    return _MIDDLE - away if wheel.side == LEFT else _MIDDLE + away


def _single(drawing: Drawing, plan: Plan, marks: Marks) -> float:
    """A trailer, truck or tractor."""
    last = axle_y(plan, plan.axles[-1]) if plan.axles else _HEAD + 150
    bottom = last + 34
    if plan.kind == "trailer":
        drawing.rect(_MIDDLE - 30, _HEAD - 10, 60, 26, "body", rx="4")
        drawing.rect(_MIDDLE - _HALF + 14, _HEAD + 26, 2 * (_HALF - 14), bottom - _HEAD - 26, "body", rx="3")
    else:
        drawing.rect(_MIDDLE - 44, _HEAD - 8, 88, 90, "body", rx="10")
        drawing.line(_MIDDLE - 34, _HEAD + 18, _MIDDLE + 34, _HEAD + 18, "sign")
        drawing.rect(_MIDDLE - 20, _HEAD + 82, 40, bottom - _HEAD - 90, "body")
    for axle in plan.axles:
        y = axle_y(plan, axle)
        drawing.line(_MIDDLE - _HALF, y, _MIDDLE + _HALF, y, "axle")
    # what is lit lies on top
    for wheel in sorted(plan.wheels, key=lambda one: one.name in marks.lit):
        _wheel(drawing, wheel, _height(plan, wheel), marks)
    for number, name in enumerate(plan.valves):
        _spot(drawing, name, _MIDDLE, bottom - 24 - 26 * (len(plan.valves) - 1 - number), marks)
    for name, y in _stations(plan, bottom):
        if name in marks.lit:
            _spot(drawing, name, _MIDDLE, y, marks)
    return bottom + 12


def _stations(plan: Plan, bottom: float) -> tuple[tuple[str, float], ...]:
    """Stations of a unit from front to back."""
    if plan.kind == "tractor":
        return (("ABS module", _HEAD + 104), ("tractor socket", _HEAD + 66))
    rear = bottom - 62
    return (
        ("tractor socket", _HEAD + 4), ("nose", _HEAD + 32), ("junction box", rear), ("ABS module", rear - 54),
        ("far end", bottom - 8), ("lamp", bottom - 8),
    )  # fmt: skip


def _wheel(drawing: Drawing, wheel: Wheel, y: float, marks: Marks) -> None:
    x = wheel_x(wheel)
    width = 9.0 if wheel.valve else _TIRE * (1.5 if wheel.ring == "single" else 1.0)
    height = 12.0 if wheel.valve else _LONG
    doubt = (marks.doubts or {}).get(wheel.name, 0.0)
    lit = wheel.name in marks.lit
    kind = "lit" if lit else "doubt" if doubt >= 0.01 else "spot" if wheel.valve else "tire"
    drawing.rect(x - width / 2, y - height / 2, width, height, kind, rx="3")
    if lit:
        drawing.rect(x - width / 2 - 5, y - height / 2 - 5, width + 10, height + 10, "halo", rx="5")
    outward = -1 if wheel.side == LEFT else 1
    anchor = "end" if wheel.side == LEFT else "start"
    words = []
    if lit:
        words.append(wheel.name)
    if doubt >= 0.01:
        words.append(_suspected(doubt))
    if marks.signs and wheel.name in marks.signs:
        words.append(marks.signs[wheel.name])
    at = _MIDDLE + outward * (_HALF + 26)
    row = {"inner": 1, "valve": 1}.get("valve" if wheel.valve else wheel.ring, 0)
    for number, one in enumerate(words):
        drawing.text(at, y + 4 + 13 * (number + row - (len(words) - 1) / 2), one, "now" if lit else "b", anchor)


def _suspected(share: float) -> str:
    return SUSPECTED.format(percent=f"{100 * share:.0f}")


def _spot(drawing: Drawing, name: str, x: float, y: float, marks: Marks) -> None:
    """A place that is no wheel, with its name beside it."""
    doubt = (marks.doubts or {}).get(name, 0.0)
    lit = name in marks.lit
    kind = "lit" if lit else "doubt" if doubt >= 0.01 else "spot"
    drawing.rect(x - 8, y - 7, 16, 14, kind, rx="3")
    if lit:
        drawing.rect(x - 12, y - 11, 24, 22, "halo", rx="5")
    words = [name] if lit else []
    words += [marks.signs[name]] if marks.signs and name in marks.signs else []
    rows = [", ".join(words)] if words else []
    rows += [_suspected(doubt)] if doubt >= 0.01 else []
    if rows:
        drawing.line(x + 14, y, x + _HALF + 16, y, "sign", stroke_dasharray="2 2")
        for number, row in enumerate(rows):
            at = y + 4 + 13 * (number - (len(rows) - 1) / 2)
            drawing.text(x + _HALF + 20, at, row, "now" if lit else "b")


def _train(drawing: Drawing, count: int, marks: Marks) -> float:
    """Tractor, then trailers with a dolly between; sockets in order."""
    y = _HEAD - 6
    drawing.rect(_MIDDLE - 30, y, 60, 44, "body", rx="8")
    drawing.text(_MIDDLE, y + 20, "tractor", "cap", "middle")
    _spot(drawing, "tractor socket", _MIDDLE, y + 38, marks)
    y += 62
    for number in range(count):
        one = ("first", "second", "third")[number]
        drawing.line(_MIDDLE, y - 18, _MIDDLE, y, "wire")
        drawing.rect(_MIDDLE - 36, y, 72, 84, "body", rx="3")
        drawing.text(_MIDDLE, y + 46, one, "cap", "middle")
        for end, at in (("nose", y + 10), ("module", y + 60), ("tail", y + 78)):
            if end == "module" and f"{one} {end}" not in marks.lit:
                continue
            _spot(drawing, f"{one} {end}", _MIDDLE, at, marks)
        y += 84 + 22
    return y - 8
