"""Unit numbers: text, never a number; leading zeros and letters are kept."""

from __future__ import annotations

import re

from assistant.messages import Expectation, Outcome, Understanding
from assistant.numerals.tokenizer import scan
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.commands import command_of

_WRITTEN = re.compile(r"[A-Za-z0-9][A-Za-z0-9./-]*\Z")


def understand_identifier(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """The unit number that was said or typed, or a command."""
    del expectation
    words = text.lower().replace(",", " ").split()
    written = text.split()
    for carrier in vocabulary.identifier_carriers:
        if tuple(words[: len(carrier)]) == carrier and len(words) > len(carrier):
            words, written = words[len(carrier) :], written[len(carrier) :]
            break
    command = command_of(text, scan(text.lower(), vocabulary), vocabulary)
    if command and not command.confirm:
        return command
    found = spelled(words, written, vocabulary)
    if found is None or not any(mark.isalnum() for mark in found):
        return command or Understanding(
            Outcome.NOT_UNDERSTOOD, text, ask=clarifications.DIGIT_BY_DIGIT, reason="leftover"
        )
    return Understanding(Outcome.IDENTIFIER, text, identifier=found)


def spelled(words: list[str], written: list[str], vocabulary: Vocabulary) -> str | None:
    """The characters that the words spell; None when a word is left over."""
    out: list[str] = []
    at, copies = 0, 1
    while at < len(words):
        word = words[at].strip(".") or words[at]
        pair = " ".join(words[at : at + 2])
        if pair in vocabulary.letters:
            out.append(vocabulary.letters[pair].upper() * copies)
            at, copies = at + 2, 1
            continue
        piece = _piece(word, vocabulary)
        if piece in ("double", "triple"):
            copies = 2 if piece == "double" else 3
        elif piece is not None:
            tens_ones = _tens_and_ones(words, at, vocabulary)
            if tens_ones:
                piece, at = tens_ones, at + 1
            out.append(piece * copies)
            copies = 1
        elif _WRITTEN.match(word) and at < len(written) and any(mark.isdigit() for mark in word):
            out.append(written[at].strip(".,").upper())
        elif word == "hundred" and out and out[-1].isdigit():
            out.append("00")
        else:
            return None
        at += 1
    return "".join(out) if copies == 1 else None


def _piece(word: str, vocabulary: Vocabulary) -> str | None:
    if word in vocabulary.letters:
        return vocabulary.letters[word].upper()
    number = vocabulary.numbers.get(word)
    if number and number[0] in "DTY":
        return str(number[1])
    if number and number[0] == "M":
        return "double" if number[1] == 2 else "triple"
    if word in vocabulary.identifier_marks:
        return vocabulary.identifier_marks[word]
    return word.upper() if len(word) == 1 and word.isalpha() else None


def _tens_and_ones(words: list[str], at: int, vocabulary: Vocabulary) -> str | None:
    """'seventy six' inside a unit number is 76."""
    first = vocabulary.numbers.get(words[at])
    second = vocabulary.numbers.get(words[at + 1]) if at + 1 < len(words) else None
    if first and second and first[0] == "Y" and second[0] == "D" and second[1]:
        return str(first[1] + second[1])
    return None
