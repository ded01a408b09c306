"""Between meanings: what the meter could show decides, the limits never do.

Limits only tell when an explicit yes is needed: a reading that would condemn a part, or one whose teen/ty twin would
be judged otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from assistant.messages import Expectation
from assistant.numerals.number_parser import Meaning, NumberSpan, points_left_out, span_of
from assistant.numerals.tokenizer import Item
from assistant.numerals.units import Unit, convert

_TEEN_TO_TEN = {13: 30, 14: 40, 15: 50, 16: 60, 17: 70, 18: 80, 19: 90}
_TEN_TO_TEEN = {tens: teen for teen, tens in _TEEN_TO_TEN.items()}
_SMALL_SPAN = 100
_NEAR = Decimal("0.05")
_MILLI = frozenset({"mV", "mA"})
_UP, _UP_TWICE, _DOWN = Decimal(1000), Decimal(1000000), Decimal("0.001")
_SHOWN_UP = (Decimal("0.1"), Decimal(1000))
_SHOWN_DOWN = (Decimal(1), Decimal(1000))
_SCALES = {
    "ohm": ((_UP, *_SHOWN_UP), (_UP_TWICE, *_SHOWN_UP)),
    "kohm": ((_UP, *_SHOWN_UP), (_DOWN, Decimal(100), Decimal(1000000))),
    "Mohm": ((_DOWN, Decimal(1), Decimal(100000)), (_DOWN * _DOWN, Decimal(100000), Decimal(100000000))),
    "V": ((_DOWN, *_SHOWN_DOWN),),
    "A": ((_DOWN, *_SHOWN_DOWN),),
    "mV": ((_UP, Decimal("0.01"), Decimal(100)),),
    "mA": ((_UP, Decimal("0.001"), Decimal(20)),),
}
"""Unit of a prompt -> factors to it from the other ranges of a meter, and the figures that such a range shows."""
_MILLIVOLT_DECIMALS = 1
"""Decimals of a hand-held meter's millivolt range (199.9, 400.0, 600.0): from memory, common practice, no source."""
_SYSTEM = (Decimal(9), Decimal(15))
"""Volts of a 12-volt system, cranking to charging: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Settled:
    """What a span of number words came down to."""

    values: tuple[Decimal, ...]
    """The meanings that compete, in the prompt's unit; one when it is clear."""
    why: str
    """'' clear; else why a yes is needed: ``odd``, ``unusual``, ``homophone``, ``repeat``, ``comma``."""


