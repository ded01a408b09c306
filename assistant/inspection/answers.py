"""Answers: each can be said and heard, none is a command, and no two sound alike."""

from __future__ import annotations

from collections.abc import Iterable, Set
from itertools import combinations, product

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
        said = [saying for saying in sayings(option) if saying.replace(" ", "").replace("'", "").isalpha()]
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
    said = [
        (option.name, [(saying, len(saying), saying.count(" ")) for saying in sayings(option)]) for option in options
    ]
    for (_, (name, firsts)), (number, (other, seconds)) in combinations(enumerate(said), 2):
        if name == other:
            continue
        here = (*path, number) if path[-1] == "choices" else path
        for (first, long, gaps), (second, length, others) in product(firsts, seconds):
            if gaps != others or not gaps:  # compared whole: most are too unlike in length for any likeness
                short = min(long, length)
                if abs(long - length) > 1 and (short <= SHORT or 200 * short < ALIKE * (long + length)):
                    continue
            if alike(first, second):
                text = f"'{first}' and '{second}' sound alike. Change one of them."
                notes.add(here, where, text, remark=True)


def alike(one: str, other: str) -> bool:
    """True for two answers that are easily heard for each other: the same, nearly so, or a teen and its ten.

    Every answer is compared with every other while somebody waits for a session to start: what is cheap comes first.
    """
    if one == other:
        return True
    if " " in one and " " in other:
        one, other = _where_they_differ(one, other)
    if len(one) == len(other) == 1:
        return any(one in rhyme and other in rhyme for rhyme in _RHYMES)
    if (one.endswith("teen") and other.endswith("ty")) or (one.endswith("ty") and other.endswith("teen")):
        return one[:3] == other[:3]
    if len(one) == len(other) and sorted(one) == sorted(other):
        return True
    if min(len(one), len(other)) <= SHORT:
        return OSA.distance(one, other, score_cutoff=1) <= 1
    return fuzz.ratio(one, other, score_cutoff=ALIKE) >= ALIKE


def _where_they_differ(one: str, other: str) -> tuple[str, str]:
    """The one word in which two sayings differ; both whole where they differ in more."""
    if one.count(" ") != other.count(" "):
        return one, other
    different = [(a, b) for a, b in zip(one.split(), other.split(), strict=True) if a != b]
    return different[0] if len(different) == 1 else (one, other)
