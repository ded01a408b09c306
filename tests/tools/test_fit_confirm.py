"""Fitting on hypotheses written by hand: caution costs questions and saves wrong values, and voices stay apart."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Hypothesis
from assistant.understanding.interpret import candidates_of
from assistant.understanding.recognition.rescoring import Policy, chances
from tests.bench.hearing.cases import Case
from tests.tools import fit_confirm
from tests.tools.drawing.tradeoff import Point, draw
from tests.tools.fit_confirm import (
    FOLDS,
    Row,
    cautious,
    fit,
    fit_chances,
    fit_weights,
    held_out,
    likelihood,
    right_of,
    table,
    total,
    weigh,
)

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))


def row(voice: str, truth: str, *pairs: tuple[str, float]) -> Row:
    case = Case(f"{voice}:{truth}", (), voice, "", "reading", truth, OHMS)
    read = candidates_of([Hypothesis(words, score) for words, score in pairs], OHMS, VOCABULARY)
    return Row(case, "quiet", 30.0, tuple(read))


ROWS = [
    row("a", "1250", ("twelve hundred ohms", 0.0), ("twelve fifty ohms", -0.5)),
    row("b", "1180", ("eleven eighty ohms", 0.0)),
    row("c", "1200", ("one two zero zero zero and", 0.0), ("twelve hundred ohms", -3.0)),
]


def test_caution_turns_a_wrong_value_into_a_question() -> None:
    bold, careful = total(ROWS, cautious(Policy(), 0.0)), total(ROWS, cautious(Policy(), 1.0))
    assert (bold.wrong, careful.wrong) == (1, 0)
    assert careful.yes > bold.yes
    assert bold.right == careful.right == 2


def test_fitting_never_makes_it_worse_and_finds_a_better_weight() -> None:
    poor = replace(Policy(), whole=0.0, odd=0.0, reach=2.0)
    assert right_of(ROWS, fit_weights(ROWS, poor)) >= right_of(ROWS, poor)
    tied = [row("a", "1250", ("twelve fifty oh", 0.0), ("twelve fifty ohms", -5.0))]
    assert right_of(tied, fit_weights(tied, replace(Policy(), whole=0.0))) == 1


def test_a_second_opinion_gets_the_weight_that_makes_most_right() -> None:
    heard = row("a", "1250", ("twelve hundred ohms", 0.0), ("twelve fifty ohms", -3.0))
    rows = [replace(heard, opinions=(-5.0, 0.0), snr_db=9.0)]
    assert right_of(rows, replace(Policy(), second_number=0.0)) == 0
    assert fit_weights(rows, replace(Policy(), second_number=0.0)).second_number >= 0.6


def test_chances_are_fitted_to_how_often_answers_are_wrong() -> None:
    """Of forty answers with the same lead two are wrong: the chances say about one in twenty."""
    pairs = (("twelve hundred ohms", 0.0), ("twelve fifty ohms", -4.0))
    rows = [row(f"v{at}", "1250" if at < 2 else "1200", *pairs) for at in range(40)]
    fitted = fit_chances(rows, Policy())
    weighed = weigh(rows, fitted)
    assert likelihood(weighed, fitted) >= likelihood(weighed, Policy())
    assert 0.02 < chances(weighed[0][1], True, 30.0, fitted).wrong < 0.12


def test_no_voice_is_judged_by_a_fit_that_knew_it(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[set[str]] = []

    def spy(rows: list[Row], start: Policy) -> Policy:
        seen.append({one.case.voice for one in rows})
        return start

    monkeypatch.setattr(fit_confirm, "fit", spy)
    assert held_out(ROWS, Policy()).keys() == {"a", "b", "c"}
    assert seen == [{"b", "c"}, {"a", "c"}, {"a", "b"}]
    assert FOLDS >= 3


def test_every_row_is_counted_once_for_each_degree_of_caution() -> None:
    found = table(ROWS, dict.fromkeys("abc", Policy()))
    assert {one.count for one in found.values()} == {len(ROWS)}
    assert fit(ROWS, Policy())


def test_the_picture_is_well_formed_and_names_the_goal() -> None:
    points = [Point("rain@5", scale, 10 * scale, 5 - scale) for scale in (0.0, 1.0, 2.0)]
    root = ET.fromstring(draw(points))  # noqa: S314 - our own text
    texts = [one.text for one in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "goal 0.3 %" in texts
    assert "rain@5" in texts
    assert len(list(root.iter("{http://www.w3.org/2000/svg}circle"))) == 3
