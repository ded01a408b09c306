"""Drawing in SVG: a few shapes, text that is escaped, and an axis with round numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from html import escape

STYLE = """
text { font-family: "Liberation Sans", "DejaVu Sans", Arial, sans-serif; font-size: 11px; fill: #1d2733; }
text.s { font-size: 9px; fill: #5b6775; } text.b { font-weight: 700; }
.window { fill: #dcebe3; }
.limit { stroke: #17694d; stroke-width: 1.4; stroke-dasharray: 4 2; }
.axis { stroke: #7b8590; stroke-width: 1; }
.rule { stroke: #c9cfd6; stroke-width: .8; }
.good { fill: #17694d; }
.bad { fill: #a8261c; }
.close { fill: #8a5a00; }
.plain { fill: #5b6775; }
.whisker { stroke-width: 1.6; fill: none; }
.whisker.good { stroke: #17694d; }
.whisker.bad { stroke: #a8261c; }
.whisker.close { stroke: #8a5a00; }
.whisker.plain { stroke: #5b6775; }
.step { fill: none; stroke: #b59a63; stroke-width: 1.4; stroke-dasharray: 2 2; }
.trend { fill: none; stroke: #b59a63; stroke-width: 1.6; }
.share { fill: #31506e; }
.work { fill: #f0e6cf; }
"""
"""Each picture carries its style: it also stands alone, and printers' engines style no picture from the page."""


def num(value: float) -> str:
    """A coordinate with at most one digit behind the point."""
    return f"{value:.1f}".removesuffix(".0")


@dataclass(slots=True)
class Drawing:
    """Shapes in the order in which they are drawn. Classes are styled by the page."""

    width: float
    """Units across; the page scales it to its column."""
    height: float
    title: str
    """Read by those who cannot see the picture."""
    parts: list[str] = field(default_factory=list)

    def rect(self, x: float, y: float, width: float, height: float, kind: str) -> None:
        """A filled box."""
        self.parts.append(
            f'<rect class="{kind}" x="{num(x)}" y="{num(y)}" width="{num(max(width, 0))}" height="{num(height)}"/>'
        )

    def line(self, x1: float, y1: float, x2: float, y2: float, kind: str) -> None:
        """A straight line."""
        ends = f'x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}"'
        self.parts.append(f'<line class="{kind}" {ends}/>')

    def shape(self, points: list[tuple[float, float]], kind: str) -> None:
        """A closed shape."""
        told = " ".join(f"{num(x)},{num(y)}" for x, y in points)
        self.parts.append(f'<polygon class="{kind}" points="{told}"/>')

    def path(self, points: list[tuple[float, float]], kind: str) -> None:
        """An open line through points."""
        told = " ".join(f"{num(x)},{num(y)}" for x, y in points)
        self.parts.append(f'<polyline class="{kind}" points="{told}"/>')

    def circle(self, x: float, y: float, radius: float, kind: str) -> None:
        """A dot."""
        self.parts.append(f'<circle class="{kind}" cx="{num(x)}" cy="{num(y)}" r="{num(radius)}"/>')

    def text(self, x: float, y: float, words: str, kind: str = "t", anchor: str = "start") -> None:
        """Words at a place; ``anchor`` is start, middle or end."""
        place = f'x="{num(x)}" y="{num(y)}" text-anchor="{anchor}"'
        self.parts.append(f'<text class="{kind}" {place}>{escape(words)}</text>')

    def svg(self) -> str:
        """The whole picture."""
        box = f'viewBox="0 0 {num(self.width)} {num(self.height)}" width="100%" role="img"'
        name = escape(self.title, quote=True)
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {box} aria-label="{name}"><style>{STYLE}</style>'
        return head + "".join(self.parts) + "</svg>"


def round_ticks(low: float, high: float, about: int = 6) -> list[float]:
    """Round numbers between two ends, about so many."""
    span = high - low
    if span <= 0 or not math.isfinite(span):
        return [low]
    rough = span / about
    power = 10 ** math.floor(math.log10(rough))
    step = next((power * times for times in (1, 2, 5) if power * times >= rough), power * 10)
    first = math.ceil(low / step)
    return [number * step for number in range(first, math.floor(high / step + 1e-9) + 1)]


def tick_text(value: float) -> str:
    """A tick's number without a tail of zeros."""
    return f"{value:,.6f}".rstrip("0").rstrip(".") if value % 1 else f"{value:,.0f}"


def clip(words: str, most: int) -> str:
    """Words cut to so many signs."""
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"
