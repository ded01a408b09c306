"""``grammars/rolling.toml``: each form is exercised by a sentence, and what is told at rest is told apart."""

from __future__ import annotations

from assistant.catalog import load_vocabulary
from assistant.library import find, read_toml
from assistant.numerals.sentence_forms import sentence_pattern
from assistant.understanding.choosing.rolling import at_rest, names_rolling, went_out_rolling
from tests.rows import each_row

VOCABULARY = load_vocabulary()
TABLES = read_toml(find("grammars", "rolling.toml"))
SLOTS = {name: tuple(texts) for name, texts in TABLES["slots"].items()}
ROLLS = (
    "it rolls|the wheels turn|she moves|while moving|we drive off|driving it|we drove|underway|get under way|"
    "pulled out|after a mile|two miles|at 20 mph|down the road|around the block"
)
SAID = {
    "rolls": ROLLS,
    "until": "on till the wheels turn|on until rolling",
    "then": "on when it rolls|goes out at about twenty five mph",
    "did": "we took it around",
    "went_out": "the lamp went right out|nothing wrong",
    "denies": "it never did",
}


def test_every_part_is_known() -> None:
    assert set(VOCABULARY.rolling) == set(SAID)


@each_row([(part, form) for part in SAID for form in TABLES[part]["forms"]])
def test_each_form_is_exercised(part: str, form: str) -> None:
    pattern = sentence_pattern([form], SLOTS)
    assert any(pattern.search(text) for text in SAID[part].split("|"))


@each_row(SLOTS["rolls"])
def test_each_way_to_roll_is_exercised(form: str) -> None:
    pattern = sentence_pattern([form], SLOTS)
    assert any(pattern.search(text) and names_rolling(text, VOCABULARY) for text in ROLLS.split("|"))


@each_row([
    ("Stays on till the wheels turn", "Stays on"),
    ("it's on, until you get rolling", "it's on"),
    ("it's lit; goes out when you drive off", "it's lit"),
    ("on solid, then out at about twenty mph", "on solid"),
    ("goes out when you drive", ""),
    ("on until I push the pedal", ""),
])  # fmt: skip
def test_what_is_told_at_rest(text: str, told: str) -> None:
    assert at_rest(text, VOCABULARY) == told


def test_it_was_rolled_and_went_out() -> None:
    assert went_out_rolling("I rolled it and the light went out", VOCABULARY)
    assert not went_out_rolling("I rolled it and the light never went out", VOCABULARY)
    assert not went_out_rolling("the light went out", VOCABULARY)
    assert not names_rolling("it stays on", VOCABULARY)
