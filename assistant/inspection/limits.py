"""Numbers: limits that can be judged against, with a source for each."""

from __future__ import annotations

from collections.abc import Set
from decimal import Decimal

from assistant.inspection.notes import Notes, Path, did_you_mean
from assistant.procedure.model import Check, LimitSet, Question

Span = tuple[Decimal, Decimal]


def inspect(notes: Notes, units: Set[str] | None) -> None:
    """Note limits without source, out of order or outside what the meter could show, and unknown units."""
    for path, where, row in notes.rows():
        if not isinstance(row, Check | Question):
            continue
        if units is not None and row.unit is not None and row.unit not in units:
            text = f"There is no unit '{row.unit}'. {did_you_mean(row.unit, units)}"
            notes.add((*path, "unit"), f"{where} / unit", text)
        if row.span is not None and row.span[0] >= row.span[1]:
            notes.add(
                (*path, "span"), f"{where} / span", f"The span {_pair(row.span)} is empty: write lowest, highest."
            )
        if isinstance(row, Check):
            if row.limits is not None:
                _limits(notes, (*path, "limits"), f"{where} / limits", row.limits, row)
            for number, entry in enumerate(row.limits_when):
                _limits(notes, (*path, "limits_when", number, "limits"), f"{where} / limits_when", entry.limits, row)
            _typical(notes, path, where, row)
    if not notes.procedure.proof.source.strip():
        notes.add(("proof", "source"), "proof / source", _NO_SOURCE)
    for number, caution in enumerate(notes.procedure.cautions):
        if not caution.source.strip():
            notes.add(("cautions", number, "source"), f"caution '{caution.name}' / source", _NO_SOURCE)


def not_verified(notes: Notes) -> list[int | None]:
    """Lines of the limits that nobody has held against the published text: no fault, and worth knowing."""
    found: list[tuple[Path, LimitSet]] = []
    for number, check in enumerate(notes.procedure.checks):
        path: Path = ("checks", number)
        if check.limits is not None:
            found.append(((*path, "limits"), check.limits))
        found += [
            ((*path, "limits_when", row, "limits"), entry.limits) for row, entry in enumerate(check.limits_when)
        ]
    return [notes.line(*path) for path, limits in found if limits.unverified.strip()]


_NO_SOURCE = "There is no source. Name the regulation, standard or guide, or write 'common practice, no source'."


def _limits(notes: Notes, path: Path, where: str, limits: LimitSet, check: Check) -> None:
    _display(notes, path, where, limits, check)
    span = check.span
    if not limits.source.strip():
        notes.add(path, where, _NO_SOURCE)
    if limits.low is None and limits.high is None:
        notes.add(path, where, "There is neither low nor high, so nothing can be judged. Add one.")
    if limits.low is not None and limits.high is not None and limits.low > limits.high:
        notes.add((*path, "low"), where, f"low {limits.low} lies above high {limits.high}. Change them round.")
    if limits.usual is not None:
        _usual(notes, path, where, limits, limits.usual)
    if span is None:
        return
    for side in ("low", "high"):
        value: Decimal | None = getattr(limits, side)
        if value is not None and not span[0] <= value <= span[1]:
            text = f"{side} {value} lies outside the span {_pair(span)}: the meter could never show it."
            notes.add((*path, side), where, text)


def _usual(notes: Notes, path: Path, where: str, limits: LimitSet, usual: Span) -> None:
    if usual[0] > usual[1]:
        notes.add((*path, "usual"), where, f"usual {_pair(usual)} is the wrong way round.")
    inside_low = limits.low is None or usual[0] >= limits.low
    inside_high = limits.high is None or usual[1] <= limits.high
    if not (inside_low and inside_high):
        notes.add((*path, "usual"), where, f"usual {_pair(usual)} reaches outside the limits.")
    if not limits.usual_source.strip():
        notes.add((*path, "usual"), where, f"usual has no source. Add usual_source = ... {_HOW}")


_HOW = "Name it, or write 'common practice, no source'."


def _typical(notes: Notes, path: Path, where: str, check: Check) -> None:
    """The typical reading of a good unit must lie inside the limits and inside the meter's span."""
    if check.typical is None:
        return
    low, high = check.typical
    if low > high:
        notes.add((*path, "typical"), where, f"typical {_pair(check.typical)} is the wrong way round.")
    limits = check.limits
    ends = [(check.span[0], check.span[1])] if check.span is not None else []
    ends += (
        [(limits.low if limits.low is not None else low, limits.high if limits.high is not None else high)]
        if (limits is not None)
        else []
    )
    if any(low < bottom or high > top for bottom, top in ends):
        notes.add(
            (*path, "typical"), where, f"typical {_pair(check.typical)} reaches outside the limits or the span."
        )


def _display(notes: Notes, path: Path, where: str, limits: LimitSet, check: Check) -> None:
    if check.unit is None:
        return
    resistance = check.unit.lower().endswith("ohm")
    if resistance and limits.over_range is None:
        notes.add(path, where, "Say what over range means here: over_range = 'good' or over_range = 'bad'.")
    if not resistance and (limits.copper or limits.small_ohms):
        notes.add(path, where, f"copper and small_ohms are for resistance, and this reading is in {check.unit}.")


def _pair(span: Span) -> str:
    return f"{span[0]} to {span[1]}"
