"""Figures that are dictated piece by piece, and what is told beside them, at prompts of the procedures."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages import Hypothesis
from assistant.understanding.interpret import interpret
from assistant.understanding.values.dictated import as_one_figure
from tests.understanding.spoken_tables import expectation, told

_VOCABULARY = catalog.load_vocabulary()


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("twelve, then a point, then an eight", "twelve point eight"),
        ("twelve, point, five, two", "twelve point five two"),
        ("zero comma three five", "zero point three five"),
        ("one comma two hundred", "one comma two hundred"),
        ("one point two with a k behind it", "one point two k"),
        ("one with three quarters", "one and three quarters"),
        ("twelve point eight, one more", "twelve point eight, one more"),
    ],
)
def test_pieces_of_a_figure_are_one(said: str, meant: str) -> None:
    assert as_one_figure(said) == meant


@pytest.mark.parametrize(
    ("prompt", "said", "value", "asked"),
    [
        ("@battery-and-charging/rest volts", "it is twelve comma six", "12.6", True),
        ("@pushrod-stroke/stroke", "one with three quarters of inch", "1.75", True),
        ("@trailer-abs-light-on/tractor blue warm", "after ten minutes I got twelve six", "12.6", False),
        ("@trailer-abs-light-never-lights/ground drop", "oh point oh five if I'm seeing it right", "0.05", False),
        ("@wheel-speed-sensor-survey/ohms", "the book said nine hundred", "ask", False),
        ("@pushrod-stroke/pressure", "governor's set for one twenty five but lemme get to the gauge", "ask", False),
        ("@trailer-abs-light-on/tone ring", "haven't gone all the way around yet, so far even", "even", True),
        ("@trailer-abs-light-on/tone ring", "even all the way around", "even", False),
        ("@trailer-abs-light-on/swap two plugs", "I moved the lead", "ask", False),
        ("@trailer-abs-light-on/swap two plugs", "it moved", "moved", False),
    ],
)  # fmt: skip
def test_what_is_told_beside_an_answer(prompt: str, said: str, value: str, asked: bool) -> None:
    found = interpret((Hypothesis(said),), expectation(prompt), _VOCABULARY)
    assert (told(found), found.confirm) == (value, asked)
