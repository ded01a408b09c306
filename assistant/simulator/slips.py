"""Slips of a simulated hand: what each did to the answer, and how it came out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from enum import StrEnum

from assistant.diagnosis.limits import limits_of
from assistant.messages import Prompt
from assistant.procedure.model import Check


class Noticed(StrEnum):
    """How a slip came out, the first way that did."""

    NOT = ""
    ASKED = "asked"
    """A question about the answer made him look at what he had done."""
    TOOL = "tool"
    """The answer said that meter or load is at fault."""
    AGAIN = "again"
    """The same was looked at again before anything was mended, and done right."""


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip."""

    prompt: Prompt
    """At which check."""
    kind: str
    """What went wrong, such as ``lead off``."""
    harmless: bool
    """True when the answer is judged as the right hand's would have been."""
    noticed: Noticed = Noticed.NOT
    """How it came out."""
    fixes: int = 0
    """Fixes done before it."""


@dataclass(frozen=True, slots=True)
class SlipCounts:
    """Slips of many sessions."""

    made: int = 0
    """All of them."""
    harmless: int = 0
    """Those that changed no judgment."""
    asked: int = 0
    """Of the others, those that a question brought out."""
    tool: int = 0
    """Those that showed as a tool at fault."""
    again: int = 0
    """Those that a second look set right."""

    @property
    def unnoticed(self) -> int:
        """Those that changed a judgment and did not come out by themselves: other readings spoke against them, or
        nothing did."""
        return self.made - self.harmless - self.asked - self.tool - self.again


def counted(slips: Iterable[Slip]) -> SlipCounts:
    """The sums. A slip that changed no judgment counts as harmless, however it came out."""
    every = tuple(slips)
    harmful = [one.noticed for one in every if not one.harmless]
    return SlipCounts(
        len(every),
        len(every) - len(harmful),
        harmful.count(Noticed.ASKED),
        harmful.count(Noticed.TOOL),
        harmful.count(Noticed.AGAIN),
    )


def noticed_as(slips: list[Slip], prompt: Prompt, how: Noticed, fixes: int | None = None) -> None:
    """Mark the slips at a check that have not come out yet; with ``fixes`` only those since the last fix."""
    for number, one in enumerate(slips):
        if one.prompt == prompt and one.noticed is Noticed.NOT and fixes in (None, one.fixes):
            slips[number] = replace(one, noticed=how)


def judged_alike(check: Check, facts: dict[str, str], place: str | None, one: str, other: str) -> bool:
    """True when two answers of a check come to the same judgment by the file's limits."""
    return _judgment(check, facts, place, one) == _judgment(check, facts, place, other)


def _judgment(check: Check, facts: dict[str, str], place: str | None, words: str) -> str:
    if check.kind != "reading":
        return words
    try:
        value = Decimal(words)
    except InvalidOperation:
        return "jumping" if words.startswith("jumping") else words
    limits = limits_of(check, facts, place)
    if limits.low is not None and value < limits.low:
        return "low"
    return "high" if limits.high is not None and value > limits.high else "within"
