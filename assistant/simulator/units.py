"""Drawing units: facts that fit a fault, outcomes that its checks show, and readings that fit an outcome.

Everything is drawn from a ``random.Random`` that the caller seeds, so that the same seed gives the same unit.
"""

from __future__ import annotations

import math
from decimal import Decimal
from random import Random

from assistant.diagnosis.conditions import UNSURE, may_hold
from assistant.diagnosis.fault_model import Suspect, Task, fault_model
from assistant.diagnosis.likelihood import Floats
from assistant.diagnosis.prior import times_of
from assistant.errors import DefectError
from assistant.messages import Expectation
from assistant.procedure.model import Check, Option, Procedure, Question

COUNTS = 2000
"""A meter of 2000 counts: the common low-cost kind, from memory."""
MARKS = {"32nds": Decimal(1), "in": Decimal("0.0625")}
"""What is read off a gauge or a rule goes by its marks: whole thirty-seconds, sixteenths of an inch."""
NEAR = 0.25
"""Share of readings drawn close to a limit."""


def done(expectation: Expectation) -> str:
    """That work is done, in the first way where it can be done in several."""
    return expectation.choices[0].name if expectation.choices else "next"


def draw_facts(procedure: Procedure, suspect: Suspect, rng: Random, unsure: float = 0.0) -> dict[str, str]:
    """Facts of a unit on which this suspect can be real, more often those that make it likelier.

    Args:
        procedure: where the facts are asked.
        suspect: the fault at its place.
        rng: seeded by the caller.
        unsure: chance that a fact which may be unsure is answered so.

    Raises:
        DefectError: no facts were found on which the suspect exists.
    """
    fault = next(fault for fault in procedure.faults if fault.name == suspect.fault)
    for _ in range(200):
        facts: dict[str, str] = {}
        for question in procedure.facts:
            if not question.choices or not may_hold(question.when, facts):
                continue
            times = times_of(question, fault, facts)
            options = _fitting(question)
            weights = [times[option.name] * option.share for option in options]
            value = rng.choices(options, weights)[0].name
            facts[question.name] = UNSURE if question.unsure and rng.random() < unsure else value
        if suspect in fault_model(procedure, facts).suspect_index:
            return facts
    raise DefectError(f"No facts of '{procedure.name}' let '{suspect.fault}' be real at {suspect.place}.")


def draw_survey(procedure: Procedure, rng: Random) -> tuple[dict[str, str], Task, str]:
    """Facts of a unit to survey, one check of it that is not good, and what that one shows.

    Raises:
        DefectError: nothing of the survey can be anything but good.
    """
    facts: dict[str, str] = {}
    for question in procedure.facts:
        if question.choices and may_hold(question.when, facts):
            facts[question.name] = rng.choice(_fitting(question)).name
    seen = fault_model(procedure, facts)
    bad = [(task, name) for task in seen.tasks for name in _bad_outcomes(seen.checks[task.check])]
    if not bad:
        raise DefectError(f"Nothing of '{procedure.name}' can be bad.")
    task, outcome = rng.choice(bad)
    return facts, task, outcome


def _fitting(question: Question) -> list[Option]:
    """Answers on which the procedure fits the unit."""
    return [option for option in question.choices if option.name not in question.declines]


def _bad_outcomes(check: Check) -> tuple[str, ...]:
    if check.kind == "choice":
        return tuple(option.name for option in check.choices if option.name != check.otherwise)
    limits = check.limits
    sides = () if limits is None else (("low", limits.low), ("high", limits.high))
    return tuple(name for name, value in sides if value is not None)


def draw_outcome(outcomes: tuple[str, ...], chances: Floats, slip: float, rng: Random) -> str:
    """One outcome; with chance ``slip`` any of the others."""
    return draw_slip(outcomes, rng.choices(outcomes, [float(chance) for chance in chances])[0], slip, rng)


