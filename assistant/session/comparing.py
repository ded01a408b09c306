"""Limits of a reading that is judged against another one of the same session: ports against each other."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade, Limits
from assistant.messages.decisions import Observed
from assistant.phrasing.wording import at_place
from assistant.procedure.model import Check
from assistant.session.state import State


def limits_now(state: State, check: Check, place: str | None) -> Limits:
    """The check's limits, drawn closer around the reading that it is compared with once there is one."""
    limits = limits_of(check, state.facts, place)
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
        source=f"within {within * 100:.0f} % of {at_place(reference.title, reference.place)}",
    )


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
