"""``leadsman history`` and ``rebuild``: what many records say together."""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click
from sqlalchemy import Connection

from assistant import catalog
from assistant.commands.records.places import reading_records, store_options
from assistant.commands.shared import fields_of, json_option, write_json, write_private_file
from assistant.commands.terminal import echo
from assistant.errors import OperatorError
from assistant.messages.decisions import Ending
from assistant.numerals.readback import show_unit
from assistant.phrasing.wording import at_place, ending_words, stamp
from assistant.records.index.index import plain_errors
from assistant.records.index.queries import (
    COMEBACK_DAYS,
    Comeback,
    Then,
    Visit,
    came_back,
    comebacks,
    fails_most,
    matching,
    over_time,
    slope,
    visits,
    work_on,
)
from assistant.records.index.schema import plain_unit
from assistant.records.store.ports import Store
from assistant.records.summary.summary import LEFT, VERIFIED

_DAY = click.DateTime(["%Y-%m-%d"])
_READING = ("day", "session", "place", "value", "unit", "after_repair")
_COMEBACK = ("day", "session", "days", "repaired", "same_place")
_MARKS = {"good": "good", "too_close": "close", "": "plain"}


@click.command(epilog='Example: leadsman history 4207 --check "sensor ohms" --place "left rear" --picture trend.svg')
@click.argument("unit", required=False)
@click.option("--check", default="", help="Readings of this check over time, by its name in the procedure.")
@click.option("--place", default="", help="Only this position, such as 'left rear'.")
@click.option("--fault", default="", help="Only sessions in which this was the cause, or a part of its title.")
@click.option("--technician", default="", help="Only sessions of this technician.")
@click.option("--since", type=_DAY, help="From this day on, such as 2026-03-01.")
@click.option("--until", type=_DAY, help="Up to this day.")
@click.option(
    "--picture", type=click.Path(path_type=Path, dir_okay=False), help="Draw the readings into an SVG file."
)
@click.option("--comebacks", "back", is_flag=True, help="Units that were back within 30 days of a confirmed repair.")
@click.option("--invented", is_flag=True, help="The history of invented sessions, such as demos.")
@store_options
@json_option
def history(
    shop: Store, unit: str | None, check: str, place: str, fault: str, technician: str, since: Any, until: Any,
    picture: Path | None, back: bool, invented: bool, as_json: bool,
) -> None:  # fmt: skip
    """Show what was done on a UNIT before, and what came back. Without UNIT: what fails most."""
    first, last = (f"{day:%Y-%m-%d}" if day else "" for day in (since, until))
    if picture is not None and not (unit and check):
        raise OperatorError("A picture needs a unit and a check.", remedy="Give UNIT, --check and, best, --place.")
    with plain_errors("The history cannot be read"):
        index = shop.index()
        with reading_records() as read:
            index.refresh(shop, read)
        with index.connect() as connection:
            if back:
                found_back = came_back(connection, invented=invented, since=first)
                wanted = plain_unit(unit or "")
                _came_back([one for one in found_back if not wanted or plain_unit(one.unit) == wanted], as_json)
            elif unit and check:
                _readings(connection, unit, check, place, picture, invented, as_json)
            elif unit and not (fault or technician or place or first or last):
                _unit(connection, shop.where, unit, invented, as_json)
            elif unit or fault or technician or place or last:
                found = matching(
                    connection, unit=unit or "", place=place, fault=fault, technician=technician,
                    since=first, until=last, invented=invented,
                )  # fmt: skip
                _sessions(found, as_json)
            else:
                _most(connection, invented, first, as_json)


def _unit(connection: Connection, where: str, unit: str, invented: bool, as_json: bool) -> None:
    past = visits(connection, unit, invented=invented)
    done = work_on(connection, unit, invented=invented)
    back = comebacks(past, done, unit)
    if as_json:
        worked = [
            {
                **fields_of(one, "session", "day"),
                "work": one.title,
                **fields_of(one, "place", "part", "cause", "confirmed"),
            }
            for one in done
        ]
        came = [fields_of(one, *_COMEBACK) for one in back]
        write_json({"unit": unit, "sessions": [asdict(one) for one in past], "work": worked, "comebacks": came})
        return
    if not past:
        hint = "" if invented else " (demos are shown with --invented)"
        raise OperatorError(f"No session on unit {unit} is recorded in {where}{hint}.")
    echo(f"Unit {unit}: {len(past)} {'session' if len(past) == 1 else 'sessions'}")
    for one in past:
        echo(f"  {_line(one)}", one_line=True)
    echo("Work, the newest first")
    unfinished = {one.id for one in past if one.ending == LEFT}
    for work in done:
        place = f", {work.place}" if work.place else ""
        what = VERIFIED.get(work.confirmed, "session not finished" if work.session in unfinished else "not verified")
        echo(f"  {work.day}  {work.title}{place} ({what})", one_line=True)
    away = [one for one in past if one.ending == Ending.NOT_PRESENT.value]
    for one in away:
        echo(
            f"  {one.started[:10]}  nothing repaired: {one.complaint or one.procedure} ({ending_words(one.ending)})",
            one_line=True,
        )
    if not done and not away:
        echo("  none")
    for comeback in back:
        echo(f"Comeback: {_back(comeback)}", one_line=True)


