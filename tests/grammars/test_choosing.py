"""``grammars/choosing.toml``: each form does what its part is for when a procedure is chosen by own words."""

from __future__ import annotations

import tomllib
from itertools import product
from pathlib import Path

import pytest

from assistant.procedure.choosing import forms, nearest
from assistant.procedure.load import list_procedures, load_procedure

TOLD = tomllib.loads((Path(__file__).parents[2] / "grammars" / "choosing.toml").read_text(encoding="utf-8"))
PACK = [load_procedure(path).procedure for path in list_procedures()]
STAYS = TOLD["stays_on"]
DENIED = [f"{no} {goes} {out}" for no, goes, out in product(STAYS["denied"], STAYS["goes"], STAYS["out"])]


@pytest.mark.parametrize("form", [*STAYS["forms"], *DENIED])
def test_a_light_that_does_not_go_out_stays_on(form: str) -> None:
    assert [one.name for one in nearest(f"trailer abs light {form}", PACK)] == ["trailer-abs-light-on"]


LIT = TOLD["lit"]


@pytest.mark.parametrize(("light", "on", "behind"), [*product(LIT["lights"], LIT["on"], ["", *LIT["behind"]])])
def test_a_light_that_is_on_stays_on(light: str, on: str, behind: str) -> None:
    assert nearest(f"trailer abs {light} {on} {behind}", PACK)[0].name == "trailer-abs-light-on"


@pytest.mark.parametrize("form", LIT["never"])
def test_a_word_of_another_complaint_leaves_a_lit_light_alone(form: str) -> None:
    assert forms().never.search(f"trailer light on {form}")


def test_what_is_offered_first_is_of_the_pack() -> None:
    assert {*TOLD["first"]["names"]} <= {one.name for one in PACK}


@pytest.mark.parametrize("form", TOLD["small"]["forms"])
def test_a_small_word_chooses_nothing(form: str) -> None:
    assert nearest(form, PACK) == []


@pytest.mark.parametrize("form", TOLD["trailers"]["forms"])
def test_a_trailer_by_its_body(form: str) -> None:
    for words in (f"ABS light on, it's a {form}", f"{form} abs light", f"abs lamp on my {form} won't go out"):
        assert [one.name for one in nearest(words, PACK)] == ["trailer-abs-light-on"], words


@pytest.mark.parametrize("form", TOLD["tractors"]["forms"])
def test_a_tractor_by_its_kind(form: str) -> None:
    for words in (f"ABS light on, {form}", f"abs light stays on in the dash of my {form}"):
        assert [one.name for one in nearest(words, PACK)] == ["tractor-abs-light-on"], words


@pytest.mark.parametrize("form", TOLD["tractors"]["asides"])
def test_where_in_a_tractor_its_light_is_says_nothing_else(form: str) -> None:
    assert [one.name for one in nearest(f"abs light in the {form}, tractor", PACK)] == ["tractor-abs-light-on"]


@pytest.mark.parametrize("form", TOLD["never_lights"]["forms"])
def test_a_light_that_does_not_come_on_never_lights(form: str) -> None:
    assert nearest(f"trailer abs light {form}", PACK)[0].name == "trailer-abs-light-never-lights"
    assert nearest(f"abs {form} on a lowboy", PACK)[0].name == "trailer-abs-light-never-lights"


@pytest.mark.parametrize("words", ["the radio's out", "coffee machine broken", "air leak at the gladhand"])
def test_what_no_procedure_is_about(words: str) -> None:
    assert nearest(words, PACK) == []


@pytest.mark.parametrize("form", TOLD["small"]["alone"])
def test_a_word_that_chooses_none_by_itself(form: str) -> None:
    assert nearest(f"the radio is {form}", PACK) == []
