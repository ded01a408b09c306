"""The numbers that papers go by, told at any prompt: 'work order 4711', 'the odometer reads 312,450', 'VIN 1M8...'.

An utterance counts when it begins with the name of one and everything behind it spells its value.
"""

from __future__ import annotations

from assistant.messages import Detail, Outcome, Report, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.values.identifiers import spelled

BEFORE = frozenset({"the", "a", "this", "my", "its", "it's", "it", "is", "has", "uh", "um", "okay", "and", "note"})
"""Words that may stand before the name."""
BETWEEN = frozenset({"is", "number", "no", "no.", "reads", "says", "shows", "at", "it's", "its", "of", ":", "#"})
"""Words that may stand between the name and the value."""
_BEHIND = frozenset({"miles", "mile", "mi", "mi."})


def detail_of(text: str, vocabulary: Vocabulary) -> Understanding | None:
    """The number that is told, None when none is."""
    written = text.replace(",", "").replace(":", " ").replace("#", " ").split()
    words = [word.lower() for word in written]
    at = 0
    while at < len(words) and words[at] in BEFORE:
        at += 1
    for detail in Detail:
        for form in vocabulary.reports.get(detail.value, ()):
            name = form.split()
            if words[at : at + len(name)] != name:
                continue
            value = _value(words[at + len(name) :], written[at + len(name) :], detail, vocabulary)
            if value:
                return Understanding(Outcome.REPORT, text, report=Report.DETAIL, detail=detail, identifier=value)
    return None


def _value(words: list[str], written: list[str], detail: Detail, vocabulary: Vocabulary) -> str:
    while words and words[0] in BETWEEN:
        words, written = words[1:], written[1:]
    while words and detail is Detail.ODOMETER and words[-1] in _BEHIND:
        words, written = words[:-1], written[:-1]
    found = spelled(words, written, vocabulary) if words else None
    if not found or not any(mark.isdigit() for mark in found):
        return ""
    return "" if detail is Detail.ODOMETER and not found.replace(".", "").isdigit() else found
