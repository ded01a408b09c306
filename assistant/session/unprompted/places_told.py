"""Readings of several places in one breath: 'driver's rear came in at twelve fifteen, curb side at ten'.

What was said is a row of places and of words that show a value. Each value belongs to the place beside it, before or
behind; several places and then as many values go in their order. Any other row is no such answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from assistant.messages import Choice
from assistant.numerals.tokenizer import scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.session.unprompted.breath import bare
from assistant.understanding.clauses.parts import MARKERS, NUMBER, SHOWN, UNIT, Part, parts_of
from assistant.understanding.place_names import place_meant, place_spans, side_of

_CUT = re.compile(r"[,;:/&()—]+|\.(?!\d)|\b(?:and|plus|but|with|then|while|y)\b", re.IGNORECASE)
_OTHER = re.compile(
    r"\b(?:the\s+|its\s+|her\s+)?(?:other\s+(?P<end>side|one|rear|front|end|wheel)|"
    r"(?P<side>driver(?:'s)?|passenger(?:'s)?|curb|ditch|road|street|left|right)\s+side|"
    r"(?P<bare>driver|passenger|curb|ditch|road|street)side)(?:'s|\b)",
    re.IGNORECASE,
)
"""The other place of the same end, or one that only its side tells."""
_HERE = re.compile(r"\b(?:this\s+(?:here\s+)?(?:one|side|wheel)(?:'s)?|esta|este)\b", re.IGNORECASE)
_SAME = re.compile(r"\b(?:same(?:\s+(?:thing|here|reading|number))?|ditto|likewise|identical)\b", re.IGNORECASE)
_OPEN = re.compile(
    r"\?|\b(?:if|should|would|no|not|wait|sorry|scratch|correction|actually|mean|meant|yesterday|earlier|before|"
    r"swap|swapped|more than|less than)\b",
    re.IGNORECASE,
)
"""Words beside which it is not said which value is whose."""
_ASIDE = frozenset({"one", "two", "ones"})
"""Number words that are none where they stand alone: 'I'll give you two'."""
_HEDGES = ("hedge", Kind.APPROXIMATE.value)
_MOST_WORDS = 14
"""Words and phrases of a value that its place tells: with more of them it is a story."""


@dataclass(frozen=True, slots=True)
class _Event:
    """A place, or words that show a value."""

    start: int
    end: int
    place: str = ""
    """Name of the place; '' for a value."""


_BOTH = re.compile(
    r"\b(?:both|the two|two)(?:\s+of)?(?:\s+the)?\s+(?P<end>rears?|backs?|fronts?|hinds?|behinds?)"
    r"(?:\s+(?:ones|wheels|sensors))?\b"
    r"|\bboth(?:\s+(?:ones|wheels|sensors))?\s+(?:in|at)\s+(?:the\s+)?(?P<at>rear|back|front)\b",
    re.IGNORECASE,
)
_BEHIND = re.compile(
    r"\b(left|right)\s+(?:one\s+)?(?:of|from|in)\s+(?:the\s+)?(behind|back|front|rear)\b", re.IGNORECASE
)
_SIDE = re.compile(
    r"\b(?:on\s+|at\s+)?(?:the\s+)?(left|right)(?:\s+(?:side|one))?\b(?!\s+(?:front|rear|back|hind|now|there|here|at|on))",
    re.IGNORECASE,
)
_OF_BOTH = re.compile(r"\b(?:both|each|apiece|a piece|the two|twins?|alike)\b", re.IGNORECASE)
_GRAND = re.compile(
    r"\b(?P<count>an?|one|two|three|four|five|\d+) grand(?P<half> and a half| and a quarter)?\b", re.IGNORECASE
)
"""'A grand and a half': the 'and' is inside the number."""
_SHORT = re.compile(r"(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty|\d\d?)")
_SORRY = re.compile(r"[,.;]\s*(?:oh\s+)?(?:sorry|excuse me|pardon|my bad)\W*$", re.IGNORECASE)
"""An apology at the end puts nothing right."""


def by_places(text: str, named: tuple[Choice, ...]) -> str:
    """What was said with the places called by their names, where an end stands before its sides.

    'Both backs, twelve ten on the left and twelve forty on the right', 'the left of behind'; of one value told of
    both of an end each has it ('both rears, twelve hundred').
    """
    known = {one.name for one in named}
    text = _GRAND.sub(_thousands, _SORRY.sub("", text))
    text = _BEHIND.sub(lambda hit: f"{hit[1].lower()} {_end_of(hit[2])}", text)
    both = _BOTH.search(text)
    if both is None:
        return text
    end = _end_of(both["end"] or both["at"])
    if not {f"left {end}", f"right {end}"} <= known:
        return text
    rest = f"{text[: both.start()]} {text[both.end() :]}"
    sides = {hit[1].lower() for hit in _SIDE.finditer(rest)}
    if not sides:
        return f"{text[: both.start()]}both left {end} and right {end}{text[both.end() :]}"
    return _SIDE.sub(lambda hit: f" {hit[1].lower()} {end} ", rest) if len(sides) > 1 else text


