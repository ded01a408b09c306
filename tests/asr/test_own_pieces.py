"""The words of the grammars and procedures can be written by the weights that come with the program."""

from __future__ import annotations

import pytest

from assistant.asr.network.tokenizer import Tokenizer
from assistant.asr.second_opinion import our_weights
from tests.tools.scorer_training.texts import known_words

MOST_MISSING = 0.02
"""Share of the words that may lack pieces before the weights must be trained anew: they get no second opinion."""


def test_nearly_every_word_has_its_pieces() -> None:
    weights = our_weights()
    if weights is None:
        pytest.skip("the weights did not come with this copy of the program")
    assert weights.rows is not None
    tokenizer = Tokenizer(weights.pieces)
    words = known_words([])
    missing = [word for word in words if any(piece not in weights.rows for piece in tokenizer.encode(word))]
    assert len(missing) <= MOST_MISSING * len(words), f"{len(missing)} of {len(words)}: {', '.join(missing[:40])}"
