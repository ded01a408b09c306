"""What is typed beside an answer by strangers to the grammars: a remark on the truck, a figure of something else."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import FactAnswered
from tests.session import partner_tables
from tests.session.conversation import Conversation
from tests.session.test_said_in_the_bay import check_row

CHARGING = "battery-and-charging check charging volts"
BEARING = "trailer-abs-light-on check bearing play@left front"


@pytest.mark.parametrize("said", [
    "buddy's on the brake pedal. I'm getting nine point one, that ain't right", "nine point one, that can't be right",
    "9.1 volts... that isn't right", "nine point one, man that don't look right",
])  # fmt: skip
def test_a_remark_on_the_truck_takes_no_number_back(said: str) -> None:
    check_row(CHARGING, said, "", "9.1")
    check_row(CHARGING, f"{said} // yes", "charging volts@=9.1", "")


@pytest.mark.parametrize("said", ["nine point one, no, that ain't right", "nine point one, wait, that's not right"])
def test_behind_a_no_it_does(said: str) -> None:
    check_row(CHARGING, said, "", "dropped")


def test_a_figure_behind_the_remark_counts_alone() -> None:
    check_row(CHARGING, "nine point one, that ain't right, fourteen point one", "charging volts@=14.1", "")


@pytest.mark.parametrize("said", [
    "three hundredths of a volt, that's nothing", "got five volts, plenty",
])  # fmt: skip
def test_a_figure_of_a_meter_is_no_choice_without_figures(said: str) -> None:
    check_row(BEARING, said, "", "please say one of")


@pytest.mark.parametrize(("scene", "said"), [
    ("trailer-abs-light-never-lights check lamp ohms", "dark. so it aint the bulb"),
    ("trailer-abs-light-never-lights check lamp wire", "dark, so it ain't the bulb"),
])  # fmt: skip
def test_a_choice_of_what_is_asked_is_the_answer_whatever_follows_from_it(scene: str, said: str) -> None:
    check_row(scene, said, f"{scene.split(maxsplit=2)[2]}@=dark", "")


def unit_asked(*lines: str) -> Conversation:
    """A session that asked for the unit number and heard lines."""
    start = partner_tables.scene("fact unit number")
    return Conversation(start.context, start.now).dialog(lines)


VAN = "trailer's 5518, it's a 2008 reefer van"


@pytest.mark.parametrize(("said", "number"), [
    ((VAN, "yes"), "5518"), ((VAN, "no, just 5518, its an 08 model"), "5518"), ((VAN, "no, it's 5519"), "5519"),
    (("it's a fifty five eighteen", "yes"), "5518"), (("5518, it's an oh eight model", "yes"), "5518"),
])  # fmt: skip
def test_a_unit_number_is_not_joined_over_other_words(said: tuple[str, ...], number: str) -> None:
    talk = unit_asked(*said)
    assert talk.now.facts["unit number"] == number


@pytest.mark.parametrize(
    "no", ["no, that's the model year", "no, its a reefer", "no, it's 5518", "nope, it says something else"]
)
def test_after_a_no_a_yes_stores_no_refused_number(no: str) -> None:
    talk = unit_asked(VAN, no, "yes")
    assert not [one for one in talk.decisions if isinstance(one, FactAnswered) and one.fact == "unit number"]


TWICE = "trailer-abs-light-on check ground drop; ground drop=0.9"


@pytest.mark.parametrize("said", [
    "c'mon I did that one already, it was fine, point oh three", "I already measured that, point oh three",
    "I already did that one", "already did it, it was point oh three",
])  # fmt: skip
def test_what_was_measured_before_is_no_second_measure(said: str) -> None:
    check_row(TWICE, said, "", "measured again, or say skip")
    check_row(TWICE, f"{said} // 0.03", "ground drop@=0.03", "")


def test_a_second_measure_is_one() -> None:
    check_row(TWICE, "point oh three", "ground drop@=0.03", "")
    check_row(TWICE, "measured it again already, 0.03 // yes", "ground drop@=0.03", "")


def test_where_nothing_was_measured_already_asks_what_it_showed() -> None:
    check_row("trailer-abs-light-on check ground drop", "I already did that one", "", "what did it show")
