"""The pictures of a report: each kind of reading against its limits, and the path through the suspects."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from assistant.messages.decisions import Observed
from assistant.numerals.readback import show_unit
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import mark_of
from assistant.phrasing.wording import limits, read
from assistant.records.report.path import Point, likeliest
from assistant.records.summary.summary import Reading
from assistant.svg import Drawing, clip, round_ticks, tick_text

Scale = Callable[[float], float]
_WIDTH = 420.0
"""As wide as a phone shows with letters that can still be read; two stand beside each other on a desktop."""
_LEFT, _RIGHT = 136.0, 112.0
_ROW = 20.0
_TREND = 640.0
"""Of a picture over time, which stands alone."""


def reading_pictures(readings: Sequence[Reading], vocabulary: Vocabulary | None) -> list[tuple[str, Drawing]]:
    """Title and picture of each kind of reading that has a number in it."""
    kinds: dict[tuple[str, str], list[Reading]] = {}
    for reading in readings:
        one = reading.observed
        if not reading.withdrawn and one.unit and one.choice is None:
            kinds.setdefault((one.check, one.unit), []).append(reading)
    made = []
    for (_, unit), group in kinds.items():
        if any(_ends(reading.observed) for reading in group):
            title = f"{group[0].observed.title}, {show_unit(unit, vocabulary)}"
            made.append((title, _picture(title, group, vocabulary)))
    return made


def _ends(one: Observed) -> tuple[float, float] | None:
    """Where the reading reaches on the axis, its uncertainty included; None for a display without a number."""
    if one.value is not None:
        middle = float(_judged(one))
        spread = float(one.verdict.uncertainty) if one.verdict else 0.0
        return middle - spread, middle + spread
    if one.low_end is not None and one.high_end is not None:
        return float(one.low_end), float(one.high_end)
    return None


def _judged(one: Observed) -> Decimal:
    corrected = one.verdict.corrected if one.verdict else None
    return corrected if corrected is not None else one.value or Decimal(0)


def _picture(title: str, group: list[Reading], vocabulary: Vocabulary | None) -> Drawing:
    places = list(dict.fromkeys(reading.observed.place or "" for reading in group))
    rows = sorted(group, key=lambda reading: (places.index(reading.observed.place or ""), reading.at))
    low, high = _domain([reading.observed for reading in group])
    drawing = Drawing(_WIDTH, 34 + _ROW * len(rows) + 8, title)
    inner = _WIDTH - _LEFT - _RIGHT

    def across(value: float) -> float:
        return _LEFT + inner * min(1.0, max(0.0, (value - low) / (high - low)))

    bottom = 8 + _ROW * len(rows)
    _limits(drawing, group[0].observed, across, bottom)
    for tick in round_ticks(low, high):
        drawing.line(across(tick), bottom, across(tick), bottom + 4, "axis")
        drawing.text(across(tick), bottom + 16, tick_text(tick), "", "middle")
    drawing.line(_LEFT, bottom, _WIDTH - _RIGHT, bottom, "axis")
    several = len({reading.repairs_before for reading in rows}) > 1
    before: tuple[str, float] | None = None
    for number, reading in enumerate(rows):
        y = 8 + _ROW * number + _ROW / 2
        one = reading.observed
        if one.place != (rows[number - 1].observed.place if number else one.place):
            drawing.line(8, y - _ROW / 2, _WIDTH - 8, y - _ROW / 2, "rule")
        when = "" if not several else (" · after" if reading.repairs_before else " · before")
        drawing.text(_LEFT - 8, y + 4, clip(f"{one.place or 'unit'}{when}", 25), "", "end")
        # the unit stands in the title
        told = limits(one.low_end, one.high_end, one.unit, named=False) or read(one, vocabulary, named=False)
        drawing.text(_WIDTH - _RIGHT + 8, y + 4, clip(f"{one.number}: {told}", 19), "b")
        x = _mark(drawing, one, across, y)
        if before and before[0] == (one.place or "") and several and x is not None:
            drawing.polyline(
                [(before[1], y - _ROW + 6), (before[1], y - _ROW / 2), (x, y - _ROW / 2), (x, y - 6)], "step"
            )
        before = (one.place or "", x) if x is not None else None
    return drawing


def _domain(group: list[Observed]) -> tuple[float, float]:
    ends = [end for one in group for end in _ends(one) or ()]
    ends += [float(limit) for one in group for limit in (one.limit_low, one.limit_high) if limit is not None]
    if min(ends) >= 0 and min(ends) < 0.5 * max(ends):
        ends.append(0.0)
    low, high = min(ends), max(ends)
    margin = (high - low) * 0.07 or max(abs(high) * 0.1, 1.0)
    return (low - margin if low != 0 else 0.0), high + margin


def _limits(drawing: Drawing, one: Observed, across: Scale, bottom: float) -> None:
    """The good window as a band, its edges as lines."""
    if one.limit_low is None and one.limit_high is None:
        return
    left = across(float(one.limit_low)) if one.limit_low is not None else _LEFT
    right = across(float(one.limit_high)) if one.limit_high is not None else _WIDTH - _RIGHT
    drawing.rect(left, 4, right - left, bottom - 4, "window")
    for limit in (one.limit_low, one.limit_high):
        if limit is not None:
            drawing.line(across(float(limit)), 2, across(float(limit)), bottom, "limit")


def _mark(drawing: Drawing, one: Observed, across: Scale, y: float) -> float | None:
    """One reading: a whisker for its uncertainty and a mark for its verdict; returns its x coordinate."""
    kind = mark_of(one) or "plain"
    ends = _ends(one)
    if ends is None:
        x = _WIDTH - _RIGHT - 6
        if one.display == "over_range":
            drawing.polygon([(x - 7, y - 6), (x + 6, y), (x - 7, y + 6)], f"mark {kind}")
        else:
            drawing.text(x, y + 4, "?", kind, "middle")
        return None
    drawing.line(across(ends[0]), y, across(ends[1]), y, f"mark {kind}")
    for end in ends:
        drawing.line(across(end), y - 4, across(end), y + 4, f"mark {kind}")
    x = across(sum(ends) / 2)
    if one.value is None:
        return x
    if kind == "good":
        drawing.circle(x, y, 5, f"mark {kind}")
    elif kind == "bad":
        drawing.polygon([(x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5)], f"mark {kind}")
    else:
        drawing.polygon([(x, y - 6), (x + 6, y + 5), (x - 6, y + 5)], f"mark {kind}")
    return x


def _column(points: tuple[Point, ...]) -> float:
    return min(48.0, (_WIDTH - 12) / len(points)) if points else 0.0


def has_percents(points: tuple[Point, ...]) -> bool:
    """Whether the columns are wide enough for the numbers above the bars."""
    return _column(points) >= 14


def path_picture(points: tuple[Point, ...]) -> Drawing | None:
    """Shares of the likeliest suspects after each observation, one row a suspect; None without either."""
    titles = likeliest(points)
    if len(points) < 2 or not titles:
        return None
    row, name, left, column = 44.0, 15.0, 6.0, _column(points)
    drawing = Drawing(_WIDTH, 30 + row * len(titles) + 8, "Share of each suspect after every reading and repair")
    for number, point in enumerate(points):
        x = left + column * number
        if point.repair:
            drawing.rect(x, 16, column, row * len(titles) + 8, "work")
        drawing.text(x + column / 2, 12, point.label, "b" if point.repair else "", "middle")
    for line, title in enumerate(titles):
        base = 22 + row * (line + 1) - 4
        drawing.text(left, base - row + name, clip(title, 70))
        drawing.line(left, base, left + column * len(points), base, "axis")
        for number, point in enumerate(points):
            share = point.shares.get(title, 0.0)
            height = (row - name - 10) * share
            x = left + column * number
            if height >= 0.4:
                drawing.rect(x + column * 0.14, base - height, column * 0.72, height, "share")
            if share >= 0.1 and has_percents(points):
                drawing.text(x + column / 2, base - height - 2, f"{100 * share:.0f}", "s", "middle")
    return drawing


def trend_picture(
    title: str, rows: Sequence[tuple[str, float, str]], low: float | None, high: float | None
) -> Drawing:
    """Readings of one place over time: day, value, ``good``/``bad``/``close``; the window as a band."""
    values = [value for _, value, _ in rows] + [limit for limit in (low, high) if limit is not None]
    bottom, top = min(values), max(values)
    margin = (top - bottom) * 0.08 or max(abs(top) * 0.1, 1.0)
    bottom, top = bottom - margin, top + margin
    drawing = Drawing(_TREND, 220, title)
    left, right, upper, lower = 70.0, _TREND - 20, 10.0, 180.0

    def up(value: float) -> float:
        return lower - (lower - upper) * (value - bottom) / (top - bottom)

    if low is not None or high is not None:
        edge = up(high) if high is not None else upper
        drawing.rect(left, edge, right - left, (up(low) if low is not None else lower) - edge, "window")
    for tick in round_ticks(bottom, top, 5):
        drawing.text(left - 8, up(tick) + 4, tick_text(tick), "", "end")
        drawing.line(left - 4, up(tick), left, up(tick), "axis")
    drawing.line(left, upper, left, lower, "axis")
    step = (right - left) / max(1, len(rows))
    places = [(left + step * (number + 0.5), up(value)) for number, (_, value, _) in enumerate(rows)]
    drawing.polyline(places, "trend")
    every = max(1, len(rows) // 8)
    for number, ((x, y), (day, _, kind)) in enumerate(zip(places, rows, strict=True)):
        drawing.circle(x, y, 4.5, f"mark {kind}")
        if number % every == 0:
            drawing.text(x, lower + 18, day, "", "middle")
    return drawing
