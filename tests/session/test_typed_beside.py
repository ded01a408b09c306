"""What is typed beside an answer by strangers to the grammars: a remark on the truck, a figure of something else."""

from __future__ import annotations

import pytest

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
