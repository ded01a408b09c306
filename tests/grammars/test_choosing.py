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
