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
from assistant.inspection import everything_wrong, words_of_file
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.load import list_procedures, load_procedure, read_procedure
from assistant.setup.model import model_folder
from assistant.simulator.drawing import draw_procedure


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
    try:
        name, text = read_procedure(procedure)
        model_words = _vocabulary(words_of_file(text, name), vocabulary)
        findings = everything_wrong(text, name, model_words, vocabulary)
    except DocumentError as error:
        name, findings = error.name, list(error.findings)
    if as_json:
        for one in findings:
            write_json(fields_of(one, "line", "where", "text", "remark"))
    elif findings:
        echo(str(DocumentError(name, findings, _stops(findings))))
    else:
        echo(f"{name}: no fault found.")
    if findings:
        raise SystemExit(DocumentError.exit_code)


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


@click.command("draw", epilog="Example: leadsman draw trailer-abs-light-on -o trailer.svg")
@click.argument("procedure", shell_complete=complete_procedures)
@click.option("-o", "--output", type=click.Path(path_type=Path, dir_okay=False), help="File to write; else printed.")
def draw_command(procedure: str, output: Path | None) -> None:
    """Draw PROCEDURE as one SVG picture to print: checks by what must be opened, what they point to, fixes, proof."""
    drawing = draw_procedure(load_procedure(procedure).procedure)
    if output is None:
        echo(drawing, nl=False)
        return
    try:
        output.write_text(drawing, encoding="utf-8")
    except OSError as error:
        raise OperatorError(f"Cannot write {output}: {error.strerror or error}.") from None
    echo(f"Drawn: {output}")
