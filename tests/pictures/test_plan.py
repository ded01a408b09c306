"""Where a plan puts wheels and stations, against the builds of the simulator and the trade's left and right."""

from __future__ import annotations

from itertools import pairwise

import pytest

from assistant.pictures.places import AXLES, Plan, Wheel, plan_of, wheel_of
from assistant.pictures.unit_plan import Marks, axle_y, draw_plan, wheel_x
from assistant.procedure.load import list_procedures, load_procedure
from assistant.simulator.truck.running import brakes, tires
from assistant.simulator.truck.tractor.system import TractorBuild

PROCEDURES = {path.stem: load_procedure(path).procedure for path in list_procedures()}
GROUPS = ("wheel", "chamber", "tire")


@pytest.mark.parametrize("name", PROCEDURES)
def test_every_wheel_has_a_place_of_its_own(name: str) -> None:
    procedure = PROCEDURES[name]
    places = [one.name for one in procedure.places if one.group in GROUPS]
    wheels = [wheel_of(one) for one in places]
    assert None not in wheels
    if not places:
        return
    plan = plan_of(procedure, {}, None)
    assert plan is not None
    spots = {(wheel_x(one), axle_y(plan, one.axle)) for one in wheels if one}
    singles = sum(one.endswith("single") for one in places)
    assert len(spots) >= len(places) - singles


def test_left_is_left_and_right_is_right_with_the_front_at_the_top() -> None:
    """Left and right are as the driver sees them: with the front at the top, left is on the left."""
    plan = plan_of(PROCEDURES["tractor-abs-light-on"], {}, None)
    assert plan is not None
    for wheel in plan.wheels:
        assert (wheel_x(wheel) < 180) == (wheel.name.split()[0] == "left")


def order(axles: tuple[str, ...]) -> bool:
    """True when a plan lays these axles out in this order from front to back."""
    plan = Plan("truck", tuple(Wheel(f"left {one}", "left", one) for one in axles), ())
    heights = [axle_y(plan, one) for one in axles]
    return all(a < b for a, b in pairwise(heights))


def test_axles_follow_each_other_as_the_simulated_units_have_them() -> None:
    assert order(tuple(one.removesuffix(" axle") for one in brakes.AXLES))
    for axles in tires.AXLES.values():
        assert order(("steer", *axles))
    build = TractorBuild(six_sensors=True)
    drives = tuple(dict.fromkeys(one.split()[1] for one in build.wheels))
    assert order(drives)
    assert all(wheel_of(one) for one in build.wheels)
    assert set(drives) <= set(AXLES)


@pytest.mark.parametrize(
    "name", ["trailer-abs-light-on", "tire-tread-depth", "pushrod-stroke", "tractor-abs-light-on"]
)
def test_the_lit_wheel_is_the_one_that_is_meant(name: str) -> None:
    procedure = PROCEDURES[name]
    plan = plan_of(procedure, {}, None)
    assert plan is not None
    for wheel in plan.wheels:
        if wheel.valve:
            continue
        drawing = draw_plan(plan, Marks(frozenset({wheel.name})), "t", "told")
        lit = [
            attributes for tag, attributes, _ in drawing.shapes() if tag == "rect" and attributes["class"] == "lit"
        ]
        assert len(lit) == 1
        middle = float(lit[0]["x"]) + float(lit[0]["width"]) / 2
        assert abs(middle - wheel_x(wheel)) < 1
        assert wheel.name in [text for tag, _, text in drawing.shapes() if tag == "text"]
