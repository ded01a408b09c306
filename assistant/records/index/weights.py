"""What a unit's history says about a new session: one sentence, and factors on the suspects' weights.

The factors, and why (all from judgement; common practice, no source):

* ``REPLACED`` 0.4: a part that was replaced, and its repair confirmed, within the last ``FRESH_DAYS`` is less likely
  to be bad again at that place than one that nobody touched. Not far less: new parts fail early, and some repairs do
  not take (about one in twenty; see ``diagnosis.constants.NOT_CURED``). It fades with time: the factor goes back to 1
  in equal steps of its logarithm over a year.
* ``COMEBACK`` 3.0: the same complaint within ``COMEBACK_DAYS`` of work at a place makes every other fault of that
  place more likely: what was mended was perhaps not what was wrong.
* ``REPEATED`` 2.0: a fault that was confirmed at the same place twice or more in the last two years has something
  behind it (a wire that rubs, a plug that fills with water), so it is more likely than elsewhere.

Factors multiply, and stay between ``LEAST`` and ``MOST`` so that no history outweighs two readings. They multiply the
procedure's weight of (fault, place), are written into the record's header with their reason, and show in 'what is
left', in the transcript and in the report. Invented records count for invented sessions only.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from assistant.messages import FoundBefore, HistoryWeight
from assistant.phrasing.wording import at_place
from assistant.records.index.queries import COMEBACK_DAYS, Done, Visit

REPLACED = 0.4
COMEBACK = 3.0
REPEATED = 2.0
LEAST, MOST = 0.25, 4.0
FADES_OVER = 365
"""Days after which a replaced part counts as any other."""
NAMED = 2
"""Suspects named aloud on either side; the record has all of them."""
REPEATED_WITHIN = 730
"""Days in which a fault that comes again counts as repeated."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the history says."""

    sentence: str
    """For the technician at the start; '' when the unit was never here."""
    weights: tuple[HistoryWeight, ...] = ()
    found: FoundBefore | None = None
    """A fault found earlier whose repair waits, None when there is none."""
    counted: str = ""
    """A second sentence: which suspects that makes likelier or less likely; '' when none."""
    facts: Mapping[str, str] = field(default_factory=dict)
    """What its last sessions knew of it, by the names of the facts; the newest counts."""
    seen: str = ""
    """When the newest was, as it is said: ``in March``."""

    @property
    def text(self) -> str:
        """Both sentences."""
        return f"{self.sentence} {self.counted}".strip()


def told_by(
    past: Sequence[Visit],
    done: Sequence[Done],
    today: date,
    procedure: str,
    positions: Mapping[str, Iterable[str | None]],
) -> Told:
    """The sentence and the factors.

    Args:
        past: earlier sessions on the unit, the newest first.
        done: repairs in them, the newest first.
        today: the day of the new session.
        procedure: name of the procedure that begins.
        positions: fault of the procedure to the places that it can have (None for a fault without one).
    """
    if not past:
        return Told("")
    same = [work for work in done if work.procedure == procedure and work.confirmed and work.fault in positions]
    factors = _Factors(today)
    factors.replaced(same)
    factors.repeated(same)
    if past[0].procedure == procedure:
        factors.back(past[0], same, positions)
    return Told(_told(past, done, today), factors.weights())


def counted(weights: Sequence[HistoryWeight], titles: Mapping[str, str]) -> str:
    """Which suspects the history makes likelier and which less likely, the most changed first, in one sentence."""
    by_much = sorted(weights, key=lambda one: -abs(math.log(one.times)))
    parts = []
    for word, those in (
        ("likelier", [one for one in by_much if one.times > 1]),
        ("less likely", [one for one in by_much if one.times < 1]),
    ):
        where = {one.place for one in those}
        if len(those) > NAMED and len(where) == 1 and None not in where:
            parts.append(f"{word}: what else can be wrong at {those[0].place}")
            continue
        named = [at_place(titles.get(one.fault, one.fault), one.place) for one in those[:NAMED]]
        more = f" and {len(those) - NAMED} more" if len(those) > NAMED else ""
        if named:
            parts.append(f"{word}: {' and '.join(named) if not more else ', '.join(named) + more}")
    return f"So I count as {'; '.join(parts)}." if parts else ""


