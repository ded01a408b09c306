"""Drawing in SVG (SVG 1.1, W3C 2011): a few shapes with text, built as elements, so that every text is escaped.

Shapes have classes, and colors come from a style sheet: a picture follows the screen into the dark and comes light
from the printer. A picture that stands alone carries the sheet; one on a page whose policy forbids inline styles
leaves it out and the page links it.
"""

from __future__ import annotations

import math
import textwrap
import zlib
from typing import Any
from xml.etree import ElementTree as ET

Points = list[tuple[float, float]]

STYLE = """
svg text { font-family: "Liberation Sans", "DejaVu Sans", Arial, sans-serif; font-size: 11px; fill: #1d2733; }
svg text.s { font-size: 9px; fill: #5b6775; } svg text.b { font-weight: 700; }
svg text.good { fill: #17694d; } svg text.bad { fill: #a8261c; } svg text.close { fill: #8a5a00; }
.paper { fill: #fff; }
.window { fill: #dcebe3; }
.limit { stroke: #17694d; stroke-width: 1.4; stroke-dasharray: 4 2; }
.axis { stroke: #7b8590; stroke-width: 1; }
.rule { stroke: #c9cfd6; stroke-width: .8; }
.mark { stroke-width: 1.6; }
.mark.good { fill: #17694d; stroke: #17694d; }
.mark.bad { fill: #a8261c; stroke: #a8261c; }
.mark.close { fill: #8a5a00; stroke: #8a5a00; }
.mark.plain { fill: #5b6775; stroke: #5b6775; }
.step { fill: none; stroke: #b59a63; stroke-width: 1.4; stroke-dasharray: 2 2; }
.trend { fill: none; stroke: #b59a63; stroke-width: 1.6; }
.share { fill: #31506e; }
.work { fill: #f0e6cf; }
@media screen and (prefers-color-scheme: dark) {
svg text { fill: #eef3f4; } svg text.s { fill: #b6c4c9; }
svg text.good { fill: #86e0a5; } svg text.bad { fill: #ffb0a6; } svg text.close { fill: #ffd07a; }
.paper { fill: #10222a; }
.window { fill: #17402f; }
.limit { stroke: #86e0a5; }
.axis { stroke: #93a4ab; }
.rule { stroke: #4a6067; }
.mark.good { fill: #86e0a5; stroke: #86e0a5; }
.mark.bad { fill: #ffb0a6; stroke: #ffb0a6; }
.mark.close { fill: #ffd07a; stroke: #ffd07a; }
.mark.plain { fill: #b6c4c9; stroke: #b6c4c9; }
.step, .trend { stroke: #c9a566; }
.share { fill: #8fb6d9; }
.work { fill: #4a3c1d; }
}
"""
"""The classes that pictures share, light, and dark on a screen that asks for it."""


def number(value: float) -> str:
    """A coordinate with at most one digit behind the point."""
    return f"{value:.1f}".removesuffix(".0")


