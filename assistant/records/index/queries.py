"""Questions to the index: what was done on a unit, what came back, how a place reads over time, what fails most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from sqlalchemy import ColumnElement, Connection, and_, func, select, text, union_all

from assistant.phrasing.wording import at_place
from assistant.records.index.schema import causes, plain_unit, readings, repairs, sessions

COMEBACK_DAYS = 30
"""A unit that is back so soon after a confirmed repair came back; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One session on a unit."""

    id: str
    started: str
    """Wall time, ISO 8601."""
    procedure: str
    ending: str
    causes: str
    minutes: float
    technician: str
    invented: bool
    complaint: str = ""
    """What was wrong: own words, or the procedure's."""


@dataclass(frozen=True, slots=True)
class Done:
    """One repair on a unit."""

    session: str
    day: str
    """ISO 8601 date."""
    title: str
    place: str
    part: str
    fault: str
    """Name of the fault in its procedure."""
    cause: str
    confirmed: str
    procedure: str


@dataclass(frozen=True, slots=True)
class Comeback:
    """A visit soon after a confirmed repair."""

    unit: str
    day: str
    session: str
    days: int
    """Days between."""
    repaired: str
    """What had been done."""
    same_place: bool
    """True when the later visit repaired the same place, or found nothing."""


@dataclass(frozen=True, slots=True)
class Then:
    """One reading of a place on a day."""

    day: str
    session: str
    title: str
    place: str
    value: Decimal
    unit: str
    low: Decimal | None
    high: Decimal | None
    grade: str
    after_repair: bool


@dataclass(frozen=True, slots=True)
class Often:
    """How often a fault was the confirmed cause."""

    fault: str
    """Its title in its procedure, '' where nobody proposed the fix."""
    count: int
    units: int
    """On how many units."""
    last: str
    """Day of the last one."""


def visits(connection: Connection, unit: str, *, invented: bool, before: str = "") -> list[Visit]:
    """Sessions on a unit, the newest first."""
    wanted = _of_unit(unit, invented=invented, before=before)
    chosen = select(
        sessions.c.id, sessions.c.started, sessions.c.procedure, sessions.c.ending, sessions.c.causes,
        sessions.c.minutes, sessions.c.technician, sessions.c.invented, sessions.c.complaint,
    ).where(wanted)  # fmt: skip
    order = (sessions.c.ordinal.desc(), sessions.c.started.desc())
    return [Visit(*row) for row in connection.execute(chosen.order_by(*order))]


def work_on(connection: Connection, unit: str, *, invented: bool, before: str = "") -> list[Done]:
    """Repairs on a unit, the newest first."""
    chosen = select(
        sessions.c.id, repairs.c.day, repairs.c.title, repairs.c.place, repairs.c.part, repairs.c.fault,
        repairs.c.cause, repairs.c.confirmed, sessions.c.procedure,
    ).join(sessions, sessions.c.number == repairs.c.session)  # fmt: skip
    order = (sessions.c.ordinal.desc(), sessions.c.started.desc(), repairs.c.number.desc())
    rows = connection.execute(chosen.where(_of_unit(unit, invented=invented, before=before)).order_by(*order))
    return [Done(*row) for row in rows]


def comebacks(past: Sequence[Visit], done: Sequence[Done], unit: str, days: int = COMEBACK_DAYS) -> list[Comeback]:
    """Visits within so many days of a confirmed repair, the newest first."""
    found = []
    by_session: dict[str, list[Done]] = {}
    for work in done:
        by_session.setdefault(work.session, []).append(work)
    for earlier, later in zip(past[1:], past, strict=False):
        confirmed = [work for work in by_session.get(earlier.id, []) if work.confirmed]
        gap = _days(earlier.started, later.started)
        if confirmed and gap is not None and 0 <= gap <= days:
            places = {work.place for work in confirmed}
            again = {work.place for work in by_session.get(later.id, [])}
            what = "; ".join(at_place(work.title, work.place) for work in confirmed)
            same = bool(places & again) or not again
            found.append(Comeback(unit, later.started[:10], later.id, gap, what, same))
    return found


