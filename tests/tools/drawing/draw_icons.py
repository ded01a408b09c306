"""Draws the mark as the files that a phone's home screen asks for. Run: ``python -m tests.tools.drawing.draw_icons``.

One table of shapes makes the SVG and, at every size, the PNG. A mask may cut a home screen's icon to a circle of 80 %
of its width (W3C, Web Application Manifest, 'maskable'): the lead and its line stand inside that circle, the ground
goes to the edge.
"""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageDraw

ASSETS = Path(__file__).parents[3] / "assistant" / "web" / "assets" / "shared"
SIDE = 64
"""Units of the drawing."""
SIZES = {"icon-180.png": 180, "icon-192.png": 192, "icon-512.png": 512}
_FINER = 4
GROUND, LINE, MARK = "#0b3a44", "#f4efe3", "#e8b23a"
Points = tuple[tuple[float, float], ...]
SHAPES: tuple[tuple[str, Points], ...] = (
    *((LINE, ((29.5, y), (34.5, y), (34.5, y + h), (29.5, y + h))) for y, h in ((8, 5), (15, 6), (23, 6), (31, 5))),
    (LINE, ((26.5, 36), (37.5, 36), (42, 54), (22, 54))),
    (MARK, ((34.5, 15), (45, 15), (45, 21), (34.5, 21))),
    (MARK, ((19, 23), (29.5, 23), (29.5, 29), (19, 29))),
)
"""A lead on its line, with a mark to either side: colors and corners."""


def svg() -> str:
    """The mark for a browser's tab and the head of each view."""
    paths = "".join(
        f'<path fill="{color}" d="M{" ".join(f"{x:g} {y:g}" for x, y in points)}z"/>' for color, points in SHAPES
    )
    box = f'<rect width="{SIDE}" height="{SIDE}" fill="{GROUND}"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIDE} {SIDE}">{box}{paths}</svg>\n'


def png(size: int) -> bytes:
    """The same at a size in pixels."""
    scale = size * _FINER / SIDE
    picture = Image.new("RGB", (size * _FINER, size * _FINER), GROUND)
    pen = ImageDraw.Draw(picture)
    for color, points in SHAPES:
        pen.polygon([(x * scale, y * scale) for x, y in points], fill=color)
    file = io.BytesIO()
    picture.resize((size, size), Image.Resampling.LANCZOS).save(file, "PNG", optimize=True)
    return file.getvalue()


def main() -> None:
    """Write them all."""
    (ASSETS / "mark.svg").write_text(svg(), encoding="utf-8")
    for name, size in SIZES.items():
        (ASSETS / name).write_bytes(png(size))


if __name__ == "__main__":
    main()
