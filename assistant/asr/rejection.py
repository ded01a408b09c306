"""Whether what a live microphone heard is meant for us: nearby talk and a radio are not even asked about."""

from __future__ import annotations

from assistant.messages import Command, Expectation, Hearing
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.interpret import interpret

SAFETY = frozenset({Command.STOP, Command.HOLD})
"""Commands that are asked about also when they were heard second: one that is missed costs more than a question."""


def is_for_us(hearing: Hearing, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """True when it may hold an answer: some word is known, or a safety word follows the unknown word.

    The session then asks before it obeys, as it does for recordings.
    """
    if not hearing.hypotheses:
        return False
    if not set(hearing.hypotheses[0].words.split()) <= {UNKNOWN_WORD}:
        return True
    return interpret(hearing.hypotheses, expectation, vocabulary, snr_db=hearing.snr_db).command in SAFETY
