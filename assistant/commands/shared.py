"""What several commands share: number arguments, plain notation, JSON out, and errors as one sentence."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TextIO

import click

from assistant.commands.terminal import echo
from assistant.display.visible import escaped
from assistant.errors import OperatorError
from assistant.messages import Choice, Expectation, Expects, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.phrase import phrase
from assistant.private_files import write_private

if TYPE_CHECKING:
    from assistant.diagnosis.fault_model import Suspect

_OVER_RANGE: tuple[Literal["good", "bad", ""], ...] = ("good", "bad", "")
_PLAIN_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")


class ExactNumber(click.ParamType[Decimal]):
    """A number argument kept exact: ``1180``, ``-0.6``, ``.5``."""

    name = "number"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Decimal:
        """Text to Decimal; anything else ends the command with a sentence."""
        if isinstance(value, Decimal):
            return value
        text = str(value).strip().replace("\N{MINUS SIGN}", "-")
        if not _PLAIN_NUMBER.fullmatch(text):
            self.fail(f"'{value}' is not a plain number such as 1180 or -0.6.", param, ctx)
        return Decimal(text)


EXACT = ExactNumber()
json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
"""The option of a command whose answer is one value."""


def options(*declared: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Several options as one decorator; the help lists them in this order."""

    def decorate(command: Any) -> Any:
        for option in reversed(declared):
            command = option(command)
        return command

    return decorate


def plain(value: Decimal | None) -> str | None:
    """Plain notation without exponent, None for None."""
    return None if value is None else format(value, "f")


def fields_of(thing: object, *names: str) -> dict[str, Any]:
    """Fields of an object as JSON fields of the same names, in this order; numbers are strings in plain notation."""
    return {name: _json_value(getattr(thing, name)) for name in names}


def _json_value(value: Any) -> Any:
    if isinstance(value, Decimal):
        return plain(value)
    return [_json_value(one) for one in value] if isinstance(value, tuple) else value


def parse_span(text: str) -> tuple[Decimal, Decimal]:
    """``"0:20000"`` to its two ends.

    Raises:
        OperatorError: it is not two numbers with a colon, the lower first.
    """
    low, colon, high = text.partition(":")
    try:
        ends = Decimal(low.strip()), Decimal(high.strip())
    except InvalidOperation:
        ends = Decimal(0), Decimal("nan")
    if not colon or not all(end.is_finite() for end in ends) or ends[0] >= ends[1]:
        raise OperatorError(
            f"'{text}' is not a span.", remedy="Write its two ends with a colon, the lower first, such as 0:20000."
        )
    return ends


def exact(value: object, name: str) -> Decimal | None:
    """A number from JSON or TOML, kept exact.

    Raises:
        OperatorError: it is not a finite number.
    """
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | str | Decimal):
        raise OperatorError(f"'{name}' is {value!r}, which is not a number.")
    try:
        number = Decimal(value)
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite():
        raise OperatorError(f"'{name}' is {value!r}, which is not a number.")
    return number


def expectation_from(job: Mapping[str, Any], units: Iterable[str]) -> Expectation:
    """What an ``understand`` or ``hear`` job expects.

    Args:
        job: ``unit``, ``low``, ``high``, ``span`` (two numbers), ``resolution``, ``over_range``, ``choices``,
            ``identifier``; all optional.
        units: names of the units that are known.

    Raises:
        OperatorError: a field does not make sense; the sentence names it.
    """
    unit = job.get("unit")
    if unit is not None:
        if unit not in set(units):
            raise OperatorError(f"Unit '{unit}' is not known.", remedy=f"Known units: {', '.join(sorted(units))}.")
        span = job.get("span")
        if isinstance(span, str):
            span = parse_span(span)
        elif span is not None:
            if not isinstance(span, list | tuple) or len(span) != 2:
                raise OperatorError(f"'span' is {span!r}.", remedy="Give its two ends, such as [0, 20000].")
            ends = exact(span[0], "span"), exact(span[1], "span")
            if ends[0] is None or ends[1] is None or ends[0] >= ends[1]:
                raise OperatorError(f"'span' is {span!r}.", remedy="Give its two ends, the lower first.")
            span = (ends[0], ends[1])
        low, high = exact(job.get("low"), "low"), exact(job.get("high"), "high")
        if low is not None and high is not None and low > high:
            raise OperatorError(f"The low limit {low} is above the high limit {high}.", remedy="Swap them.")
        over_range = _over_range(job.get("over_range") or "")
        return Expectation(
            Expects.READING, unit=unit, span=span, low=low, high=high, over_range=over_range,
            resolution=exact(job.get("resolution"), "resolution"),
        )  # fmt: skip
    if job.get("identifier"):
        return Expectation(Expects.IDENTIFIER)
    if job.get("choices"):
        names = job["choices"]
        if not isinstance(names, list | tuple) or not all(isinstance(name, str) and name.strip() for name in names):
            raise OperatorError(
                "'choices' is not a list of words.", remedy='Write it as ["left front", "left rear"].'
            )
        return Expectation(Expects.CHOICE, choices=tuple(Choice(name) for name in names))
    return Expectation(Expects.COMMAND)


