"""The picture of hearing shows every figure of the file, in bars as long as they say."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

from tests.bench.hearing.figures import Figures
from tests.tools.drawing.draw_hearing import LEAST, LONG, draw, read

SVG = "{http://www.w3.org/2000/svg}"


def test_every_level_and_opinion_is_drawn_to_scale(tmp_path: Path) -> None:
    alone, both = Figures(200, 160, 2, 20, 80), Figures(200, 190, 0, 5, 19)
    rows = {level: {"alone": alone.plain(), "both": both.plain()} for level in ("quiet", "5")}
    path = tmp_path / "figures.json"
    path.write_text(json.dumps({"levels": rows}), encoding="utf-8")
    root = ET.fromstring(draw(read(path)))  # noqa: S314 - our own text
    texts = [one.text for one in root.iter(f"{SVG}text")]
    assert {"quiet", "5 dB", "80.0 %", "95.0 %", "50 %", "10 %", "2 (1.00 %)", "0 (0.00 %)"} <= set(texts)
    widths = [float(one.get("width", "0")) for one in root.iter(f"{SVG}rect") if one.get("class") == "second"]
    assert widths.count(round(LONG * (95 - LEAST) / (100 - LEAST), 1)) == 2
    assert "both 95.0 % right" in "".join(one.text or "" for one in root.iter(f"{SVG}desc"))


def test_figures_count_what_was_asked_of_the_right_ones() -> None:
    together = Figures(200, 160, 2, 20, 80) + Figures(200, 190, 0, 5, 19)
    assert (together.count, together.right, together.wrong, together.asked) == (400, 350, 2, 99)
    assert together.asked_percent == 100 * 99 / 350