def draw_slip(outcomes: tuple[str, ...], shown: str, slip: float, rng: Random) -> str:
    """What is read off where ``shown`` is to be seen: with chance ``slip`` any of the others."""
    others = [name for name in outcomes if name != shown]
    return rng.choice(others) if others and rng.random() < slip else shown


def draw_value(check: Check, outcome: str, rng: Random) -> Decimal:
    """A reading that shows ``good``, ``low`` or ``high``, in the check's unit, a quarter of them near a limit.

    Good readings away from a limit lie in what the check calls typical, else in its usual window. Where only one
    side has a limit, what is typical bounds the other: a power wire never reads thirty volts.
    """
    limits, mark = check.limits, MARKS.get(check.unit or "")
    span_low, span_high = (float(end) for end in check.span) if check.span else (0.0, 1000.0)
    low = float(limits.low) if limits is not None and limits.low is not None else span_low
    high = float(limits.high) if limits is not None and limits.high is not None else span_high
    near = rng.random() < NEAR
    if outcome == "low":
        bottom = min(max(span_low, 0.0) if low > 0 else span_low, low)
        width = low - bottom
        value = low - width * (rng.uniform(0.02, 0.08) if near else rng.uniform(0.3, 1.0))
        return _rounded(value, low, down=True, mark=mark)
    if outcome == "high":
        top = max(span_high, high)
        width = min(top - high, abs(high)) or top - high
        value = high + width * (rng.uniform(0.02, 0.08) if near else rng.uniform(0.3, 1.0))
        return _rounded(value, high, up=True, mark=mark)
    if check.typical is not None:
        low = low if limits is not None and limits.low is not None else float(check.typical[0])
        high = high if limits is not None and limits.high is not None else float(check.typical[1])
    window = check.typical or (limits.usual if limits is not None else None)
    if window is not None and not near:
        low, high = (float(end) for end in window)
    width = high - low
    if near:
        share = rng.uniform(0.01, 0.06)
        return _rounded(low + width * (share if rng.random() < 0.5 else 1 - share), low, mark=mark)
    return _rounded(low + width * rng.uniform(0.15, 0.85), low, mark=mark)


def draw_ends(check: Check, rng: Random) -> tuple[Decimal, Decimal]:
    """Lowest and highest of a reading that wanders: around its limit, and never beyond what the meter could show."""
    limits = check.limits
    bottom, top = (float(end) for end in check.span) if check.span else (0.0, 1000.0)
    bounds = [] if limits is None else [float(one) for one in (limits.low, limits.high) if one is not None]
    around = (bounds[0] if bounds else 0.0) or top / 3
    low = max(bottom, around * rng.uniform(0.05, 0.5))
    high = min(top, (bounds[-1] if bounds else top / 2) * rng.uniform(1.1, 2.5))
    return _rounded(low, 0.0), _rounded(max(high, low), low, up=True)


def with_meter(value: Decimal, error: float, rng: Random, unit: str | None = None) -> Decimal:
    """What a meter shows whose error is spread evenly within plus or minus ``error`` (a share of the reading).

    What is read by its marks has no such error: a value off by less than half a mark reads the same.
    """
    if error <= 0 or unit in MARKS:
        return value
    return _rounded(float(value) * (1 + rng.uniform(-error, error)), 0.0)


def _rounded(
    value: float, limit: float, *, down: bool = False, up: bool = False, mark: Decimal | None = None
) -> Decimal:
    """To the meter's last digit, or to a mark; ``down`` or ``up`` keeps it on its side of a limit."""
    size = max(abs(value), 1e-9)
    digits = math.ceil(math.log10(size / COUNTS))
    step = mark or Decimal(1).scaleb(max(digits, -3))
    number = (Decimal(repr(value)) / step).to_integral_value() * step
    if down and number >= Decimal(repr(limit)):
        number -= step
    if up and number <= Decimal(repr(limit)):
        number += step
    if mark is not None:
        return number
    return number.quantize(step) if step < 1 else number.quantize(Decimal(1))