def came_back(
    connection: Connection, *, invented: bool, since: str = "", days: int = COMEBACK_DAYS, limit: int = 100
) -> list[Comeback]:
    """Visits of any unit within so many days of a confirmed repair, the newest first."""
    later, earlier = sessions.alias("later"), sessions.alias("earlier")
    # the visit just before, by the index of units; only those with a confirmed repair are worth reading
    before = (
        select(func.max(earlier.c.started))
        .where(earlier.c.unit_plain == later.c.unit_plain, earlier.c.invented.is_(invented))
        .where(earlier.c.started < later.c.started)
        .scalar_subquery()
    )
    chosen = select(later.c.unit, later.c.unit_plain, later.c.day, before.label("before")).where(
        later.c.invented.is_(invented), later.c.unit_plain != "", later.c.day >= since
    )
    units: dict[str, str] = {}
    for row in connection.execute(chosen.order_by(later.c.started.desc())):
        gap = _days(row.before, row.day) if row.before else None
        if gap is not None and 0 <= gap <= days:
            units.setdefault(row.unit_plain, row.unit)
    found: list[Comeback] = []
    for unit in units.values():
        past, done = visits(connection, unit, invented=invented), work_on(connection, unit, invented=invented)
        found += [one for one in comebacks(past, done, unit, days) if one.day >= since]
    return sorted(found, key=lambda one: (one.day, one.session), reverse=True)[:limit]


def over_time(connection: Connection, unit: str, check: str, place: str, *, invented: bool) -> list[Then]:
    """Readings of one check at one place that stand, the oldest first."""
    chosen = select(
        sessions.c.started, sessions.c.id, readings.c.title, readings.c.place, readings.c.value, readings.c.unit,
        readings.c.low, readings.c.high, readings.c.grade, readings.c.repairs_before,
    ).join(sessions, sessions.c.number == readings.c.session)  # fmt: skip
    wanted = [_of_unit(unit, invented=invented), readings.c.withdrawn.is_(False), readings.c.value != ""]
    if check:
        wanted.append(func.lower(readings.c.check) == check.lower())
    if place:
        wanted.append(func.lower(readings.c.place) == place.lower())
    rows = connection.execute(chosen.where(and_(*wanted)).order_by(sessions.c.started, readings.c.number))
    return [
        Then(row.started[:10], row.id, row.title, row.place, Decimal(row.value), row.unit, _number(row.low),
             _number(row.high), row.grade, row.repairs_before > 0)
        for row in rows
    ]  # fmt: skip


def fails_most(connection: Connection, *, invented: bool, since: str = "", limit: int = 10) -> list[Often]:
    """Confirmed causes by how often they were found, over all units."""
    if since:
        # in the order of an index that holds all of it: unit by unit, then the units of each fault
        each = select(
            repairs.c.fault_title, func.count().label("count"), func.max(repairs.c.day).label("last")
        ).where(repairs.c.invented.is_(invented), repairs.c.confirmed != "", repairs.c.day >= since)
        by_unit = each.group_by(repairs.c.fault_title, repairs.c.unit_plain).subquery()
        total = func.sum(by_unit.c["count"]).label("times")
        chosen = select(by_unit.c.fault_title, total, func.count(), func.max(by_unit.c.last))
        chosen = chosen.group_by(by_unit.c.fault_title).order_by(total.desc(), by_unit.c.fault_title)
    else:  # from the sums that are kept for each unit
        total = func.sum(causes.c.count).label("times")
        chosen = select(causes.c.title, total, func.count(), func.max(causes.c.last)).where(
            causes.c.invented.is_(invented)
        )
        chosen = chosen.group_by(causes.c.title).order_by(total.desc(), causes.c.title)
    return [Often(*row) for row in connection.execute(chosen.limit(limit))]


