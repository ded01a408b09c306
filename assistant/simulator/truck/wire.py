"""Copper wire by gauge, length and temperature. Ohms, feet, degrees Celsius."""

from __future__ import annotations

import math

_COPPER = 1 / 58
"""Annealed copper at 20 C in ohm mm2/m: IEC 60028:1925."""
_ZERO = -234.5
"""Temperature in C at which copper's resistance would be 0: IEEE 112 and 118."""
_METERS_A_FOOT = 0.3048


def copper_at(ohms_at_20: float, celsius: float) -> float:
    """What a copper winding or wire of so many ohms at 20 C has at another temperature."""
    return ohms_at_20 * (celsius - _ZERO) / (20 - _ZERO)


def wire_ohms(gauge: int, feet: float, celsius: float = 20.0) -> float:
    """Ohms of a stranded copper wire: ASTM B258 diameters, and 2 percent for the lay of the strands.

    NEC chapter 9 table 8 (75 C, stranded, per 1000 feet): 8 AWG 0.778, 10 AWG 1.24, 12 AWG 1.98; within 1 percent.
    """
    inches = 0.005 * 92 ** ((36 - gauge) / 39)
    square_mm = math.pi / 4 * (25.4 * inches) ** 2
    return copper_at(1.02 * _COPPER * feet * _METERS_A_FOOT / square_mm, celsius)
