"""A wrong table is refused with every fault named, in the words of the person who edits it."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from assistant.catalog import load_vocabulary
from assistant.errors import DocumentError
from assistant.library import files, read_toml
from assistant.numerals.vocabulary import Vocabulary


@pytest.fixture
def tables() -> dict[str, dict[str, Any]]:
    return copy.deepcopy({path.stem: read_toml(path) for path in files("grammars")})


def faults(tables: dict[str, dict[str, Any]]) -> str:
    with pytest.raises(DocumentError) as caught:
        Vocabulary.from_tables(tables)
    return str(caught.value)


def test_our_own_tables_are_right() -> None:
    assert load_vocabulary() is load_vocabulary()
    assert 15 <= len(load_vocabulary().units) <= 30


def test_every_fault_is_named_at_once(tables: dict[str, dict[str, Any]]) -> None:
    tables["units"]["V"]["factor"] = "big"
    tables["units"]["ohm"].pop("span")
    tables["commands"]["jump"] = {"forms": ["jump"]}
    tables["speech"]["fillers"]["forms"] = ["UH"]
    tables["numbers"]["digits"].pop("three")
    tables["numbers"]["digits"].pop("tree")
    tables["numbers"]["digits"].pop("terrathree")
    del tables["displays"]["nothing"]
    text = faults(tables)
    for part in (
        "units.toml / V: Write factor",
        "units.toml / ohm: Add span",
        "commands.toml / jump: There is no such command",
        "lower case",
        "There is no word for 3",
        "displays.toml / nothing: Add a table",
    ):
        assert part in text


@pytest.mark.parametrize(
    ("change", "part"),
    [
        (lambda t: t["units"].update(V="volt"), "Write the unit as a table"),
        (lambda t: t["units"]["V"].update(factor="0"), "The factor must be above zero"),
        (lambda t: t["units"]["V"].update(span=[30, 0]), "the span must rise"),
        (lambda t: t["numbers"]["scales"].update(dozen="12"), "Write a power of ten"),
        (lambda t: t["numbers"]["digits"].update(ten=True), "Write a whole number"),
        (lambda t: t["spelling"]["unsaid"].update(x=1), "Write words in quotes"),
        (lambda t: t["spelling"]["spoken"].pop("q"), "no word for the letter q"),
        (lambda t: t["commands"]["yes"].update(forms=[]), "Give a list of phrases"),
        (lambda t: t.pop("units"), "Give at least one unit"),
    ],
)
def test_one_fault(change: Any, part: str, tables: dict[str, dict[str, Any]]) -> None:
    change(tables)
    assert part in faults(tables)
