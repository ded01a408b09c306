"""Sentences: short enough to be heard under a trailer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import ceil

from assistant.procedure.check.notes import Notes, Path
from assistant.procedure.model import Access, Caution, Check, Fix, ProofStep, Question

LONGEST = 12.0
"""Seconds that one prompt may take."""
LETTER, DIGIT, STOP, COMMA = 0.07, 0.32, 0.36, 0.29
"""Seconds that each takes in a sentence spoken at 170 words a minute: fitted on every sentence of the procedures that
come with the program, spoken by espeak-ng; 0.3 s off on average, below 1.2 s each, too long rather than too short."""
_BRACES = re.compile(r"\{([^{}]*)\}")


def inspect(notes: Notes) -> None:
    """Note prompts too long to hear, and names in braces that mean nothing."""
    longest = dict.fromkeys(notes.groups(), "")
    for place in notes.procedure.places:
        longest[place.group] = max(longest[place.group], place.name, key=len)
    for path, where, text, group in _spoken(notes):
        seconds = seconds_of(text.replace("{place}", longest.get(group or "", "")))
        if seconds > LONGEST:
            notes.add(
                path, where, f"This takes about {ceil(seconds)} seconds to say. Say it in {LONGEST:.0f} or less."
            )
        for name in _BRACES.findall(text):
            if name != "place":
                notes.add(path, where, f"'{{{name}}}' means nothing. Only {{place}} is filled in.")
            elif group is None:
                notes.add(
                    path, where, "{place} stands here, but this has no place. Write each = ..., or take it out."
                )


def seconds_of(text: str) -> float:
    """About how long a sentence takes to say, in seconds."""
    letters, digits = sum(mark.isalpha() for mark in text), sum(mark.isdigit() for mark in text)
    stops = len(re.findall(r"[.!?:;](?=\s|$)", text))
    return LETTER * letters + DIGIT * digits + STOP * stops + COMMA * text.count(",")


def _spoken(notes: Notes) -> Iterator[tuple[Path, str, str, str | None]]:
    """Every spoken text: its path, how messages call it, itself, and the group of its place if it has one."""
    procedure = notes.procedure
    for key, text in (("summary", procedure.summary), ("complaint", procedure.complaint)):
        yield (key,), key, text, None
    for path, where, row in notes.rows():
        group: str | None = getattr(row, "each", None) if getattr(row, "kind", "") != "place" else None
        if isinstance(row, Access | Caution | Fix | ProofStep):
            yield (*path, "say"), f"{where} / say", row.say, group
        if isinstance(row, Check | Question):
            yield (*path, "ask"), f"{where} / ask", row.ask, group
            yield (*path, "help"), f"{where} / help", row.help, group
        if isinstance(row, Access | Fix):
            for item in row.put_back:
                yield (*path, "put_back"), f"{where} / put_back", item, group
    if procedure.in_hand:
        yield ("in_hand",), "in_hand", "Before you start, have in hand: " + "; ".join(procedure.in_hand), None
    for item in procedure.put_back:
        yield ("put_back",), "put_back", item, None
    yield ("proof", "limits"), "proof / limits", procedure.proof.limits, None
