"""What is told of a light while the unit rolls, where it is looked at standing still (``grammars/rolling.toml``)."""

from __future__ import annotations

import re

from assistant.numerals.vocabulary import Vocabulary

_CLAUSES = re.compile(r"[,;]|\bbut\b|\band then\b|\bthen\b")


def names_rolling(text: str, vocabulary: Vocabulary) -> bool:
    """Whether words tell of a unit that rolls."""
    return _found(text, "rolls", vocabulary) is not None


def at_rest(text: str, vocabulary: Vocabulary) -> str:
    """What is told of the light before it rolls: 'stays on' of 'stays on till the wheels turn'; '' for nothing.

    What it does once the unit rolls is told by the clause that stands with it: 'goes out when you drive off'.
    """
    until = _found(text, "until", vocabulary)
    if until is not None:
        return text[: until.start()].strip(" ,;")
    found = _found(text, "then", vocabulary)
    before = text[: found.start()] if found is not None else text
    pieces = [piece.strip() for piece in _CLAUSES.split(before)]
    return ", ".join(piece for piece in pieces[:-1] if piece and not names_rolling(piece, vocabulary))


def went_out_rolling(text: str, vocabulary: Vocabulary) -> bool:
    """Whether somebody rolled it and the light went out: the complaint is not there now."""
    told = all(_found(text, part, vocabulary) for part in ("did", "went_out"))
    return told and _found(text, "denies", vocabulary) is None


def _found(text: str, part: str, vocabulary: Vocabulary) -> re.Match[str] | None:
    """Where a form of a part stands, None for nowhere."""
    pattern = vocabulary.rolling.get(part)
    return None if pattern is None else pattern.search(text.lower())
