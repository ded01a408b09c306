"""The classifier: the same on every machine, kept as it was fitted, as sure as it is right."""

from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest

from assistant import catalog
from assistant.intents.features import NUMBER, PART, PLACE, features_of
from assistant.intents.linear import Learned, fit, read, write
from tests.rows import each_row

SAYINGS = (
    ("skip", "skip this one"), ("skip", "leave it out"), ("skip", "let's pass on that"), ("hold", "hold on"),
    ("hold", "give me a minute"), ("hold", "wait a second"), ("limit", "what is the limit"),
    ("limit", "what's the spec"),
    ("limit", "how high may it be"),
)  # fmt: skip


def written(made: Learned) -> bytes:
    file = io.BytesIO()
    write(made, file)
    return file.getvalue()


def test_it_is_fitted_the_same_each_time() -> None:
    first, again = fit(SAYINGS), fit(SAYINGS)
    assert written(first) == written(again)


def test_it_hardly_hangs_on_the_order_of_the_sayings() -> None:
    one, other = fit(SAYINGS), fit(SAYINGS[::-1])
    for _, text in SAYINGS:
        mine, theirs = one.shares(text), other.shares(text)
        assert all(abs(mine[name] - theirs[name]) < 0.02 for name in mine)


def test_it_is_read_as_it_was_written() -> None:
    made = fit(SAYINGS)
    kept = read(io.BytesIO(written(made)))
    assert (kept.intents, kept.rows) == (made.intents, made.rows)
    assert [kept.shares(text) for _, text in SAYINGS] == [made.shares(text) for _, text in SAYINGS]


@each_row([b"", b"no archive", b"PK\x03\x04 cut short"])
def test_what_is_no_classifier_is_refused(data: bytes) -> None:
    with pytest.raises((ValueError, KeyError, OSError, EOFError, zipfile.BadZipFile)):
        read(io.BytesIO(data))


def test_sizes_that_do_not_fit_are_refused() -> None:
    made = fit(SAYINGS)
    file = io.BytesIO()
    names = {
        name: np.frombuffer("\n".join(words).encode(), dtype=np.uint8)
        for name, words in (("intents", made.intents), ("features", tuple(made.rows)))
    }
    np.savez(file, rarity=made.rarity, weights=made.weights[:-1], **names)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="sizes"):
        read(io.BytesIO(file.getvalue()))


def test_shares_never_add_up_to_more_than_one() -> None:
    opinion = catalog.load_vocabulary().second_opinion
    assert opinion is not None
    for text in ("skip this one", "", "xyzzy plugh", "twelve hundred", "¿qué sigue?", "what " * 300):
        shares = opinion.shares(text)
        assert min(shares.values()) >= 0
        assert sum(shares.values()) <= 1.01
        assert list(shares.values()) == sorted(shares.values(), reverse=True)


def test_words_like_none_of_the_sayings_are_nothing_for_sure() -> None:
    opinion = catalog.load_vocabulary().second_opinion
    assert opinion is not None
    assert max(opinion.shares("zzz qqq vvv").values()) < 0.3


@each_row([
    ("what did the left rear wheel read", PLACE), ("what did the curb side front read", PLACE),
    ("is eleven eighty good", NUMBER), ("is 1,180 good", NUMBER), ("where is the sensor", PART),
])  # fmt: skip
def test_what_changes_from_sentence_to_sentence_is_masked(text: str, mask: str) -> None:
    assert mask in features_of(text)


@each_row(["is that right", "all right", "what is left", "how much left"])
def test_no_side_of_a_unit_is_masked(text: str) -> None:
    assert PLACE not in features_of(text)


@each_row([("gimme a sec", "give me a sec"), ("whats the limit", "what is the limit"), ("don’t", "do not")])
def test_words_as_typed_are_the_words_that_they_are(typed: str, words: str) -> None:
    assert features_of(typed) == features_of(words)
