"""The drawing of a procedure: well formed, everything named, nothing over anything else or outside the frame."""

from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.drawing import draw_procedure
from tests.diagnosis.problems import check, fault, fix, procedure
from tests.procedure.named import Named

SVG = "{http://www.w3.org/2000/svg}"
PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}


def drawn(of: Procedure) -> ET.Element:
    """The drawing, read as XML."""
    return ET.fromstring(draw_procedure(of))  # noqa: S314 - made by ourselves


def rects(root: ET.Element, kind: str) -> list[tuple[float, float, float, float]]:
    """Left, top, right and bottom of the boxes of a kind."""
    found = []
    for rect in root.iter(f"{SVG}rect"):
        if rect.get("class") == kind:
            x, y, width, height = (float(rect.get(name, "0")) for name in ("x", "y", "width", "height"))
            found.append((x, y, x + width, y + height))
    return found


def apart(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


@pytest.mark.parametrize("name", PACK)
def test_everything_is_named(name: str) -> None:
    root = drawn(PACK[name])
    words = " ".join(" ".join((text.text or "").split()) for text in root.iter(f"{SVG}text"))
    rows: list[Named] = [*PACK[name].checks, *PACK[name].faults, *PACK[name].fixes]
    named = [one.name for one in rows]
    assert [one for one in named if one not in words] == []
    assert PACK[name].title in words


@pytest.mark.parametrize("name", PACK)
def test_nothing_overlaps_or_leaves_the_frame(name: str) -> None:
    root = drawn(PACK[name])
    width, height = (float(number) for number in root.get("viewBox", "").split()[2:])
    boxes, bands = rects(root, "box"), rects(root, "back")
    assert len(boxes) >= len(PACK[name].checks) + len(PACK[name].fixes)
    for kind in (boxes, bands):
        assert all(apart(one, other) for one, other in combinations(kind, 2))
        assert all(min(x, y) >= 0 and right <= width and bottom <= height for x, y, right, bottom in kind)
    for box in boxes:
        assert any(b[0] <= box[0] and b[1] <= box[1] and box[2] <= b[2] and box[3] <= b[3] for b in bands)


@pytest.mark.parametrize("name", PACK)
def test_every_line_stays_in_its_box(name: str) -> None:
    root = drawn(PACK[name])
    boxes = rects(root, "box")
    inside = 0
    for text in root.iter(f"{SVG}text"):
        x, y, long = float(text.get("x", "0")), float(text.get("y", "0")), len(text.text or "")
        wide = 7.6 if text.get("class") == "b" else 6.9
        for left, top, right, bottom in boxes:
            if left <= x <= right and top <= y <= bottom:
                inside += 1
                assert x + wide * long <= right + 1, text.text
                assert y - 9 >= top
                assert y + 3 <= bottom
    assert inside > 2 * len(boxes)


def test_text_is_escaped_and_told_to_a_screen_reader() -> None:
    small = procedure(
        title="Light <on> & off",
        faults=[fault("a & b", 1), fault("<c>", 1)],
        fixes=[fix("a & b", 5), fix("<c>", 5, part="part")],
        checks=[check("look", 1, {"a & b": "bad"}), check("under", 2, {"<c>": "bad"}, needs=["lid"], after=["look"])],
        access=[{"name": "lid", "say": "Lift it.", "minutes": 4}],
    )
    text = draw_procedure(small)
    root = ET.fromstring(text)  # noqa: S314 - made by ourselves
    assert "<on>" not in text
    assert root.find(f"{SVG}title") is not None
    assert root.find(f"{SVG}desc") is not None
    lines = [line.text or "" for line in root.iter(f"{SVG}text")]
    assert "Checks behind: lid (4 min)" in lines
    assert "after: look" in lines
    assert "bad → <c>" in lines


def test_checks_stand_in_the_order_of_what_they_open() -> None:
    lines = [text.text or "" for text in drawn(PACK["trailer-abs-light-on"]).iter(f"{SVG}text")]
    assert lines.index("port volts") < lines.index("wheel end volts") < lines.index("tone ring")


def test_what_a_reading_holds_under_and_what_does_not_fit_is_drawn() -> None:
    """A reading holds only under its conditions, and a unit that a procedure declines is told before the work."""
    text = " ".join(re.findall(r">([^<]+)</text>", draw_procedure(load_procedure("seven-way-survey").procedure)))
    assert "with: key on; engine running; load ten amps" in text
    assert "does not fit: twenty four volts, flat blades" in text
    answers = " ".join(re.findall(r">([^<]+)</text>", draw_procedure(load_procedure("tire-tread-depth").procedure)))
    assert "answers: even, uneven, damaged" in answers
