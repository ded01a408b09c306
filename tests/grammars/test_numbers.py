"""``grammars/numbers.toml``: every word has its value where it can stand."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.understanding.utterance import understand

VOCABULARY = load_vocabulary()
WHERE = {
    "D": ("twelve point {}", "12.{}"), "T": ("{} hundred", None), "Y": ("{} one", None), "H": ("two {}", "200"),
    "K": ("two {}", None), "k": ("two {}", None), "P": ("twelve {} six", "12.6"), "A": ("two hundred {} six", "206"),
    "X": ("{} hundred", "100"), "S": ("{} six", None), "M": ("{} six", None), "F": ("two and a {}", None),
}  # fmt: skip


@pytest.mark.parametrize("word", list(VOCABULARY.numbers))
def test_word(word: str) -> None:
    kind, value = VOCABULARY.numbers[word]
    frame, wanted = WHERE[kind]
    unit = "V" if kind in "DPSF" else "ohm"
    found = understand(frame.format(word), Expectation(Expects.READING, unit=unit), VOCABULARY)
    numbers: dict[str, Callable[[], float]] = {
        "T": lambda: value * 100, "Y": lambda: value + 1, "K": lambda: 2 * 10**value, "k": lambda: 2 * 10.0**value,
        "S": lambda: 6 * value, "M": lambda: int("6" * value), "F": lambda: 2 + 1 / value,
    }  # fmt: skip
    target = float(wanted.format(value)) if wanted else float(numbers[kind]())
    assert found.value is not None
    assert float(found.value) == pytest.approx(target)


@pytest.mark.parametrize("word", list(VOCABULARY.homophones))
def test_homophone_counts_only_beside_a_number_and_after_a_yes(word: str) -> None:
    """A046: an alias stands behind the recognizer, never in its grammar, and never alone."""
    prompt = Expectation(Expects.READING, unit="ohm")
    alone = understand(word, prompt, VOCABULARY)
    assert alone.value is None
    found = understand(f"seven {word} five", prompt, VOCABULARY)
    assert found.value == 700 + VOCABULARY.homophones[word] * 10 + 5
    assert (found.confirm, found.reason) == (True, "homophone")


@pytest.mark.parametrize("scale", list(VOCABULARY.typed_scales))
def test_typed_scale(scale: str) -> None:
    found = understand(f"2{scale}", Expectation(Expects.READING, unit="ohm"), VOCABULARY)
    assert float(found.value or 0) == pytest.approx(2 * 10.0 ** VOCABULARY.typed_scales[scale])
    assert found.confirm == (scale in "Mm"), "millions and thousandths of an ohm are odd"
