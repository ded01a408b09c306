"""A reading in a story, to be asked about: 'I'd have bet it was the ground, but it's only point oh six'.

Nothing of it counts without a yes. Each piece of what was said is read alone; those that say what should be, what
was, what is not or what is asked hold no reading. What is left is one value, or the last one where a word before it
says that it is what came of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from assistant.messages import Expectation, Expects, Outcome, Understanding
from assistant.numerals.tokenizer import UNKNOWN_WORD, scan
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.clauses.clause import Role
from assistant.understanding.clauses.parts import NUMBER, Part, parts_of
from assistant.understanding.values.likeliest import likeliest_reading
from assistant.understanding.values.readings import understand_reading

UNCLEAR = frozenset({Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE, Outcome.INCOMPLETE})
"""Outcomes that count nothing yet."""
_LONGEST = 40
"""Words of the longest story."""
_SPLIT = re.compile(
    r"(?P<mark>[,;:!…—]+\s+|\.\s+|\?\s*|\.\.+\s*)|"
    r"(?:^|\s+)(?P<word>and(?=\s+(?:it|i|i'm|the|that|then|she|he|this|now|my|we|there|you|got|only|its|it's|there's|"
    r"she's|he's|that's|they|if|when|what|how|just|still|danged|dang|no|not|with)\b)|"
    r"but|so|or|then|because|cause|cuz|after|aftr|before|while|when|until|though|except|now|which|is\s+what)\s+",
    re.IGNORECASE,
)
_CONCLUDES = frozenset({"but", "so", "then", "now", "which"})
"""Words behind which stands what came of it; 'this or that' leaves both open."""
_TAKES_BACK = re.compile(
    r"\b(?:no|nope|wait|sorry|hold on|hang on|scratch that|i mean|i meant|actually|correction|make that|oops|whoops|"
    r"my bad|misread|rather|the dot moved|moved)\b",
    re.IGNORECASE,
)
_DENIES = re.compile(
    r"(?:(?:no|nope|nah|negative|never mind|forget it|scratch that|wrong|that's wrong|not that|it's negative|"
    r"it is negative|minus|not really)\W*)+",
    re.IGNORECASE,
)
_WAVERS = re.compile(
    r"\b(?:back and forth|flip\w*|flicker\w*|jump\w*|bounc\w*|toggl\w*|switch\w*|wander\w*|danc\w*|hunt\w*|hopp\w*|"
    r"between|can't make up|won't settle|waver\w*|alternat\w*)\b",
    re.IGNORECASE,
)
_NAMES_ONE = re.compile(
    r"\b(?:battery|number|wrong|other|first|second)\s+(?:battery\s+)?(?:one|two|three|four|[1-4])\W*$", re.IGNORECASE
)
"""A piece behind a value that tells which one it was of: 'scratch that, that's battery two'."""
_NO_READING = frozenset({
    Role.QUESTION, Role.NEGATION, Role.EARLIER, Role.EXPECTATION, Role.UNREAL, Role.TALK, Role.OTHER_PLACE, "moving",
})  # fmt: skip
_BY_ROLE = frozenset({Role.NEGATION.value, Role.EARLIER.value, Role.EXPECTATION.value, Role.UNREAL.value})
_TWO = 2
"""Pieces with a number, of which one is a reading where another one is what should be or was."""
_REFUSED = frozenset({Role.TALK.value, "moving"})
"""Whole utterances of which no piece is offered."""
_SIZES = ("little", "small", "big", "capital", "tiny", "lowercase", "uppercase", "upper case", "lower case")
_SIGNS = ("k", "m", "v", "a", "meg", "mega", "kilo", "milli", "omega", "ohm", "ohms")
_SIGN = rf"(?:{'|'.join(_SIZES)})\s+(?P<{{0}}>{'|'.join(_SIGNS)})\b"
_DISPLAY = re.compile(
    r"(?:,?\s*(?:and\s+)?(?:with|has|there's|there is|it's got|it has|got|shows|plus|then)?\s*(?:a\s+|the\s+)?)"
    + _SIGN.format("first")
    + r"(?:\s+and\s+(?:a\s+|the\s+)?(?:"
    + _SIGN.format("second")
    + r"|(?P<third>v|a|omega|ohms?)\b))?"
    r"(?:\s+(?:sign|letter|symbol|thing))?"
    r"(?:\s+(?:next to|after|behind|beside|at the end|on the right|on the side|in the corner)(?:\s+of)?"
    r"(?:\s+(?:it|the number|that|them))?)?",
    re.IGNORECASE,
)
_OVER = re.compile(
    r"\b(?P<count>\w+)\s+(?:of|over|out of)\s+"
    r"(?P<parts>two|four|eight|sixteen|thirty[- ]two|thirty[- ]seconds|32|16|8|4)\b",
    re.IGNORECASE,
)
_PARTS = {
    "two": "halves", "four": "quarters", "4": "quarters", "eight": "eighths", "8": "eighths", "sixteen": "sixteenths",
    "16": "sixteenths",
}  # fmt: skip
_BAD = re.compile(
    r"\b(?:too (?:much|high|low|little)|way (?:over|under|high|low|off)|no good|not good|bad|out of spec|terrible|"
    r"awful|"
    r"horrible|junk|shot)\b",
    re.IGNORECASE,
)
_GOOD = re.compile(r"\b(?:good|fine|perfect|in spec|great|okay|ok|passes|right where)\b", re.IGNORECASE)