def _thousands(hit: re.Match[str]) -> str:
    count = "one" if hit["count"].lower() in ("a", "an") else hit["count"]
    half = (hit["half"] or "").lower()
    part = ("point", "five") if half.endswith("half") else ("point", "two", "five") if half else ()
    return " ".join((count, *part, "thousand"))


def _end_of(word: str) -> str:
    return "front" if word.lower().startswith("front") else "rear"


@dataclass(frozen=True, slots=True)
class Breath:
    """What was said of places in one breath, and at which prompt."""

    text: str
    here: str
    """The place that is asked."""
    named: tuple[Choice, ...]
    """Places of the unit."""
    vocabulary: Vocabulary
    dimension: str
    """That of the prompt's unit."""

    def values(self) -> list[tuple[str, str]] | None:
        """Places with the words said for each, in order; None where not several are told, or it is not clear."""
        if "?" in self.text:
            return None
        row = self._row()
        both = _OF_BOTH.search(self.text) is not None
        pairs = _pairs(row, self.here, both=both)
        if pairs is None or len({place for place, _ in pairs}) < len(pairs) or self._unclear(row):
            return None
        found: list[tuple[str, str]] = []
        for place, value in pairs:
            words = bare(self.text[value.start : value.end].strip(" ,.;:"))
            words = _OF_BOTH.sub("", words).strip() if both else words
            same = _SAME.search(words) is not None and found and not self._shown(words)
            found.append((place, found[-1][1] if same else self._alone(words)))
        told = [words.lower() for _, words in found]
        if any(map(_SHORT.fullmatch, told)) and any(words.endswith(" hundred") for words in told):
            return None  # 'left twelve, right thirteen hundred': is twelve of hundreds, too?
        return found

    def shows(self) -> bool:
        """Whether any value is told: 'RR before LR' only says which comes first."""
        return any(not one.place for one in self._row())

    def several(self) -> bool:
        """Whether values of several places are told, clear or not."""
        row = self._row()
        return len({one.place for one in row if one.place}) > 1 and sum(not one.place for one in row) > 1

    def _unclear(self, row: list[_Event]) -> bool:
        """Whether words beside the places and values leave open which is whose."""
        ends, starts = (0, *(one.end for one in row)), (*(one.start for one in row), len(self.text))
        return any(_OPEN.search(self.text[end:start]) for end, start in zip(ends, starts, strict=True)) or any(
            not one.place and _takes_back(self._parts(self.text[one.start : one.end])) for one in row
        )

    def _row(self) -> list[_Event]:
        """Places and values in the order in which they were said; values that stand beside each other stay two."""
        row: list[_Event] = []
        at = 0
        for span in (*self._places(), None):
            row += self._values(at, len(self.text) if span is None else span.start)
            if span is not None:
                at = span.end
                if not (row and row[-1].place == span.place):
                    row.append(span)
        return row

    def _places(self) -> list[_Event]:
        text = self.text
        spans = [_Event(start, end, name) for name, start, end in place_spans(text, self.named)]
        spans += [_Event(hit.start(), hit.end(), self.here) for hit in _HERE.finditer(text)]
        for hit in _OTHER.finditer(text):
            before = [one for one in spans if one.end <= hit.start()]
            other = self._other(max(before, key=lambda one: one.end).place if before else self.here, hit)
            if other is not None:
                spans.append(_Event(hit.start(), hit.end(), other))
        return sorted(_apart(spans), key=lambda one: one.start)

    def _other(self, place: str, hit: re.Match[str]) -> str | None:
        """'The other rear', 'the other side', 'the ditch side': the same end of the other side, or of that one."""
        side = side_of((hit["side"] or hit["bare"] or "").lower().removesuffix("'s"))
        end = (hit["end"] or "").lower()
        if end in ("rear", "front") and end not in place.split():
            return None
        return place_meant(side or "other", place, {one.name for one in self.named})

    def _values(self, start: int, end: int) -> Iterator[_Event]:
        """Pieces between two places that show a value; an 'and' inside a number divides nothing."""
        at = start
        pieces: list[_Event] = []
        for cut in (*_CUT.finditer(self.text, start, end), None):
            until = cut.start() if cut is not None else end
            piece = self.text[at:until]
            joined = bool(pieces) and self.text[pieces[-1].end : at].strip().lower() == "and"
            if joined and self._one_number(self.text[pieces[-1].start : until]):
                pieces[-1] = _Event(pieces[-1].start, until)
            elif self._shown(piece) or (piece.strip() and _SAME.search(piece)):
                pieces.append(_Event(at, until))
            at = cut.end() if cut is not None else end
        yield from pieces

    def _one_number(self, text: str) -> bool:
        """'Thirteen hundred and two', 'one and a half': an 'and' inside a number."""
        kinds = [item.kind for item in scan(text, self.vocabulary, self.dimension)]
        for at, kind in enumerate(kinds):
            behind = [one for one in kinds[at + 1 : at + 3] if one != "X"]
            if kind == "A" and at and behind and (behind[0] == "F" or kinds[at - 1] in ("H", "K", "k", Kind.UNIT)):
                return True
        return False

    def _alone(self, words: str) -> str:
        """The words of a value without those around it that tell nothing: 'came in at twelve fifteen'.

        What makes it no value, or another one, stays, and so does a story.
        """
        parts = self._parts(words)
        held = [at for at, part in enumerate(parts) if _is_value(parts, at)]
        if not held or len(parts) > _MOST_WORDS or any(map(_changes, parts)):
            return words
        first, last = held[0], held[-1]
        while last + 1 < len(parts) and parts[last + 1].role == UNIT:
            last += 1
        while first and (parts[first - 1].role in _HEDGES or (parts[first - 1].role == NUMBER)):
            first -= 1
        inside = range(first, last + 1)
        known = (NUMBER, UNIT, *_HEDGES)  # an 'and' inside a number is of it
        plain = all(parts[at].role in known or parts[at].kind == "A" or _is_value(parts, at) for at in inside)
        return words[parts[first].start : parts[last].end] if plain else words

    def _shown(self, text: str) -> bool:
        parts = self._parts(text)
        return any(_is_value(parts, at) for at in range(len(parts)))

    def _parts(self, text: str) -> list[Part]:
        return parts_of(text, scan(text, self.vocabulary, self.dimension), self.vocabulary)


