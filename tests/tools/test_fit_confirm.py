"""Fitting on hypotheses written by hand: caution costs questions and saves wrong values, and voices stay apart."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from decimal import Decimal

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Hypothesis
from assistant.understanding.interpret import candidates_of
from assistant.understanding.rescoring import Policy
from tests.bench.cases import Case
from tests.tools.fit_confirm import FOLDS, Row, caution, cautious, fit, fit_leads, held_out, table, total, weigh
from tests.tools.tradeoff import Point, draw

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
    assert total(ROWS, fit(ROWS, poor)).right >= total(ROWS, poor).right
    tied = [row("a", "1250", ("twelve fifty oh", 0.0), ("twelve fifty ohms", -5.0))]
    assert total(tied, fit(tied, replace(Policy(), whole=0.0))).right == 1


def test_the_leads_ask_as_little_as_what_is_allowed_lets_them() -> None:
    """1250 for 1200 is wrong, and both are good; 1600 for 1200 would pass a bad part as good, or the reverse."""
    noisy = [
        replace(one, condition="rain@5", snr_db=12.0)
        for one in (
            row("a", "1250", ("twelve hundred ohms", 0.0), ("twelve fifty ohms", -2.2)),
            row("b", "1600", ("twelve hundred ohms", 0.0), ("sixteen hundred ohms", -3.2)),
            row("c", "1180", ("eleven eighty ohms", 0.0), ("eleven ninety ohms", -3.7)),
        )
    ]
    weighed = weigh(noisy, Policy())
    none = caution(weighed, fit_leads(weighed, Policy(), 0.0))
    some = caution(weighed, fit_leads(weighed, Policy(), 50.0))
    assert (none.wrong, none.passed) == (0, 0)
    assert (some.wrong, some.passed) == (1, 0), "a value that the limits judge otherwise is never let through"
    assert some.asked <= none.asked


def test_no_voice_is_judged_by_a_fit_that_knew_it() -> None:
    seen: list[set[str]] = []

    def spy(rows: list[Row], start: Policy) -> Policy:
        seen.append({one.case.voice for one in rows})
        return start

    held_out(ROWS, Policy(), spy)  # type: ignore[arg-type]
    assert len(seen) == FOLDS
    assert seen[:3] == [{"b", "c"}, {"a", "c"}, {"a", "b"}]


def test_every_row_is_counted_once_for_each_degree_of_caution() -> None:
    found = table(ROWS, [Policy()] * FOLDS)
    assert {one.count for one in found.values()} == {len(ROWS)}


def test_the_picture_is_well_formed_and_names_the_goal() -> None:
    points = [Point("rain@5", scale, 10 * scale, 5 - scale) for scale in (0.0, 1.0, 2.0)]
    root = ET.fromstring(draw(points))  # noqa: S314 - our own text
    texts = [one.text for one in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "goal 0.3 %" in texts
    assert "rain@5" in texts
    assert len(list(root.iter("{http://www.w3.org/2000/svg}circle"))) == 3
