"""Every check of every procedure that has hands gets a picture, well-formed, with the same facts in words."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from assistant.pictures.layout import WIDTH
from assistant.pictures.sheet import Picture, pictures_of, places_of, words_of
from assistant.pictures.style import STYLE
from assistant.procedure.hands import Load
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Access, Check, Fix, Procedure
from assistant.session.observing.standing import Standing

PROCEDURES = {path.stem: load_procedure(path).procedure for path in list_procedures()}
SVG = "{http://www.w3.org/2000/svg}"
MAIN = PROCEDURES["trailer-abs-light-on"]


def check_of(procedure: Procedure, name: str) -> Check:
    return next(one for one in procedure.checks if one.name == name)


def read(picture: Picture) -> ET.Element:
    """The picture, read as XML."""
    return ET.fromstring(picture.drawing.svg())  # noqa: S314 - made by ourselves


def words_in(picture: Picture) -> str:
    root = read(picture)
    return " ".join(one.text or "" for one in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("name", PROCEDURES)
def test_every_check_with_hands_gets_a_picture_that_stands_in_its_frame(name: str) -> None:
    procedure = PROCEDURES[name]
    for check in procedure.checks:
        for place in places_of(procedure, check):
            made = pictures_of(procedure, check, place)
            if check.hands is not None or check.probe is not None:
                assert made, (check.name, place)
                assert words_of(procedure, check, place)
            kinds = [one.kind for one in made]
            assert len(set(kinds)) == len(kinds)
            if check.probe is not None:
                assert {"circuit", "meter"} <= set(kinds), (check.name, place)
            for one in made:
                root = read(one)
                assert root.get("role") == "img"
                assert root.findtext(f"{SVG}title")
                assert root.findtext(f"{SVG}desc")
                high = one.drawing.height
                for shape in root.iter():
                    for across in ("x", "x1", "x2", "cx"):
                        assert -1 <= float(shape.get(across, 0)) <= WIDTH + 1, (check.name, one.kind, shape.attrib)
                    for down in ("y", "y1", "y2", "cy"):
                        assert -1 <= float(shape.get(down, 1)) <= high + 1, (check.name, one.kind, shape.attrib)


@pytest.mark.parametrize("name", PROCEDURES)
def test_every_opening_and_repair_can_be_drawn(name: str) -> None:
    procedure = PROCEDURES[name]
    works: list[Access | Fix] = [*procedure.access, *procedure.fixes]
    for work in works:
        group = [one.name for one in procedure.places if one.group == work.each]
        for one in pictures_of(procedure, work, group[0] if group else None):
            read(one)


def test_a_plug_is_apart_when_it_is_out_and_together_when_it_is_in() -> None:
    check = check_of(MAIN, "sensor ohms")
    out = next(iter(pictures_of(MAIN, check, "left rear")))
    assert "off" in words_in(out).split()
    assert "Unplugged: left rear wheel plug." in out.told
    light = next(iter(pictures_of(MAIN, check_of(MAIN, "light at power-up"))))
    assert "off" not in words_in(light).split()


def test_the_picture_shows_how_things_stand_now() -> None:
    """A plug that was left out by earlier work is out in the picture too."""
    check = check_of(MAIN, "module end ohms")
    before = Standing(
        frozenset({"right rear plug at the module"}),
        Load.model_validate({"plus": "cord pin 7", "minus": "cord pin 1"}),
    )
    told = pictures_of(MAIN, check, "left rear", before=before)[0].told
    assert "right rear plug at the module" in told
    assert "left rear plug at the module" in told


def test_the_circuit_and_its_words_follow_the_facts() -> None:
    procedure = PROCEDURES["doubles-and-triples"]
    check = check_of(procedure, "last module loaded")
    for answer, last in (("doubles", "second"), ("triples", "third")):
        made = {one.kind: one for one in pictures_of(procedure, check, facts={"trailers": answer})}
        assert f"{last} module power plug" in made["circuit"].told
        assert words_in(made["plan"]).split().count(last) == 2  # its own name, and the lit module


def test_suspects_are_shaded_where_they_sit() -> None:
    check = check_of(MAIN, "module end ohms")
    plan = next(
        one
        for one in pictures_of(MAIN, check, "left rear", doubts={"right rear": 0.25, "left rear": 0.5})
        if one.kind == "plan"
    )
    assert "suspected 25%" in words_in(plan)
    assert "suspected 50%" in words_in(plan)
    assert plan.told == "Where: left rear. Suspected: left rear 50%, right rear 25%."


def test_meter_words_are_those_of_the_procedure() -> None:
    told = words_of(MAIN, check_of(MAIN, "tractor blue loaded"))
    assert "Red probe: pin 7, the center pin." in told
    assert "Black probe: pin 1, ground." in told
    assert "Dial: DC volts." in told
    assert "Unplugged: cord at the tractor." in told
    assert "Pin 7: blue, ABS power (red probe)." in told


def test_every_class_of_a_picture_has_a_look() -> None:
    used: set[str] = set()
    for check in MAIN.checks:
        for one in pictures_of(MAIN, check, places_of(MAIN, check)[0]):
            for shape in read(one).iter():
                used |= set((shape.get("class") or "").split())
    for name in used - {"hands"}:
        assert f".{name}" in STYLE, name
