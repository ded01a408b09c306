"""Sentences: short enough to be heard under a trailer, and answers that do not sound alike."""

from __future__ import annotations

import re
from collections.abc import Iterator, Set
from itertools import combinations
from math import ceil

from rapidfuzz import fuzz

from assistant.messages import Command
from assistant.procedure.check.notes import Notes, Path
from assistant.procedure.model import Access, Caution, Check, Fix, Option, ProofStep, Question

LONGEST = 12.0
"""Seconds that one prompt may take."""
WORDS_A_SECOND = 2.5
"""Words spoken in a second."""
ALIKE = 82
"""Similarity, of 100, from which two answers sound alike."""
_COMMANDS = {command.value.replace("_", " ") for command in Command}
_BRACES = re.compile(r"\{([^{}]*)\}")


def inspect(notes: Notes, vocabulary: Set[str] | None) -> None:
    """Note prompts too long to hear, names in braces that mean nothing, and answers that sound alike."""
    for path, where, text, placed in _spoken(notes):
        seconds = len(text.split()) / WORDS_A_SECOND
        if seconds > LONGEST:
            notes.add(
                path, where, f"This takes about {ceil(seconds)} seconds to say. Say it in {LONGEST:.0f} or less."
            )
        for name in _BRACES.findall(text):
            if name != "place":
                notes.add(path, where, f"'{{{name}}}' means nothing. Only {{place}} is filled in.")
            elif not placed:
                notes.add(
                    path, where, "{place} stands here, but this has no place. Write each = ..., or take it out."
                )
    for path, where, options in notes.options():
        _options(notes, path, where, options, vocabulary)
    places = notes.procedure.places
    for group in sorted(notes.groups()):
        options = tuple(Option(name=place.name, also=place.also) for place in places if place.group == group)
        first = next(number for number, place in enumerate(places) if place.group == group)
        _options(notes, ("places", first), f"places of group '{group}'", options, vocabulary)


def _spoken(notes: Notes) -> Iterator[tuple[Path, str, str, bool]]:
    """Every spoken text: its path, how messages call it, itself, and whether it has a place."""
    for path, where, row in notes.rows():
        placed = getattr(row, "each", None) is not None and getattr(row, "kind", "") != "place"
        if isinstance(row, Access | Caution | Fix | ProofStep):
            yield (*path, "say"), f"{where} / say", row.say, placed
        if isinstance(row, Check | Question):
            yield (*path, "ask"), f"{where} / ask", row.ask, placed
            yield (*path, "help"), f"{where} / help", row.help, placed
        if isinstance(row, Access | Fix):
            for item in row.put_back:
                yield (*path, "put_back"), f"{where} / put_back", item, placed
    for key, items in (("in_hand", notes.procedure.in_hand), ("put_back", notes.procedure.put_back)):
        for item in items:
            yield (key,), key, item, False


def _options(notes: Notes, path: Path, where: str, options: tuple[Option, ...], vocabulary: Set[str] | None) -> None:
    for option in options:
        if not option.name.strip():
            notes.add(path, where, "A choice has no name. Write the words that answer it.")
        for saying in _sayings(option):
            if saying in _COMMANDS:
                notes.add(path, where, f"'{saying}' is a command at every prompt. Choose other words.")
            lacking = [] if vocabulary is None else [word for word in saying.split() if word not in vocabulary]
            for word in lacking:
                notes.add(path, where, f"The recognizer does not have the word '{word}'. Choose another.")
    for one, other in combinations(options, 2):
        for first in _sayings(one):
            for second in _sayings(other):
                if one.name != other.name and _alike(first, second):
                    notes.add(path, where, f"'{first}' and '{second}' sound alike. Change one of them.")


def _sayings(option: Option) -> tuple[str, ...]:
    return tuple(" ".join(saying.lower().split()) for saying in (option.name, *option.also))


def _alike(one: str, other: str) -> bool:
    if one == other:
        return True
    first, second = one.split(), other.split()
    different = [(a, b) for a, b in zip(first, second, strict=False) if a != b]
    if len(first) == len(second) and len(different) == 1:
        one, other = different[0]
    return min(len(one), len(other)) > 3 and fuzz.ratio(one, other) >= ALIKE
