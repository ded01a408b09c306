"""``leadsman procedures``, ``inspect`` and ``draw``: what can be led, what is wrong, what it looks like."""

from __future__ import annotations

from pathlib import Path

import click

from assistant import catalog
from assistant.asr.recognizer import Recognizer
from assistant.commands.completion import complete_procedures
from assistant.commands.shared import fields_of, write_json
from assistant.commands.terminal import echo
from assistant.errors import DocumentError, Finding, OperatorError
from assistant.inspection import everything_wrong, not_verified, words_of_file
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.pictures import NO_HANDS
from assistant.phrasing.wording import at_place, first_up
from assistant.pictures.page import check_page, procedure_page, procedure_text
from assistant.pictures.sheet import places_of, words_of
from assistant.procedure.load import list_procedures, load_procedure, read_procedure
from assistant.procedure.model import Check, Procedure
from assistant.records.report.pdf import as_pdf
from assistant.setup.model import model_folder


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
                echo(f"{path.stem}\n    has {len(error.findings)} faults: see leadsman inspect {path.stem}")
            continue
        if as_json:
            write_json({"name": procedure.name, "title": procedure.title, "summary": procedure.summary,
                        "faults": len(procedure.faults), "checks": len(procedure.checks)})  # fmt: skip
        else:
            echo(f"{procedure.name}\n    {procedure.summary}")


@click.command(epilog="Example: leadsman inspect my-procedure.toml")
@click.argument("procedure", shell_complete=complete_procedures)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a finding.")
def inspect(procedure: str, as_json: bool) -> None:
    """Say everything that is wrong with a PROCEDURE file, with line numbers."""
    vocabulary = catalog.load_vocabulary()
    unverified: list[int | None] = []
    try:
        name, text = read_procedure(procedure)
        model_words = _vocabulary(words_of_file(text, name), vocabulary)
        findings = everything_wrong(text, name, model_words, vocabulary)
        unverified = not_verified(text, name)
    except DocumentError as error:
        name, findings = error.name, list(error.findings)
    if as_json:
        for one in [*findings, *(Finding("limits", _HOLD_AGAINST, line, remark=True) for line in unverified)]:
            write_json(fields_of(one, "line", "where", "text", "remark"))
    elif findings:
        echo(str(DocumentError(name, findings, _stops(findings))))
    else:
        echo(f"{name}: no fault found.")
    if unverified and not as_json:
        echo(_told_unverified([line for line in unverified if line]))
    if findings:
        raise SystemExit(DocumentError.exit_code)


_FEW = 8
"""Lines that are named one by one."""
_HOLD_AGAINST = "Hold a figure that is not verified against the published text before you go by it."


def _told_unverified(lines: list[int]) -> str:
    count = "1 limit is" if len(lines) == 1 else f"{len(lines)} limits are"
    each = ", ".join(map(str, lines)) if len(lines) <= _FEW else f"{lines[0]} to {lines[-1]}"
    return f"{count} marked as not verified ({'line' if len(lines) == 1 else 'lines'} {each}). {_HOLD_AGAINST}"


def _stops(findings: list[Finding]) -> str:
    """Which of the findings stop a session."""
    remarks = sum(one.remark for one in findings)
    if not remarks:
        return ""
    if remarks == len(findings):
        return "These are remarks: a session starts all the same."
    return f"{remarks} of them {'is a remark' if remarks == 1 else 'are remarks'}; the others stop a session."


def _vocabulary(words: set[str], vocabulary: Vocabulary) -> frozenset[str] | None:
    """Those of the words that the speech model can hear; None, with a remark, without a model."""
    try:
        with Recognizer(model_folder(), vocabulary) as recognizer:
            needed = {word: vocabulary.unsaid.get(word, word).split() for word in words}
            lacking = set(recognizer.missing_words(sorted({part for parts in needed.values() for part in parts})))
    except OperatorError as error:
        echo(f"(Words are not looked up in the speech model. {error})", err=True)
        return None
    return frozenset(word for word, parts in needed.items() if not lacking & set(parts))


def _check_at(procedure: Procedure, name: str, place: str | None) -> tuple[Check, str | None]:
    """The check of that name, and where it is done.

    Raises:
        OperatorError: there is no such check, or it is not done at that place.
    """
    check = next((one for one in procedure.checks if name in (one.name, one.title)), None)
    if check is None:
        known = ", ".join(one.name for one in procedure.checks)
        raise OperatorError(f"{procedure.name} has no check '{name}'.", remedy=f"Its checks: {known}.")
    places = places_of(procedure, check)
    if place is not None and place not in places:
        where = ", ".join(one for one in places if one) or "the unit as a whole"
        raise OperatorError(f"'{check.name}' is not done at '{place}'.", remedy=f"It is done at: {where}.")
    return check, place if place is not None else places[0]


def _in_words(procedure: Procedure, check: Check, place: str | None) -> str:
    told = words_of(procedure, check, place) or [NO_HANDS]
    return "\n".join([first_up(at_place(check.title, place)), *(f"  {line}" for line in told)]) + "\n"


@click.command(
    "draw",
    epilog="Example: leadsman draw trailer-abs-light-on --check 'port volts' --at 'left rear' -o port.pdf",
)
@click.argument("procedure", shell_complete=complete_procedures)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Page to write, .html or .pdf; without it the same is told in words.",
)
@click.option("--check", "check_name", help="Only this check: where the probes go, what is unplugged, dial and jack.")
@click.option("--at", "place", help="With --check: the place, such as 'left rear'. Default: the first one.")
def draw_command(procedure: str, output: Path | None, check_name: str | None, place: str | None) -> None:
    """Draw PROCEDURE as pages to print: checks by what must be opened, where the probes go, fixes, proof.

    With --check one check: its circuit, meter, seven-way and the unit from above. Without -o it is told in words.
    """
    led = load_procedure(procedure).procedure
    if check_name is None and place is not None:
        raise OperatorError("--at says where a check is done.", remedy="Name the check with --check.")
    check, where = _check_at(led, check_name, place) if check_name is not None else (None, None)
    if output is None:
        echo(procedure_text(led) if check is None else _in_words(led, check, where), nl=False)
        return
    if output.suffix.lower() not in (".html", ".pdf"):
        raise OperatorError(f"{output} is no page.", remedy="Name a file that ends in .html or .pdf.")
    page = procedure_page(led) if check is None else check_page(led, check, where)
    try:
        output.write_bytes(as_pdf(page) if output.suffix.lower() == ".pdf" else page.encode())
    except OSError as error:
        raise OperatorError(f"Cannot write {output}: {error.strerror or error}.") from None
    echo(f"Drawn: {output}")
