"""The picture of what caution costs: questions asked against wrong values accepted, one line a condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

_WIDTH, _HEIGHT, _LEFT, _TOP, _RIGHT, _BOTTOM = 760, 440, 70, 50, 170, 60
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

    size = f'width="{_WIDTH}" height="{_HEIGHT}"'
    title = "What caution costs: answers asked about, and wrong values accepted"
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="sans-serif" font-size="12">',
        f'<rect {size} fill="white"/><text x="{_LEFT}" y="26" font-size="15">{title}</text>',
    ]
    for asked in range(0, 101, 20):
        x, y = place(asked, 0)
        out.append(f'<line x1="{x:.0f}" y1="{_TOP}" x2="{x:.0f}" y2="{y:.0f}" stroke="#e4e4e4"/>')
        out.append(f'<text x="{x:.0f}" y="{y + 18:.0f}" text-anchor="middle">{asked} %</text>')
    step = 1 if most <= 8 else 2
    for wrong in range(0, int(most) + 1, step):
        x, y = place(0, wrong)
        out.append(f'<line x1="{x:.0f}" y1="{y:.0f}" x2="{x + wide:.0f}" y2="{y:.0f}" stroke="#e4e4e4"/>')
        out.append(f'<text x="{x - 8:.0f}" y="{y + 4:.0f}" text-anchor="end">{wrong} %</text>')
    x, y = place(0, goal)
    out.append(
        f'<line x1="{x:.0f}" y1="{y:.0f}" x2="{x + wide:.0f}" y2="{y:.0f}" stroke="black" stroke-dasharray="5 4"/>'
    )
    out.append(f'<text x="{x + wide + 6:.0f}" y="{y + 4:.0f}">goal {goal:g} %</text>')
    for number, condition in enumerate(dict.fromkeys(point.condition for point in points)):
        ink = _INK[number % len(_INK)]
        line = sorted((p for p in points if p.condition == condition), key=lambda p: p.scale)
        path = " ".join("{:.1f},{:.1f}".format(*place(point.asked, point.wrong)) for point in line)
        out.append(f'<polyline points="{path}" fill="none" stroke="{ink}" stroke-width="1.5"/>')
        for point in line:
            x, y = place(point.asked, point.wrong)
            fill = ink if point.scale == 1.0 else "white"
            out.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{fill}" stroke="{ink}"/>')
        y = _TOP + 18 * number + 10
        out.append(f'<text x="{_WIDTH - _RIGHT + 26}" y="{y + 20}" fill="{ink}">{escape(condition)}</text>')
    out.append(f'<text x="{_LEFT + wide / 2:.0f}" y="{_HEIGHT - 14}" text-anchor="middle">answers asked about</text>')
    out.append(f'<text x="18" y="{_TOP + high / 2:.0f}" transform="rotate(-90 18 {_TOP + high / 2:.0f})" '
               'text-anchor="middle">wrong and accepted</text></svg>')  # fmt: skip
    return "\n".join(out) + "\n"
