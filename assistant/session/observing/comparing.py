"""Limits of a reading that is judged against another one of the same session, or after a repair.

Ports are judged against each other. What was mended is judged by what a healthy one reads: inside wide limits, yet
far from the usual, a splice with kilohms would pass for a good wire.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade, Limits, Why
from assistant.messages.decisions import CheckChosen, Observed
from assistant.numerals.readback import show_number
from assistant.phrasing import sentences
from assistant.phrasing.wording import at_place
from assistant.procedure.model import Check
from assistant.session.state import State

AROUND = Decimal("0.25")
"""Share around what is usual, or around a mate's reading, within which a mended part reads as a healthy one. Source:
chosen, a coil at 80 degrees Celsius reads 24 percent more."""


def limits_now(state: State, check: Check, place: str | None) -> Limits:
    """The check's limits, drawn closer around the reading that it is compared with once there is one."""
    limits = limits_of(check, state.facts, place)
    if check.compare is None and _after_work(state, check, place):
        limits = _healthy(state, check, place, limits)
    reference = _reference(state, check, place, limits)
    if check.compare is None or reference is None or reference.value is None:
        return limits
    within = Decimal(str(check.compare.within))
    low, high = (_as_read(abs(reference.value) * part, reference.value) for part in (1 - within, 1 + within))
    return replace(
        limits,
        low=None if limits.low is None else max(low, limits.low),
        high=None if limits.high is None else min(high, limits.high),
        usual_low=None,
        usual_high=None,
        closer=True,
        source=sentences.COMPARED_WITH.format(
            percent=f"{within * 100:.0f}", reading=at_place(reference.title, reference.place)
        ),
    )


def _after_work(state: State, check: Check, place: str | None) -> bool:
    """True while this reading is taken because something was mended."""
    action = state.action
    return (
        isinstance(action, CheckChosen)
        and (action.check, action.place) == (check.name, place)
        and action.because.why is Why.AFTER_WORK
    )


def _healthy(state: State, check: Check, place: str | None, limits: Limits) -> Limits:
    """The limits, drawn in to what a healthy one reads, where the check says what is usual.

    The usual window and a quarter more at both ends, for a warm coil and for what a meter may be off; where another
    place reads good, a quarter around that reading counts as well, for units that are made otherwise.
    """
    if limits.usual_low is None or limits.usual_high is None:
        return limits
    mates = {seen.place: seen.value for seen in state.observations if seen.check == check.name and _good(seen)}
    mates.pop(place, None)
    low = min([limits.usual_low, *(value for value in mates.values() if value is not None)]) * (1 - AROUND)
    high = max([limits.usual_high, *(value for value in mates.values() if value is not None)]) * (1 + AROUND)
    if limits.low is not None:
        low = max(low, limits.low)
    if limits.high is not None:
        high = min(high, limits.high)
    if (low, high) == (limits.low, limits.high) or low <= 0:
        return limits
    source = sentences.HEALTHY_NEAR.format(low=show_number(limits.usual_low), high=show_number(limits.usual_high))
    return replace(limits, low=low.normalize(), high=high.normalize(), source=source, closer=True)


def _good(seen: Observed) -> bool:
    return seen.verdict is not None and seen.verdict.grade is Grade.GOOD


def _as_read(limit: Decimal, value: Decimal) -> Decimal:
    """The limit to as many places as the reading it comes from: more would be read out and mean nothing."""
    exponent = value.as_tuple().exponent
    return limit.quantize(Decimal(1).scaleb(min(0, exponent))) if isinstance(exponent, int) else limit


def _reference(state: State, check: Check, place: str | None, limits: Limits) -> Observed | None:
    """The last reading that may serve: good by the plain limits, and none that this one replaces."""
    if check.compare is None:
        return None
    same = check.compare.check == check.name
    for seen in reversed(state.observations):
        if seen.check != check.compare.check or (seen.place == place) == same or seen.value is None:
            continue
        graded = seen.verdict is None or seen.verdict.grade is Grade.GOOD
        if graded and (limits.low is None or abs(seen.value) >= limits.low):
            return seen
    return None