def matching(
    connection: Connection, *, unit: str = "", place: str = "", fault: str = "", technician: str = "",
    since: str = "", until: str = "", limit: int = 100, invented: bool | None = None,
) -> list[Visit]:  # fmt: skip
    """Sessions by any of these, the newest first; ``fault`` and ``place`` are those of a repair."""
    wanted: list[ColumnElement[bool]] = []
    if invented is not None:
        wanted.append(sessions.c.invented.is_(invented))
    if unit:
        wanted.append(sessions.c.unit_plain == plain_unit(unit))
    if technician:
        wanted.append(func.lower(sessions.c.technician) == technician.lower())
    if since:
        wanted.append(sessions.c.day >= since)
    if until:
        wanted.append(sessions.c.day <= until)
    if place or fault:
        named = [one for one in causes_known(connection) if _fits(one, fault, place)]
        if not named:
            return []
        inner = [func.lower(repairs.c.place) == place.lower()] if place else []
        if invented is not None:
            inner.append(repairs.c.invented.is_(invented))
        if unit:
            inner.append(repairs.c.unit_plain == plain_unit(unit))
        if since:
            inner.append(repairs.c.day >= since)
        if until:
            inner.append(repairs.c.day <= until)
        wanted.append(_with_repair(named, inner, None if technician else limit))
    chosen = select(
        sessions.c.id, sessions.c.started, sessions.c.procedure, sessions.c.ending, sessions.c.causes,
        sessions.c.minutes, sessions.c.technician, sessions.c.invented, sessions.c.complaint,
    )  # fmt: skip
    rows = connection.execute(chosen.where(*wanted).order_by(sessions.c.started.desc()).limit(limit))
    return [Visit(*row) for row in rows]


def causes_known(connection: Connection) -> list[str]:
    """Every cause that a repair was ever done for, by going from one to the next in their index."""
    return list(connection.execute(text(_CAUSES)).scalars())


_CAUSES = """
WITH RECURSIVE every(cause) AS (
    SELECT min(cause) FROM repairs
    UNION ALL
    SELECT (SELECT min(repairs.cause) FROM repairs WHERE repairs.cause > every.cause)
    FROM every WHERE every.cause IS NOT NULL
)
SELECT cause FROM every WHERE cause IS NOT NULL
"""
FEW_CAUSES = 40
"""Up to so many the newest sessions of each are taken; more are so common that going back through all finds them."""


def _fits(cause: str, fault: str, place: str) -> bool:
    """A cause is the fault's title and, behind a comma, its place."""
    plain = cause.lower()
    return fault.lower() in plain and (not place or plain.endswith(f", {place.lower()}"))


def _with_repair(
    named: Sequence[str], inner: Sequence[ColumnElement[bool]], limit: int | None
) -> ColumnElement[bool]:
    """Sessions with a repair for one of these causes; with a limit only the newest so many of each cause."""
    if limit is None or len(named) > FEW_CAUSES:
        of_session = [repairs.c.session == sessions.c.number, repairs.c.cause.in_(named), *inner]
        one = select(repairs.c.number).where(*of_session).limit(1)
        return one.scalar_subquery().is_not(None)  # looked up session by session, from the newest on
    newest = [
        select(repairs.c.session)
        .where(repairs.c.cause == cause, *inner)
        .order_by(repairs.c.day.desc())
        .limit(limit)
        .subquery()
        .select()
        for cause in named
    ]
    return sessions.c.number.in_(union_all(*newest))


def slope(rows: Sequence[Then]) -> float | None:
    """Change of a reading in its unit a year, by least squares over days; None for fewer than three days."""
    days = [date.fromisoformat(row.day).toordinal() for row in rows]
    if len(set(days)) < 3:
        return None
    values = [float(row.value) for row in rows]
    middle, mean = sum(days) / len(days), sum(values) / len(values)
    spread = sum((day - middle) ** 2 for day in days)
    tilt = sum((day - middle) * (value - mean) for day, value in zip(days, values, strict=True)) / spread
    return tilt * 365.25


def _of_unit(unit: str, *, invented: bool, before: str = "") -> ColumnElement[bool]:
    wanted = [sessions.c.unit_plain == plain_unit(unit), sessions.c.invented.is_(invented)]
    if before:
        wanted.append(sessions.c.started < before)
    return and_(*wanted)


def _number(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _days(first: str, second: str) -> int | None:
    try:
        gap: timedelta = date.fromisoformat(second[:10]) - date.fromisoformat(first[:10])
    except ValueError:
        return None
    return gap.days
