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
from html import escape
from pathlib import Path

from assistant.commands.lead.demo import run_scene
from assistant.display.terminal import PERSON, Screen
from assistant.scenes import load_scene

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


def draw(turns: list[tuple[float, str, str]], title: str) -> str:
    """The turns as an SVG picture."""
    y = 78
    body: list[str] = []
    for at, speaker, text in turns:
        ours = speaker != PERSON
        lines = textwrap.wrap(text, 62 if ours else 28)
        x, anchor = (LINE - 34, "end") if ours else (LINE + 34, "start")
        ink = "#16324a" if ours else "#7a3b00"
        for number, line in enumerate(lines):
            body.append(
                f'<text x="{x}" y="{y + number * LEADING}" text-anchor="{anchor}" fill="{ink}"'
                f"{'' if ours else ' font-style=' + chr(34) + 'italic' + chr(34)}>{escape(line)}</text>"
            )
        if ours:
            body.append(f'<line x1="{LINE - 22}" y1="{y - 6}" x2="{LINE}" y2="{y - 6}" stroke="#16324a"/>')
        else:
            clock = f"{int(at) // 60}:{int(at) % 60:02d}"
            body.append(f'<path d="M{LINE} {y - 14} l8 8 l-8 8 l-8 -8 z" fill="#7a3b00"/>')
            body.append(
                f'<text x="{LINE - 14}" y="{y - 1}" text-anchor="end" class="clock" fill="#5c6b76">{clock}</text>'
            )
        y += len(lines) * LEADING + GAP
    height = y + 14
    size = f'width="{WIDTH}" height="{height}" viewBox="0 0 {WIDTH} {height}"'
    return f"""<svg xmlns="http://www.w3.org/2000/svg" {size}
 font-family="Georgia, 'DejaVu Serif', serif" font-size="16" role="img" aria-label="{escape(title)}">
<style>.clock {{ font-size: 12px; font-style: normal }}</style>
<rect width="{WIDTH}" height="{height}" fill="#f7f4ec"/>
<text x="30" y="38" font-size="18" fill="#16324a">{escape(title)}</text>
<line x1="{LINE}" y1="54" x2="{LINE}" y2="{height - 14}" stroke="#16324a" stroke-width="2"/>
{chr(10).join(body)}
</svg>
"""


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
