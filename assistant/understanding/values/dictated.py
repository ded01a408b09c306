"""A figure that is dictated piece by piece, as the figure: 'twelve, then the point, then an eight' is 12.8.

Also a point that is called a comma, as where commas divide figures, a scale that is told behind its figure ('one
point two with a k behind it') and a fraction that goes with its whole ('one with three quarters'). What counts by it
waits for a yes.
"""

from __future__ import annotations

import re

_DIGIT = r"(?:zero|oh|one|two|three|four|five|six|seven|eight|nine|\d)"
_NUMBER = (
    rf"(?:{_DIGIT}|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|twenty|thirty|"
    r"forty|fifty|sixty|seventy|eighty|ninety|hundred|\d+)"
)
_THEN = r"(?:\s*,\s*|\s+)(?:(?:and\s+then|and|then)\s+)?"
_POINT = re.compile(
    rf"\b({_NUMBER})({_THEN}(?:the\s+|a\s+)?(?:point|dot|decimal(?:\s+point)?){_THEN}(?:an?\s+)?)(?={_NUMBER}\b)",
    re.IGNORECASE,
)
_COMMA = re.compile(
    rf"\b({_NUMBER})\s+comma\s+(?={_DIGIT}\b)(?!\w+\s+(?:hundred|thousand|zero\s+zero|oh\s+oh)\b)", re.IGNORECASE
)
"""'One comma two hundred' is a thousand and two hundred."""
_DECIMALS = re.compile(rf"(?<=point )({_DIGIT}(?:\s*,\s*(?:and\s+|then\s+|an?\s+)*{_DIGIT}\b)+)", re.IGNORECASE)
_JOINT = re.compile(r"\s*,\s*(?:and\s+|then\s+|an?\s+)*", re.IGNORECASE)
_SCALE = re.compile(
    r"\s+with\s+(?:like\s+)?(?:an?|the)\s+(?:little\s+|small\s+|big\s+|letter\s+)*(k|kay|m|meg)\s+"
    r"(?:(?:right\s+)?(?:after|behind|beside|next\s+to|on\s+the\s+end(?:\s+of)?|at\s+the\s+end(?:\s+of)?)(?:\s+(?:it|that))?)",
    re.IGNORECASE,
)
_SCALED = re.compile(r"\b(?:kilo|meg)\s*a?\s*ohms?\b", re.IGNORECASE)
_WITH = re.compile(
    rf"\b({_NUMBER})\s+with\s+(?=(?:an?\s+|{_NUMBER}\s+)?(?:half|halves|quarters?|eighths?|sixteenths?|thirds?|"
    r"tenths?|thirty[- ]seconds?)\b)",
    re.IGNORECASE,
)


def as_one_figure(text: str) -> str:
    """The text with figures that were dictated piece by piece as one; the text itself where it has none."""
    said = _POINT.sub(_pointed, text)
    said = _COMMA.sub(r"\1 point ", said)
    if said != text:
        said = _DECIMALS.sub(lambda found: _JOINT.sub(" ", found.group()), said)
    scale = _SCALE.search(said)
    if scale is not None:
        named = "" if _SCALED.search(said, scale.end()) else f" {scale.group(1)}"
        said = said[: scale.start()] + named + said[scale.end() :]
    return _WITH.sub(r"\1 and ", said)


def _pointed(found: re.Match[str]) -> str:
    """A point between two numbers, without the words that only join the pieces."""
    plain = " ".join(found.group(2).lower().split()) in ("point", "dot", "decimal", "decimal point")
    return found.group() if plain else f"{found.group(1)} point "
