"""Phrases are checked against the model before the recogniser sees them."""

from __future__ import annotations

import json

from assistant.ear.grammar import make_grammar


def test_phrases_are_lower_case_json_with_the_unknown_word_last() -> None:
    grammar = make_grammar(["Eleven  Eighty", "yes", "yes"], lambda word: word != "nobody")
    assert json.loads(grammar.text) == ["eleven eighty", "yes", "yes", "[unk]"]
    assert grammar.missing == ()


def test_a_phrase_with_a_word_that_the_model_lacks_is_left_out_and_the_word_named() -> None:
    known = {"one", "ohms", "volts"}
    grammar = make_grammar(["one kilohms", "one ohms", "two kilohms", "[unk]", ""], known.__contains__)
    assert json.loads(grammar.text) == ["one ohms", "[unk]"]
    assert grammar.missing == ("kilohms", "two")
