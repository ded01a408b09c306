"""Lines and details shared by the texts made from a record. Plain text, at most 100 columns."""

from __future__ import annotations

import textwrap
from decimal import Context, Decimal

from assistant.numerals.readback import show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.conditions import condition_read
from assistant.phrasing.verdicts import remark_of
from assistant.records.summary.summary import Reading, plain_meter
from assistant.verdict.uncertainty import rounded

WIDTH = 100
"""Columns of every text."""


def block(head: str, text: str, indent: int | None = None) -> list[str]:
    """Wrap a text behind a head; the lines that follow stand under its beginning."""
    margin = " " * (len(head) if indent is None else indent)
    lines: list[str] = []
    for part in text.splitlines() or [""]:
        lines += textwrap.wrap(
            part,
            WIDTH,
            initial_indent=margin if lines else head,
            subsequent_indent=margin,
            break_on_hyphens=False,
        )
    return lines or [head.rstrip()]


def under(reading: Reading, vocabulary: Vocabulary | None, meter: str = "") -> list[str]:
    """What stands under a reading: what was heard, conditions, uncertainty, remark.

    Args:
        reading: the reading.
        vocabulary: how units are said.
        meter: the session's meter, which is told once; another one is told here.
    """
    observed = reading.observed
    parts = ["measured again after a repair"] if observed.proof else []
    if reading.spoken and observed.heard and observed.choice is None:
        parts.append(f'heard as "{observed.heard}"')
    if observed.conditions:
        parts.append(", ".join(condition_read(name, value) for name, value in observed.conditions.items()))
    verdict = observed.verdict
    if verdict is not None:
        corrected = verdict.corrected
        if corrected is not None and observed.value is not None and corrected != observed.value:
            places = observed.value.as_tuple().exponent
            step = Decimal(1).scaleb(min(places, 0) if isinstance(places, int) else 0)
            judged = show_value(corrected.quantize(step, context=Context(prec=200)), observed.unit, vocabulary)
            parts.append(f"judged as {judged} after correction")
        if verdict.uncertainty:
            spread = f"give or take {show_value(rounded(verdict.uncertainty), observed.unit, vocabulary)}"
            parts.append(spread)
        if plain_meter(observed.meter) not in ("", plain_meter(meter)):
            parts.append(plain_meter(observed.meter))
        remark = remark_of(verdict)
        if remark:
            parts.append(remark.rstrip("."))
    return parts
