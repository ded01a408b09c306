"""``leadsman sessions``, ``show`` and ``search``: what was recorded."""

from __future__ import annotations

import sys
from datetime import datetime

import click

from assistant import catalog
from assistant.commands.completion import complete_sessions
from assistant.commands.records.places import nothing_in, reading_records, seconds_of, store_options
from assistant.commands.shared import fields_of, write_json
from assistant.commands.terminal import echo
from assistant.errors import OperatorError
from assistant.phrasing.wording import clock, ending_words, stamp
from assistant.records.index.journals import these
from assistant.records.index.listing import listed
from assistant.records.report.data import work_order_line, work_orders_csv
from assistant.records.report.transcript import transcript
from assistant.records.store.ports import Store, find
from assistant.records.summary.collect import summarize
from assistant.records.summary.search import search as search_session

LISTED = 200
"""Sessions that are listed for a person, who reads no more of them."""


@click.command(epilog="Example: leadsman sessions --unit 4207")
@store_options
@click.option("--unit", help="Only sessions on this unit.")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="From this day on, such as 2026-03-01.")
@click.option("--open", "only_open", is_flag=True, help="Only sessions that were left and can be resumed.")
@click.option(
    "--limit",
    type=click.IntRange(1),
    help=f"List so many at most. Default: {LISTED}; with --json or --work-orders all.",
)
@click.option(
    "--work-orders",
    is_flag=True,
    help="For the shop's own system: a CSV line a session, with work order, unit, cause, correction, parts, hours.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a session.")
def sessions(
    shop: Store,
    unit: str | None,
    since: datetime | None,
    only_open: bool,
    limit: int | None,
    work_orders: bool,
    as_json: bool,
) -> None:
    """List recorded sessions, the newest first."""
    first = f"{since:%Y-%m-%d}" if since else ""
    most = limit or (None if as_json or work_orders else LISTED)
    with reading_records() as read:
        rows = listed(shop, left=only_open, unit=unit or "", since=first, limit=most and most + 1, progress=read)
        found = list(rows)
    more, found = most is not None and len(found) > most, found[:most]
    if work_orders:
        real = [one for one in found if not one.invented]
        if len(real) < len(found):
            echo(f"({len(found) - len(real)} invented, such as practice and demos: left out.)", err=True)
        lines = (work_order_line(summarize(find(shop, one.id)), shop.technician(one.id)) for one in real)
        if as_json:
            for line in lines:
                write_json(line)
        else:
            text = work_orders_csv(lines)
            if sys.stdout.isatty():
                echo(text.lstrip("\ufeff").replace("\r\n", "\n"), nl=False)
            else:
                sys.stdout.flush()
                sys.stdout.buffer.write(text.encode())
                sys.stdout.flush()
        return
    if as_json:
        for one in found:
            write_json(
                fields_of(
                    one, "id", "started", "unit", "procedure", "ending", "cause", "minutes", "damaged", "invented"
                )
            )
        return
    if not found:
        narrowed = unit or first or only_open
        echo(f"No session in {shop.where} fits." if narrowed else nothing_in(shop))
        return
    for one in found:
        mark = f"{'   (invented)' * one.invented}{'   (damaged: see leadsman verify)' * one.damaged}"
        unit_text = f"unit {one.unit}" if one.unit else "no unit"
        echo(
            f"{one.id}   {stamp(one.started):<24}   {unit_text:<12} {one.minutes:>4.0f} min   "
            f"{ending_words(one.ending):<20} {one.cause or one.procedure}{mark}",
            one_line=True,
        )
    if more:
        echo(f"(There are more: --limit {10 * len(found)}, or narrow them with --unit, --since, --open.)", err=True)


@click.command(epilog="Example: leadsman show 20260131-142305-k3f --since 12:30")
@click.argument("session_id", metavar="ID", required=False, shell_complete=complete_sessions)
@click.option("--since", metavar="MM:SS", help="Leave out what came before, such as 12:30 into the session.")
@click.option("--readings-only", is_flag=True, help="Only the table of readings.")
@store_options
def show(shop: Store, session_id: str | None, since: str | None, readings_only: bool) -> None:
    """Print one record as a transcript. Without ID: the newest."""
    begin = seconds_of(since) if since else 0.0
    if session_id is None and not shop.more_than(0):
        echo(nothing_in(shop))
        raise SystemExit(1)
    session = find(shop, session_id or "last")
    text = transcript(session, catalog.load_vocabulary(), since=begin, readings_only=readings_only, alternatives=True)
    if not text:
        what = "reading" if readings_only else "entry"
        text = f"There is no {what} in it{f' since {since}' if since else ''}."
    echo(text)


@click.command(epilog='Example: leadsman search "corroded plug" --limit 20')
@click.argument("words", nargs=-1, required=True)
@store_options
@click.option("--limit", default=50, show_default=True, type=click.IntRange(1), help="Stop after so many lines.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a line that was found.")
def search(shop: Store, words: tuple[str, ...], limit: int, as_json: bool) -> None:
    """Find lines in which all WORDS stand, in the talk, notes and causes of every record."""
    wanted, vocabulary = " ".join(words), catalog.load_vocabulary()
    count = 0
    with reading_records() as read:
        names = shop.index().candidates(shop, wanted, read)
    for session in these(shop, names):
        for hit in search_session(session, wanted, vocabulary):
            if count == limit:
                echo(f"(There are more: give another word, or --limit {2 * limit}.)", err=True)
                return
            count += 1
            if as_json:
                write_json({"id": hit.session_id, "at": hit.at, "who": hit.who, "text": hit.text})
            else:
                when = "     " if hit.at is None else clock(hit.at)
                echo(f"{hit.session_id}  {when}  {hit.who:<10}  {hit.text}", one_line=True)
    if not count:
        raise OperatorError(f"'{wanted}' stands in no record in {shop.where}.", remedy="Give fewer or other words.")
