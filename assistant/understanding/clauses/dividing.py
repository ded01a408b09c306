"""Parts of an utterance to clauses: where one ends, and which words near a value name something else."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.numerals.vocabulary import Kind
from assistant.understanding.clauses.clause import Clause, shows
from assistant.understanding.clauses.parts import LEAD, LEFT_OVER, MARKERS, NUMBER, PAUSE, STATES, UNIT, Part

_DIVIDING = MARKERS - {"moving", "vague", "rated", "numbered", "taken_back", "place", "other_place"}
"""Roles that begin a clause of their own behind a value."""
_STATEMENT = frozenset({
    "it", "it's", "it'd", "i", "i'm", "i've", "we", "we're", "we've", "he", "he's", "she", "she's", "that's",
    "there's", "this", "the", "here",
})  # fmt: skip
"""Words with which a new statement begins behind a value."""
_STOPS = re.compile(r"[?!;:…—]|\.(?!\d)")


def settled(text: str, parts: Sequence[Part], place: str, dimension: str = "") -> list[Part]:
    """Parts whose words the others near them give another role: what names a pin, a setting of the meter, a wheel.

    Args:
        text: as heard or typed.
        parts: its parts, each with what its words do alone.
        place: where the prompt asks; words of it name no other place.
        dimension: that of the prompt's unit; a time beside a reading of anything else is when it was read.
    """
    found = [_named_here(part, place) for part in parts]
    _number_names(found)
    _meter_settings(found)
    if dimension != "time":
        _when_read(found)
    _first_words(text, found)
    _pronouns(found)
    _no_places(found)
    return found


_EXACTLY = frozenset({
    "at", "in", "on", "around", "about", "near", "there", "here", "now", "up", "under", "over", "off", "back",
    "where", "between", "next", "down", "smack", "by", "past", "above", "below",
})  # fmt: skip
_REMAINS = frozenset({"got", "has", "have", "is", "what's", "had", "much", "little", "more", "meat", "that's", "all"})


def _no_places(parts: list[Part]) -> None:
    """'Settling right in around twelve hundred', 'all it's got left is three': no side of the unit."""
    for at, part in enumerate(parts):
        if part.role != "place" or part.text not in ("right", "left"):
            continue
        behind = parts[at + 1].text.split()[0] if at + 1 < len(parts) else ""
        before = parts[at - 1].text.split()[-1] if at else ""
        exactly = part.text == "right" and behind in _EXACTLY
        remains = part.text == "left" and before in _REMAINS and behind in ("is", "on", "in", "to", "of", "was")
        if exactly or remains:
            parts[at] = part._replace(role="exact" if exactly else "tail")


def _named_here(part: Part, place: str) -> Part:
    """A place that the prompt itself names is no other place."""
    if part.role != "place" or not place:
        return part
    return part._replace(role="circumstance") if set(part.text.split()) <= {*place.split(), "the", "side"} else part


def _number_names(parts: list[Part]) -> None:
    """'pin seven': the number names the part and is no reading."""
    for at, part in enumerate(parts[:-1]):
        if part.role == "numbered" and parts[at + 1].role == NUMBER and parts[at + 1].kind in "DTYG":
            parts[at + 1] = parts[at + 1]._replace(role="numbered")
        elif part.role == "numbered":
            parts[at] = part._replace(role="circumstance")
    _battery_names(parts)


_OF_A_BANK = frozenset({"one", "two", "three", "four", "1", "2", "3", "4"})


def _battery_names(parts: list[Part]) -> None:
    """'12.1, no wait, that's battery two': which one of a bank; 'battery 12.4' is a reading."""
    for at in range(2, len(parts)):
        part, behind = parts[at], parts[at + 1].role if at + 1 < len(parts) else ""
        named = parts[at - 1].text.split()[-1:] == ["battery"] and part.text in _OF_A_BANK
        if part.role == NUMBER and named and behind not in (NUMBER, UNIT) and any(map(shows, parts[: at - 1])):
            parts[at] = part._replace(role="numbered", kind="")


_SETTINGS = frozenset({"scale", "setting", "jack", "hole"})
_SET_TO = frozenset({"on", "using"})


def _meter_settings(parts: list[Part]) -> None:
    """'O L on the two k scale': the number names how the meter is set, beside what it shows."""
    for at, part in enumerate(parts):
        word = part.text.split()[0] if part.text else ""
        if word not in _SETTINGS and word != "range":
            continue
        first = at
        while first and (parts[first - 1].role in (NUMBER, UNIT) or parts[first - 1].text.startswith("the ")):
            first -= 1
        led = first > 0 and parts[first - 1].text.split()[0] in _SET_TO
        shown = any(shows(other) for other in (*parts[:first], *parts[at + 1 :]))
        if shown and first < at and (led or (word in _SETTINGS and parts[first].text.startswith("the "))):
            for place in range(first, at + 1):
                parts[place] = parts[place]._replace(role="circumstance", kind="")


_MINUTES = frozenset({"minute", "minutes", "min", "mins", "second", "seconds", "sec", "secs", "hour", "hours"})
_AT_THE_TIME = frozenset({"at", "after", "by", "for", "past", "about", "around"})


