"""Vehicle identification numbers, so that one that was misheard or mistyped is asked for again.

Seventeen characters without I, O and Q, the ninth a check digit: 49 CFR 565.15, from memory, for vehicles made for
North America since 1981; vehicles made elsewhere need not have the check digit.
"""

from __future__ import annotations

LENGTH = 17
_VALUES = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
"""Character to its value; I, O and Q have none."""
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_CHECK_AT = 8


def well_formed(vin: str) -> bool:
    """Whether it has as many characters as it must, and none that it cannot have."""
    return len(vin) == LENGTH and all(mark in _VALUES for mark in vin)


def check_digit_fits(vin: str) -> bool:
    """Whether the ninth character is the remainder of the weighted sum by 11, X standing for ten."""
    if not well_formed(vin):
        return False
    rest = sum(_VALUES[mark] * weight for mark, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return vin[_CHECK_AT] == ("X" if rest == 10 else str(rest))
