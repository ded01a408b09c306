"""The likeliest reading among the numbers of a story, by what stands beside each: 'had my coffee and it's at nine'.

It is for words of which the roles made no answer, and never counts without a yes. A number that is expected,
compared, asked, denied, of another time or of another thing is none; of what is left one value is offered, or the one
that a word says came of it ('so', 'now', 'actually', 'the lowest one's').
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.messages import Expectation, Outcome, Understanding
from assistant.numerals.tokenizer import NUMBER_KINDS, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.clauses.parts import NUMBER, UNIT, Part, parts_of
from assistant.understanding.place_names import place_spans
from assistant.understanding.values.readings import understand_reading

_CUT = re.compile(
    r"[,;:!…—]+(?:\s|$)|\.(?:\s|$)|\?|\b(?:but|and then|then|because|'?cause|cuz|although|though|while|"
    r"after|before|until|so|"
    r"which|where|when|and(?=\s+(?:it|it's|i|i'm|she|she's|he|that|that's|now|right|my|the|we|then|there|"
    r"still|then)\b))\b",
    re.IGNORECASE,
)
_NONE_BEFORE = re.compile(
    r"\b(?:should(?:'ve|n't)?|supposed|spec|specs|expect\w*|figured|thought|hoping|hoped|want\w*|need\w*|"
    r"looking for|limit|"
    r"minimum is|maximum is|at least|no more than|less than|more than|lower than|higher than|better than|"
    r"worse than|"
    r"than|above|below|instead of|rather than|over|under|not|isn't|ain't|wasn't|never|nowhere near|if|"
    r"would|could|might|"
    r"yesterday|earlier|last (?:time|week|month|year|night)|previous\w*|used to|other (?:one|side|wheel|"
    r"truck|unit)|"
    r"(?:pins?|battery|axle|number|unit|terminal|fuse|page|step|bay|line|leg)(?=\W*$)|off by|short by|"
    r"tell|told|ask|asked|says he|boss|grab|hand me|give me|pass me|bring)\b",
    re.IGNORECASE,
)
"""Words before a number, in its clause, by which it is no reading."""
_NONE_BEHIND = re.compile(
    r"^\W*(?:(?:was|were|is|are) (?:the|what|my|his|yesterday|earlier|supposed|spec|normal|usual)|"
    r"yesterday|earlier|before|"
    r"last (?:time|week|year|month)|(?:minutes?|seconds?|hours?|days?|times?|years?|o'clock|bucks?|"
    r"dollars?|feet|foot|miles?|"
    r"degrees|percent|more|less|wire|gauge|pin|pins)\b|or (?:so )?more|or less than|too)\b",
    re.IGNORECASE,
)
_TELLS = re.compile(
    r"\b(?:i(?:'m| am)? (?:get|got|getting|see|seeing|have|had|read|reading|show|showing|drop\w*|lost|"
    r"losing|pull\w*|measur\w*)|"
    r"it(?:'s| is|s)?|she(?:'s| is|s)?|he(?:'s| is)|that(?:'s| is|s)?|we(?:'re| are| got| have|'ve got)|"
    r"meter\w*|screen|display|"
    r"says?|said|reads?|reading|shows?|showing|gets?|got|gives?|gave|sits?|sitting|settl\w*|stay\w*|"
    r"hold\w*|held|steady|"
    r"still|at|drawing|draws|drops?|dropping|drop|pulls?|comes? (?:in|out|up|back)|came|landed|lands?|"
    r"measures?|now|"
    r"actually|final\w*|ended up|bottom\w*|tops?|topped|here|call it)\b",
    re.IGNORECASE,
)
"""Words that say that something was read."""
_CONCLUDES = re.compile(
    r"\b(?:so|now|actually|finally|final|ended up|settled|settling|in the end|at the end|turns out|"
    r"call it|it's really|"
    r"stays|stayed|really)\b|\b(?:low|lower|lowest|high|higher|highest|big|bigger|biggest|small|smallest|"
    r"worst|worse|"
    r"weak|weakest)\b",
    re.IGNORECASE,
)
_TAKEN_BACK = re.compile(
    r"\b(?:negative|minus|scratch that|never ?mind|forget (?:it|that)|disregard)\b|"
    r"(?:\bno\b[\s,.!]*){2,}|[,.…]\s*(?:no|nope|wrong)[\s.!]*$",
    re.IGNORECASE,
)
_READ = frozenset({Outcome.READING, Outcome.OVER_RANGE, Outcome.RANGE, Outcome.UNSTEADY})
_LONGEST = 40


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A number of the text that reads as one, with its clause."""

    read: Understanding
    before: str
    """Words of its clause before it, and the word that begins the clause."""
    behind: str


