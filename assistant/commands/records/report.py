"""``leadsman report``: one record for the customer, the foreman and the inspector."""

from __future__ import annotations

import base64
import json
import os
import sys
from pathlib import Path

import click

from assistant import catalog
from assistant.commands.completion import complete_sessions
from assistant.commands.records.places import store_options
from assistant.commands.shared import write_private_file
from assistant.commands.terminal import echo
from assistant.composition import context_from
from assistant.display.visible import escaped, visible
from assistant.errors import DocumentError, OperatorError
from assistant.messages import Heard
from assistant.records.journal.reader import Session
from assistant.records.report.data import as_csv, as_json
from assistant.records.report.exhibits import exhibits_of
from assistant.records.report.page import Kept, Told, customer_html, html_report
from assistant.records.report.path import path_of
from assistant.records.report.pdf import as_pdf
from assistant.records.report.photos import addresses
from assistant.records.report.talk import turns_of
from assistant.records.report.transcript import transcript
from assistant.records.store.ports import Store, find
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import SessionSummary
from assistant.session.context import Context


@click.command(epilog="Example: leadsman report 20260131-142305-k3f --format pdf --paper letter --out report.pdf")
@click.argument("session_id", metavar="ID", shell_complete=complete_sessions)
@click.option(
    "--format",
    "kind",
    type=click.Choice(["html", "pdf", "text", "csv", "json"]),
    default="html",
    show_default=True,
    help="A page to read and print, pages as PDF, plain text, the readings as a table, or everything as data.",
)
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="File to write. Default: standard output."
)
@click.option(
    "--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Page size of the PDF."
)
@click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    default="point",
    show_default=True,
    help="Decimal sign of the CSV; with a comma, a semicolon stands between cells.",
)
@click.option("--customer", is_flag=True, help="One page in plain words for who owns the unit.")
@click.option("--with-sound", is_flag=True, help="Put kept sound into the HTML file itself, so that it can be sent.")
@store_options
def report(
    shop: Store,
    session_id: str,
    kind: str,
    out: Path | None,
    paper: str,
    decimal: str,
    customer: bool,
    with_sound: bool,
) -> None:
    """Make a report of one record."""
    if customer and kind not in ("html", "pdf"):
        raise click.UsageError("--customer makes a page: take --format html or pdf.")
    session = find(shop, session_id)
    if kind == "pdf" and out is None and sys.stdout.isatty():
        raise OperatorError("A PDF cannot be shown in a terminal.", remedy="Name a file with --out report.pdf.")
    if customer:
        page = customer_html(summarize(session), catalog.load_vocabulary(), paper=paper if kind == "pdf" else "")
        data = as_pdf(page) if kind == "pdf" else page.encode()
    elif kind == "csv":
        data = as_csv(summarize(session), catalog.load_vocabulary(), comma=decimal == "comma").encode()
    else:
        data = _made(shop, session, kind, paper, with_sound, out)
    if out is None:
        sys.stdout.flush()
        if kind == "json":
            data = escaped(data.decode()).encode()
        elif kind == "csv" and sys.stdout.isatty():
            data = visible(data.decode()).encode()
        sys.stdout.buffer.write(data)
        sys.stdout.flush()
        return
    write_private_file(out, data)
    echo(f"Report: {out}", err=True)


def _made(shop: Store, session: Session, kind: str, paper: str, with_sound: bool, out: Path | None) -> bytes:
    vocabulary = catalog.load_vocabulary()
    summary = summarize(session)
    technician = shop.technician(summary.session_id)
    if kind == "text":
        text = visible(transcript(session, vocabulary, alternatives=True))
        return f"{text}\n\nSeal: {summary.seal}\n".encode()
    path = path_of(session, context_of(session))
    if kind == "json":
        return (json.dumps(as_json(summary, path, technician), ensure_ascii=False, indent=2) + "\n").encode()
    exhibits = exhibits_of(session, context_of(session), summary)
    if kind == "pdf":
        told = Told(path, turns_of(session), technician, photos=_photos(shop, summary), exhibits=exhibits)
        return as_pdf(html_report(summary, vocabulary, told, paper=paper))
    sounds = _sounds(shop, session, with_sound, out)
    told = Told(path, turns_of(session), technician, sounds, _photos(shop, summary), exhibits)
    return html_report(summary, vocabulary, told).encode()


def _photos(shop: Store, summary: SessionSummary) -> dict[str, str]:
    """Every photo that is still there, inside the file: a report is sent as one."""

    def inside(_: str, picture: bytes) -> str:
        return f"data:image/jpeg;base64,{base64.b64encode(picture).decode('ascii')}"

    return addresses(summary, lambda name: shop.photo(summary.session_id, name), inside)


def context_of(session: Session) -> Context | None:
    """What a record was worked with; None where its procedure is lost."""
    try:
        return context_from(session.header)
    except (OperatorError, DocumentError):
        return None  # the record's procedure is lost: the report does without the path


def _sounds(shop: Store, session: Session, embedded: bool, out: Path | None) -> list[Kept]:
    """Every kept answer with its address: inside the file, or a path relative to it."""
    kept = shop.sounds(session.header.session_id)
    base = (out.parent if out else Path()).absolute()
    found = []
    for line, entry in session.entries():
        path = kept.get(line.seq)
        if path is None or not isinstance(entry.fact, Heard):
            continue
        address = Path(os.path.relpath(path.absolute(), base)).as_posix()
        if embedded:
            address = "data:audio/flac;base64," + base64.b64encode(path.read_bytes()).decode()
        words = entry.fact.hypotheses[0].words if entry.fact.hypotheses else ""
        found.append(Kept(line.mono, words, address))
    return found
