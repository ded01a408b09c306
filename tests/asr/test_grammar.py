"""Phrases are checked against the model before the recognizer sees them."""

from __future__ import annotations

import json

from assistant.asr.grammar import check_words, make_grammar

UNSAID = {"millivolts": "milli volts", "kilopascals": "kilo pascals"}


def test_phrases_are_lower_case_json_with_the_unknown_word_last() -> None:
    grammar = make_grammar(["Eleven  Eighty", "yes", "yes"], lambda word: word != "nobody")
    assert json.loads(grammar.text) == ["eleven eighty", "yes", "yes", "[unk]"]
    assert grammar.missing == ()


def test_a_phrase_with_a_word_that_the_model_lacks_is_left_out_and_the_word_named() -> None:
    known = {"one", "ohms", "volts"}
    grammar = make_grammar(["one kilohms", "one ohms", "two kilohms", "[unclear]", ""], known.__contains__)
    assert json.loads(grammar.text) == ["one ohms", "[unk]"]
    assert grammar.missing == ("kilohms", "two")


def test_the_check_at_start_names_what_is_lacking_and_what_is_listened_for_instead() -> None:
    """Cases A070, A072: a word that the model lacks is dropped by the library with a log line only."""
    known = {"one", "milli", "volts"}
    found = check_words(["one", "millivolts", "pascals", "kilopascals", "milli"], UNSAID, known.__contains__)
    assert (found.known, found.instead) == (2, {"millivolts": "milli volts"})
    assert found.unheard == ("kilopascals", "pascals"), "a stand-in that is lacking itself is none"
    assert found.sentence == (
        "2 known; heard as other words: millivolts as 'milli volts'; understood only when typed: kilopascals, pascals"
    )
    assert check_words(["one"], UNSAID, known.__contains__).sentence == "1 known"