def likeliest_reading(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """The reading that the words beside it tell, alone; None where none does, or several do."""
    if "?" in text or len(text.split()) > _LONGEST or not _is_story(text, vocabulary):
        return None
    left = [one for one in _candidates(text, expectation, vocabulary) if not _is_none(one)]
    if left and (_TAKEN_BACK.search(text) or _elsewhere(text, expectation)):
        return None
    told = [one for one in left if _TELLS.search(one.before)]
    if found.reason in _DOUBTED:
        left = told
    if len({_shown(one.read) for one in left}) > 1:
        concluded = [one for one in left if _CONCLUDES.search(one.before) or _CONCLUDES.search(one.behind)][-1:]
        left = concluded or told
    return left[-1].read if len({_shown(one.read) for one in left}) == 1 else None


def _is_story(text: str, vocabulary: Vocabulary) -> bool:
    """Whether words are told around the numbers: of a figure and a slip alone nobody knows what was meant."""
    items = [item for item in scan(text, vocabulary) if item.kind not in NUMBER_KINDS and item.text.isalpha()]
    return len(items) >= _FEWEST


_FEWEST = 4


def _elsewhere(text: str, expectation: Expectation) -> bool:
    """Whether another place than the one that is asked is named."""
    return any(name != expectation.prompt.place for name, _, _ in place_spans(text, expectation.places))


_DOUBTED = frozenset({"talk", "question", "unreal", "negation", "expectation", "earlier", "other_place"})
"""Reasons for which a number without a word that says it was read is none."""


def _shown(read: Understanding) -> tuple[object, ...]:
    return read.outcome, read.value, read.low_end, read.high_end


def _is_none(one: _Candidate) -> bool:
    return bool(_NONE_BEFORE.search(one.before) or _NONE_BEHIND.search(one.behind))


def _candidates(text: str, expectation: Expectation, vocabulary: Vocabulary) -> list[_Candidate]:
    unit = vocabulary.unit(expectation.unit)
    items = scan(text, vocabulary, unit.dimension if unit else "")
    parts = parts_of(text, items, vocabulary)
    cuts = [(hit.start(), hit.end()) for hit in _CUT.finditer(text)]
    found: list[_Candidate] = []
    at = 0
    while at < len(parts):
        end = _run(parts, at)
        if end == at:
            at += 1
            continue
        start, stop = parts[at].start, parts[end - 1].end
        read = understand_reading(text[start:stop], expectation, vocabulary)
        if read.outcome in _READ:
            # a cut inside the number is none; what begins the clause says what it is ('so', 'now')
            begin = max((first for first, last in cuts if last <= start), default=0)
            behind = min((first for first, last in cuts if first >= stop), default=len(text))
            found.append(_Candidate(read, text[begin:start], text[stop:behind]))
        at = end
    return found


_INSIDE = (NUMBER, UNIT, "hedge", Kind.APPROXIMATE.value, Kind.BETWEEN.value, Kind.TO.value)


def _run(parts: list[Part], at: int) -> int:
    """Where the number words that begin here end; the place itself where none begins."""
    end = at
    while end < len(parts) and (parts[end].role in _INSIDE or (end > at and _joins(parts, end))):
        end += 1
    while end > at and parts[end - 1].role not in (NUMBER, UNIT):
        end -= 1
    counted = any(part.role == NUMBER and part.kind not in "XAS" for part in parts[at:end])
    alone = end - at == 1 and parts[at].text in ("one", "two", "a", "first", "second", "oh")
    if counted and not alone:
        return end
    return at + 1 if parts[at].role in (Kind.OVER_RANGE.value, "open") else at


def _joins(parts: list[Part], at: int) -> bool:
    """'Three tenths of an ohm', 'twelve, point, five': what stands inside a number and is none of it."""
    behind = parts[at + 1] if at + 1 < len(parts) else None
    before = parts[at - 1]
    if behind is None:
        return False
    if parts[at].text in ("of a", "of an", "of") and behind.role == UNIT:
        return True
    joins = parts[at].kind == "A" and before.role in (NUMBER, UNIT) and behind.role == NUMBER
    return joins or before.kind == "P" or behind.kind == "P"
