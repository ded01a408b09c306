"""A lead-acid battery by charge and temperature: volts at rest, ohms inside. Volts, ohms, amps, degrees Celsius."""

from __future__ import annotations

import math

FLOODED, AGM = "flooded", "AGM"
_FULL_TO_EMPTY = {
    # general industry table at 80 F: 100, 75, 50, 25 and 0 percent
    FLOODED: (12.65, 12.45, 12.24, 12.06, 11.89),
    # absorbed glass mat: from memory; it differs by maker
    AGM: (12.85, 12.65, 12.40, 12.15, 11.90),
}
_TABLE_CELSIUS = 26.7
_VOLTS_A_DEGREE = 0.024 * 9 / 50
"""0.024 volt for every 10 F: the same table."""
_COLD = -17.8
"""0 F, at which cold cranking amps are stated."""
_COLD_VOLTS = 7.2
"""Volts that a battery still holds after 30 seconds of its cold cranking amps (SAE J537, from memory)."""
_WARM_SHARE = 0.65
"""Inner ohms at 70 F as a share of those at 0 F: from memory."""
_FLAT_TIMES = 6.0
"""Inner ohms of a flat battery above those of a full one: from memory."""
CELL = 2.1
"""Volts of one cell: a shorted one is missing."""


def rest_volts(charge: float, celsius: float, kind: str = FLOODED) -> float:
    """Volts of a rested battery.

    Args:
        charge: 0 to 1.
        celsius: of the battery itself.
        kind: ``flooded`` or ``AGM``.
    """
    table = _FULL_TO_EMPTY[kind][::-1]
    at = min(max(charge, 0.0), 1.0) * 4
    low = min(int(at), 3)
    volts = table[low] + (at - low) * (table[low + 1] - table[low])
    return volts + _VOLTS_A_DEGREE * (celsius - _TABLE_CELSIUS)


def inner_ohms(cold_cranking_amps: float, charge: float, celsius: float) -> float:
    """Ohms inside under a heavy load of some seconds."""
    cold = (rest_volts(1.0, _COLD) - _COLD_VOLTS) / cold_cranking_amps
    warmth = math.exp(math.log(_WARM_SHARE) * (celsius - _COLD) / (21.1 - _COLD))
    return cold * warmth * (1 + _FLAT_TIMES * (1 - min(max(charge, 0.0), 1.0)) ** 3)


def charging_ohms(charge: float) -> float:
    """Ohms with which it takes current after five minutes of charging: the fuller, the less it takes. From memory."""
    return 0.06 / (1.05 - min(max(charge, 0.0), 1.0))
