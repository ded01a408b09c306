"""What is asked or told beside answers and commands: the forms of ``grammars/questions.toml`` and ``reports.toml``.

A question must ask, hold no number and leave hardly a word over, so that talk to somebody else ('what time is
lunch') is none. A report is told, and holds no number either.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from assistant.messages import About, Expectation, Outcome, Report, Understanding
from assistant.numerals.tokenizer import scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.choosing.choices import normal
from assistant.understanding.clauses.parts import NUMBER, parts_of
from assistant.understanding.commanding.wish_patterns import WORKING, told_by
from assistant.understanding.hazards import asks
from assistant.understanding.naming import is_number
from assistant.understanding.patterns import Words, compiled, places, words_of
from assistant.understanding.place_names import place_in, side_of

ASKING, ASKING_FIRST, AROUND, PARTS = "asking", "asking_first", "around", "parts"
_LISTS = frozenset({ASKING, ASKING_FIRST, AROUND, PARTS})
_REPORTS = frozenset(Report)
_FEW = 5
"""A question of more words than this may hold one that belongs to no form."""
_STATES = frozenset({"open", Kind.OVER_RANGE.value, Kind.UNSTEADY.value})
_HEADING = 7
"""Words of the longest question that only names what it is about: 'torque on the axle nut'."""
_MANY = 4
"""Words of a question for the service information that may belong to no form: it is never answered with a figure."""
_NO_NUMBERS = frozenset({"one", "ones", "two", "a", "an", "first", "second", "half"})
_WHO = frozenset({"i", "we", "it", "he", "she", "they", "you"})
"""Words that begin a statement: 'torque on the axle nut' asks without them, 'we torqued it' does not."""
_LONGEST = 30
"""Words of the longest question or report: more is a story."""
_QUIET = ("okay", "ok", "so", "hey", "now", "well", "uh", "um", "and", "oh", "hang", "on", "hold", "wait", "alright",
          "right", "man", "sorry", "then", "but", "please", "sec", "yeah", "just", "a", "real", "quick")  # fmt: skip


_OVER_RANGE = re.compile(r"\W*o\.?\s?l\s*[,.;:]", re.IGNORECASE)
"""'OL, why did we check this': a reading stands before the question, and no 'ol' thing is asked about."""


def question_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """What is asked, None when nothing is that the session could answer."""
    found = question_by_form(text, expectation, vocabulary)
    return found[0] if found is not None else None


def report_of(
    text: str, expectation: Expectation, vocabulary: Vocabulary, *, shown: bool = True
) -> Understanding | None:
    """What is told beside an answer, None when it is nothing that the session could use.

    ``shown``: words for what a meter shows tell no report.
    """
    found = report_by_form(text, expectation, vocabulary, shown=shown)
    return found[0] if found is not None else None


def danger_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """Somebody is hurt or in danger: also where words for what a meter shows stand in it. None for anything else."""
    said = words_of(text)
    forms = vocabulary.reports.get(Report.DANGER.value, ())
    told = 0 < len(said) <= _LONGEST and "?" not in text and any(compiled(form).found(said) for form in forms)
    return Understanding(Outcome.REPORT, text, unit=expectation.unit, report=Report.DANGER) if told else None


def question_by_form(text: str, expectation: Expectation, vocabulary: Vocabulary) -> tuple[Understanding, str] | None:
    """What is asked, and the form of ``grammars/questions.toml`` that says so; '' where only a place is named."""
    said = words_of(text)
    if not 0 < len(said) <= _LONGEST or _OVER_RANGE.match(text):
        return None
    said, lists = _said_and_forms(said, text, vocabulary)
    where, rest = place_in(said, expectation.places)
    asks = "?" in text or _asks(said, lists)
    for kind, forms in lists.items():
        if kind in _LISTS:
            continue
        service, at_place = kind == About.SERVICE.value, kind == About.AT_PLACE.value
        heading = service and said[0] not in _WHO and len(said) <= _HEADING
        if at_place and where is None:
            continue
        spared = 0 if heading and not asks else _MANY if service else 1 if len(said) > _FEW else 0
        for form in forms:
            made = compiled(form)
            if not (asks or made.whole or heading):
                continue
            found = made.found(rest if at_place else said)
            if found is None and where is not None:
                found = made.found(rest)
            if found is None:
                continue
            used = {at for place in found for at in place}
            if kind == About.PART.value and not _names_a_part(said, lists[PARTS]):
                continue
            if made.whole or _little_left(said, used, where, lists, spared):
                about = About.AT_PLACE if where is not None and kind == About.LAST.value else About(kind)
                return Understanding(Outcome.QUESTION, text, unit=expectation.unit, about=about, place=where), form
    if (
        where is not None
        and len(lists) == len(vocabulary.questions)
        and (asks or "'s" in text)
        and _little_left(said, set(), where, lists)
    ):
        return Understanding(Outcome.QUESTION, text, unit=expectation.unit, about=About.AT_PLACE, place=where), ""
    return None


def _said_and_forms(said: Words, text: str, vocabulary: Vocabulary) -> tuple[Words, dict[str, tuple[str, ...]]]:
    """The words that may ask, and the forms that they may have.

    'Anything on file for twenty-five twenty-eight': a number in a question can only be the unit's.
    """
    if not _numbered(text, vocabulary):
        return said, vocabulary.questions
    said = tuple(word for word in said if not is_number(word, vocabulary))
    kept = _LISTS | ({About.HISTORY.value} if said else set())
    return said, {kind: forms for kind, forms in vocabulary.questions.items() if kind in kept}


def report_by_form(
    text: str, expectation: Expectation, vocabulary: Vocabulary, *, shown: bool = True
) -> tuple[Understanding, str] | None:
    """What is told, and the form of ``grammars/reports.toml`` that says so."""
    said = words_of(text)
    if not 0 < len(said) <= _LONGEST or "?" in text or _numbered(text, vocabulary, shown=shown):
        return None
    where, _ = place_in(said, expectation.places)
    for kind, forms in vocabulary.reports.items():
        if kind not in _REPORTS:
            continue
        form = next((form for form in forms if compiled(form).found(said) is not None), None)
        if form is None or (kind == Report.ORDER.value and where is None and not _side(said)):
            continue
        place = where or _side(said)
        return Understanding(Outcome.REPORT, text, unit=expectation.unit, report=Report(kind), place=place), form
    if expectation.told and told_by(tuple(normal(text).split()), vocabulary.patterns, WORKING):
        return Understanding(Outcome.REPORT, text, unit=expectation.unit, report=Report.WORKING), WORKING
    return None


def _side(said: Words) -> str | None:
    for word in said:
        if word in ("left", "right", "other", "front", "rear"):
            return word
        if side_of(word) and word not in _OF_OTHER_THINGS:
            return side_of(word)
    return None


_OF_OTHER_THINGS = frozenset({"road", "street", "shoulder", "driver", "drivers", "passengers"})
"""Words for a side that name much else by themselves."""


def side_named(text: str) -> str | None:
    """A side that is named without an axle; ``other`` for the other one."""
    return _side(words_of(text))


def _numbered(text: str, vocabulary: Vocabulary, *, shown: bool = False) -> bool:
    """Whether a number stands in it that is more than 'one', 'a' or 'the first'; ``shown``: or what a meter shows.

    What may be heard for a digit ('too low for one') is a word there.
    """
    return any(
        (shown and part.role in _STATES)
        or (part.role == NUMBER and part.text not in _NO_NUMBERS and part.kind not in "XASPh")
        for part in parts_of(text, scan(text.lower(), vocabulary), vocabulary)
    )


def _asks(said: Words, lists: dict[str, tuple[str, ...]]) -> bool:
    if any(places(said, words_of(form)) for form in lists.get(ASKING, ())):
        return True
    at = 0
    while at < len(said) and said[at] in _QUIET:
        at += 1
    return any(said[at : at + len(form)] == form for form in map(words_of, lists.get(ASKING_FIRST, ())))


def asked_first(text: str, vocabulary: Vocabulary) -> bool:
    """Whether its first words ask, as in 'should the rest volts be twelve four'."""
    return _asks(words_of(text), {**vocabulary.questions, ASKING: ()})


def _names_a_part(said: Words, parts: Sequence[str]) -> bool:
    return any(places(said, words_of(part)) for part in parts)


@lru_cache(maxsize=8)
def _around(lists: tuple[tuple[str, ...], ...]) -> frozenset[str]:
    """Words of these lists, which may stand around a question."""
    return frozenset(word for forms in lists for form in forms for word in words_of(form))


def _little_left(
    said: Words, used: set[int], where: str | None, lists: dict[str, tuple[str, ...]], spared: int = 0
) -> bool:
    around = _around(tuple(lists.get(name, ()) for name in sorted(_LISTS)))
    known = around | (frozenset(words_of(where)) if where else frozenset())
    left = [word for at, word in enumerate(said) if at not in used and word not in known]
    return len(left) <= spared


def question_in_a_piece(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """What one piece of what was said asks, where talk of something else stands beside it.

    'Red goes to which one, sun's in my eyes'. None where no piece asks what is known, where pieces ask for several
    things, and where a number stands beside the question.
    """
    pieces = [piece.strip() for piece in _STOPS.split(text)]
    pieces = [piece for piece in pieces if words_of(piece)]
    if len(pieces) < _TWO:
        return None
    if sum(asks(piece, vocabulary) for piece in pieces) > 1:
        return None  # 'what counts as done, do I have to tape it too': two questions
    asked = [question_of(piece, expectation, vocabulary) for piece in pieces if len(words_of(piece)) > _TWO]
    found = [one for one in asked if one is not None and one.about is not None]
    if len({one.about for one in found}) != 1 or found[0].about is About.GOOD:
        return None  # 'there's water in the connector, is that bad' asks about what was seen
    if found[0].about is not About.HISTORY and _numbered(text, vocabulary, shown=True):
        return None
    return Understanding(Outcome.QUESTION, text, unit=expectation.unit, about=found[0].about, place=found[0].place)


_STOPS = re.compile(r"[,;:!?…—]+|\.(?!\d)")
_TWO = 2


def answer_and_question(
    text: str, expectation: Expectation, vocabulary: Vocabulary
) -> Iterable[tuple[str, Understanding]]:
    """Ways to divide what was said into an answer and a question: the words of the answer, and what is asked."""
    lists = vocabulary.questions
    starts = [words_of(form) for name in (ASKING, ASKING_FIRST) for form in lists.get(name, ())]
    tokens = text.split()
    for at in range(1, len(tokens)):
        before, after = " ".join(tokens[:at]), " ".join(tokens[at:])
        rest = words_of(after)
        quiet = 0
        while quiet < len(rest) and rest[quiet] in _QUIET:
            quiet += 1
        begins = any(rest[quiet : quiet + len(form)] == form for form in starts)
        if begins or before.endswith((",", ".", ";")):
            asked = question_of(after, expectation, vocabulary)
            if asked is not None:
                yield before.rstrip(" ,.;"), asked
            if "?" in before or before.endswith((",", ".", ";")):
                asked = question_of(before, expectation, vocabulary)
                if asked is not None:
                    yield after, asked
