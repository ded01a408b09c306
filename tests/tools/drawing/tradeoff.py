"""The picture of what caution costs: questions asked against wrong values accepted, one line a condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.svg import Drawing

_WIDTH, _HEIGHT, _LEFT, _TOP, _RIGHT, _BOTTOM = 760, 440, 70, 50, 170, 60
STYLE = "svg text { font-size: 12px; } svg text.head { font-size: 15px; }"
_INK = ("#1b4965", "#c1440e", "#7a9e3b", "#6a4c93", "#b8860b", "#2a9d8f", "#8d5a4a", "#555555", "#d1495b")


@dataclass(frozen=True, slots=True)
class Point:
    """One degree of caution under one condition."""

    condition: str
    scale: float
    """Times the thresholds as written."""
    asked: float
    """Answers that were asked about, in per cent."""
    wrong: float
    """Wrong values accepted, in per cent."""


def draw(points: Sequence[Point], goal: float = 0.3) -> str:
    """The points as SVG; the goal is a line, caution 1 is a filled mark."""
    most = max([1.0, *(point.wrong for point in points)])
    wide, high = _WIDTH - _LEFT - _RIGHT, _HEIGHT - _TOP - _BOTTOM

    def place(asked: float, wrong: float) -> tuple[float, float]:
        return _LEFT + wide * asked / 100, _TOP + high * (1 - wrong / most)

    drawing = Drawing(
        _WIDTH, _HEIGHT, "What caution costs: answers asked about, and wrong values accepted", style=STYLE, fixed=True
    )
    drawing.rect(0, 0, _WIDTH, _HEIGHT, "paper")
    drawing.text(_LEFT, 26, "What caution costs: answers asked about, and wrong values accepted", "head")
    for asked in range(0, 101, 20):
        x, y = place(asked, 0)
        drawing.line(x, _TOP, x, y, "rule")
        drawing.text(x, y + 18, f"{asked} %", anchor="middle")
    step = 1 if most <= 8 else 2
    for wrong in range(0, int(most) + 1, step):
        x, y = place(0, wrong)
        drawing.line(x, y, x + wide, y, "rule")
        drawing.text(x - 8, y + 4, f"{wrong} %", anchor="end")
    x, y = place(0, goal)
    drawing.line(x, y, x + wide, y, "axis", stroke_dasharray="5 4")
    drawing.text(x + wide + 6, y + 4, f"goal {goal:g} %")
    for number, condition in enumerate(dict.fromkeys(point.condition for point in points)):
        ink = _INK[number % len(_INK)]
        line = sorted((p for p in points if p.condition == condition), key=lambda p: p.scale)
        marks = [place(point.asked, point.wrong) for point in line]
        drawing.polyline(marks, "", fill="none", stroke=ink, stroke_width="1.5")
        for point, (x, y) in zip(line, marks, strict=True):
            drawing.circle(x, y, 4, "", fill=ink if point.scale == 1.0 else "white", stroke=ink)
        y = _TOP + 18 * number + 10
        drawing.rect(_WIDTH - _RIGHT + 22, y + 11, 10, 10, "", fill=ink)
        drawing.text(_WIDTH - _RIGHT + 38, y + 20, condition)
    drawing.text(_LEFT + wide / 2, _HEIGHT - 14, "answers asked about", anchor="middle")
    turned = f"rotate(-90 18 {_TOP + high / 2:.0f})"
    drawing.text(18, _TOP + high / 2, "wrong and accepted", anchor="middle", transform=turned)
    return drawing.svg() + "\n"