class Drawing:
    """Shapes in the order in which they are drawn. ``kind`` is their class; further attributes go by name.

    Args:
        width: of the picture, in pixels.
        height: the same; may be set later, once it is known.
        title: what a screen reader says of it.
        told: the same at length, for a picture that stands alone.
        style: further classes of this picture.
        fixed: True to give the picture its size, False to have it as wide as its place.
        kind: class of the whole picture, for a style sheet that is meant for it alone.
    """

    def __init__(
        self,
        width: float,
        height: float,
        title: str,
        *,
        told: str = "",
        style: str = "",
        fixed: bool = False,
        kind: str = "",
    ) -> None:
        self.width, self.height = width, height
        self.top = 0.0
        """Height at which the picture begins: what lies above is left out."""
        self.title, self.told = title, told
        self._style, self._fixed, self._kind = style, fixed, kind
        self._shapes: list[ET.Element] = []

    def rect(self, x: float, y: float, width: float, height: float, kind: str, **more: str) -> ET.Element:
        """A filled box."""
        return self._add(
            "rect", kind, x=number(x), y=number(y), width=number(max(width, 0)), height=number(height), **more
        )

    def line(self, x1: float, y1: float, x2: float, y2: float, kind: str, **more: str) -> ET.Element:
        """A straight line."""
        return self._add("line", kind, x1=number(x1), y1=number(y1), x2=number(x2), y2=number(y2), **more)

    def polygon(self, points: Points, kind: str, **more: str) -> ET.Element:
        """A closed shape."""
        return self._add("polygon", kind, points=_pairs(points), **more)

    def polyline(self, points: Points, kind: str, **more: str) -> ET.Element:
        """An open line through points."""
        return self._add("polyline", kind, points=_pairs(points), **more)

    def circle(self, x: float, y: float, radius: float, kind: str, **more: str) -> ET.Element:
        """A dot."""
        return self._add("circle", kind, cx=number(x), cy=number(y), r=number(radius), **more)

    def text(self, x: float, y: float, words: str, kind: str = "", anchor: str = "start", **more: str) -> ET.Element:
        """Words at a place; ``anchor`` is start, middle or end."""
        placed = {"x": number(x), "y": number(y)} | ({} if anchor == "start" else {"text-anchor": anchor})
        made = self._add("text", kind, **placed, **more)
        made.text = words
        return made

    def svg(self, *, styled: bool = True) -> str:
        """The whole picture; not ``styled`` where the page links :data:`STYLE`."""
        width, height = number(self.width), number(self.height - self.top)
        size = {"width": width, "height": height} if self._fixed else {"width": "100%"}
        root = ET.Element(
            "svg",
            {"xmlns": "http://www.w3.org/2000/svg", "viewBox": self.box, **size},
        )
        if self._kind:
            root.set("class", self._kind)
        root.set("role", "img")
        if self.told:
            # several pictures may stand in one page: each needs names of its own
            name = f"p{zlib.crc32(f'{self.title} {self.told}'.encode()):08x}"
            root.set("aria-labelledby", f"{name}-title {name}-told")
            ET.SubElement(root, "title", id=f"{name}-title").text = self.title
            ET.SubElement(root, "desc", id=f"{name}-told").text = self.told
        else:
            root.set("aria-label", self.title)
        if styled:
            # a picture with a class of its own has its whole look there
            ET.SubElement(root, "style").text = self._style if self._kind else STYLE + self._style
        root.extend(self._shapes)
        return ET.tostring(root, encoding="unicode")

    @property
    def box(self) -> str:
        """What an SVG element shows of it: its ``viewBox``."""
        return f"0 {number(self.top)} {number(self.width)} {number(self.height - self.top)}"

    def shapes(self) -> list[list[Any]]:
        """The shapes as plain data, for a page that makes its own elements: tag, attributes, text."""
        return [[one.tag, dict(one.attrib), one.text or ""] for one in self._shapes]

    def _add(self, tag: str, kind: str, **attributes: str) -> ET.Element:
        named = {name.replace("_", "-"): value for name, value in attributes.items()}
        self._shapes.append(ET.Element(tag, {"class": kind, **named} if kind else named))
        return self._shapes[-1]


def titled(shape: ET.Element, words: str) -> None:
    """Give a shape words of its own, shown where a pointer rests on it."""
    ET.SubElement(shape, "title").text = words


def _pairs(points: Points) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def round_ticks(low: float, high: float, about: int = 6) -> list[float]:
    """Round numbers between two ends, about so many."""
    span = high - low
    if span <= 0 or not math.isfinite(span):
        return [low]
    rough = span / about
    power = 10 ** math.floor(math.log10(rough))
    step = next((power * times for times in (1, 2, 5) if power * times >= rough), power * 10)
    first = math.ceil(low / step)
    return [tick * step for tick in range(first, math.floor(high / step + 1e-9) + 1)]


def tick_text(value: float) -> str:
    """A tick's number without a tail of zeros."""
    return f"{value:,.6f}".rstrip("0").rstrip(".") if value % 1 else f"{value:,.0f}"


def clip(words: str, most: int) -> str:
    """Words cut to so many letters."""
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def wrapped(words: str, most: int) -> list[str]:
    """Words in lines of at most so many letters each; none for no words."""
    return textwrap.wrap(words, most)