def _when_read(parts: list[Part]) -> None:
    """'Twelve eight at ten minutes': the time tells when it was read, beside what was read."""
    for at, part in enumerate(parts):
        if part.text not in _MINUTES or part.role not in (UNIT, "as_seconds", LEFT_OVER, "tail"):
            continue
        first = at
        while first and parts[first - 1].role == NUMBER:
            first -= 1
        before = parts[first - 1].text.split()[-1] if first else ""
        behind = parts[at + 1].text.split()[0] if at + 1 < len(parts) else ""
        timed = before in _AT_THE_TIME or behind in ("in", "later", "into")
        others = (*parts[: max(first - 1, 0)], *parts[at + 1 :])
        if first == at or not timed or not any(shows(other) for other in others):
            continue
        begin = first - 1 if before in _AT_THE_TIME else first
        end = at + 1 if behind in ("in", "later", "into") else at
        for place in range(begin, end + 1):
            parts[place] = parts[place]._replace(role="circumstance", kind="")


def _pronouns(parts: list[Part]) -> None:
    """'The blue one', 'that old one': that one is no reading."""
    for at, part in enumerate(parts):
        behind = parts[at + 1].role if at + 1 < len(parts) else ""
        if part.role != NUMBER or part.text != "one" or at < 2 or behind in (NUMBER, UNIT):
            continue
        if parts[at - 1].text.split()[-1:] == ["wrong"]:  # 'oops, wrong one'
            parts[at] = part._replace(role=LEAD, kind="")
            continue
        led = parts[at - 2].text.split()[-1:] in (["the"], ["that"], ["this"]) and parts[at - 1].role != NUMBER
        if led:
            parts[at] = part._replace(role=LEAD, kind="")


def _first_words(text: str, parts: list[Part]) -> None:
    """What an 'oh' and a 'no' at the beginning are.

    'Oh, that's bad' is no zero; in 'nope, no continuity' the no says what the state behind it says; 'no five volts
    there' denies them, while 'no, five volts' puts right.
    """
    if len(parts) < 2:
        return
    if parts[-1].kind == Kind.COMMAND and parts[-1].text == "next" and any(shows(part) for part in parts[:-1]):
        parts[-1] = parts[-1]._replace(role="filler", kind="")  # 'eleven sixty, next'
    first, behind = parts[0], next((part for part in parts[1:] if part.role != PAUSE), parts[1])
    if first.text in ("oh", "o") and first.role == NUMBER and behind.role != NUMBER:
        parts[0] = first._replace(role="filler", kind="")
    if first.text not in ("no", "nope", "nah") or first.kind != Kind.COMMAND:
        return
    if behind.role in STATES and behind.text.startswith("no "):
        parts[0] = first._replace(role="filler", kind="")
    rest = [part.role for part in parts[1:]]
    size = next((at for at, role in enumerate(rest) if role != NUMBER), len(rest))
    joined = not text[first.end : parts[1].start].strip()
    if joined and size and rest[size : size + 1] == [UNIT] and len(rest) > size + 1:
        parts[0] = first._replace(role="negation", kind="")


def divided(text: str, parts: Sequence[Part]) -> list[Clause]:
    """Divided at pauses, at 'but' and its like, and where a new statement or another role begins behind a value."""
    found = [Clause()]
    for at, part in enumerate(parts):
        gap = text[parts[at - 1].end : part.start] if at else text[: part.start]
        if _STOPS.search(gap) and found[-1].parts:
            found[-1].asked = "?" in gap
            found.append(Clause())
        clause = found[-1]
        if part.role == PAUSE and not _goes_on(parts, at):
            found.append(Clause())
            continue
        if part.role == "but" and clause.parts and _divides(parts, at):
            found.append(Clause([part]))
            continue
        if clause.valued and part.role in _DIVIDING:
            found.append(Clause([part], tight=True))
            continue
        if clause.valued and part.role in (LEAD, "now", "place", "other_place") and _states(part, parts, at):
            found.append(Clause([part], tight=True))
            continue
        clause.parts.append(part)
    if parts and "?" in text[parts[-1].end :]:
        found[-1].asked = True
    return [clause for clause in found if clause.parts]


def _goes_on(parts: Sequence[Part], at: int) -> bool:
    """Whether a comma or a pause stands inside a number: 'one thousand, two hundred'."""
    before = parts[at - 1] if at else None
    after = parts[at + 1] if at + 1 < len(parts) else None
    return (
        before is not None
        and after is not None
        and before.role == NUMBER
        and after.role == NUMBER
        and (before.kind in "KPASM" or after.kind == "P")
    )


def _divides(parts: Sequence[Part], at: int) -> bool:
    """'And', 'or' and 'then' divide only where something is said behind them."""
    return any(part.role not in ("filler", PAUSE) for part in parts[at + 1 :])


def _states(part: Part, parts: Sequence[Part], at: int) -> bool:
    """Whether a statement with a value of its own begins here, behind a value."""
    if part.role == LEAD and part.text.split()[0] not in _STATEMENT:
        return False
    return any(shows(later) for later in parts[at + 1 :])