_OH = re.compile(r"\W*oh?\b(?!.*\b(?:zeros?|zip|zilch|nothing|none|no|nada|dead)\b)", re.IGNORECASE)


class _Piece(NamedTuple):
    text: str
    by: str
    """The word before it, or the marks."""


def offered_reading(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding:
    """What is asked about where a story holds a reading; ``found`` itself where it holds none, or several."""
    if found.outcome is Outcome.CHOOSE and found.reason == "scale":
        return _judged(text, found, expectation)
    if found.outcome not in UNCLEAR and found.reason != "odd":
        return found
    if found.reason == Role.OTHER_PLACE.value and expectation.places:
        return found  # the session takes readings of several places apart
    if found.reason in _REFUSED or len(text.split()) > _LONGEST:
        return found
    unit = vocabulary.unit(expectation.unit)
    plain = _as_written(text, unit.dimension if unit else "")
    if found.reason == "odd" and plain == text:
        return found
    pieces = list(_pieces(plain))
    values = _values_of(pieces, expectation, vocabulary)
    numbered = sum(any(part.role == NUMBER for part in _parts(piece.text, vocabulary)) for piece in pieces)
    if not values or (found.reason in _BY_ROLE and numbered < _TWO):
        return found  # 'the rest volts, those should have been twelve four': the one value is what should be
    told = {(read.outcome, read.value) for _, read in values}
    if len(told) == 2 and len(values) == 2 and _WAVERS.search(plain):
        return _wavering(values[0][0].text, values[1][0].text, text, found, expectation, vocabulary)
    last, read = values[-1]
    if any(_DENIES.fullmatch(piece.text) for piece in pieces[pieces.index(last) + 1 :]):
        return found  # 'twelve hundred, no no no'
    if len(told) > 1 and last.by not in _CONCLUDES and not _put_right(pieces, values):
        return found
    return _asked(read, text, expectation)


_STANDS = frozenset({"lone_one", "scale", "impossible_range"})
"""Reasons that ask what a number alone was."""


def likely_reading(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """The reading that is told among words of which nothing else was made, to be asked about; None for none."""
    if expectation.expects is not Expects.READING or expectation.prompt.overlaid is not None:
        return None
    if found.outcome not in UNCLEAR - {Outcome.INCOMPLETE} or found.reason in _STANDS or UNKNOWN_WORD in text:
        return None
    if found.reason == Role.OTHER_PLACE.value and expectation.places:
        return None
    if found.reason == Role.EARLIER.value:
        return None  # 'charging volts was fourteen one': of what was read before it stands as told
    read = likeliest_reading(text, found, expectation, vocabulary)
    return None if read is None else _asked(read, text, expectation)


def _values_of(
    pieces: list[_Piece], expectation: Expectation, vocabulary: Vocabulary
) -> list[tuple[_Piece, Understanding]]:
    """The pieces that are a reading, else those that tell what was or should be; none where the last is disowned."""
    values: list[tuple[_Piece, Understanding]] = []
    past: list[tuple[_Piece, Understanding]] = []
    disowned = False
    for piece in pieces:
        if values and _NAMES_ONE.search(piece.text):
            disowned = True
            continue
        read = understand_reading(piece.text, expectation, vocabulary)
        if read.outcome not in (Outcome.READING, Outcome.OVER_RANGE):
            continue
        if read.value == 0 and _OH.match(piece.text):
            continue  # 'oh okay, I see': no zero
        if read.reason in _NO_READING:
            past.append((piece, read))
        else:
            values.append((piece, read))
            disowned = False
    return [] if disowned else values or past


def _parts(text: str, vocabulary: Vocabulary) -> list[Part]:
    return parts_of(text, scan(text, vocabulary), vocabulary)


def _put_right(pieces: list[_Piece], values: list[tuple[_Piece, Understanding]]) -> bool:
    """Whether something before the last value takes back what stood before it."""
    first, last = pieces.index(values[-2][0]), pieces.index(values[-1][0])
    between = " ".join(piece.text for piece in pieces[first + 1 : last + (pieces[last].by == "or")])
    return bool(_TAKES_BACK.search(between)) or any(piece.by in _CONCLUDES for piece in pieces[first + 1 : last + 1])


def _asked(read: Understanding, text: str, expectation: Expectation) -> Understanding:
    value = read.value
    ask = read.ask or clarifications.OVER_RANGE if value is None else clarifications.right(value, expectation.unit)
    return replace(read, heard=text, confirm=True, reason="leftover", ask=ask, said_at=None, command=None)


def _judged(text: str, found: Understanding, expectation: Expectation) -> Understanding:
    """'One point nine, too much': of two scales the one that is bad."""
    bad, good = bool(_BAD.search(text)), bool(_GOOD.search(text))
    if bad == good or (expectation.low is None and expectation.high is None):
        return found
    inside = [
        value
        for value in found.values
        if (expectation.low is None or value >= expectation.low)
        and (expectation.high is None or value <= expectation.high)
    ]
    fitting = [value for value in found.values if (value in inside) is good]
    if len(fitting) != 1:
        return found
    read = replace(found, outcome=Outcome.READING, value=fitting[0], values=(fitting[0],))
    return _asked(read, text, expectation)


def _wavering(
    one: str, other: str, text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding:
    """'Two point four eight, two point four nine, back and forth': a display between two ends."""
    read = understand_reading(f"jumping between {one.strip()} and {other.strip()}", expectation, vocabulary)
    if read.outcome not in (Outcome.UNSTEADY, Outcome.RANGE) or read.low_end is None:
        return found
    return replace(read, heard=text, said_at=None)


def _as_written(text: str, dimension: str) -> str:
    """The text with what stands beside the figures on a display, and fractions, as the reader knows them."""
    text = _DISPLAY.sub(_unit_beside, text)
    if dimension == "length":
        text = _OVER.sub(lambda one: f"{one['count']} {_PARTS.get(one['parts'].lower(), 'thirty-seconds')}", text)
        text = re.sub(r"\bplus\b", "and", text)
    return text


def _unit_beside(found: re.Match[str]) -> str:
    first = found["first"].lower()
    second = (found["second"] or found["third"] or "").lower()
    scale = {"k": "k", "kilo": "k", "meg": "meg", "mega": "meg", "milli": "milli"}.get(first, "")
    if first == "m":
        scale = (
            "milli"
            if second in ("v", "a")
            else "meg"
            if "big" in found.group() or "capital" in found.group()
            else "milli"
        )
    unit = {"v": "volts", "a": "amps", "omega": "ohms", "ohm": "ohms", "ohms": "ohms"}
    name = unit.get(second, "") or unit.get(first, "")
    joined = f"milli{name}" if scale == "milli" and name in ("volts", "amps") else f"{scale} {name}".strip()
    return f" {joined} "


def _pieces(text: str) -> Iterator[_Piece]:
    """What was said, piece by piece; a question keeps its mark."""
    at, by = 0, ""
    for found in _SPLIT.finditer(text):
        mark = (found["mark"] or "").strip()
        piece = text[at : found.start()].strip()
        if piece:
            yield _Piece(f"{piece}{'?' if mark == '?' else ''}", by)
            by = ""
        word = (found["word"] or "").lower()
        by = word or by
        at = found.end()
    if text[at:].strip():
        yield _Piece(text[at:].strip(), by)
