"""What technicians say, with the truth beside it, and how it fares: the rows of ``tests/data/spoken_*.tsv``.

The rows were written before the grammars were read, in three ways of speaking (terse, chatty, Spanish-flavored). A
third of them is set aside: nobody looks at how those fare while the grammars are worked on. Run as a program, it
prints the figures of both parts; with ``--wrong`` it lists what went wrong among the others.
"""

from __future__ import annotations

import csv
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path

from assistant import catalog
from assistant.messages import (
    About,
    Choice,
    Command,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Prompt,
    PromptKind,
    Report,
    Understanding,
)
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check, Question
from assistant.understanding.interpret import interpret

DATA = Path(__file__).parents[1] / "data"
TABLES = ("readings", "choices", "commands", "identifiers", "later", "bay", "floor", "yard", "dock")
TAKEN = {Outcome.READING, Outcome.OVER_RANGE, Outcome.NOTHING, Outcome.UNSTEADY, Outcome.CHOICE, Outcome.IDENTIFIER}
HARMLESS = {Command.SAY_AGAIN, Command.HOLD, Command.RESUME, Command.HELP, Command.WHY, Command.WHATS_LEFT,
            Command.WHERE}  # fmt: skip
"""Commands that record nothing and change nothing."""

ASKED_FOR = {About.LEFT: "whats_left", About.TIME_LEFT: "whats_left", About.LEADS: "where", About.PIN: "where",
             About.WHEEL: "where", About.PART: "where", About.NEXT: "next", About.WHY: "why"}  # fmt: skip
"""Questions that are what a command asks for."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing said at a prompt."""

    kind: str
    """Class of the row, such as ``hedge`` or ``question``."""
    style: str
    aside: bool
    """True for a row that is not looked at while the grammars are worked on."""
    prompt: str
    said: str
    truth: tuple[str, ...]
    """What would be right: a figure, ``~`` and a figure, a name, a command, or ``ask``."""


def rows(table: str) -> Iterator[Row]:
    """The rows of one table."""
    return rows_of(f"spoken_{table}")