def _changes(part: Part) -> bool:
    """Whether words change what a value counts for; a 'was' beside a place that is named does not."""
    return part.role in MARKERS - {"now"} and not (part.role == "earlier" and "past" in part.roles)


def _takes_back(parts: list[Part]) -> bool:
    """Whether what shows a value supposes it, or takes it back."""
    return any(
        part.role in ("question", "unreal", "expectation", "talk", "taken_back", "correction") for part in parts
    )


def _is_value(parts: list[Part], at: int) -> bool:
    part = parts[at]
    if part.role != NUMBER:
        return part.role in SHOWN
    near = (*parts[max(0, at - 1) : at], *parts[at + 1 : at + 2])
    alone = all(other.role not in (NUMBER, UNIT) for other in near)
    return part.kind not in "XAS" and not (alone and part.text in _ASIDE)


def _apart(spans: list[_Event]) -> Iterator[_Event]:
    """Places that do not lie over each other, the longest first."""
    taken: list[_Event] = []
    for one in sorted(spans, key=lambda span: span.start - span.end):
        if not any(one.start < other.end and other.start < one.end for other in taken):
            taken.append(one)
            yield one


def _pairs(row: list[_Event], here: str, *, both: bool) -> list[tuple[str, _Event]] | None:
    """Which value is whose; None where the row does not say. ``both``: one value is told of two places."""
    shape = "".join("P" if one.place else "V" for one in row)
    two = range(0, len(row), 2)
    if len(row) > 2 and len(row) % 2 == 0 and all(shape[at] != shape[at + 1] for at in two):
        return [(row[at].place, row[at + 1]) if row[at].place else (row[at + 1].place, row[at]) for at in two]
    if re.fullmatch(r"(?:PV+){2,}", shape):
        return [(one.place, _all_of(row, at + 1)) for at, one in enumerate(row) if one.place]
    if re.fullmatch(r"V(?:PV)+", shape):
        return [(here, row[0]), *((row[at].place, row[at + 1]) for at in range(1, len(row), 2))]
    if shape in ("PPV", "VPP") and both:
        value = next(one for one in row if not one.place)
        return [(one.place, value) for one in row if one.place]
    half = len(row) // 2
    if half > 1 and shape == "P" * half + "V" * half:
        return [(row[at].place, row[half + at]) for at in range(half)]
    return None


def _all_of(row: list[_Event], at: int) -> _Event:
    """The values that stand behind a place, as one: 'twelve fifty, twelve hundred fifty'."""
    end = at
    while end + 1 < len(row) and not row[end + 1].place:
        end += 1
    return _Event(row[at].start, row[end].end)
