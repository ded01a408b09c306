"""Work that can be done in several ways: the record has the way that was told and bills no part that nobody named."""

from __future__ import annotations

import re

import pytest

from assistant.messages import Choice, Command, Expectation, Expects, Hypothesis, Outcome, Report
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.model import Fix
from assistant.session.handlers.repairing import way_told
from assistant.understanding.commanding.ways import way_named
from assistant.understanding.interpret import interpret
from tests.dialogs.test_pack import LOADED

FIXES = {f"{name}: {fix.name}": fix for name, loaded in LOADED.items() for fix in loaded.procedure.fixes}
BOTH = {name: fix for name, fix in FIXES.items() if fix.ways}
TOLD = {
    "trailer-abs-light-on: set the bearing": [
        ("set", "wheel bearing set", None), ("I adjusted the bearing", "wheel bearing set", None),
        ("replaced it", "wheel bearing replaced", "wheel bearing"), ("done", "wheel bearing set or replaced", None),
        ("next", "wheel bearing set or replaced", None), ("yes", "wheel bearing set or replaced", None),
        ("installed a new one", "wheel bearing replaced", "wheel bearing"),
        ("put in a new bearing", "wheel bearing replaced", "wheel bearing"),
    ],
    "trailer-abs-light-on: clean the plug": [
        ("cleaned it", "wheel-end plug cleaned", None), ("next", "wheel-end plug cleaned or replaced", None),
        ("put in a new plug", "wheel-end plug replaced", "wheel-end plug"),
    ],
    "trailer-abs-light-on: replace the tone ring": [
        ("cleaned the ring", "tone ring cleaned", None), ("next", "tone ring cleaned or replaced", None),
        ("replaced the ring", "tone ring replaced", "tone ring"),
    ],
    "battery-and-charging: set the belt": [
        ("tightened it", "belt tightened", None), ("next", "belt set or replaced", None),
        ("replaced the belt", "belt replaced", "belt"),
    ],
}  # fmt: skip
"""Fix to what is said and what the record then has: title and part."""


def ways_of(fix: Fix) -> tuple[Choice, ...]:
    return tuple(Choice(way.name, way.also) for way in fix.ways)


@pytest.mark.parametrize("name", TOLD)
def test_the_record_has_the_way_that_was_told(name: str, vocabulary: Vocabulary) -> None:
    fix = FIXES[name]
    for words, title, part in TOLD[name]:
        way = way_told(fix, words, vocabulary)
        assert ((fix.title, fix.part) if way is None else (way.title, way.part)) == (title, part), words


@pytest.mark.parametrize("name", BOTH)
def test_what_the_prompt_names_is_understood_as_done(name: str, vocabulary: Vocabulary) -> None:
    fix = BOTH[name]
    expectation = Expectation(Expects.COMMAND, told=fix.say, choices=ways_of(fix))
    for way in fix.ways:
        for words in (way.name, *way.also):
            meant = interpret((Hypothesis(words),), expectation, vocabulary)
            done = meant.outcome is Outcome.COMMAND and meant.command in (Command.YES, Command.NEXT)
            assert done or meant.report is Report.REPLACED, (words, meant)
            assert way_told(fix, words, vocabulary) == way, words


@pytest.mark.parametrize("name", FIXES)
def test_a_fix_that_allows_two_things_says_which_was_done(name: str) -> None:
    """Common practice, no source: who bills a job bills the part that was put in, and none that was not."""
    fix: Fix = FIXES[name]
    allowed = re.search(
        r"\bor (?:replace|clean)\b|\b[Rr]eplace it\b|\bReplace (?:what|a)\b|\bor the (?:wh|al)|\bChange it", fix.say
    )
    if allowed and fix.part not in ("module", "lamp", "starter", "alternator"):
        assert fix.ways, f"{fix.say} The record says: {fix.title}, part: {fix.part}"
    if fix.part is not None:
        assert "replaced" in fix.title
    for way in fix.ways:
        assert ("replaced" in way.title) == (way.part is not None), way


INSTEAD = (
    Choice("cleaned", ("cleaned up, no need to replace it",)),
    Choice("replaced", ("new one", "could not clean it")),
)
"""Ways whose forms speak of the other way, or of what was not done."""


@pytest.mark.parametrize(
    ("words", "way"),
    [
        ("cleaned up, no need to replace it", "cleaned"), ("could not clean it", "replaced"),
        ("New one.", "replaced"), ("cleaned it and ended up replacing it", None),
        ("it should be replaced", None), ("next week", None),
    ],
)  # fmt: skip
def test_what_is_heard_as_done_and_what_the_record_says_of_it_are_one_rule(
    words: str, way: str | None, vocabulary: Vocabulary
) -> None:
    """A form that was heard as done left the record without its way."""
    assert way_named(words, INSTEAD, vocabulary) == way
    expectation = Expectation(Expects.COMMAND, told="Clean the plug.", choices=INSTEAD)
    meant = interpret((Hypothesis(words),), expectation, vocabulary)
    assert (meant.command is Command.YES and not meant.confirm) == (way is not None), meant
