"""An answer that names another place than the one that is asked: whose it is, and what it says of that place.

'Left rear plug is corroded' where the left front is asked is never an answer there.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from assistant.diagnosis.fault_model import Task
from assistant.messages import Choice, Outcome, PromptKind, Understanding
from assistant.messages.decisions import Observed
from assistant.numerals.vocabulary import Vocabulary
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.saying.questions import check_expectation, places_now
from assistant.session.state import State
from assistant.session.unprompted.breath import bare, ordinals_as_places
from assistant.understanding.interpret import BY_SOUND
from assistant.understanding.naming import POINTS, is_number
from assistant.understanding.patterns import Words, places, words_of
from assistant.understanding.place_names import place_meant, place_spans
from assistant.understanding.utterance import answer_of

MARK, AROUND, BESIDE = "moved", "moved_around", "beside"
"""Parts of ``grammars/mending.toml``: what says that a place was the right one, words around that, and words that
set two places side by side."""
ANSWERED = frozenset({
    Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.CHOICE, Outcome.CHOOSE, Outcome.RANGE,
})  # fmt: skip
_NOT = re.compile(r"\b(?:not|isn't|ain't|wasn't|no)\s+(?:(?:on|at|the|it|for)\s+)*$", re.IGNORECASE)
_BEFORE = re.compile(
    r"(?:[,;]?\s*\b(?:and|but|it's|it|is|that's|that|was|the|on|at|in|for|over|of|this)\b)+\s*$", re.IGNORECASE
)
_EARLIER = frozenset({"was", "were", "had", "should", "would", "if"})
"""Words of what was read some other time, or not at all."""
_BEHIND = re.compile(r"^(?:'s\b|’s\b)?\s*(?:\b(?:one|side)\b)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """An answer that names a place."""

    place: str
    words: str
    """What is said of it."""
    can: bool
    """Whether it can be logged there now."""
    seen: Observed | None = None
    """What stands at that place already."""
    meant: Understanding | None = None
    """The answer there; None where it is no sure one."""


def told_elsewhere(context: Context, state: State, text: str) -> Elsewhere | None:
    """The other place that an answer names; None where it names none, several, or sets two side by side."""
    asked = asked_now(context, state)
    if asked.mode is not Mode.CHECK or asked.place is None or "?" in text:
        return None
    check = context.check(asked.name)
    group = context.places_named(check.each)
    found = named_place(text, group)
    if found is not None and found[0] == asked.place:
        return None
    if _any_of(words_of(text), context.vocabulary.mending.get(BESIDE, ())):
        return None
    if found is None:
        return _at_a_side(text, asked.place, [place.name for place in group])
    place, rest = found
    wanted = check_expectation(context, state, check, place)
    about = frozenset(words_of(f"{check.name} {check.title}"))
    plain = " ".join(word for word in rest.split() if word.lower().strip(",.") not in about)
    meant = rest
    sure: Understanding | None = None
    for words in dict.fromkeys((rest, plain)):
        read = answer_of(words, wanted, context.vocabulary) if words else None
        if read is not None and read.outcome in ANSWERED and read.command is None:
            meant = words
            # 'jumping to the left front' is no display that jumps there
            bounded = read.outcome is not Outcome.UNSTEADY or read.low_end is not None
            if bounded and (not read.confirm or read.reason in BY_SOUND):
                sure = read
                break
    seen = state.observed_at(check.name, place)
    open_there = Task(check.name, place) in view_of(context, state).task_index and seen is None
    can = open_there and sure is not None and _EARLIER.isdisjoint(words_of(text))
    return Elsewhere(place, meant, can, seen, sure)


def _at_a_side(text: str, here: str, known: Iterable[str]) -> Elsewhere | None:
    """'The right one is cut' where the left front is asked: of a wheel at that side, which may be one of two."""
    sides = {found.group(1).lower() for found in _SIDE.finditer(text)}
    if len(sides) != 1 or sides <= set(here.split()):
        return None
    place = place_meant(sides.pop(), here, known)
    return None if place is None else Elsewhere(place, text, can=False)


_SIDE = re.compile(
    r"\b(left|right|front|rear)(?:[\s-]hand)?(?:\s+side)?\s+(?:one|wheel|hub|drum|tire|brake|sensor|chamber)(?:'s|’s)?\b"
    r"(?!\s+(?:is|was)\s+(?:fine|good|okay|ok|the same)\b)",
    re.IGNORECASE,
)
"""A side named as a wheel; which of several nobody can tell, and that it is not the one that is asked."""


def named_place(text: str, named: Iterable[Choice]) -> tuple[str, str] | None:
    """The one place that is named and not denied ('not the left front'), and the words without it."""
    choices = tuple(named)
    names: set[str] = set()
    while True:
        spans = place_spans(text, choices)
        if not spans:
            break
        name, start, end = spans[0]
        before, after = text[:start], text[end:]
        if (denied := _NOT.search(before)) is not None:
            before = before[: denied.start()]
        else:
            names.add(name)
            before = _BEFORE.sub(" ", before)
        text = f"{before.rstrip(' ,;')} {_BEHIND.sub('', after).lstrip(' ,;')}".strip()
    return (names.pop(), bare(text)) if len(names) == 1 else None


def moved_to(context: Context, state: State, text: str) -> tuple[Observed, str] | None:
    """The last answer and the place that it was of: 'no wait, that was the left rear'; None for anything else."""
    seen = last_seen(state)
    if seen is None or seen.place is None or "?" in text:
        return None
    check = context.check(seen.check)
    standing = {choice.name for choice in places_now(context, state)}
    named = [choice for choice in context.places_named(check.each) if choice.name in standing]
    lists = context.vocabulary.mending
    valued = _told_with_its_value(context, state, seen, text)
    if valued is not None:
        return seen, valued
    found = named_place(text, named)
    if found is None:
        side = next((word for word in words_of(text) if word in _SIDES), None)
        place = None if side is None else place_meant(side, seen.place, {choice.name for choice in named})
        rest = tuple(word for word in words_of(text) if word != side)
    else:
        place = found[0]
        own = {word for choice in named if choice.name == place for word in words_of(" ".join((place, *choice.also)))}
        rest = tuple(word for word in words_of(text) if word not in own)
    if place is None or place == seen.place or not _any_of(rest, lists.get(MARK, ())):
        return None
    known = {word for form in lists.get(AROUND, ()) for word in form.split()}
    return (seen, place) if set(rest) <= known else None


def _told_with_its_value(context: Context, state: State, seen: Observed, text: str) -> str | None:
    """The place of 'that 10.6 was the third one', which holds the value that was logged last; None for anything else.

    What else is said beside it, such as what the right place reads, is asked again there.
    """
    check, vocabulary = context.check(seen.check), context.vocabulary
    if seen.value is None:
        return None
    choices = context.places_named(check.each)
    text = ordinals_as_places(text, choices)
    own = {word for choice in choices for form in (choice.name, *choice.also) for word in words_of(form)}
    known = {word for form in vocabulary.mending.get(AROUND, ()) for word in form.split()} | own
    asked, puts_right = asked_now(context, state), _PUTS_RIGHT.search(text) is not None
    wrong = any(name == seen.place and _NOT.search(text[:start]) for name, start, _ in place_spans(text, choices))
    of_text = _value_told(context, state, seen, text)
    for piece in _PIECES.split(text):
        found = named_place(piece, [choice for choice in choices if choice.name != seen.place])
        if found is None or not (_BELONGS.search(piece) or wrong) or (found[0] == asked.place and not puts_right):
            continue
        told, left = _value_told(context, state, seen, found[1]), found[1].lower().replace(",", " ").split()
        same = (told or of_text) == seen.value or (told is None and wrong)
        words = {word.strip(".,'").removesuffix("'s") for word in left if not _numeric(word, vocabulary)}
        if same and words <= known | {""}:
            return found[0]
    return None


def _value_told(context: Context, state: State, seen: Observed, text: str) -> Decimal | None:
    """The first number of a text as the check of an observation reads it, but for those of names of places."""
    check, vocabulary = context.check(seen.check), context.vocabulary
    for choice in context.places_named(check.each):
        for _, start, end in reversed(place_spans(text, (choice,))):
            text = f"{text[:start]}|{text[end:]}"
    runs = [list(run) for numeric, run in groupby(text.split(), lambda word: _numeric(word, vocabulary)) if numeric]
    if not runs:
        return None
    wanted = check_expectation(context, state, check, seen.place)
    return answer_of(" ".join(runs[0]).strip(" ,."), wanted, vocabulary).value


def _numeric(word: str, vocabulary: Vocabulary) -> bool:
    word = word.lower().strip(",.;")
    return bool(word) and (is_number(word, vocabulary) or word in POINTS)


_PIECES = re.compile(r"[,;]\s|\s+-+\s+|\.(?!\d)")
_BELONGS = re.compile(r"\b(?:was|were|belongs?|goes|should|meant)\b", re.IGNORECASE)
_PUTS_RIGHT = re.compile(
    r"\b(?:no|nope|wait|oops|whoops|sorry|bad|mistake|wrong|scratch|strike|actually|correction|not|that)\b",
    re.IGNORECASE,
)


def told_here(context: Context, state: State, text: str) -> str | None:
    """The words of an answer without the name of the place that is asked: '12.6 on the second battery'; None without.

    'Next one' is the place that is asked where the one before was read last.
    """
    asked = asked_now(context, state)
    if asked.mode is not Mode.CHECK or asked.place is None or "?" in text:
        return None
    check = context.check(asked.name)
    named = context.places_named(check.each)
    seen = last_seen(state)
    if seen is not None and seen.check == check.name and seen.place != asked.place:
        text = _NEXT_ONE.sub(asked.place, text)
    found = named_place(text, named)
    return found[1] if found is not None and found[0] == asked.place and _EARLIER.isdisjoint(words_of(text)) else None


_NEXT_ONE = re.compile(r"\b(?:the\s+)?next\s+(?:one|battery|wheel|hub|tire)\b(?!\s+over)", re.IGNORECASE)


_SIDES = ("left", "right", "other", "front", "rear")


def last_seen(state: State) -> Observed | None:
    """What was read last, None where another answer came behind it."""
    for done in reversed(state.answer_history):
        if done.prompt.kind in (PromptKind.FACT, PromptKind.CHECK):
            return next((one for one in state.observations if one.number == done.number), None)
    return None


def _any_of(said: Words, forms: Iterable[str]) -> bool:
    return any(places(said, words_of(form)) for form in forms)
