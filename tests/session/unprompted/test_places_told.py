"""Readings of several places in one breath: which value is whose, and when it is not said."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice
from assistant.session.unprompted.places_told import Breath
from assistant.understanding.place_names import place_spans
from tests.rows import each_row
from tests.session.conversation import Conversation
from tests.session.partner_tables import scene

NAMED = tuple(Choice(name) for name in ("left front", "right front", "left rear", "right rear"))


def breath(text: str) -> Breath:
    return Breath(text, "left rear", NAMED, load_vocabulary(), "resistance")


@each_row([
    ("driver's rear is at ten eighty and the curbside rear at eleven ten", "ten eighty", "eleven ten"),
    ("ten eighty on the back left, eleven ten on the back right", "ten eighty", "eleven ten"),
    ("left rear, right rear: ten eighty, eleven ten", "ten eighty", "eleven ten"),
    ("this one's ten eighty, other side's open", "ten eighty", "open"),
    ("left rear ten eighty, the passenger side is eleven ten", "ten eighty", "eleven ten"),
    ("the left rear one is ten eighty but I get eleven ten over on the right rear", "ten eighty", "eleven ten"),
    ("left rear was a thousand and four, right rear was same thing", "a thousand and four", "a thousand and four"),
    ("left rear one one six zero, right rear one two zero four", "one one six zero", "one two zero four"),
])  # fmt: skip
def test_each_value_belongs_to_its_place(text: str, left: str, right: str) -> None:
    assert dict(breath(text).values() or ()) == {"left rear": left, "right rear": right}


@pytest.mark.parametrize(
    "text",
    ["left rear ten eighty, no, that's the right rear, left rear is eleven ten", "both rears are ten eighty",
     "left rear reads ten eighty, right rear should be eleven ten", "is the left rear ten eighty, right rear open?",
     "left rear ten eighty", "ten eighty eleven ten left rear right rear left front"],
)  # fmt: skip
def test_what_does_not_say_whose_it_is_is_none(text: str) -> None:
    assert breath(text).values() is None


def test_where_it_is_not_clear_none_of_them_counts() -> None:
    start = scene("left rear ohms")
    talk = Conversation(start.context, start.now)
    talk.hear("left rear is ten eighty, no wait, that's the right rear, left rear is eleven ten")
    assert not talk.now.observations


@pytest.mark.parametrize("said", ["left hind leg", "the driver's side rear", "rear wheel", "back on the driver side"])
def test_names_of_a_side_and_an_end(said: str) -> None:
    named = [name for name, _, _ in place_spans(f"it is {said} I mean", NAMED)]
    assert named == ([] if said == "rear wheel" else ["left rear"])
