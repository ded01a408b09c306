"""The limits of a reading under the facts of the unit."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.diagnosis.conditions import known_facts, surely_holds
from assistant.messages import Limits
from assistant.procedure.base import PLACE
from assistant.procedure.model import Check, LimitSet


def limits_of(check: Check, facts: Mapping[str, str], place: str | None = None) -> Limits:
    """The limits of a reading as they are judged: the first set whose conditions surely hold, else the plain ones."""
    known = {**known_facts(facts), PLACE: place or ""}
    chosen = (row.limits for row in check.limits_when if surely_holds(row.when, known))
    given = next(chosen, None) or check.limits or LimitSet()
    usual = given.usual or (None, None)
    return Limits(
        given.low,
        given.high,
        ", ".join(part for part in (given.source, given.unverified) if part),
        usual[0],
        usual[1],
        given.over_range or "",
        given.copper,
        given.small_ohms,
    )
