"""Answers: each can be said and heard, none is a command, and no two sound alike."""

from __future__ import annotations

from collections.abc import Iterable, Set
from itertools import combinations

from rapidfuzz import fuzz
from rapidfuzz.distance import OSA

from assistant.inspection.notes import Notes, Path
from assistant.messages import Command
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.model import Option, Procedure

ALIKE = 82
"""Similarity, of 100, from which two answers sound alike."""
SHORT = 3
"""Letters up to which a word is too short to be compared by similarity."""
_RHYMES = ("bcdegptvz", "ahjk", "fsx", "mn", "iy", "quw")
"""Letters that rhyme when they are said alone (the reason of spelling alphabets)."""
_COMMANDS = {command.value.replace("_", " ") for command in Command}


def inspect(notes: Notes, model_words: Set[str] | None, vocabulary: Vocabulary | None) -> None:
    """Note answers that cannot be heard or told apart."""
    commands = _COMMANDS | (
        {form for forms in vocabulary.commands.values() for form in forms} if vocabulary else set()
    )
    lists = list(notes.options())
    places = notes.procedure.places
    for group in sorted(notes.groups()):
        first = next(number for number, place in enumerate(places) if place.group == group)
        options = tuple(Option(name=place.name, also=place.also) for place in places if place.group == group)
        lists.append((("places", first), f"places of group '{group}'", options))
    for path, where, options in lists:
        _heard(notes, path, where, options, commands, model_words)
        _told_apart(notes, path, where, options)


def words_of(procedure: Procedure) -> set[str]:
    """Every word in which an answer of this procedure may be said."""
    options: list[Option] = [Option(name=place.name, also=place.also) for place in procedure.places]
    options += [option for fact in procedure.facts for option in fact.choices]
    options += [option for check in procedure.checks for option in check.choices]
    options += [option for step in procedure.proof.steps for option in step.choices]
    return {word for option in options for saying in sayings(option) for word in saying.split()}


def sayings(option: Option) -> tuple[str, ...]:
    """Every way to say one answer, in lower case, as it is listened for."""
    return tuple(" ".join(saying.lower().replace("-", " ").split()) for saying in (option.name, *option.also))


def _heard(
    notes: Notes,
    path: Path,
    where: str,
    options: Iterable[Option],
    commands: Set[str],
    model_words: Set[str] | None,
) -> None:
    for number, option in enumerate(options):
        here = (*path, number) if path[-1] == "choices" else path
        if not option.name.strip():
            notes.add(here, where, "A choice has no name. Write the words that answer it.")
            continue
        said = [saying for saying in sayings(option) if all(mark.isalpha() or mark in " '" for mark in saying)]
        if not said:
            notes.add(
                here, where, f"'{option.name}' can be typed but not heard. Write it in letters, or add also = [...]."
            )
        for saying in sayings(option):
            if saying in commands:
                notes.add(here, where, f"'{saying}' is a command at every prompt. Choose other words.")
        if model_words is None:
            continue
        for word in (word for saying in said for word in saying.split() if word not in model_words):
            text = f"The recognizer does not have the word '{word}'. Choose another."
            notes.add(here, where, text, remark=True)


def _told_apart(notes: Notes, path: Path, where: str, options: tuple[Option, ...]) -> None:
    for (_, one), (number, other) in combinations(enumerate(options), 2):
        here = (*path, number) if path[-1] == "choices" else path
        for first in sayings(one):
            for second in sayings(other):
                if one.name != other.name and alike(first, second):
                    text = f"'{first}' and '{second}' sound alike. Change one of them."
                    notes.add(here, where, text, remark=True)


def alike(one: str, other: str) -> bool:
    """True for two answers that are easily heard for each other: the same, nearly so, or a teen and its ten."""
    if one == other:
        return True
    first, second = one.split(), other.split()
    different = [(a, b) for a, b in zip(first, second, strict=False) if a != b]
    if len(first) == len(second) and len(different) == 1:
        one, other = different[0]
    if len(one) == len(other) == 1:
        return any(one in rhyme and other in rhyme for rhyme in _RHYMES)
    short = min(len(one), len(other)) <= SHORT
    if {one[-4:], other[-2:]} == {"teen", "ty"} or {one[-2:], other[-4:]} == {"teen", "ty"}:
        return one[:3] == other[:3]
    if sorted(one) == sorted(other):
        return True
    return OSA.distance(one, other) <= 1 if short else fuzz.ratio(one, other) >= ALIKE
