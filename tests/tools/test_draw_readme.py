"""The pictures of the README are of today: drawn ones to the letter, photographed ones by what they say."""

from __future__ import annotations

import json
import os
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.tools import draw_readme
from tests.tools.drawing.draw_session import SCENE, film, frames_of, played

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "demo_sessions"
ANEW = "is of another day: run 'make pictures' and look at it"


def current(name: str, made: str) -> None:
    """Hold a drawn picture to its file, or write it where that is asked for."""
    path = FOLDER / name
    if os.environ.get("LEADSMAN_REFRESH"):
        path.write_text(made, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == made, f"{path.name} {ANEW}"


def test_the_moving_picture_is_of_today() -> None:
    made = film()
    root = ET.fromstring(made)  # noqa: S314 - made by ourselves
    groups = [one for one in root if (one.get("class") or "").startswith("frame")]
    assert len(groups) == len(frames_of(*played(SCENE)))
    assert (groups[-1].get("class") or "").endswith("last"), "who wants no motion sees the end"
    current("session.svg", made)


def test_it_tells_from_the_first_reading_to_the_verified_repair() -> None:
    frames = frames_of(*played(SCENE))
    assert [one.at for one in frames] == sorted(one.at for one in frames)
    marks = [one.mark for one in frames]
    assert "bad" in marks
    assert frames[-1].value == "Fixed and verified"
    bad = marks.index("bad")
    assert frames[bad].title == next(one.title for one in frames[bad + 1 :] if one.mark == "good"), "before and after"


def test_the_picture_of_the_hands_is_of_today() -> None:
    current("hands.svg", draw_readme.hands())


def test_the_photographed_pictures_say_what_the_program_says_today() -> None:
    kept = json.loads((FOLDER / "pictures.json").read_text(encoding="utf-8"))
    for name, words in draw_readme.says().items():
        assert kept[name] == words, f"{name}.webp {ANEW}"


@pytest.mark.parametrize(
    ("name", "most"), [("session.svg", 80), ("hands.svg", 40), ("phone.webp", 90), ("report.webp", 130)]
)
def test_the_readme_shows_them_and_they_are_small(name: str, most: int) -> None:
    assert f"demo_sessions/{name}" in (ROOT / "README.md").read_text(encoding="utf-8")
    assert (FOLDER / name).stat().st_size <= 1000 * most