def _over_range(value: object) -> Literal["good", "bad", ""]:
    for known in _OVER_RANGE:
        if value == known:
            return known
    raise OperatorError(f"'over_range' is {value!r}.", remedy="Say good or bad, or leave it out.")


def understanding_fields(meant: Understanding, vocabulary: Vocabulary) -> dict[str, Any]:
    """An understanding as JSON fields; numbers are strings in plain notation."""
    asked = phrase(clarified(meant.ask), vocabulary) if meant.ask is not None else None
    return {
        **fields_of(meant, "outcome", "value", "unit", "values", "low_end", "high_end", "command", "choice"),
        **fields_of(meant, "identifier", "approximate", "withdrawn", "confirm"),
        "ask": asked.spoken if asked is not None else "",
        **fields_of(meant, "reason", "heard"),
    }


def write_json(fields: object) -> None:
    """One JSON value on one line of standard output."""
    echo(escaped(json.dumps(fields, ensure_ascii=False, allow_nan=False)))
    sys.stdout.flush()


def run_batch(name: str, answer: Callable[[dict[str, Any]], dict[str, Any]]) -> None:
    """Answer one JSON object a line, in order, in one process.

    A line that cannot be answered gives ``{"id": …, "error": "…"}`` in its place, and the exit code is then 1.
    """
    failed = False
    for number, text in enumerate(_lines(name), 1):
        if not text.strip():
            continue
        job: dict[str, Any] = {}
        try:
            job = _job(text, number)
            write_json({"id": job.get("id"), **answer(job)})
        except OperatorError as error:
            failed = True
            write_json({"id": job.get("id"), "error": str(error)})
    if failed:
        raise SystemExit(1)


def _job(text: str, number: int) -> dict[str, Any]:
    try:
        job = json.loads(text, parse_float=Decimal)
    except json.JSONDecodeError as error:
        raise OperatorError(f"Line {number} is not JSON: {error.msg} at column {error.colno}.") from None
    if not isinstance(job, dict):
        raise OperatorError(f"Line {number} is not a JSON object.")
    return job


def _lines(name: str) -> Iterator[str]:
    if name == "-":
        yield from _decoded(sys.stdin)
        return
    try:
        with Path(name).open(encoding="utf-8-sig") as file:
            yield from _decoded(file)
    except OSError as error:
        raise OperatorError(f"Cannot read {name}: {error.strerror or error}.") from None


def _decoded(file: TextIO) -> Iterator[str]:
    try:
        yield from file
    except UnicodeDecodeError:
        raise OperatorError("The batch is not UTF-8 text.", remedy="Save it as UTF-8.") from None


def named(suspect: Suspect) -> str:
    """A fault as ``--fault`` takes it."""
    return f"{suspect.fault} @ {suspect.place}" if suspect.place else suspect.fault


def write_private_file(out: Path, data: bytes) -> None:
    """Write a file that only the user can read.

    Raises:
        OperatorError: it cannot be written.
    """
    try:
        target = out.resolve()
        if not target.exists() or target.is_file():
            write_private(target, data)  # private also where a file stood that others could read
        else:  # a device or a pipe, such as /dev/stdout
            with out.open("wb") as file:
                file.write(data)
    except OSError as error:
        raise OperatorError(
            f"Cannot write {out}: {(error.strerror or str(error)).rstrip('.')}.",
            remedy="Name another file with --out.",
        ) from None