class Settler:
    """Decides between the meanings of number words at one prompt."""

    def __init__(self, expectation: Expectation, unit: Unit | None) -> None:
        self.expectation = expectation
        self.unit = unit
        self.span = expectation.span or (unit.span if unit else None)
        self.implied = bool(unit and unit.implied_point) or bool(self.span and self.span[1] <= _SMALL_SPAN)
        if unit and (unit.whole or unit.name == "32nds"):
            self.implied = False

    def settle(self, span: NumberSpan, said: Unit | None) -> Settled:
        """The competing values of number words, said with a unit or without."""
        by_inches = _in_inches(span, said or self.unit)
        found = [
            Meaning(self.bring(m.value, said), "" if by_inches and m.why == "unusual" else m.why)
            for m in span.meanings
        ]
        if said and said.factor != (self.unit.factor if self.unit else 1) and any(i.kind == "k" for i in span.items):
            found = [Meaning(stripped(m.value), m.why) for m in found]
        return self.weigh(found)

    def weigh(self, found: Sequence[Meaning]) -> Settled:
        """The competing values among meanings that are in the prompt's unit already."""
        plausible = [meaning for meaning in found if self.plausible(meaning.value)]
        if len(plausible) == 1:
            why = plausible[0].why
            return Settled((plausible[0].value,), "" if why == "implied" else why)
        if plausible:
            return Settled(tuple(meaning.value for meaning in plausible), "two_meanings")
        plain = [meaning for meaning in found if not meaning.why] or list(found)
        return Settled(tuple(meaning.value for meaning in plain), "odd" if len(plain) == 1 else "two_meanings")

    def fitting(self, said: Unit | None) -> Unit | None:
        """The unit that was said, None when it is of another dimension than the prompt's."""
        return said if said and self.unit and said.dimension == self.unit.dimension else None

    def bring(self, value: Decimal, said: Unit | None) -> Decimal:
        """A value in the prompt's unit."""
        return convert(value, said, self.unit) if said and self.unit else value

    def plausible(self, value: Decimal) -> bool:
        """Whether the meter could show this value here."""
        if self.span:
            low, high = self.span
            if self.unit and self.unit.signed:
                reach = max(abs(low), abs(high))
                low, high = min(low, -reach), reach
            if not low <= value <= high:
                return False
        if self.unit and self.unit.whole and value != int(value):
            return False
        resolution = self.expectation.resolution
        return not resolution or value % resolution == 0

    def other_scale(self, span: NumberSpan, value: Decimal) -> Decimal | None:
        """A bare figure as the meter could show it on its milli, kilo or mega range, where that is judged otherwise.

        Only where the figure as said is out of the limits and the other one is in them, or where a small figure of a
        milli unit is in them and a thousand times as much is not. '11.77' and '12.4' are volts: see
        ``_shown_in_volts``.
        """
        bare = span.unit is None and not any(item.kind == "k" for item in span.items) and value > 0
        if not bare or self.unit is None or (self.expectation.low is None and self.expectation.high is None):
            return None
        name = self.unit.name
        if self.side(value) == "inside" and self.plausible(value):
            risky = name in _MILLI and value < 1 and self.side(value * 1000) != "inside"
            return stripped(value * 1000) if risky else None
        if name == "V" and self.plausible(value) and _pointed(span) and _shown_in_volts(value):
            return None
        for factor, smallest, largest in _SCALES.get(name, ()):
            scaled = value * factor
            shown = self.unit.dimension == "resistance" or self.plausible(scaled)
            if smallest <= value < largest and shown and self.side(scaled) == "inside":
                return stripped(scaled)
        return None

    def side(self, value: Decimal) -> str:
        """Where a value lies, see ``side_of``."""
        return side_of(value, self.expectation)

    def near_limit(self, value: Decimal) -> bool:
        """Whether an approximate value is too near a limit to be used."""
        ends = (self.expectation.low, self.expectation.high)
        return any(end is not None and abs(value - end) <= max(abs(end) * _NEAR, Decimal(0)) for end in ends)

    def dangerous_twin(self, span: NumberSpan, said: Unit | None, value: Decimal) -> Decimal | None:
        """A teen/ty twin of the words that the meter could show and the limits would judge otherwise."""
        if self.expectation.low is None and self.expectation.high is None:
            return None
        side, implied = self.side(value), points_left_out(said, self.unit, self.implied)
        for words in twins(span.items):
            for twin in self.settle(span_of(words, said, implied=implied), said).values:
                if self.plausible(twin) and self.side(twin) != side:
                    return twin
        return None


def _in_inches(span: NumberSpan, unit: Unit | None) -> bool:
    """'One one eighth' is how a tape is read: the usual way to say one and one eighth, and of nothing but inches."""
    return (
        unit is not None
        and unit.name == "in"
        and any(item.kind == "F" and item.value in _OF_A_TAPE for item in span.items)
    )


_OF_A_TAPE = frozenset({2, 4, 8, 16, 32})


def side_of(value: Decimal, expectation: Expectation) -> str:
    """Where a value lies: 'low', 'inside', 'high'; always 'inside' without limits."""
    if expectation.low is not None and value < expectation.low:
        return "low"
    return "high" if expectation.high is not None and value > expectation.high else "inside"


def _pointed(span: NumberSpan) -> bool:
    """Whether its point was said or typed: 'one fifty' may be 1.50 volts or 150 millivolts."""
    return any(item.kind == "P" or "." in item.text for item in span.items)


def _shown_in_volts(value: Decimal) -> bool:
    """Whether a figure with a point is one of volts: hundredths, or tenths of what a 12-volt system shows."""
    exponent = value.as_tuple().exponent
    decimals = -exponent if isinstance(exponent, int) else 0
    return decimals > _MILLIVOLT_DECIMALS or (decimals > 0 and _SYSTEM[0] <= value <= _SYSTEM[1])


def stripped(value: Decimal) -> Decimal:
    """Without zeros at the end of its fraction."""
    return Decimal(format(value.normalize(), "f"))


def twins(run: Sequence[Item]) -> Iterable[list[Item]]:
    """Every run with one teen said as its ty twin, or the reverse."""
    for at, item in enumerate(run):
        follows = run[at + 1].kind if at + 1 < len(run) else ""
        if item.kind == "T" and item.value in _TEEN_TO_TEN and follows != "H":
            yield [*run[:at], item._replace(kind="Y", value=_TEEN_TO_TEN[item.value]), *run[at + 1 :]]
        elif item.kind == "Y" and item.value in _TEN_TO_TEEN and not (follows == "D" and run[at + 1].value):
            yield [*run[:at], item._replace(kind="T", value=_TEN_TO_TEEN[item.value]), *run[at + 1 :]]