def rows_of(name: str) -> Iterator[Row]:
    """The rows of a file of this shape."""
    with (DATA / f"{name}.tsv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE):
            truth = _truths(row["truth"], row["prompt"])
            yield Row(row["class"], row["style"], row["aside"] == "yes", row["prompt"], row["said"], truth)


def _truths(text: str, prompt: str) -> tuple[str, ...]:
    """What would be right; a choice that is called 'worn or loose' is one of them, not two."""
    named = sorted((one.name for one in expectation(prompt).choices), key=len) if prompt.startswith("@") else []
    whole = [name for name in named if " or " in name and name in text]
    for name in whole:
        text = text.replace(name, "").strip()
    return (*whole, *(one for one in text.removeprefix("or ").split(" or ") if one))


def expectation(prompt: str) -> Expectation:
    """The prompt of a row: ``ohm 900..1400 OL=bad``, ``clean/fine; bent``, ``command`` or ``identifier``.

    ``@procedure/question`` is the question of a procedure, with its limits and every way to say its choices.
    """
    if prompt.startswith("@"):
        return _asked(*prompt[1:].split("/"))
    if prompt in ("command", "identifier"):
        return Expectation(Expects(prompt))
    if ";" in prompt:
        forms = [part.strip().split("/") for part in prompt.split(";")]
        return Expectation(Expects.CHOICE, choices=tuple(Choice(one[0], tuple(one[1:])) for one in forms))
    unit, span, *rest = prompt.split()
    low, _, high = span.partition("..")
    over = rest[0].removeprefix("OL=") if rest else ""
    return Expectation(
        Expects.READING, unit=unit, low=Decimal(low) if low else None, high=Decimal(high) if high else None,
        over_range=over,  # type: ignore[arg-type]
    )  # fmt: skip


@cache
def _asked(procedure: str, name: str) -> Expectation:
    told = load_procedure(procedure).procedure
    rows: list[Check | Question] = [*told.checks, *told.facts]
    row = next(row for row in rows if row.name == name)
    if row.choices:
        kind = PromptKind.CHECK if isinstance(row, Check) else PromptKind.FACT
        choices = tuple(Choice(one.name, tuple(one.also)) for one in row.choices)
        return Expectation(Expects.CHOICE, prompt=Prompt(kind, name), choices=choices)
    limits = getattr(row, "limits", None)
    return Expectation(
        Expects.READING, unit=row.unit, span=row.span, low=limits and limits.low, high=limits and limits.high,
        over_range=(limits and limits.over_range) or "",
    )  # fmt: skip


def told(found: Understanding) -> str:
    """What an understanding comes to, in the words of the tables."""
    if found.outcome is Outcome.READING and found.value is not None:
        return f"{found.value.normalize():f}"
    if found.outcome is Outcome.OVER_RANGE:
        return "OL"
    if found.outcome in (Outcome.UNSTEADY, Outcome.RANGE) and found.low_end is not None:
        return f"{found.low_end:f}-{found.high_end}"
    if found.outcome in (Outcome.NOTHING, Outcome.UNSTEADY):
        return found.outcome.value
    if found.outcome is Outcome.COMMAND and found.command is not None:
        return found.command.value
    return found.choice or found.identifier or "ask"


def fares(row: Row, found: Understanding) -> str:
    """``right``, ``asked``, ``wrong asked`` (a wrong answer that waits for a yes) or ``wrong silent``."""
    got = told(found)
    wanted = {one.removeprefix("~") for one in row.truth}
    if row.prompt not in ("command", "identifier") and ";" not in row.prompt:
        wanted = {f"{Decimal(one).normalize():f}" if _is_number(one) else one for one in wanted}
    if got in wanted or (got == "ask" and "ask" in wanted) or _served(found) in wanted:
        return "right"
    command = found.command if found.outcome is Outcome.COMMAND else None
    taken = found.outcome in TAKEN or (command is not None and command not in HARMLESS)
    if got == "ask" or not taken:
        return "asked"
    if found.confirm:
        return "right" if wanted == {"ask"} else "wrong asked"
    return "wrong silent"


def _served(found: Understanding) -> str:
    """The command that a question or a report comes to; '' for none."""
    if found.outcome is Outcome.QUESTION and found.about is not None:
        return ASKED_FOR.get(found.about, "")
    return "stop" if found.report is Report.HANDOVER else ""


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).removeprefix("-").isdecimal()


def main() -> None:
    """Print the figures of both parts; ``--wrong`` lists what is not right among the rows that are worked on."""
    vocabulary = catalog.load_vocabulary()
    listing = "--wrong" in sys.argv
    for table in TABLES:
        counts: dict[bool, Counter[str]] = {False: Counter(), True: Counter()}
        kinds: dict[bool, dict[str, Counter[str]]] = {False: {}, True: {}}
        for row in rows(table):
            found = interpret((Hypothesis(row.said),), expectation(row.prompt), vocabulary)
            how = fares(row, found)
            counts[row.aside][how] += 1
            kinds[row.aside].setdefault(row.kind, Counter())[how] += 1
            if not row.aside and listing and how != "right":
                confirm = "?" if found.confirm else ""
                print(f"  {how:<12} {row.kind:<13} [{row.prompt}] {row.said!r}: {told(found)}{confirm} "
                      f"({found.reason}), not {' or '.join(row.truth)}")  # fmt: skip
        for aside, part in counts.items():
            total = part.total()
            if not total:
                continue
            print(f"{table:<12} {'aside' if aside else 'worked':<7} {total:4}: "
                  + ", ".join(f"{how} {part[how]} ({100 * part[how] / total:.1f} %)" for how in
                              ("right", "asked", "wrong asked", "wrong silent")))  # fmt: skip
            if len(kinds[aside]) > 1 and not listing:
                print("   " + "; ".join(f"{kind} {100 * one['right'] / one.total():.0f}"
                                        for kind, one in kinds[aside].items()))  # fmt: skip


if __name__ == "__main__":
    main()
