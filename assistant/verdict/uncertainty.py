"""How far a meter's reading may be off.

A meter's accuracy is written '± (p % of reading + n counts)', one count being the value of the last digit. That gives
a half-width ``a`` within which the true value lies with equal chance everywhere (a rectangular distribution), so the
standard uncertainty is ``a / sqrt(3)`` (JCGM 100, 4.3.7) and the expanded one, U, twice that.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, localcontext

from assistant.errors import OperatorError

DIGITS = 28
"""Working precision, in digits, of every computation in this room."""

_ACCURACY = re.compile(
    r"""(?: (?P<percent> \d+(?:\.\d*)? | \.\d+ ) \s* (?:%|percent) (?:\s* (?:of\s+)? (?:reading|rdg))? )?
        (?: \s* (?P<plus> \+)? \s* (?P<counts> \d+(?:\.\d*)? | \.\d+ )
            \s* (?P<word> counts? | dgts?\.? | digits? | d | lsd)? )?""",
    re.VERBOSE | re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """What a meter's maker states for one range."""

    percent: Decimal
    """Share of the reading, in percent."""
    counts: Decimal
    """Number of last-digit steps."""
    resolution: Decimal | None = None
    """Value of the last digit, in the reading's unit; None: taken from the digits of the reading itself."""

    def half_width(self, value: Decimal) -> Decimal:
        """Half-width ``a`` of the interval that holds the true value, in the reading's unit."""
        with localcontext(prec=DIGITS):
            step = self.resolution if self.resolution is not None else last_digit(value)
            return abs(value) * self.percent / 100 + self.counts * step

    def standard(self, value: Decimal) -> Decimal:
        """Standard uncertainty ``u = a / sqrt(3)``, in the reading's unit."""
        with localcontext(prec=DIGITS):
            return self.half_width(value) / Decimal(3).sqrt()

    def expanded(self, value: Decimal) -> Decimal:
        """Expanded uncertainty ``U = 2 u``, in the reading's unit."""
        with localcontext(prec=DIGITS):
            return 2 * self.standard(value)

    def __str__(self) -> str:
        counts = f" + {self.counts.normalize():f} counts" if self.counts else ""
        return f"± ({self.percent.normalize():f} %{counts})" if counts else f"± {self.percent.normalize():f} %"


def last_digit(value: Decimal) -> Decimal:
    """Value of the last digit as written: 0.01 for 9.62, 1 for 2980."""
    exponent = value.as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)


def parse_accuracy(text: str, resolution: Decimal | None = None) -> Accuracy:
    """Read a stated accuracy: ``0.8%+2``, ``±(0.8 % + 2)``, ``0.8% + 2 dgt``, ``0.5%``, ``3 counts``.

    Raises:
        OperatorError: it does not have that form.
    """
    core = text.strip().replace("+/-", "±").replace("+-", "±").removeprefix("±").strip()
    if core.startswith("(") and core.endswith(")"):
        core = core[1:-1].strip()
    match = _ACCURACY.fullmatch(core)
    wrong = OperatorError(
        f"'{text}' is not an accuracy.",
        remedy="Write percent of reading plus counts of the last digit, such as 0.8%+2 or 0.5%.",
    )
    if match is None or not core:
        raise wrong
    percent, counts = match["percent"], match["counts"]
    if counts and ((percent and not match["plus"]) or (not percent and (match["plus"] or not match["word"]))):
        raise wrong
    if percent and Decimal(percent) > 100:
        raise OperatorError(f"'{text}' states more than 100 percent of the reading.", remedy="Check the figure.")
    return Accuracy(Decimal(percent or 0), Decimal(counts or 0), resolution)


def rounded(uncertainty: Decimal, figures: int = 2) -> Decimal:
    """An uncertainty to so many significant figures (two is usual, JCGM 100 7.2.6), in plain notation."""
    if not uncertainty:
        return Decimal(0)
    with localcontext(prec=figures):
        short = +uncertainty
    return Decimal(f"{short:f}")
