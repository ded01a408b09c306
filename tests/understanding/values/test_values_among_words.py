"""Values with words around them, put right, said twice, unsteady or two at once: no word changes one in silence."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Outcome, Understanding
from assistant.numerals.tokenizer import scan
from assistant.numerals.verbalizations import sayings
from assistant.numerals.vocabulary import Kind
from assistant.understanding.utterance import understand

VOCABULARY = load_vocabulary()
# prompt's unit, its values: low, high, stride, in steps
PROMPTS = [
    ("ohm", "0", "20000", "173"),
    ("V", "0.07", "30", "0.37"),
    ("psi", "1", "200", "3"),
    ("mm", "0.5", "300", "5.5"),
]
IDS = [unit for unit, *_ in PROMPTS]
LEADING = ("reading {}", "i got {}", "it says {}", "the meter says {}", "uh {}", "it's {} on the meter")
ABOUT = ("about {}", "just under {}", "around {}", "{} and change", "{} or so")
PUT_RIGHT = ("{} i mean {}", "{} no make that {}", "{} sorry {}", "{} no wait {}")


def values_of(prompt: tuple[str, str, str, str]) -> list[Decimal]:
    low, high, stride = map(Decimal, prompt[1:])
    return [low + stride * number for number in range(int((high - low) / stride) + 1)]


def usual(value: Decimal, unit: str, *, named: bool = True) -> list[str]:
    """The usual sayings of a value that mean it and nothing else, with their unit."""
    prompt = Expectation(Expects.READING, unit=unit)
    found = [saying.words for saying in sayings(value, unit, VOCABULARY) if saying.weight >= 0.2]
    chosen = []
    for words in found:
        one = understand(words, prompt, VOCABULARY)
        ends_in_unit = any(item.kind == Kind.UNIT for item in scan(words, VOCABULARY)[-1:])
        if one.value == value and not one.confirm and ends_in_unit is named:
            chosen.append(words)
    return chosen


def said(prompt: tuple[str, str, str, str]) -> list[tuple[Decimal, str]]:
    return [(value, words) for value in values_of(prompt) for words in usual(value, prompt[0])[:2]]


def heard(words: str, unit: str) -> Understanding:
    return understand(words, Expectation(Expects.READING, unit=unit), VOCABULARY)


@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_words_around_a_value_leave_it_alone(prompt: tuple[str, str, str, str]) -> None:
    wrong = [
        frame.format(words)
        for value, words in said(prompt)
        for frame in LEADING
        if (found := heard(frame.format(words), prompt[0])).value != value or found.approximate
    ]
    assert not wrong, wrong[:10]


@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_about_a_value_is_that_value_marked(prompt: tuple[str, str, str, str]) -> None:
    wrong = [
        frame.format(words)
        for value, words in said(prompt)
        for frame in ABOUT
        if (found := heard(frame.format(words), prompt[0])).value != value or not found.approximate
    ]
    assert not wrong, wrong[:10]


@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_what_was_put_right_counts_and_what_was_taken_back_is_kept(prompt: tuple[str, str, str, str]) -> None:
    wrong = []
    for (before, first), (after, second) in pairwise(said(prompt)):
        for frame in PUT_RIGHT:
            found = heard(frame.format(first, second), prompt[0])
            if (found.value, found.withdrawn) != (after, (before,)):
                wrong.append(frame.format(first, second))
    assert not wrong, wrong[:10]


@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_a_value_said_twice_is_said_once_and_asked_about(prompt: tuple[str, str, str, str]) -> None:
    wrong = []
    for value, words in said(prompt):
        found = heard(f"{words} {words}", prompt[0])
        if (found.value, found.confirm) != (value, True):
            wrong.append(words)
    assert not wrong, wrong[:10]


@pytest.mark.parametrize("marker", ["jumping between", "bouncing between", "between"])
@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_two_ends_are_both_kept(prompt: tuple[str, str, str, str], marker: str) -> None:
    wanted = Outcome.RANGE if marker == "between" else Outcome.UNSTEADY
    wrong = []
    for (low, first), (high, second) in pairwise(sorted(said(prompt))):
        found = heard(f"{marker} {first} and {second}", prompt[0])
        if low != high and (found.outcome, found.low_end, found.high_end) != (wanted, low, high):
            wrong.append(f"{marker} {first} and {second}: {found.outcome} {found.low_end} {found.high_end}")
    assert not wrong, wrong[:10]


def glued(pairs: Sequence[tuple[str, Decimal, Decimal]], unit: str) -> list[str]:
    """Texts with two different values of which one value was made, and not asked about."""
    found = [(text, one, other, heard(text, unit)) for text, one, other in pairs if one != other]
    return [text for text, _, _, meant in found if meant.outcome is Outcome.READING and not meant.confirm]


@pytest.mark.parametrize("between", [" … ", ", ", " and ", " "])
@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_two_values_with_their_units_are_never_glued(prompt: tuple[str, str, str, str], between: str) -> None:
    pairs = [(f"{first}{between}{second}", one, other) for (one, first), (other, second) in pairwise(said(prompt))]
    assert len(pairs) > 60
    wrong = glued(pairs, prompt[0])
    assert not wrong, wrong[:10]


@pytest.mark.parametrize("between", [" … ", ", "])
@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_two_values_with_a_pause_are_never_glued(prompt: tuple[str, str, str, str], between: str) -> None:
    """Without a unit, too: 'twelve forty … six' is no 1246."""
    bare = [(value, words) for value in values_of(prompt) for words in usual(value, prompt[0], named=False)[:3]]
    pairs = [
        (f"{first}{between}{second}", one, other)
        for (one, first), (other, second) in zip(bare, bare[7:] + bare[:7], strict=True)
    ]
    assert len(pairs) > 60
    wrong = glued(pairs, prompt[0])
    assert not wrong, wrong[:10]
