"""Readings that hold only while another reading is good: a pushrod stroke at the wrong air pressure says nothing.

A check names the others in ``under``. One that is out of its limits is put right before what hangs on it is read;
what is read all the same gets no verdict, and what was read before it turned out is read again. Nothing is
withheld that stands either way: a reading rises with what it is read under, so that one too high under too little is
too high.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade, Limits, Reason, Remark, RemarkKind, Verdict, Why, check_prompt
from assistant.messages.decisions import CheckChosen, ObservationWithdrawn, Observed, Skipped
from assistant.numerals.readback import show_value
from assistant.phrasing.sentences import NOT_READ
from assistant.phrasing.verdicts import remarked
from assistant.procedure.model import Check
from assistant.session.context import Context
from assistant.session.state import State


def read_under(context: Context, state: State, check: Check) -> dict[str, str]:
    """What a reading is taken under, as it was read before it, by the names of those checks."""
    return {
        name: show_value(one.value, one.unit or "")
        if (one := _standing(state, name)) is not None and one.value is not None
        else NOT_READ
        for name in _before(context, check)
    }


def withheld(context: Context, state: State, check: Check, limits: Limits, verdict: Verdict) -> Verdict:
    """The verdict, or none in its place where what it is read under was not read, or is out of its limits."""
    for name in _before(context, check):
        seen = _standing(state, name)
        if _good(seen) or (seen is not None and _stands(seen, verdict, limits.low is not None)):
            continue
        held = limits_of(context.check(name), state.facts, None)
        remark = Remark(RemarkKind.NOT_UNDER, held.low, held.high, context.check(name).unit or "")
        return replace(verdict, grade=Grade.TOO_CLOSE, probability_good=0.5, remarks=(*verdict.remarks, remark))
    return verdict


def is_withheld(seen: Observed) -> bool:
    """Whether a reading has no verdict because of what it was read under."""
    return seen.verdict is not None and remarked(seen.verdict, RemarkKind.NOT_UNDER)


def to_put_right(context: Context, state: State, unread: frozenset[str]) -> CheckChosen | None:
    """What is out of its limits and is put right before a check that is not read yet; None where it was passed by."""
    waiting = (check for check in context.procedure.checks if check.name in unread)
    for name in dict.fromkeys(one for check in waiting for one in check.under):
        seen = _standing(state, name)
        if seen is None or _good(seen) or _passed_since(state, seen):
            continue
        return CheckChosen(name, seen.place, context.check(name).minutes, Reason(Why.PUT_RIGHT))
    return None


def read_anew(context: Context, state: State, seen: Observed) -> tuple[ObservationWithdrawn, ...]:
    """What is read again because of a reading that others hang on; with it, where it came last, all they hang on."""
    held = {check.name: check for check in context.procedure.checks if seen.check in check.under}
    hanging = [one for one in state.observations if one.check in held and one.verdict is not None]
    if _good(seen):
        again = [one for one in hanging if is_withheld(one) and seen.check in _before(context, held[one.check])]
    else:
        low = {name: check.limits is not None and check.limits.low is not None for name, check in held.items()}
        again = [one for one in hanging if one.verdict is None or not _stands(seen, one.verdict, low[one.check])]
    because = Reason(Why.NOT_UNDER, {"check": seen.title})
    numbers = [one.number for one in again]
    if again and not _good(seen):
        first = {name for one in again for name in held[one.check].under if name != seen.check}
        if any(seen.check not in _before(context, held[one.check]) for one in again):
            numbers += [one.number for one in state.observations if one.check in first] + [seen.number]
    return tuple(ObservationWithdrawn(number, because) for number in numbers)


def _before(context: Context, check: Check) -> tuple[str, ...]:
    """Of what a check is read under, what comes before it in the procedure."""
    names = [one.name for one in context.procedure.checks]
    here = names.index(check.name)
    return tuple(name for name in check.under if names.index(name) < here)


def _standing(state: State, name: str) -> Observed | None:
    return next((one for one in reversed(state.observations) if one.check == name), None)


def _good(seen: Observed | None) -> bool:
    return seen is not None and seen.verdict is not None and seen.verdict.grade is Grade.GOOD


def _stands(seen: Observed, verdict: Verdict, has_low: bool) -> bool:
    """Whether a verdict stands although what it is read under is too low, or too high."""
    under = seen.verdict.grade if seen.verdict is not None else Grade.TOO_CLOSE
    if under is Grade.BAD_LOW:
        return verdict.grade is Grade.BAD_HIGH
    return under is Grade.BAD_HIGH and (verdict.grade is Grade.BAD_LOW if has_low else verdict.grade is Grade.GOOD)


def _passed_since(state: State, seen: Observed) -> bool:
    """Whether it was passed by after it was read."""
    prompt = check_prompt(seen.check, seen.place)
    since = state.work[state.work.index(seen) :]
    return any(isinstance(one, Skipped) and one.prompt == prompt for one in since)
