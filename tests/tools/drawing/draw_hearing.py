"""Developer's tool: draws the figures of hearing for the README.

Usage: python tests/tools/drawing/draw_hearing.py FIGURES.json [--out FILE]

``FIGURES.json`` is what ``LEADSMAN_BENCH_FIGURES=FIGURES.json make bench`` writes. One row of bars for each level of
noise: how many answers are right at first hearing, by the recognizer alone and with each second scorer; beside them
how many of the right ones a yes is asked for, and how many wrong ones were accepted.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from pathlib import Path

from assistant.svg import Drawing
from tests.bench.hearing.figures import Figures

WIDTH, LEFT, BAR, GAP = 960, 130, 15, 26
LONG = 330
"""Pixels of a hundred per cent of the answers that are right above ``LEAST``."""
LEAST = 60.0
"""Per cent at which the bars begin."""
ASKED_AT, SHORT = 560, 150
WRONG_AT = 800
STYLE = """
svg text { font-size: 12px; } svg text.head { font-size: 16px; font-weight: 700; }
svg text.small { font-size: 11px; }
.first { fill: #9aa5af; } .second { fill: #b59a63; } .third { fill: #31506e; }
@media screen and (prefers-color-scheme: dark) {
.first { fill: #6d7b83; } .second { fill: #c9a566; } .third { fill: #8fb6d9; }
}
"""
KINDS = ("first", "second", "third")

Levels = Mapping[str, Mapping[str, Figures]]


def read(path: Path) -> Levels:
    """Figures by level and opinion."""
    rows = json.loads(path.read_text(encoding="utf-8"))["levels"]
    return {level: {name: Figures(**one) for name, one in row.items()} for level, row in rows.items()}


def draw(levels: Levels) -> str:
    """The figures as an SVG picture."""
    names = list(next(iter(levels.values())))
    told = "; ".join(
        f"{_level(level)}: " + ", ".join(f"{name} {one.right_percent:.1f} % right" for name, one in row.items())
        for level, row in levels.items()
    )
    count = sum(row[names[0]].count for row in levels.values())
    title = "How many answers are right at first hearing, by noise"
    drawing = Drawing(WIDTH, 0, title, told=told, style=STYLE, fixed=True)
    paper = drawing.rect(0, 0, WIDTH, 0, "paper")
    drawing.text(30, 34, title, "head")
    drawing.text(30, 54, f"{count} answers by voices and under noise that train and fit nothing", "small")
    x = float(30)
    for name, kind in zip(names, KINDS, strict=False):
        drawing.rect(x, 68, 12, 12, kind)
        drawing.text(x + 18, 79, name)
        x += 40 + 8.0 * len(name)
    y = 112
    for at, words in (
        (LEFT, "right at first hearing"),
        (ASKED_AT, "of these, a yes is asked"),
        (WRONG_AT, "wrong, accepted"),
    ):
        drawing.text(at, y, words, "b")
    y += 14
    top = y
    for level, row in levels.items():
        drawing.text(LEFT - 14, y + (BAR * len(names)) / 2 + 4, _level(level), "b", "end")
        for name, kind in zip(names, KINDS, strict=False):
            _bars(drawing, y, row[name], kind)
            y += BAR
        y += GAP
    for share in range(int(LEAST), 101, 10):
        x = LEFT + LONG * (share - LEAST) / (100 - LEAST)
        drawing.line(x, top - 4, x, y - GAP + 6, "rule")
        drawing.text(x, y - GAP + 20, f"{share} %", "s", "middle")
    drawing.height = y + 14
    paper.set("height", str(drawing.height))
    return drawing.svg() + "\n"


def _bars(drawing: Drawing, y: float, found: Figures, kind: str) -> None:
    """One opinion at one level."""
    wide = LONG * max(0.0, found.right_percent - LEAST) / (100 - LEAST)
    drawing.rect(LEFT, y + 1, wide, BAR - 3, kind)
    drawing.text(LEFT + wide + 6, y + BAR - 4, f"{found.right_percent:.1f} %", "small")
    asked = SHORT * found.asked_percent / 100
    drawing.rect(ASKED_AT, y + 1, asked, BAR - 3, kind)
    drawing.text(ASKED_AT + asked + 6, y + BAR - 4, f"{found.asked_percent:.0f} %", "small")
    drawing.text(WRONG_AT, y + BAR - 4, f"{found.wrong} ({found.wrong_percent:.2f} %)", "small")


def _level(level: str) -> str:
    return level if level == "quiet" else f"{level} dB"


def main() -> None:
    """Draw and save."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("figures", type=Path)
    parser.add_argument("--out", type=Path, default=Path("demo_sessions/hearing.svg"))
    given = parser.parse_args()
    given.out.write_text(draw(read(given.figures)), encoding="utf-8")


if __name__ == "__main__":
    main()