class _Factors:
    """Factors gathered for each suspect, with their reasons."""

    def __init__(self, today: date) -> None:
        self.today = today
        self.times: dict[tuple[str, str | None], float] = {}
        self.reasons: dict[tuple[str, str | None], list[str]] = {}

    def count(self, key: tuple[str, str | None], factor: float, why: str) -> None:
        """Multiply one suspect's weight."""
        self.times[key] = self.times.get(key, 1.0) * factor
        self.reasons.setdefault(key, []).append(why)

    def replaced(self, same: Sequence[Done]) -> None:
        """New parts: less likely, fading over a year; the newest replacement counts."""
        for work in same:
            age, key = _age(work.day, self.today), (work.fault, work.place or None)
            if work.part and age is not None and 0 <= age < FADES_OVER and key not in self.times:
                self.count(key, REPLACED ** (1 - age / FADES_OVER), f"replaced {_on(work.day, self.today)}")

    def repeated(self, same: Sequence[Done]) -> None:
        """The same fault at the same place again and again: more likely."""
        seen: dict[tuple[str, str | None], int] = {}
        for work in same:
            age = _age(work.day, self.today)
            if age is not None and 0 <= age < REPEATED_WITHIN:
                seen[(work.fault, work.place or None)] = seen.get((work.fault, work.place or None), 0) + 1
        for key, times in seen.items():
            if times > 1:
                self.count(key, REPEATED, f"the cause {times} times in two years")

    def back(self, newest: Visit, same: Sequence[Done], positions: Mapping[str, Iterable[str | None]]) -> None:
        """Back soon after work at a place: what else can be wrong there is more likely."""
        gap = _age(newest.started, self.today)
        if gap is None or not 0 <= gap <= COMEBACK_DAYS:
            return
        mended: dict[str, set[str]] = {}
        for work in same:
            if work.session == newest.id and work.place:
                mended.setdefault(work.place, set()).add(work.fault)
        days = "the same day" if gap == 0 else f"{gap} {'day' if gap == 1 else 'days'}"
        for place, faults in mended.items():
            for fault, places in positions.items():
                if place in places and fault not in faults:
                    self.count((fault, place), COMEBACK, f"back {days} after work at this place")

    def weights(self) -> tuple[HistoryWeight, ...]:
        """Factors that change something, within their bounds, in order of names."""
        return tuple(
            HistoryWeight(fault, place, round(min(MOST, max(LEAST, times)), 3), _sentence(self.reasons[fault, place]))
            for (fault, place), times in sorted(self.times.items(), key=lambda item: (item[0][0], item[0][1] or ""))
            if abs(times - 1) > 0.005
        )


def _told(past: Sequence[Visit], done: Sequence[Done], today: date) -> str:
    """One sentence about the unit."""
    unit_was = f"This unit was here {len(past)} {'time' if len(past) == 1 else 'times'} before"
    work = next((one for one in done if one.confirmed), None)
    if work is None:
        return f"{unit_was}, the last time {_on(past[0].started[:10], today)}, without a confirmed repair."
    what = f"{at_place(work.title, work.place)}," if work.place else work.title
    age = _age(work.day, today)
    back = f", {age} days ago" if age is not None and 0 < age <= COMEBACK_DAYS else ""
    return f"{unit_was}: {what} {_on(work.day, today)}{back}."


def said_day(day: str, today: date) -> str:
    """When a session was: ``in March``, ``in March 2025``, ``today``."""
    return _on(day, today)


def _on(day: str, today: date) -> str:
    """``in March``, ``in March 2025``, or ``today``."""
    try:
        when = date.fromisoformat(day)
    except ValueError:
        return "at an unknown date"
    if when == today:
        return "today"
    return f"in {when:%B}" if (today - when).days < 330 else f"in {when:%B %Y}"


def _sentence(reasons: Sequence[str]) -> str:
    text = "; ".join(reasons)
    return text[:1].upper() + text[1:] + "."


def _age(day: str, today: date) -> int | None:
    try:
        return (today - date.fromisoformat(day[:10])).days
    except ValueError:
        return None
