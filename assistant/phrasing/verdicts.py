"""A verdict in a word, and in sentences: the value, the limits, the uncertainty, and what is odd about it."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from assistant.messages import Basis, Grade, Remark, RemarkKind, Verdict
from assistant.messages.decisions import Observed
from assistant.numerals.readback import show_value
from assistant.phrasing.sentences import FAULT, GRADES, REMARKS
from assistant.phrasing.wording import limits
from assistant.verdict.uncertainty import DIGITS, last_digit, rounded

SHAPES = {"good": "\N{BLACK CIRCLE}", "bad": "\N{BLACK SQUARE}", "close": "\N{BLACK UP-POINTING TRIANGLE}"}
"""The shape beside each color, as the page draws it: a verdict is never told by color alone."""
_MARKS = {Grade.GOOD: "good", Grade.BAD_LOW: "bad", Grade.BAD_HIGH: "bad", Grade.TOO_CLOSE: "close"}

_MARKS_OF_WORDS = {
    FAULT: "bad",
    **{
        word: "good" if name == "good" else "bad" if name.startswith("bad") else "close"
        for name, word in GRADES.items()
    },
}


def verdict_word(grade: Grade, *, display: bool = False) -> str:
    """A verdict in a word or two; a display without a number is neither high nor low."""
    return GRADES[f"{_MARKS[grade]}_display" if display and grade is not Grade.GOOD else grade.value]


def graded(seen: Observed) -> str:
    """The verdict on a reading, '' for a choice without one."""
    if seen.verdict is None:
        return ""
    without = bool(seen.display) or remarked(seen.verdict, RemarkKind.NOT_UNDER)
    return verdict_word(seen.verdict.grade, display=without)


def look_word(mark: str, choice: str = "") -> str:
    """A look in a word, good or a fault; '' where it says nothing, and where what was chosen says it already."""
    word = {"good": GRADES["good"], "bad": FAULT}.get(mark, "")
    return "" if word in choice.split() else word


def mark_of(seen: Observed) -> str:
    """The verdict's color and shape: ``good``, ``bad``, ``close``, or '' without one."""
    return _MARKS[seen.verdict.grade] if seen.verdict is not None else ""


def mark_of_word(word: str) -> str:
    """The mark of a verdict's word, '' for any other."""
    return _MARKS_OF_WORDS.get(word.lower(), "")


def reason_of(verdict: Verdict) -> str:
    """One sentence: the value, the limits, the uncertainty. A record of format 1 or 2 keeps its own."""
    basis = verdict.basis
    if basis is None:
        return verdict.reason
    return _display(basis, verdict.grade) if basis.display else _value(basis, verdict)


def remark_of(verdict: Verdict) -> str:
    """What is odd about a reading, in sentences; '' when nothing is. A record of format 1 or 2 keeps its own."""
    if verdict.remark:
        return verdict.remark
    return " ".join(_remark(one) for one in verdict.remarks)


def remarked(verdict: Verdict, kind: RemarkKind) -> bool:
    """Whether a verdict has this remark."""
    return any(one.name is kind for one in verdict.remarks)


def _remark(one: Remark) -> str:
    low = "" if one.low is None else show_value(one.low, None if one.high is not None else one.unit)
    high = "" if one.high is None else show_value(one.high, one.unit)
    return REMARKS[one.name].format(low=low, high=high)


def against(low: Decimal | None, high: Decimal | None, unit: str) -> str:
    """The limits that a reading was held against."""
    words = limits(low, high, unit)
    return f"against {words}" if words else "without limits"


def _corrections(value: Decimal, judged: Decimal, basis: Basis) -> str:
    """What was judged, with the corrections that led to it."""
    if basis.lead_ohms is None and basis.coil_celsius is None:
        return show_value(value, basis.unit)
    made = []
    if basis.lead_ohms is not None:
        made.append(f"less {show_value(basis.lead_ohms)} for the leads")
    if basis.coil_celsius is not None:
        made.append(f"brought from {show_value(basis.coil_celsius)} to 20 degrees Celsius")
    return f"{show_value(value, basis.unit)}, {', '.join(made)}, is {show_value(_shown(judged, value), basis.unit)}"


def _shown(judged: Decimal, value: Decimal) -> Decimal:
    """A corrected value to the digits of the reading, except where that would hide everything."""
    with localcontext(prec=DIGITS):
        step = min(last_digit(value), Decimal(1))
        return judged.quantize(step, rounding=ROUND_HALF_EVEN)


def _value(basis: Basis, verdict: Verdict) -> str:
    """The reason of a reading with a value."""
    value = basis.value if basis.value is not None else Decimal(0)
    low, high, expanded = basis.limit_low, basis.limit_high, verdict.uncertainty
    made = _corrections(value, verdict.corrected if verdict.corrected is not None else value, basis)
    if low is None and high is None:
        return f"{made}: noted, there are no limits to judge it by."
    give = f", give or take {show_value(rounded(expanded))}" if expanded else ""
    head = f"{made}{give}, {against(low, high, basis.unit)}"
    if verdict.grade is Grade.GOOD:
        return f"{head}: good."
    if verdict.grade is Grade.BAD_LOW:
        return f"{head}: too low."
    if verdict.grade is Grade.BAD_HIGH:
        return f"{head}: too high."
    if remarked(verdict, RemarkKind.NOT_UNDER):
        return f"{head}: no verdict."
    if basis.swapped:
        return f"{head}: negative, so it says nothing until the leads are right."
    if low is not None and high is not None and 2 * expanded > high - low:
        return f"{head}: this meter is not fine enough for these limits."
    return f"{head}: too close to call."


def _display(basis: Basis, grade: Grade) -> str:
    """The reason of a display that shows no single value."""
    wanted = against(basis.limit_low, basis.limit_high, basis.unit)
    if basis.display == "over_range":
        if grade is Grade.GOOD:
            return "The meter shows over range, an open circuit: good here."
        if grade is Grade.BAD_HIGH:
            return f"The meter shows over range, {'an open circuit, ' if basis.open_circuit else ''}{wanted}: bad."
        return f"The meter shows over range, {wanted}: turn to a higher range and read again."
    if basis.display == "nothing":
        return "The display shows nothing, so there is nothing to judge."
    wanders = ""
    if basis.low_end is not None and basis.high_end is not None:
        wanders = f" between {show_value(basis.low_end)} and {show_value(basis.high_end, basis.unit)}"
    return f"The reading wanders{wanders}, {wanted}: no single value to judge."
