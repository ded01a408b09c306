"""Text for a terminal: what would steer it, or turn its words around, is shown as a mark instead.

A record, a procedure file or an argument may hold anything, and so may a name in a folder. Escape sequences can write
over what stands on the screen, rename the window or type for the user; bidirectional overrides show a text backwards.
"""

from __future__ import annotations

import re

_STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff]"
)
"""Controls but for tab and newline, line and paragraph separators, directional signs, what has no width, and halves
of characters, which also stand for bytes of a name that are no UTF-8."""
_PICTURES = 0x2400
"""Where Unicode's pictures of the first 32 controls begin."""
_DELETE, _DELETE_PICTURE = 0x7F, "\N{SYMBOL FOR DELETE}"


def visible(text: str, *, one_line: bool = False) -> str:
    """The text with marks for what would steer a terminal: U+241B for an escape, ``<202E>`` for an override.

    Args:
        text: what is to be shown.
        one_line: mark newlines and tabs, too: for a text that must not be able to look like several lines.
    """
    marked = _STEERING.sub(_mark, text)
    return marked.replace("\n", "\N{SYMBOL FOR NEWLINE}").replace("\t", " ") if one_line else marked


def escaped(text: str) -> str:
    """JSON text with the same characters in JSON's own notation, so that its values stay what they are."""
    return _STEERING.sub(lambda match: f"\\u{ord(match[0]):04x}", text)


def _mark(match: re.Match[str]) -> str:
    code = ord(match[0])
    if code < 0x20:
        return chr(_PICTURES + code)
    return _DELETE_PICTURE if code == _DELETE else f"<{code:04X}>"
