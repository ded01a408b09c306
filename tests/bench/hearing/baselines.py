"""What a user could put together: vosk, and a general-purpose parser of number words."""

from __future__ import annotations

import json
import re
import warnings
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from text_to_num import alpha2digit, text2num

from assistant.audio.sound import RATE
from tests.bench.hearing.cases import as_decimal

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from number_parser import parse as number_parser_parse
    from word2number import w2n

_WORDS = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand "
    "zero oh point and a half quarter minus negative k volts ohms millivolts inches open over limit o l "
    "yes no stop next repeat unit "
)
BAG = _WORDS.split()
"""One flat bag of the words that answers are made of, each as likely as any other after any other."""
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


class Plainly:
    """vosk as anybody would use it: one answer, with a list of words or with its whole vocabulary.

    Args:
        folder: folder of a verified model.
        bag: words that are listened for; None for all that the model has.
    """

    def __init__(self, folder: Path, bag: Sequence[str] | None = None) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        listed = [] if bag is None else [json.dumps([*bag, "[unk]"])]
        self._recognizer: Any = vosk.KaldiRecognizer(vosk.Model(str(folder)), RATE, *listed)

    def words(self, samples: bytes) -> str:
        """What it hears in one recording, without words it does not know."""
        self._recognizer.AcceptWaveform(samples)
        heard = json.loads(self._recognizer.FinalResult())["text"]
        return " ".join(word for word in heard.split() if word != "[unk]")


def only_number(text: str) -> Decimal | None:
    """The one number in a text; none or several are no answer."""
    found = _NUMBER.findall(text.replace(",", ""))
    return Decimal(found[0]) if len(found) == 1 else None


def by_text2num(text: str) -> Decimal | None:
    """text2num, any number in running text."""
    return only_number(alpha2digit(text, "en"))


def by_word2number(text: str) -> Decimal | None:
    """word2number, the number among other words."""
    try:
        return as_decimal(w2n.word_to_num(text))
    except (ValueError, IndexError):
        return None


def by_number_parser(text: str) -> Decimal | None:
    """number-parser, any number in running text."""
    return only_number(number_parser_parse(text, language="en"))


PARSERS: dict[str, Callable[[str], Decimal | None]] = {
    "text2num": by_text2num,
    "word2number": by_word2number,
    "number-parser": by_number_parser,
}


def text2num_alone(words: str) -> int | None:
    """text2num given nothing but the words of one whole number: its shortest way, compiled code."""
    try:
        return int(text2num(words, "en"))
    except ValueError:
        return None
