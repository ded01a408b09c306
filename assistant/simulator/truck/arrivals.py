"""Every kind of unit, with its complaint, that can come into the shop: one line for each."""

from __future__ import annotations

from assistant.errors import DefectError
from assistant.simulator.truck.case import Arrival
from assistant.simulator.truck.drums_off import DRUMS_OFF
from assistant.simulator.truck.light_on import LIGHT_ON
from assistant.simulator.truck.lighting.light_wrong import CIRCUIT_WEAK, LIGHT_WRONG, SEVEN_WAY_SURVEYED
from assistant.simulator.truck.never_lights import NEVER_LIGHTS
from assistant.simulator.truck.running.brakes import BRAKES
from assistant.simulator.truck.running.tires import TIRES
from assistant.simulator.truck.starting.arrival import STARTING
from assistant.simulator.truck.tractor.arrival import TRACTOR
from assistant.simulator.truck.train.arrival import TRAIN

_EVERY = (
    LIGHT_ON, NEVER_LIGHTS, LIGHT_WRONG, CIRCUIT_WEAK, SEVEN_WAY_SURVEYED, DRUMS_OFF,
    STARTING, TRAIN,
    BRAKES, TIRES, TRACTOR,
)  # fmt: skip
ARRIVALS = {one.name: one for one in _EVERY}
"""By name; a procedure gives the name in ``led_on``."""


def arrival_named(name: str) -> Arrival:
    """The kind of unit of that name.

    Raises:
        DefectError: there is none.
    """
    if name not in ARRIVALS:
        raise DefectError(f"No unit of the kind '{name}' can come in.")
    return ARRIVALS[name]
