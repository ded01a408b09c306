"""``grammars/done.toml``: each verb of a step can be told as done, and nothing is where it is taken back."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.errors import DocumentError
from assistant.library import files, read_toml
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.commanding.done_reports import BACKS_OUT, MEANT, ORDERED, STATES, told_done
from tests.rows import each_row

VOCABULARY = load_vocabulary()
LISTS, FORMS = VOCABULARY.done, VOCABULARY.done_forms


def test_every_part_is_known() -> None:
    assert set(LISTS) == {ORDERED, STATES, MEANT, BACKS_OUT}


@each_row(LISTS[ORDERED])
def test_a_verb_of_a_step_is_told_as_done(verb: str) -> None:
    regular = f"{verb}d" if verb.endswith("e") else f"{verb}ed"
    assert told_done(f"{regular} the gromit", f"{verb.capitalize()} the gromit.", VOCABULARY) is True


@each_row([(verb, word) for verb, words in FORMS.items() for word in words])
def test_other_words_tell_it_too(verb: str, word: str) -> None:
    assert told_done(f"{word} the gromit", f"{verb.capitalize()} the gromit.", VOCABULARY) is True


@each_row(LISTS[STATES])
def test_a_state_of_what_the_step_names_is_asked_about(state: str) -> None:
    step = "Stow the gromit."  # a verb that no step begins with: only the state tells anything
    assert told_done(f"the gromit is {state}", step, VOCABULARY) is False
    assert told_done(f"the flange is {state}", step, VOCABULARY) is None, "of another thing"


@each_row(LISTS[MEANT])
def test_it_stands_for_what_the_step_names(word: str) -> None:
    assert told_done(f"{word} came apart", "Stow the gromit.", VOCABULARY) is False


@each_row(LISTS[BACKS_OUT])
def test_what_takes_it_back_leaves_nothing_told(word: str) -> None:
    assert told_done(f"{word} unplugged the gromit", "Unplug the gromit.", VOCABULARY) is None


def test_all_of_a_step_or_some_of_it() -> None:
    step = "Unplug the sensor, then cage the chamber."
    assert told_done("unplugged it and caged the chamber", step, VOCABULARY) is True
    assert told_done("unplugged it", step, VOCABULARY) is False
    assert told_done("unplugging it and caging the chamber", step, VOCABULARY) is None


def test_another_form_of_no_ordered_verb_is_a_fault() -> None:
    tables = {path.stem: read_toml(path) for path in files("grammars")}
    told = {**tables["done"], "told": {**tables["done"]["told"], "juggle": ["juggled"]}}
    with pytest.raises(DocumentError) as caught:
        Vocabulary.from_tables({**tables, "done": told})
    assert [(one.where, one.text) for one in caught.value.findings] == [
        ("done.toml / told / juggle", "Add the verb to [ordered], too.")
    ]
