"""A complaint in own words finds its procedure; one that may be about several names them."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.procedure.choosing import nearest
from assistant.procedure.load import list_procedures, load_procedure

PACK = [load_procedure(path).procedure for path in list_procedures()]


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("ABS light on the trailer stays on", "trailer-abs-light-on"),
        ("the abs lamp never comes on", "trailer-abs-light-never-lights"),
        ("left tail light is dim", "trailer-light-dead-or-faint"),
        ("truck won't start, slow crank", "battery-and-charging"),
        ("batteries go dead overnight", "battery-and-charging"),
        ("set of doubles, abs light on the back trailer", "doubles-and-triples"),
        ("check the brakes, pushrod travel", "pushrod-stroke"),
        ("no power at the seven way", "seven-way-power-and-grounds"),
        ("measure all the wheel speed sensors", "wheel-speed-sensor-survey"),
    ],
)
def test_own_words_choose(words: str, name: str) -> None:
    assert [one.name for one in nearest(words, PACK)] == [name]


@pytest.mark.parametrize("words", ["trailer ABS light on", "trailer abs lamp lit", "abs light on trailer"])
def test_a_light_that_is_on_is_one_that_stays_on(words: str) -> None:
    assert [one.name for one in nearest(words, PACK)] == ["trailer-abs-light-on"]


@pytest.mark.parametrize("words", ["abs light's on", "ABS light on", "abs light is on again", "abs light"])
def test_where_words_fit_several_the_trailers_light_that_stays_on_is_offered_first(words: str) -> None:
    names = [one.name for one in nearest(words, PACK)]
    assert names[0] == "trailer-abs-light-on"
    assert len(names) > 1
    assert words == "abs light" or "trailer-abs-light-never-lights" not in names


def test_a_light_that_is_on_elsewhere_keeps_its_procedure() -> None:
    assert [one.name for one in nearest("tractor abs light on", PACK)] == ["tractor-abs-light-on"]
    assert nearest("trailer abs light on the dash never lights", PACK)[0].name == "trailer-abs-light-never-lights"


@pytest.mark.parametrize(
    "words",
    [
        "left tail light out", "no brake lights on trailer", "marker lights out on the trailer",
        "left tail light out, works when you wiggle the plug", "right blinker won't work", "running lights are dim",
        "Driver says left tail light and marker are out, works when you wiggle the plug",
    ],
)  # fmt: skip
def test_a_lamp_of_the_road_is_no_abs_light(words: str) -> None:
    """As a foreman wrote them into complaints."""
    assert nearest(words, PACK)[0].name == "trailer-light-dead-or-faint"
    assert nearest(f"{words}, abs light stays on", PACK)[0].name == "trailer-abs-light-on"


def test_words_that_fit_several_choose_none_of_them() -> None:
    assert len(nearest("abs light", PACK)) > 1


@pytest.mark.parametrize("words", ["", "it makes a noise", "the and of"])
def test_words_that_fit_none(words: str) -> None:
    assert nearest(words, PACK) == []


@pytest.mark.parametrize(
    "words",
    [
        "abs light wont go out on the trailer", "abs light won't go off", "abs lite wont go off on the pup",
        "trailer abs light wont shut off", "abs light will not turn off", "abs lamp stays lit",
        "yellow light on side of trailer on all the time",
    ],
)  # fmt: skip
def test_a_light_that_does_not_go_out_is_never_one_that_never_lights(words: str) -> None:
    names = [one.name for one in nearest(words, PACK)]
    assert "trailer-abs-light-on" in names
    assert "trailer-abs-light-never-lights" not in names


@pytest.mark.parametrize("path", list_procedures(), ids=lambda path: path.stem)
def test_a_procedures_file_goes_by_its_name(path: Path) -> None:
    """Lists show the name, and the command line looks for the file: one that differs could not be started."""
    assert load_procedure(path).procedure.name == path.stem