def _came_back(found: list[Comeback], as_json: bool) -> None:
    if as_json:
        write_json([fields_of(one, "unit", *_COMEBACK) for one in found])
        return
    if not found:
        echo(f"No unit was back within {COMEBACK_DAYS} days of a confirmed repair.")
    for one in found:
        echo(f"Unit {one.unit}: {_back(one)}")


def _back(one: Comeback) -> str:
    again = " (the same place again, or nothing found)" if one.same_place else ""
    return f"{one.day}, {one.days} {'day' if one.days == 1 else 'days'} after: {one.repaired}{again}"


def _readings(
    connection: Connection, unit: str, check: str, place: str, picture: Path | None, invented: bool, as_json: bool
) -> None:
    rows = over_time(connection, unit, check, place, invented=invented)
    tilt = slope(rows)
    if not rows:
        where = f" at {place}" if place else ""
        raise OperatorError(
            f"Unit {unit} has no reading of '{check}'{where}.", remedy="See: leadsman history " + unit
        )
    if picture is not None:
        write_private_file(picture, _picture(rows).encode())
        echo(f"Picture: {picture}", err=True)
    if as_json:
        write_json(
            {
                "unit": unit, "check": check, "place": place, "change_a_year": tilt,
                "readings": [{**fields_of(one, *_READING), "verdict": one.grade} for one in rows],
            }
        )  # fmt: skip
        return
    words = show_unit(rows[0].unit, catalog.load_vocabulary())
    echo(f"{rows[0].title}, unit {unit}")
    for one in rows:
        after = "  after a repair" if one.after_repair else ""
        echo(f"  {one.day}  {one.place:<12} {one.value:>10f} {words}  {one.grade.replace('_', ' ')}{after}")
    if tilt is not None:
        echo(f"Trend: {tilt:+.3g} {words} a year")
    elif sys.stdout.isatty():
        echo("Trend: none, it takes readings on three days.")


def _picture(rows: list[Then]) -> str:
    from assistant.records.report.pictures import trend_picture  # drawn only where asked for

    last = rows[-1]
    marks = [(one.day, float(one.value), _MARKS.get(one.grade, "bad")) for one in rows]
    low, high = (None if limit is None else float(limit) for limit in (last.low, last.high))
    return trend_picture(at_place(last.title, last.place), marks, low, high).svg()


def _most(connection: Connection, invented: bool, since: str, as_json: bool) -> None:
    found = fails_most(connection, invented=invented, since=since)
    if as_json:
        write_json([asdict(one) for one in found])
        return
    if not found:
        raise OperatorError("No confirmed cause is recorded yet.", remedy="Demos are shown with --invented.")
    echo(f"Confirmed causes{f' since {since}' if since else ''}, the most frequent first")
    for one in found:
        units = f"{one.units} {'unit' if one.units == 1 else 'units'}"
        echo(f"  {one.count:>5}  {one.fault or 'not named'} ({units}, last {one.last})")


def _sessions(found: list[Visit], as_json: bool) -> None:
    if as_json:
        write_json([asdict(one) for one in found])
        return
    if not found:
        raise OperatorError("No session fits.", remedy="Give fewer or other words.")
    for one in found:
        echo(_line(one), one_line=True)


def _line(one: Visit) -> str:
    who = f"  {one.technician}" if one.technician else ""
    ended = ending_words(one.ending)
    return f"{stamp(one.started):<24}  {one.id}  {ended:<20} {one.causes or one.procedure}{who}"


@click.command(epilog="Example: leadsman rebuild")
@store_options
@click.option("--jobs", type=click.IntRange(1, 64), help="Processes that read journals. Default: one a core.")
@click.option(
    "--cluster", default="", help="Address of a Dask scheduler whose workers, which reach the records, read."
)
@click.option("--anew", is_flag=True, help="Read every record through, those too that are as they were.")
def rebuild(shop: Store, jobs: int | None, cluster: str, anew: bool) -> None:
    """Rebuild the index of all records from their journals, which are not touched."""
    with plain_errors("The index cannot be made"), reading_records(always=True) as read:
        count = shop.index().rebuild(shop, read, jobs, cluster, anew=anew)
    echo(f"{count} {'record is' if count == 1 else 'records are'} in the index of {shop.where}.")
