"""From an answer at a check to an observation: judged, with its conditions, limits and meter."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal, InvalidOperation

from assistant.messages import Grade, Limits, Outcome, Remark, RemarkKind, Say, Understanding, Verdict
from assistant.messages.decisions import Observed
from assistant.phrasing.lengths import KNOWN
from assistant.phrasing.verdicts import graded, remark_of, remarked
from assistant.phrasing.wording import at_place, first_up
from assistant.procedure.model import Check
from assistant.session.agenda.next_action import to_prove
from assistant.session.context import Context
from assistant.session.fold import AIR_TEMPERATURE, COIL_TEMPERATURE, LEAD_OHMS, State
from assistant.session.holding import read_under, withheld
from assistant.session.observing.comparing import limits_now
from assistant.session.observing.conditions import is_ac
from assistant.verdict.judge import judge, judge_display
from assistant.verdict.uncertainty import accuracy_unnamed

NEAR = Decimal("0.05")
"""An 'about' within this share of a limit is asked for exactly; common practice, no source."""
_OUTCOMES = {Grade.GOOD: "good", Grade.BAD_LOW: "low", Grade.BAD_HIGH: "high"}
_DISPLAYS = {Outcome.OVER_RANGE: "over_range", Outcome.UNSTEADY: "unsteady"}
CLOSE_TO_LIMIT = Decimal("0.25")
"""Within this share of a limit the missing temperature of a winding matters: 80 degrees Celsius add 24 percent."""
SELF_MADE = "perhaps self-made by"
"""Condition of a code that appeared after something that can set codes; such a code says half as much."""


def number_fact(state: State, name: str) -> Decimal | None:
    """A fact as a number, None when it is not known or no number."""
    try:
        value = Decimal(state.facts.get(name, ""))
    except InvalidOperation:
        return None
    return value if value.is_finite() else None


def coil_celsius(state: State) -> Decimal | None:
    """Temperature of the winding in degrees Celsius, from its fact in degrees Fahrenheit."""
    fahrenheit = number_fact(state, COIL_TEMPERATURE)
    return None if fahrenheit is None else (fahrenheit - 32) * 5 / 9


def verdict_of(context: Context, state: State, check: Check, place: str | None, meant: Understanding) -> Verdict:
    """Judge a reading or a special display at a check."""
    limits, unit = limits_now(state, check, place), check.unit or ""
    display = _DISPLAYS.get(meant.outcome)
    if display is not None or meant.value is None:
        return judge_display(display or "nothing", limits, unit, low_end=meant.low_end, high_end=meant.high_end)
    lead = number_fact(state, LEAD_OHMS)
    coil = coil_celsius(state)
    ac, meter = is_ac(check), context.meter
    verdict = judge(
        meant.value,
        unit,
        limits,
        accuracy_unnamed(unit, ac=ac) if meter is None else meter.accuracy_for(unit, meant.value, ac=ac),
        coil_celsius=coil,
        lead_ohms=lead if lead is not None and lead >= 0 else None,
        approximate=meant.approximate,
    )
    verdict = withheld(context, state, check, limits, verdict)
    if limits.copper and coil is None:
        return replace(verdict, remarks=(*verdict.remarks, Remark(RemarkKind.NOT_CORRECTED)))
    return verdict


def near_limit(limits: Limits, value: Decimal) -> bool:
    """True when a rounded value lies so close to a limit that the exact figure matters."""
    return _within(limits.low, limits.high, value, NEAR)


def _within(low: Decimal | None, high: Decimal | None, value: Decimal, share: Decimal) -> bool:
    return any(abs(value - edge) <= abs(edge) * share for edge in (low, high) if edge is not None)


def weights_of(limits: Limits, meant: Understanding, verdict: Verdict | None) -> dict[str, float]:
    """Outcome to probability: one of 1, or two when it is too close to call."""
    if meant.choice is not None:
        return {meant.choice: 1.0}
    display = _DISPLAYS.get(meant.outcome)
    if display is not None or verdict is None or meant.value is None:
        return {display or "unsteady": 1.0}
    if verdict.grade in _OUTCOMES:
        return {_OUTCOMES[verdict.grade]: 1.0}
    good = min(1.0, max(0.0, verdict.probability_good))
    side = _nearer_side(limits, verdict.corrected if verdict.corrected is not None else meant.value)
    return {"good": good, side: 1.0 - good} if 0.0 < good < 1.0 else {"good" if good else side: 1.0}


def _nearer_side(limits: Limits, value: Decimal) -> str:
    if limits.low is None:
        return "high"
    if limits.high is None:
        return "low"
    return "low" if abs(value - limits.low) <= abs(value - limits.high) else "high"


def self_made(context: Context, state: State, check: Check, meant: Understanding) -> str:
    """The check since the last proof that may itself have set the code read now, '' when none did."""
    if not check.reads_codes or meant.choice in (None, check.otherwise):
        return ""
    for seen in reversed(state.observations):
        done = context.check(seen.check)
        spun = done.conditions.get("key") == "on" and "pace" in done.conditions
        if seen in state.since_proof() and (done.may_set_codes or spun):
            return at_place(seen.title, seen.place)
    return ""


def observed(
    context: Context, state: State, check: Check, place: str | None, meant: Understanding, verdict: Verdict | None
) -> Observed:
    """The observation that an answer makes."""
    limits = limits_now(state, check, place)
    conditions = dict(check.conditions)
    reading = check.kind == "reading"
    if reading and AIR_TEMPERATURE in state.facts:
        conditions[AIR_TEMPERATURE] = f"{state.facts[AIR_TEMPERATURE]} degrees Fahrenheit"
    conditions |= read_under(context, state, check)
    made = self_made(context, state, check, meant)
    if made:
        conditions[SELF_MADE] = made
    weighed, counted = verdict, meant
    if verdict is not None and verdict.grade is Grade.TOO_CLOSE and meant.value is not None and meant.value < 0:
        # Swapped leads turn only the sign: the size of the reading is what counts, and it never passes by its sign.
        counted = replace(meant, value=-meant.value)
        weighed = verdict_of(context, state, check, place, counted)
        verdict = replace(weighed, remarks=(Remark(RemarkKind.BY_SIZE), *weighed.remarks))
    return Observed(
        number=state.count + 1,
        check=check.name,
        place=place,
        title=check.title,
        weights=weights_of(limits, counted, weighed) if not made else {str(meant.choice): 0.5, check.otherwise: 0.5},
        heard=meant.heard,
        value=meant.value if meant.outcome is Outcome.READING else None,
        unit=check.unit,
        display=_DISPLAYS.get(meant.outcome, "") if reading else "",
        low_end=meant.low_end,
        high_end=meant.high_end,
        choice=meant.choice,
        approximate=meant.approximate,
        verdict=verdict,
        limit_low=limits.low,
        limit_high=limits.high,
        limit_source=limits.source,
        conditions=conditions or None,
        meter=context.meter.title if reading and context.meter is not None else "",
        proof=bool(to_prove(context, state)),
    )


_IN_ONE = {
    "verdict_limits": "reading_limits",
    "verdict": "reading",
    "verdict_none": "reading_none",
}
"""Phrase of a verdict to the phrase of a reading with its verdict."""
_OVER = {"verdict_limits": "over_range_limits", "verdict": "over_range_verdict"}
"""The same for a display that is over range."""


_SHAKEN = "shaken"
"""Condition of a wire that is moved while it is measured."""
NAMES_IT = frozenset(
    {
        "is_it", "is_it_value", "is_it_here", "is_it_there", "is_it_over_range", "negative", "counted", "would_be",
        "condemns_value", "condemns_over_range", "condemns_choice",
    }
)  # fmt: skip
"""Questions that name the answer which they ask about."""


def read_back(
    before: tuple[Observed, ...], seen: Observed, *, closer: bool = False, named: str = ""
) -> tuple[Say, ...]:
    """The reading, digit by digit, and its verdict, in one short sentence; the limits where they are new, or missed.

    ``before`` are the earlier observations: limits that were said for this check and a remark that holds for the
    whole session are spoken once. ``closer`` says that its limits are tighter than the check's own. ``named`` is the
    phrase of the question that read it back already and got a yes: then only the verdict is left to say.
    """
    if seen.choice is not None:
        made = (seen.conditions or {}).get(SELF_MADE)
        doubt = (Say("self_made", {"text": made}),) if made else ()
        told = () if named in NAMES_IT else (Say("choice_logged", {"text": seen.choice}),)
        return (*told, *doubt)
    verdict = seen.verdict
    shown = say_value(seen.value, seen.unit, seen.display, seen.low_end, seen.high_end)
    if verdict is None:
        return (shown,)
    judged = say_verdict(before, seen, verdict)
    says = [shown, judged]
    if seen.value is not None and verdict.corrected is not None and verdict.corrected != seen.value:
        value = verdict.corrected.quantize(_step(seen.value))
        says = [Say("corrected", {"value": seen.value, "corrected": value, "unit": seen.unit}), judged]
    elif named in NAMES_IT:
        # 'that means a bad part' leaves nothing to say but limits that are not said yet
        says = [] if named.startswith("condemns") and judged.key == "verdict" else [judged]
    elif seen.value is not None:
        known = {KNOWN: 1} if verdict.grade is Grade.GOOD else {}
        says = [Say(_IN_ONE[judged.key], {**judged.slots, "value": seen.value, **known})]
    elif seen.display == "over_range" and judged.key in _OVER:
        says = [Say(_OVER[judged.key], judged.slots)]
    if closer and verdict.grade is not Grade.GOOD:
        says.append(Say("tighter_because", {"text": seen.limit_source}))
    elif closer and _moved(before, seen):
        says.append(Say("limits_moved", {"text": seen.limit_source}))
    remark = _spoken_remark(before, seen, verdict)
    if remark:
        says.append(Say("remark", {"text": remark}))
    return tuple(says)


def _moved(before: tuple[Observed, ...], seen: Observed) -> bool:
    """True when this check was read by other limits before, and these are said for the first time."""
    earlier = [(one.limit_low, one.limit_high) for one in before if one.check == seen.check]
    return bool(earlier) and (seen.limit_low, seen.limit_high) not in earlier


def _spoken_remark(before: tuple[Observed, ...], seen: Observed, verdict: Verdict) -> str:
    """The remark without what was already said in this session and makes no difference here."""
    said = any(one.verdict is not None and remarked(one.verdict, RemarkKind.NOT_CORRECTED) for one in before)
    value = seen.value
    if before and _same_again(before[-1], seen) and before[-1].verdict is not None:
        known = {one.name for one in before[-1].verdict.remarks if (one.low, one.high) == (None, None)}
        known -= {RemarkKind.NOT_CORRECTED}
        verdict = replace(verdict, remarks=tuple(one for one in verdict.remarks if one.name not in known))
    near = value is not None and _within(seen.limit_low, seen.limit_high, value, CLOSE_TO_LIMIT)
    if _SHAKEN in (seen.conditions or {}).get("wire", ""):
        # the wires were moved for it, as the check asks: the remark would only ask for the same
        verdict = replace(
            verdict, remarks=tuple(one for one in verdict.remarks if one.name is not RemarkKind.HOLD_FIRMLY)
        )
    if said and not near:
        verdict = replace(
            verdict, remarks=tuple(one for one in verdict.remarks if one.name is not RemarkKind.NOT_CORRECTED)
        )
    return remark_of(verdict)


def _step(value: Decimal) -> Decimal:
    exponent = value.as_tuple().exponent
    return Decimal(1).scaleb(min(0, exponent if isinstance(exponent, int) else 0))


def say_value(
    value: Decimal | None, unit: str | None, display: str, low: Decimal | None, high: Decimal | None
) -> Say:
    """What the meter showed."""
    if value is not None:
        return Say("read_back", {"value": value, "unit": unit})
    if display == "over_range":
        return Say("over_range")
    if low is not None and high is not None:
        return Say("unsteady_between", {"low": low, "high": high, "unit": unit})
    return Say("unsteady")


def say_verdict(before: tuple[Observed, ...], seen: Observed, verdict: Verdict) -> Say:
    """The verdict in a few words, with the limits unless it is good and they were said before."""
    word = first_up(graded(seen))
    slots = {"word": word, "low": seen.limit_low, "high": seen.limit_high, "unit": seen.unit}
    good = verdict.grade is Grade.GOOD
    if seen.limit_low is None and seen.limit_high is None:
        return Say("verdict_none" if good and seen.value is not None else "verdict", slots)
    limits = (seen.check, seen.limit_low, seen.limit_high)
    known = any((one.check, one.limit_low, one.limit_high) == limits for one in before)
    just_said = bool(before) and _same_again(before[-1], seen)
    return Say("verdict" if (good and known) or just_said else "verdict_limits", slots)


def _same_again(last: Observed, seen: Observed) -> bool:
    """True when the reading before this one was the same check here, by the same limits, with no repair in between:
    its words were just said."""
    if seen.proof != last.proof:
        return False
    what = (last.check, last.place, last.limit_low, last.limit_high)
    return what == (seen.check, seen.place, seen.limit_low, seen.limit_high)
