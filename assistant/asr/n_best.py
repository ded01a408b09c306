"""Hypotheses from the recognizer's results, in either of their two forms."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from assistant.asr.grammar import UNKNOWN_MARK
from assistant.messages import Hypothesis
from assistant.numerals.tokenizer import PAUSE, UNKNOWN_WORD

SILENCE_LEAD = 3.0
"""Log score by which silence must lead over every word to be taken for silence."""


LONG_PAUSE = 1.75
"""Seconds of silence between two words from which a pause is written between them. Inside one number people pause for
less, and in noise gaps up to 1.6 seconds were seen where words were lost; what stands apart is never glued."""


def parse_result(text: str, silence_lead: float = SILENCE_LEAD) -> tuple[Hypothesis, ...]:
    """Hypotheses of one result, best first, each set of words once, none of them empty.

    Silence that leads by less than ``silence_lead`` is not taken for silence.
    With alternatives asked for, the answer holds ``alternatives``, each with a log score called ``confidence`` (up to
    hundreds) and no confidence for words; without, it holds ``text`` alone. A missing key is not a zero.
    """
    answer: dict[str, Any] = json.loads(text)
    alternatives: Sequence[dict[str, Any]] = answer.get("alternatives") or [answer]
    best: dict[str, float] = {}
    for alternative in alternatives:
        words = _with_pauses(alternative)
        score = float(alternative.get("confidence", 0.0))
        if words not in best or score > best[words]:
            best[words] = score
    ranked = sorted(best.items(), key=lambda item: -item[1])
    if ranked and not ranked[0][0]:
        # silence scored above every word; a word just below it is kept after the unknown word, so that it is
        # never accepted without a yes, while a guess at noise far below it is dropped
        close = [row for row in ranked[1:] if ranked[0][1] - row[1] <= silence_lead]
        ranked = (
            [(UNKNOWN_WORD, ranked[0][1]), *(row for row in ranked[1:] if row[0] != UNKNOWN_WORD)] if close else []
        )
    return tuple(Hypothesis(words, score) for words, score in ranked if words)


def _with_pauses(alternative: dict[str, Any]) -> str:
    """Its words in lower case, with a mark where a long pause stands between two of them."""
    heard = str(alternative.get("text", "")).lower().split()
    words = [UNKNOWN_WORD if word == UNKNOWN_MARK else word for word in heard]
    timed = alternative.get("result") or []
    if len(timed) != len(words):
        return " ".join(words)
    ends = [float(word["end"]) for word in timed]
    apart = [
        f"{PAUSE} {word}" if at and float(timed[at]["start"]) - ends[at - 1] >= LONG_PAUSE else word
        for at, word in enumerate(words)
    ]
    return " ".join(apart)


def behind_unknown(hypotheses: Sequence[Hypothesis]) -> tuple[Hypothesis, ...]:
    """The same words with the unknown word before them, so that none of them is taken without a yes."""
    if not hypotheses or hypotheses[0].words == UNKNOWN_WORD:
        return tuple(hypotheses)
    rest = [one for one in hypotheses if one.words != UNKNOWN_WORD]
    return (Hypothesis(UNKNOWN_WORD, hypotheses[0].score + 1.0), *rest)
