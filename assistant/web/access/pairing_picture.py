"""The pairing link as a QR code (ISO/IEC 18004, made by segno): as text for a terminal, as a path for the page."""

from __future__ import annotations

import segno

QUIET = 4
"""Light modules around a QR code (ISO/IEC 18004, 9.1)."""
FULL_BLOCK = "\N{FULL BLOCK}"
"""What a terminal must be able to show."""
_BLOCKS = {(False, False): " ", (True, False): "\N{UPPER HALF BLOCK}", (False, True): "\N{LOWER HALF BLOCK}",
           (True, True): FULL_BLOCK}  # fmt: skip


def pairing_link(base: str, secret: str) -> str:
    """The link that pairs; no browser sends anywhere what stands behind '#'.

    Args:
        base: address of the page without a slash at its end.
        secret: of the link (``pairing.Pairing.offered``).
    """
    return f"{base}/pair#{secret}"


def as_text(link: str) -> str:
    """Two modules a letter, light ones filled: what a camera reads off a dark terminal."""
    light = [[not module for module in row] for row in _modules(link)]
    if len(light) % 2:
        light.append([True] * len(light[0]))
    pairs = zip(light[::2], light[1::2], strict=True)
    return "\n".join("".join(_BLOCKS[both] for both in zip(*pair, strict=True)) for pair in pairs)


def as_path(link: str) -> tuple[int, str]:
    """Modules from edge to edge, and the dark ones as data of an SVG path, one unit a module."""
    rows = _modules(link)
    dark = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, module in enumerate(row) if module)
    return len(rows), dark


def _modules(link: str) -> list[list[bool]]:
    """Rows of modules with the quiet zone around them, True for a dark one."""
    return [[bool(module) for module in row] for row in segno.make_qr(link, error="m").matrix_iter(border=QUIET)]
