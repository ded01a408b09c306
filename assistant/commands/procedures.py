"""``leadsman procedures`` and ``inspect``: what can be led, and what is wrong with a procedure file."""

from __future__ import annotations

import click

from assistant import library
from assistant.commands.shared import write_json
from assistant.errors import DocumentError
from assistant.procedure.check import find_faults
from assistant.procedure.load import list_procedures, load_procedure


@click.command(epilog="Example: leadsman procedures")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a procedure.")
def procedures(as_json: bool) -> None:
    """List the procedures that can be started, the shop's own among them."""
    for path in list_procedures():
        try:
            procedure = load_procedure(path).procedure
        except DocumentError as error:
            if as_json:
                write_json({"name": path.stem, "file": str(path), "faults": [str(one) for one in error.findings]})
            else:
                click.echo(f"{path.stem}\n    has {len(error.findings)} faults: see leadsman inspect {path.stem}")
            continue
        if as_json:
            write_json({"name": procedure.name, "title": procedure.title, "summary": procedure.summary,
                        "faults": len(procedure.faults), "checks": len(procedure.checks)})  # fmt: skip
        else:
            click.echo(f"{procedure.name}\n    {procedure.summary}")


@click.command(epilog="Example: leadsman inspect my-procedure.toml")
@click.argument("procedure")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a finding.")
def inspect(procedure: str, as_json: bool) -> None:
    """Say everything that is wrong with a PROCEDURE file, with line numbers."""
    lexicon = library.load_lexicon()
    try:
        loaded = load_procedure(procedure)
        findings = find_faults(loaded.procedure, loaded.text, frozenset(lexicon.units))
        name = loaded.path.name
    except DocumentError as error:
        name, findings = error.name, list(error.findings)
    if as_json:
        for one in findings:
            write_json({"line": one.line, "where": one.where, "text": one.text})
    elif findings:
        click.echo(str(DocumentError(name, findings)))
    else:
        click.echo(f"{name}: no fault found.")
    if findings:
        raise SystemExit(DocumentError.exit_code)
