"""Developer's tool: draws the talk of a demo scene as a picture for the README.

Usage: python tests/tools/draw_conversation.py SCENE [--from N] [--turns N] [--out FILE]

A sounding line runs down the middle: our sentences stand on its left, the technician's on its right, and each answer
is a mark on the line.
"""

from __future__ import annotations

import argparse
import tempfile
import textwrap
from contextlib import ExitStack
from pathlib import Path

from assistant.commands.lead.demo import run_scene
from assistant.display.terminal import PERSON, Screen
from assistant.scenes import load_scene
from assistant.svg import Drawing

WIDTH = 960
LINE = 610
LEADING = 23
GAP = 14


class Collector(Screen):
    """Keeps the turns instead of showing them."""

    def __init__(self) -> None:
        super().__init__()
        self.turns: list[tuple[float, str, str]] = []

    def line(self, at: float, speaker: str, text: str) -> None:
        self.turns.append((at, speaker, text))

    def notice(self, text: str) -> None:
        """Leave out what is not talk."""


def turns_of(scene: str) -> list[tuple[float, str, str]]:
    """Both sides of a scene's talk, from its typed answers."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        screen = Collector()
        run_scene(stack, load_scene(scene), folder, screen, None)
        return screen.turns


STYLE = """
svg text { font-family: Georgia, "DejaVu Serif", serif; font-size: 16px; fill: #16324a; }
svg text.head { font-size: 18px; } svg text.them { fill: #7a3b00; font-style: italic; }
svg text.clock { font-size: 12px; fill: #5c6b76; }
.paper { fill: #f7f4ec; } .cord { stroke: #16324a; stroke-width: 2; } .answer { fill: #7a3b00; }
@media screen and (prefers-color-scheme: dark) {
svg text { fill: #d3e4ef; } svg text.them { fill: #f0bd8c; } svg text.clock { fill: #b6c4c9; }
.paper { fill: #0c1c23; } .cord { stroke: #d3e4ef; } .answer { fill: #f0bd8c; }
}
"""


def draw(turns: list[tuple[float, str, str]], title: str) -> str:
    """The turns as an SVG picture."""
    drawing = Drawing(WIDTH, 0, title, style=STYLE, fixed=True)
    paper = drawing.rect(0, 0, WIDTH, 0, "paper")
    drawing.text(30, 38, title, "head")
    cord = drawing.line(LINE, 54, LINE, 54, "cord")
    y = 78
    for at, speaker, text in turns:
        ours = speaker != PERSON
        lines = textwrap.wrap(text, 62 if ours else 28)
        for number, line in enumerate(lines):
            x, kind, anchor = (LINE - 34, "", "end") if ours else (LINE + 34, "them", "start")
            drawing.text(x, y + number * LEADING, line, kind, anchor)
        if ours:
            drawing.line(LINE - 22, y - 6, LINE, y - 6, "cord", stroke_width="1")
        else:
            drawing.polygon([(LINE, y - 14), (LINE + 8, y - 6), (LINE, y + 2), (LINE - 8, y - 6)], "answer")
            drawing.text(LINE - 14, y - 1, f"{int(at) // 60}:{int(at) % 60:02d}", "clock", "end")
        y += len(lines) * LEADING + GAP
    drawing.height = y + 14
    paper.set("height", str(drawing.height))
    cord.set("y2", str(y))
    return drawing.svg() + "\n"


def main() -> None:
    """Draw and save."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("scene")
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--turns", type=int, default=16)
    parser.add_argument("--out", type=Path, default=Path("demo_sessions/conversation.svg"))
    arguments = parser.parse_args()
    turns = turns_of(arguments.scene)[arguments.first : arguments.first + arguments.turns]
    title = f"{load_scene(arguments.scene).scene.title} (invented)"
    arguments.out.write_text(draw(turns, title), encoding="utf-8")


if __name__ == "__main__":
    main()
