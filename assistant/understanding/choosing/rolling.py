"""What is told of a light while the unit rolls, where it is looked at standing still."""

from __future__ import annotations

import re

_ANY = re.compile(
    r"\b(?:roll(?:s|ed|ing)?|wheels? (?:turn|start|spin)\w*|mov(?:e|es|ed|ing)|driv(?:e|es|ing)|drove|under ?way|"
    r"pull(?:s|ed|ing)? (?:out|off|away|forward)|(?:mile|miles|mph)\b|down the road|around the (?:yard|lot|block))",
    re.IGNORECASE,
)
_ROLLS = _ANY.pattern
_UNTIL = re.compile(rf"[,;]?\s*\b(?:'?til|till|until|unless)\b[^;.]*?{_ROLLS}.*$", re.IGNORECASE)
_THEN = re.compile(
    r"\b(?:once|when|whenever|after|as soon as|soon as|by the time|if|"
    rf"(?:at|around) (?:about |around )?(?:\w+ ){{1,2}}(?:mile|mph))\b[^;.]*?{_ROLLS}?.*$",
    re.IGNORECASE,
)
_DID = re.compile(r"\b(?:rolled|drove|road tested|moved it|pulled it|took it (?:out|around|for))\b", re.IGNORECASE)
_WENT_OUT = re.compile(
    r"\b(?:light|lamp|it|she)\b[^.;]*?\b(?:went|goes|gone|turned|shut|dropped|kicked|clicked|cut|is)\s+(?:right\s+)?"
    r"(?:out|off|away)\b|\bnothing wrong\b",
    re.IGNORECASE,
)
_DENIES = re.compile(r"\b(?:not|n't|never|didn't|don't|won't|doesn't|wouldn't|until i|before i)\b", re.IGNORECASE)


def names_rolling(text: str) -> bool:
    """Whether words tell of a unit that rolls."""
    return _ANY.search(text) is not None


def at_rest(text: str) -> str:
    """What is told of the light before it rolls: 'stays on' of 'stays on till the wheels turn'; '' for nothing.

    What it does once the unit rolls is told by the clause that stands with it: 'goes out when you drive off'.
    """
    until = _UNTIL.search(text)
    if until is not None:
        return text[: until.start()].strip(" ,;")
    found = _THEN.search(text)
    before = text[: found.start()] if found is not None else text
    pieces = [piece.strip() for piece in _CLAUSES.split(before)]
    return ", ".join(piece for piece in pieces[:-1] if piece and not _ANY.search(piece))


_CLAUSES = re.compile(r"[,;]|\bbut\b|\band then\b|\bthen\b")


def went_out_rolling(text: str) -> bool:
    """Whether somebody rolled it and the light went out: the complaint is not there now."""
    return bool(_DID.search(text)) and bool(_WENT_OUT.search(text)) and not _DENIES.search(text)
