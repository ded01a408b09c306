"""A simulated unit that somebody practices on: what it shows stands beside the talk once, and the answer is the
person's own."""

from __future__ import annotations

import re
from collections.abc import Sequence
from xml.etree import ElementTree as ET

import pytest

from assistant.catalog import load_vocabulary
from assistant.composition import load_sound_procedure
from assistant.diagnosis.fault_model import fault_model
from assistant.errors import DefectError
from assistant.messages import (
    Choice,
    Expectation,
    Expects,
    Fact,
    Heard,
    Hypothesis,
    InputEnded,
    Overlaid,
    Prompt,
    PromptKind,
    Source,
    WentQuiet,
)
from assistant.procedure.load import load_procedure
from assistant.simulator.partner import SAME, Partner, shown_as
from assistant.simulator.picture import draw
from tests.fakes import FakeListener

VOLTS = Expectation(Expects.READING, Prompt(PromptKind.CHECK, "port volts", "left rear"), unit="V")
NEXT = Expectation(Expects.READING, Prompt(PromptKind.CHECK, "ohms", "left rear"), unit="ohm")
FACT = Expectation(Expects.CHOICE, Prompt(PromptKind.FACT, "brakes"), choices=(Choice("drum"), Choice("disc")))
FIX = Expectation(Expects.COMMAND, Prompt(PromptKind.FIX, "push the sensor in", "left rear"))
SURE = Expectation(Expects.COMMAND, Prompt(PromptKind.CHECK, "port volts", "left rear", overlaid=Overlaid.CONFIRM))


class Shows:
    """A unit that shows one thing after another; it keeps what it was asked."""

    def __init__(self, *answers: str) -> None:
        self.answers = list(answers)
        self.asked: list[str] = []

    def answer(self, expectation: Expectation) -> str:
        self.asked.append(str(expectation.prompt))
        return self.answers.pop(0)


def partner(unit: Shows, said: Sequence[str | Fact] | None) -> tuple[Partner, list[str]]:
    told: list[str] = []
    person = None if said is None else FakeListener(said)
    return Partner(unit, told.append, lambda: 7.0, person), told  # type: ignore[arg-type]


def words(fact: Fact) -> str:
    assert isinstance(fact, Heard)
    return fact.hypotheses[0].words


def test_what_the_unit_shows_is_told_and_what_the_person_says_counts() -> None:
    made, told = partner(Shows("0.4", "1204"), ["four point nine", SAME])
    assert words(made.listen(VOLTS, None)) == "four point nine", "misread, as a person may"
    assert words(made.listen(NEXT, None)) == "1204", "the sign for it says just what it shows"
    assert told == ["the meter shows 0.4 V", "the meter shows 1204 ohm"]
    assert [(str(prompt), answer) for prompt, answer in made.shown] == [
        (str(VOLTS.prompt), "0.4"), (str(NEXT.prompt), "1204")
    ]  # fmt: skip
    assert isinstance(made.listen(Expectation(Expects.COMMAND, FIX.prompt), None), InputEnded)


def test_after_a_silence_it_is_not_told_again_and_after_an_answer_it_is() -> None:
    """The meter still shows the same; asked anew, it is looked at anew."""
    made, told = partner(Shows("0.4", "0.5"), [WentQuiet(9.0), "what", "zero point five"])
    assert isinstance(made.listen(VOLTS, 5.0), WentQuiet)
    assert words(made.listen(VOLTS, None)) == "what"
    assert told == ["the meter shows 0.4 V"]
    made.listen(VOLTS, None)
    assert told == ["the meter shows 0.4 V", "the meter shows 0.5 V"]


def test_questions_about_an_answer_and_repairs_show_nothing() -> None:
    made, told = partner(Shows("yes"), ["yes", "done"])
    made.listen(SURE, None)
    made.listen(FIX, None)
    assert (told, made.shown) == ([], [])


def test_a_unit_that_is_only_watched_answers_by_itself() -> None:
    unit = Shows("drum", "0.4")
    made, told = partner(unit, None)
    facts = [made.listen(FACT, None), made.listen(VOLTS, None)]
    assert [(fact.at, fact.hypotheses, fact.source) for fact in facts if isinstance(fact, Heard)] == [
        (7.0, (Hypothesis("drum"),), Source.TYPED), (7.0, (Hypothesis("0.4"),), Source.TYPED)
    ]  # fmt: skip
    assert told == ["on this unit: drum", "the meter shows 0.4 V"]
    made.close()


def test_the_person_is_let_go_with_it() -> None:
    person = FakeListener([])
    Partner(Shows(), print, lambda: 0.0, person).close()  # type: ignore[arg-type]
    assert person.closed


@pytest.mark.parametrize(
    ("answer", "expectation", "fact", "told"),
    [
        ("not sure", VOLTS, False, "nothing tells you; say 'not sure'"),
        ("skip", VOLTS, False, "this unit has none; say 'skip'"),
        ("disc", FACT, True, "on this unit: disc"),
        ("disc", FACT, False, "you find: disc"),
        ("jumping between 3 and 5", VOLTS, False, "the meter is jumping between 3 and 5 V"),
        ("over range", NEXT, False, "the meter shows over range"),
        ("3/4", Expectation(Expects.READING, unit="in"), False, "you read 3/4 in"),
        ("12", Expectation(Expects.READING), False, "the meter shows 12"),
    ],
)
def test_it_is_told_as_it_would_be_seen(answer: str, expectation: Expectation, fact: bool, told: str) -> None:
    assert shown_as(answer, expectation, fact=fact) == told


def test_a_prompt_that_no_unit_can_answer_is_our_own_fault() -> None:
    """Said so, and not answered with a guess that would spoil the practice."""
    from assistant.simulator.unit import SimulatedUnit

    procedure = load_procedure("trailer-abs-light-never-lights").procedure
    unit = SimulatedUnit(procedure, {}, set(), seed=1)
    with pytest.raises(DefectError, match="has no answer to the prompt"):
        unit.answer(Expectation(Expects.COMMAND))


def test_the_picture_of_faults_has_a_field_for_each_fault_and_check_and_tells_the_chance() -> None:
    """As depth of the color and as a title to rest a pointer on; what stays as usual is empty."""
    procedure = load_sound_procedure("trailer-abs-light-never-lights", load_vocabulary()).procedure
    seen = fault_model(procedure, {})
    drawing = ET.fromstring(draw(seen, procedure))  # noqa: S314 - our own
    texts = {"".join(one.itertext()) for one in drawing.iter() if one.tag.endswith("text")}
    faults = [fault for fault in procedure.faults if fault.name in seen.faults]
    checks = [check for check in procedure.checks if check.name in seen.checks]
    assert {fault.title for fault in faults} | {check.title for check in checks} <= texts
    fields = [one for one in drawing.iter() if one.tag.endswith("rect") and one.get("width") == "18"]
    assert len(fields) == len(faults) * len(checks)
    colored = [one for one in fields if one.get("class") != "usual"]
    assert 0 < len(colored) < len(fields)
    for one in colored:
        title = "".join(one.itertext())
        share = re.search(r", ([0-9]+)%$", title)
        assert share is not None, title
        assert float(one.get("fill-opacity", "")) == pytest.approx(int(share[1]) / 100, abs=0.006)
