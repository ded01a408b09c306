"""What a truck's starting and charging are built with. Every figure names where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from assistant.simulator.truck.starting.battery import FLOODED

BATTERIES = ("first battery", "second battery", "third battery", "fourth battery")
WARM, FREEZING, ZERO = 21.0, 0.0, -17.8
"""70, 32 and 0 F."""
THICKER_OIL = {WARM: 1.0, FREEZING: 1.2, ZERO: 1.45}
"""Torque that an engine asks, beside that at 70 F: from memory."""

CABLE = -3
"""4/0 AWG in the numbers of ASTM B258."""
SIDE_BY_SIDE = 2
"""Cables side by side to the starter: common practice on 12 volt trucks, no source."""
POWER_FEET, GROUND_FEET, CHARGING_FEET, JUMPER_FEET = 7.0, 4.5, 8.0, 1.0
"""Lengths: from memory."""
CHARGING_GAUGE = 0
"""1/0 AWG: from memory."""
JOINT = 0.00002
"""Ohms of one clean post or stud: common practice, no source."""

STARTER_OHMS = 0.0035
"""Ohms of a 12 volt starter for a large diesel, standing still: from memory."""
DRAG_SHARE = 0.6
"""Share of the cranking torque that does not grow with the speed: from memory."""
USUAL_SPEED_VOLTS = 8.75
"""Volts that the turning starter makes against the battery at its usual speed: 11.2 volts less its own drop."""
SOLENOID_OHMS, PULLS_IN = 0.6, 7.0
"""The starter's solenoid, and volts at its terminal from which it pulls in: from memory."""

SET_VOLTS, SET_CELSIUS, SET_A_DEGREE = 14.3, 25.0, -0.008
"""Volts that the regulator holds, and how they follow the temperature: common practice, no source."""
ALTERNATOR_OHMS = 0.003
"""How much the regulator lets the volts fall with the load: from memory."""
FAST_IDLE_SHARE = 0.8
"""Share of its rated amps that an alternator gives at fast idle, warm: from memory."""

KEY_AMPS, LAMP_AMPS, BLOWER_AMPS, ENGINE_AMPS = 3.0, 13.0, 15.0, 12.0
"""Amps at 12.8 volts of the ignition's loads, of headlamps and markers, the blower and the running engine."""
AWAKE_AMPS = 4.0
"""Amps that the modules draw until they sleep: from memory."""
LOAD_VOLTS = 12.8


@dataclass(frozen=True, slots=True)
class StartingBuild:
    """One truck."""

    count: int = 4
    """Batteries, side by side."""
    kind: str = FLOODED
    """``flooded`` or ``AGM``."""
    cranking_amps: float = 800.0
    """Cold cranking amps of each battery, at 0 F."""
    engine_amps: float = 700.0
    """Amps that the starter draws at 70 F."""
    celsius: float = WARM
    """Of the batteries and the engine."""
    alternator_amps: float = 160.0
    """Rated."""
    sleeping_amps: float = 0.04
    """Key-off draw of the modules asleep, radio and tracker: common practice, 20 to 60 milliamps."""

    @property
    def batteries(self) -> tuple[str, ...]:
        """Its batteries."""
        return BATTERIES[: self.count]

    def places(self, group: str) -> tuple[str, ...]:
        """Its batteries."""
        return self.batteries if group == "battery" else ()

    @property
    def torque(self) -> float:
        """How much harder the engine turns than at 70 F."""
        points = sorted(THICKER_OIL.items())
        for (cold, more), (warm, less) in pairwise(points):
            if self.celsius <= warm:
                return more + (less - more) * max(0.0, self.celsius - cold) / (warm - cold)
        return 1.0
