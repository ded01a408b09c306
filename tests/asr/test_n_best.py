"""Both shapes of the recognizer's answers."""

from __future__ import annotations

import json

import pytest

from assistant.asr.n_best import behind_unknown, parse_result
from assistant.messages import Hypothesis


def test_alternatives_come_best_first_and_once_each() -> None:
    answer = {
        "alternatives": [
            {"text": "eleven eighty", "confidence": 280.5, "result": [word("eleven", 0, 1), word("eighty", 1.7, 2)]},
            {"text": "eleven eighty", "confidence": 279.0},
            {"text": "eleven [unk]", "confidence": 281.0, "result": []},
            {"text": "", "confidence": 100.0},
        ]
    }
    decoded = parse_result(json.dumps(answer))
    assert [(one.words, one.score) for one in decoded] == [
        ("eleven [unclear]", 281.0),
        ("eleven eighty", 280.5),
    ]


def test_the_shape_without_alternatives_has_no_scores() -> None:
    """Cases A074, A083: either shape is read, and the confidence of a word is no score."""
    decoded = parse_result('{"result": [{"conf": 1.0, "word": "yes", "start": 0, "end": 1}], "text": "Yes"}')
    assert [(one.words, one.score) for one in decoded] == [("yes", 0.0)]


@pytest.mark.parametrize(
    "text",
    ['{"text": ""}', '{"alternatives": [{"text": "", "confidence": 5.0}, {"text": "a", "confidence": 1.0}]}', "{}"],
)
def test_where_silence_is_likeliest_nothing_was_heard(text: str) -> None:
    assert parse_result(text) == ()


def word(text: str, start: float, end: float) -> dict[str, object]:
    return {"word": text, "start": start, "end": end}


def test_a_word_just_below_silence_is_kept_after_the_unknown_word() -> None:
    """A short answer said softly: it may be asked about, and is never taken without a yes."""
    rows = [{"text": "", "confidence": 5.0}, {"text": "yeah", "confidence": 3.5}, {"text": "it", "confidence": 0.5}]
    found = parse_result(json.dumps({"alternatives": rows}))
    assert [(one.words, one.score) for one in found] == [("[unclear]", 5.0), ("yeah", 3.5), ("it", 0.5)]


def test_how_far_below_silence_a_word_may_lie_is_a_parameter() -> None:
    rows = [{"text": "", "confidence": 9.0}, {"text": "stop", "confidence": 4.0}]
    text = json.dumps({"alternatives": rows})
    assert parse_result(text) == ()
    assert [one.words for one in parse_result(text, 6.0)] == ["[unclear]", "stop"]


def test_words_put_after_the_unknown_word_keep_their_order_and_their_leads() -> None:
    heard = (Hypothesis("stop", 5.0), Hypothesis("[unclear]", 4.0), Hypothesis("skip it", 3.0))
    found = behind_unknown(heard)
    assert [one.words for one in found] == ["[unclear]", "stop", "skip it"]
    assert found[0].score > found[1].score > found[2].score
    assert behind_unknown(found) == found
    assert behind_unknown(()) == ()


@pytest.mark.parametrize(("gap", "words"), [(0.4, "twelve six"), (1.6, "twelve six"), (1.8, "twelve … six")])
def test_a_long_pause_is_written_between_the_words_it_parts(gap: float, words: str) -> None:
    result = [word("twelve", 0.2, 0.5), word("six", 0.5 + gap, 0.9 + gap)]
    answer = {"alternatives": [{"text": "Twelve six", "confidence": 9.0, "result": result}]}
    decoded = parse_result(json.dumps(answer))
    assert decoded[0].words == words
