"""Lines and details shared by the texts made from a record. Plain text, at most 100 columns."""

from __future__ import annotations

import textwrap
from decimal import Context, Decimal

from assistant.messages.decisions import Observed
from assistant.numerals.readback import show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import remark_of
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


def under(observed: Observed, vocabulary: Vocabulary | None) -> list[str]:
    """What stands under a reading: words, conditions, uncertainty, remark, limits' source."""
    parts = []
    if observed.heard and observed.choice is None:
        parts.append(f'heard as "{observed.heard}"')
    if observed.conditions:
        parts.append(", ".join(f"{name} {value}" for name, value in observed.conditions.items()))
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
            parts.append(f"{spread} ({observed.meter})" if observed.meter else spread)
        elif observed.meter:
            parts.append(observed.meter)
        remark = remark_of(verdict)
        if remark:
            parts.append(remark.rstrip("."))
    if observed.limit_source:
        parts.append(f"limits: {observed.limit_source}")
    return parts
