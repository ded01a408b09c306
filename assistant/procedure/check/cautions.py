"""Cautions: none missing behind a dangerous opening."""

from __future__ import annotations

import re

from assistant.procedure.check.notes import Notes
from assistant.procedure.model import Access, Check, Fix

_DANGERS = {
    "a drum": r"\bdrums?\b(?! brakes?\b)",
    "a wheel taken off": r"\bwheels?(?: and \w+)? off\b|\bpull the wheels?\b",
    "a jack": r"\bjack(?:s|ed)?\b",
    "a raised axle": r"\brais(?:e|ed|ing)\b",
    "a hub": r"\bhub\b",
    "a brake chamber": r"\bchambers?\b",
    "a spring brake": r"\bspring brakes?\b",
    "a pushrod": r"\bpushrods?\b",
    "a battery": r"\bbatter(?:y|ies)\b",
    "an air line": r"\bair (?:line|hose|tank)s?\b|\bdrain the air\b",
    "a turning wheel": r"\bturn (?:the wheel|\{place\})",
}
_KEPT_ON = re.compile(r"\b(?:leave|with) the (?:wheels?|drums?)(?: and (?:the )?(?:drums?|wheels?))? on\b")


def inspect(notes: Notes) -> None:
    """Note openings, checks and fixes whose words name a danger and that have no caution before them."""
    for path, where, row in notes.rows():
        if not isinstance(row, Access | Check | Fix):
            continue
        words = row.ask if isinstance(row, Check) else row.say
        danger = _danger(f"{row.name}. {words}")
        if danger and not _warned(notes, row):
            text = f"This names {danger}, and no caution comes before it. Name one in 'cautions'."
            notes.add(path, where, text)
    for number, step in enumerate(notes.procedure.proof.steps):
        if step.quiet and not step.cautions:
            text = "The unit moves here, and no caution comes before it. Name one in 'cautions'."
            notes.add(("proof", "steps", number), f"proof step '{step.name}'", text)


def _danger(words: str) -> str:
    text = _KEPT_ON.sub("", words.lower())
    return next((name for name, pattern in _DANGERS.items() if re.search(pattern, text)), "")


def _warned(notes: Notes, row: Access | Check | Fix) -> bool:
    """True when the row, or an opening that it needs, has a caution."""
    accesses = {access.name: access for access in notes.procedure.access}
    waiting, seen = list(row.needs), set[str]()
    if row.cautions:
        return True
    while waiting:
        name = waiting.pop()
        if name in seen or name not in accesses:
            continue
        seen.add(name)
        if accesses[name].cautions:
            return True
        waiting.extend(accesses[name].needs)
    return False
