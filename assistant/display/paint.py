"""Color and shape on a terminal: a verdict or a caution is told by its words, a shape beside them, and a color.

``NO_COLOR`` (no-color.org) takes the color and leaves the shape; where nobody looks at a terminal there is neither.
"""

from __future__ import annotations

import os
from typing import TextIO

from assistant.phrasing.verdicts import SHAPES

CAUTION = "caution"
SIGNS = {**SHAPES, CAUTION: "!"}
"""Mark to the shape before its words."""
_PLAIN = {"good": "+", "bad": "x", "close": "?", CAUTION: "!"}
"""The same where the terminal's encoding lacks them."""
_COLORS = {"good": "32", "bad": "1;31", "close": "33", CAUTION: "1;33"}
"""Mark to its code (ECMA-48, select graphic rendition); bold beside red and yellow for those who see no hue."""


class Paint:
    """How marks look on one output.

    Args:
        out: where they go.
    """

    def __init__(self, out: TextIO) -> None:
        terminal = out.isatty() and os.environ.get("TERM", "") != "dumb"
        self._shapes = _PLAIN if not terminal or not _has_shapes(out) else SIGNS
        self._terminal = terminal
        self._colored = terminal and "NO_COLOR" not in os.environ

    def head(self, mark: str) -> str:
        """The shape and a space; '' without a mark, and where nobody looks."""
        return f"{self._shapes[mark]} " if self._terminal and mark in self._shapes else ""

    def color(self, mark: str, text: str) -> str:
        """The text in the mark's color."""
        return f"\x1b[{_COLORS[mark]}m{text}\x1b[0m" if self._colored and mark in _COLORS else text


def _has_shapes(out: TextIO) -> bool:
    try:
        "".join(SIGNS.values()).encode(getattr(out, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
