"""An answer that names another place than the one that is asked: whose it is, and what it says of that place.

'Left rear plug is corroded' where the left front is asked is never an answer there.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.diagnosis.fault_model import Task
from assistant.messages import Choice, Outcome, PromptKind, Understanding
from assistant.messages.decisions import Observed
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.saying.questions import check_expectation, places_now
from assistant.session.state import State
from assistant.session.unprompted.breath import bare, place_spans
from assistant.understanding.interpret import BY_SOUND
from assistant.understanding.patterns import Words, places, words_of
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
    group = {place.name for place in context.procedure.places if place.group == check.each}
    named = [choice for choice in places_now(context, state) if choice.name in group]
    found = named_place(text, named)
    if found is None or found[0] == asked.place:
        return None
    place, rest = found
    if _any_of(words_of(text), context.vocabulary.mending.get(BESIDE, ())):
        return None
    wanted = check_expectation(context, state, check, place)
    about = frozenset(words_of(f"{check.name} {check.title}"))
    plain = " ".join(word for word in rest.split() if word.lower().strip(",.") not in about)
    meant = rest
    sure: Understanding | None = None
    for words in dict.fromkeys((rest, plain)):
        read = answer_of(words, wanted, context.vocabulary) if words else None
        if read is not None and read.outcome in ANSWERED and read.command is None:
            meant = words
            if not read.confirm or read.reason in BY_SOUND:
                sure = read
                break
    seen = state.observed_at(check.name, place)
    open_there = Task(check.name, place) in view_of(context, state).task_index and seen is None
    can = open_there and sure is not None and _EARLIER.isdisjoint(words_of(text))
    return Elsewhere(place, meant, can, seen, sure)


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
    group = [place for place in context.procedure.places if place.group == check.each]
    standing = {choice.name for choice in places_now(context, state)}
    named = [Choice(place.name, place.also) for place in group if place.name in standing]
    lists = context.vocabulary.mending
    found = named_place(text, named)
    if found is None:
        side = next((word for word in words_of(text) if word in _SIDES), None)
        place = None if side is None else place_meant(side, seen.place, {choice.name for choice in named})
        rest = tuple(word for word in words_of(text) if word != side)
    else:
        place, rest = found[0], tuple(word for word in words_of(text) if word not in words_of(found[0]))
    if place is None or place == seen.place or not _any_of(rest, lists.get(MARK, ())):
        return None
    known = {word for form in lists.get(AROUND, ()) for word in form.split()}
    return (seen, place) if set(rest) <= known else None


_SIDES = ("left", "right", "other", "front", "rear")


def place_meant(named: str, here: str, known: Iterable[str]) -> str | None:
    """The place that a side names from another place: 'right' from the left front is the right front."""
    turned = {"left": "right", "right": "left"}
    words = here.split()
    if named == "other":
        there = " ".join(turned.get(word, word) for word in words)
    elif named in turned:
        there = " ".join(named if word in turned else word for word in words)
    else:
        there = " ".join(named if word in ("front", "rear") else word for word in words)
    return there if there in known else None


def last_seen(state: State) -> Observed | None:
    """What was read last, None where another answer came behind it."""
    for done in reversed(state.answer_history):
        if done.prompt.kind in (PromptKind.FACT, PromptKind.CHECK):
            return next((one for one in state.observations if one.number == done.number), None)
    return None


def _any_of(said: Words, forms: Iterable[str]) -> bool:
    return any(places(said, words_of(form)) for form in forms)
