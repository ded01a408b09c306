"""Several places told by their end, and questions beside talk, played against a session at the left rear."""

from __future__ import annotations

import pytest

from tests.session import partner_tables
from tests.understanding.spoken_tables import Row


def _told(prompt: str, said: str) -> str:
    return partner_tables.told(Row("", "", False, prompt, said, ()))[0]


@pytest.mark.parametrize(
    ("said", "logged"),
    [
        ("both rears, twelve hundred", "left rear=1200; right rear=1200"),
        ("both rears are twins, eleven fifty apiece", "left rear=1150; right rear=1150"),
        ("both backs while I was at it, twelve ten on the left and twelve forty on the right",
         "left rear=1210; right rear=1240"),
        ("the left of behind is one thousand one hundred, the right of behind nine hundred fifty",
         "left rear=1100; right rear=950"),
        ("left rear's a grand and a half, left front's a grand even", "left rear=1500; left front=1000"),
        ("left rear eleven eighty, right rear twelve hundred, dog's loose, sorry", "left rear=1180; right rear=1200"),
        ("both rears should be twelve hundred", "ask"),
        ("is it the same on both rears, twelve hundred", "ask"),
        ("both rears, left twelve, right thirteen hundred", "ask"),
    ],
)  # fmt: skip
def test_a_value_of_each_place(said: str, logged: str) -> None:
    assert _told("ohms left rear", said) == logged


@pytest.mark.parametrize(
    ("prompt", "said", "served"),
    [
        ("left rear ohms", "red goes to which one, sun's in my eyes", "red"),
        ("left rear ohms", "I got turned around under here, is it driver side back you're after", "wheel"),
        ("left rear ohms", "anything on file for twenty five twenty eight, same mudflaps", "history"),
        ("left rear ohms", "the number of before, how much it was", "last"),
        ("left rear ohms", "what we going to do when this one is finish", "next"),
        ("left rear ohms", "sensor not touching the ring, big gap", "saw sensor against ring=backed off"),
        ("left rear ohms", "oh okay, I see what's wrong now", "found"),
        ("left rear ohms", "OL. why did we check this?", "OL why"),
        ("left rear ohms", "twelve eighty, and for the other check what I need to bring", "1280 bring"),
        ("left rear ohms", "there's something in my eye", "danger"),
        ("left rear ohms", "the sensor is not loose", "ask"),
        ("done", "when I finish I tell you", "wait"),
    ],
)  # fmt: skip
def test_talk_with_more_beside_it(prompt: str, said: str, served: str) -> None:
    assert _told(prompt, said) == served
