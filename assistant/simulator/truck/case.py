"""A case that comes into the shop: a unit with its defects, what its driver tells, and the meter at hand.

The truth stands before anything is asked. ``Arrival`` is a kind of unit with a kind of complaint; each stands in a
module of its own and in the table of ``arrivals``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Any

from assistant.errors import DefectError
from assistant.simulator.truck.defects import Defect, Kind
from assistant.simulator.truck.machine import Brain, Machine, Made
from assistant.simulator.truck.meter import Instrument

Look = Callable[[Any, str], str]
"""What somebody finds who looks: the unit's brain and the place ('' for none) to a finding by its name."""
Places = tuple[str | None, ...]


@dataclass
class Case:
    """One unit in the shop."""

    brain: Brain
    """What the unit remembers and does, with the unit."""
    truth: tuple[Defect, ...]
    """What was wrong when it came in."""
    story: dict[str, str]
    """What its driver and its papers tell, by name."""
    meter: Instrument
    """The meter at hand."""
    looks: Mapping[str, Look]
    """What can be looked at, by name."""
    means: Mapping[str, str] = field(default_factory=dict)
    """What a procedure's data leave open, such as ``{pin}`` for 'the circuit's pin', and what it is on this unit."""

    @property
    def machine(self) -> Machine[Any]:
        """The unit itself."""
        return self.brain.machine

    def tells(self, what: str, place: str | None = None) -> str:
        """What is known or found of ``what``.

        Raises:
            DefectError: neither the story nor the unit has it.
        """
        if what == "meter and load":
            return self._tools()
        if what in self.story:
            return self.story[what]
        if what not in self.looks:
            raise DefectError(f"The unit has nothing called '{what}' to look at.")
        return self.looks[what](self.brain, place or self.means.get("place", ""))

    def _tools(self) -> str:
        """What the meter on a battery and a load across it show: ``both good``, ``meter dead`` or ``load dead``."""
        if self.meter.lead_off or self.meter.in_amps_jack:
            return "meter dead"
        return "load dead" if self.machine.load_dead else "both good"


@dataclass(frozen=True)
class Arrival:
    """A kind of unit that comes in with a kind of complaint."""

    name: str
    """Its name, which a procedure gives in ``led_on``."""
    kinds: tuple[Kind, ...]
    """What can be wrong with it, as physics, whether a procedure names it or not."""
    largest: Made
    """A build that has every place which some unit of this kind has."""
    draw: Callable[[tuple[Kind, ...], Places, Random], Case]
    """A case with defects of these kinds at these places, all else drawn; no kinds: nothing is wrong any more."""

    def kind_named(self, name: str) -> Kind:
        """The kind of defect of that name.

        Raises:
            DefectError: there is none.
        """
        for kind in self.kinds:
            if kind.name == name:
                return kind
        raise DefectError(f"A unit of this kind has no defect called '{name}'.")

    def every_place(self, kind: Kind) -> Places:
        """Where a defect of this kind can sit on some unit."""
        return places_of(kind, self.largest)


def places_of(kind: Kind, build: Made) -> Places:
    """Where a defect of this kind can sit on a unit of this build."""
    return (None,) if kind.each is None else build.places(kind.each)


def draw_case(
    arrival: Arrival, wrong: tuple[tuple[str, str | None], ...], seed: int, meter_error: float = 0.0
) -> Case:
    """A case with these defects, by kind and place.

    Args:
        arrival: kind of unit and complaint.
        wrong: kinds of defects with the places they sit at; empty for a unit whose fault was of one day.
        seed: of everything drawn.
        meter_error: readings are off by up to this share.
    """
    rng = Random(seed)  # noqa: S311 - a simulation, not a secret
    kinds = tuple(arrival.kind_named(name) for name, _ in wrong)
    case = arrival.draw(kinds, tuple(place for _, place in wrong), rng)
    case.meter = Instrument(lead_ohms=rng.uniform(0.1, 0.3), error=rng.uniform(-meter_error, meter_error))
    return case
