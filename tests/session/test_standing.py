"""What the session knows of plugs and loads, against the plugs that are really open on a unit that is worked on."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages import Prompt
from assistant.messages.decisions import Observed
from assistant.procedure.load import list_procedures, load_procedure
from assistant.session.fold import fold
from assistant.session.observing.standing import Standing, done, plugs, standing, to_close, to_load, to_open
from assistant.simulator.trial import context_of, run_trial
from assistant.simulator.truck.arrivals import arrival_named
from assistant.simulator.truck.case import draw_case
from assistant.simulator.truck_unit import TruckUnit, led_on_truck

PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}
LED = [name for name, one in PACK.items() if led_on_truck(one)]
TRAILER = PACK["trailer-abs-light-on"]
CHECKS = {check.name: check for check in TRAILER.checks}
LEFT = "left rear"


class Watched(TruckUnit):
    """A unit that remembers which plugs were open after each check."""

    def __init__(self, *given: object, **named: object) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]
        self.open_after: list[frozenset[str]] = []

    def check(self, prompt: Prompt) -> str:
        words = super().check(prompt)
        self.open_after.append(frozenset(self.case.machine.unplugged))
        return words


@pytest.mark.parametrize(
    ("fault", "place", "seed"),
    [("open sensor", LEFT, 3), ("bad cord", None, 2), ("modulator coil open", "first modulator", 4)],
)
def test_the_session_knows_which_plugs_are_open(fault: str, place: str | None, seed: int) -> None:
    fault = "modulator valve" if "coil" in fault else fault
    unit = Watched(TRAILER, draw_case(arrival_named(TRAILER.led_on or ""), ((fault, place),), seed))
    context = context_of(TRAILER, catalog.load_vocabulary())
    trial = run_trial(context, unit)
    ends = [number for number, one in enumerate(trial.decisions) if isinstance(one, Observed)]
    assert len(ends) == len(unit.open_after) > 3
    places = {*unit.case.machine.build.wheels, *unit.case.machine.build.modulators}
    for number, really in zip(ends, unit.open_after, strict=True):
        known = standing(context, fold(context, trial.decisions[: number + 1])).unplugged
        # a place that this unit lacks is in the bundle of all plugs and open nowhere
        known = frozenset(name for name in known if not _of_other_place(name, places))
        assert known == really, trial.decisions[number]


def _of_other_place(name: str, places: set[str]) -> bool:
    every = {place.name for place in TRAILER.places}
    return any(name.startswith(place) for place in every - places)


@pytest.mark.parametrize("name", LED)
def test_every_bundle_that_hands_name_is_taken_apart(name: str) -> None:
    procedure = PACK[name]
    named = [one.hands for one in procedure.access] + [one.hands for one in procedure.checks]
    for hands in (*named, *(one.hands for one in procedure.fixes)):
        for plug in (*hands.unplug, *hands.plug) if hands else ():
            assert not plug.startswith("sensor plugs") or plug in procedure.bundles, plug


def test_what_stands_otherwise_is_said_and_nothing_else() -> None:
    ohms = CHECKS["module end ohms"].hands
    wheel = done(TRAILER, Standing(), next(one.hands for one in TRAILER.access if one.name == "wheel plug"), LEFT)
    assert to_close(TRAILER, wheel, ohms, LEFT) == ("left rear wheel plug",)
    assert to_open(TRAILER, wheel, ohms, LEFT) == ("left rear plug at the module",)
    ready = done(TRAILER, wheel, ohms, LEFT)
    assert to_close(TRAILER, ready, ohms, LEFT) == to_open(TRAILER, ready, ohms, LEFT) == ()
    assert to_close(TRAILER, ready, CHECKS["swap two plugs"].hands, None) == ("everything",)
    assert len(plugs(TRAILER, ("sensor plugs at the module",), None)) == 4


def test_the_load_is_asked_for_where_it_sits_elsewhere() -> None:
    tractor = done(TRAILER, Standing(), CHECKS["tractor blue loaded"].hands, None)
    wanted = to_load(tractor, CHECKS["ground drop"].hands, None)
    assert wanted is not None
    assert (wanted.plus, wanted.minus) == ("module blue", "module ground")
    there = done(TRAILER, tractor, CHECKS["ground drop"].hands, None)
    assert to_load(there, CHECKS["power drop"].hands, None) is None
