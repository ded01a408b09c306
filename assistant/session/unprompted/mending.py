"""An answer that was logged some prompts ago and is told to be wrong, named by check, place, unit or kind.

'Correction, left rear ohms is eleven eighty', 'the rest volts should be twelve four': which answer is meant, and
what it becomes. Nothing is taken here: what is found is asked about with both values, and counts after a yes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from assistant.messages import Expectation, Outcome, Prompt, PromptKind, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.session.agenda.prompts import asked_now, question_named
from assistant.session.context import Context
from assistant.session.saying.questions import check_expectation, fact_expectation
from assistant.session.state import State
from assistant.session.unprompted.named import (
    TELLING,
    Target,
    Told,
    fits,
    names_in,
    same_answer,
    targets_of,
    told_of,
)
from assistant.understanding.naming import (
    AROUND,
    as_set,
    is_number,
    longest,
    numbers_said,
    stem,
    stems,
    strip,
    telling,
    tokens_of,
)
from assistant.understanding.patterns import Words, words_of
from assistant.understanding.place_names import place_in
from assistant.understanding.talk import asked_first
from assistant.understanding.utterance import answer_of

_MOST = 24
"""Words of the longest correction: more is a story."""
TAKEN = (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.CHOICE, Outcome.IDENTIFIER)


@dataclass(frozen=True, slots=True)
class Mending:
    """An earlier answer that is told to be wrong."""

    prompts: tuple[Prompt, ...]
    """What may be meant: one, several of which one is asked for, or none where nothing such was logged."""
    text: str
    """What was said."""
    meant: Understanding | None = None
    """The new answer of the one that is meant; None where only that it was wrong was told."""
    expectation: Expectation | None = None
    """What its prompt takes."""
    moved: Prompt | None = None
    """Where the answer belongs that is meant, which was logged at another place."""
    other: str | None = None
    """Another place that an answer names, at which it cannot be logged."""


def mending_of(
    context: Context, state: State, text: str, *, sure_only: bool = False, refuses: bool = False
) -> Mending | None:
    """The earlier answer that is told to be wrong; None when it is no such utterance.

    Args:
        context: what the session works with.
        state: where it stands.
        text: what was said.
        sure_only: True where what it should be alone is told of what is asked: while an answer waits for its yes.
        refuses: True where what an answer should be that was never logged means nothing else.
    """
    vocabulary = context.vocabulary
    if "?" in text or not 1 < len(text.split()) <= _MOST or asked_first(text, vocabulary):
        return None
    tokens, lists = tokens_of(text), vocabulary.mending
    if not any(longest(tokens, at, lists.get(name, ())) for at in range(len(tokens)) for name in TELLING):
        return None
    targets = list(targets_of(context, state))
    told = told_of(context, text, targets)
    if told is None or (sure_only and not told.sure):
        return None
    asked = asked_now(context, state).prompt
    fitting = [one for one in targets if one.logged and fits(one, told)]
    if not told.sure:
        named = [one for one in fitting if set(told.names) & one.words and one.prompt != asked]
        fitting = [] if any(one.prompt == asked for one in fitting) and not named else named
    if not fitting:
        return _not_logged(targets, told, text, asked) if told.sure or refuses else None
    return _of_these(context, state, fitting, told, text)


def other_named(context: Context, state: State, text: str) -> Mending | None:
    """What a reading names that is not asked: an answer that stands, which it may be to change; None where it names
    what is asked, or nothing.

    A mending without prompts tells that what was named was not logged.
    """
    tokens = tuple(tokens_of(text))
    if not telling(tokens, context.vocabulary) or numbers_said(tokens, context.vocabulary) > 1:
        return None  # most readings: a number and its unit; of two numbers one is told beside the reading
    targets = [one for one in targets_of(context, state) if one.prompt.kind is PromptKind.CHECK]
    here = next((one for one in targets if one.prompt == asked_now(context, state).prompt), None)
    if here is None:
        return None
    place, rest = place_in(tuple(tokens_of(text)), context.places_named())
    names = names_in(rest, targets, context.vocabulary)
    others = frozenset(names) - here.more
    told = Told(names, place, sure=False, bare=False, rest=" ".join(rest))
    fitting = [one for one in targets if others & one.name and fits(one, told)]
    if not fitting and not _called(context, here, names):
        rest_of = [one for one in targets if one.prompt.name != here.prompt.name and fits(one, told)]
        fitting = [one for one in rest_of if _called(context, one, names)]
    if not fitting:
        return None
    logged = [one for one in fitting if one.logged]
    spans = [rest[at:end] for at in range(len(rest)) for end in range(at + 1, min(at + 5, len(rest)) + 1)]
    if any(same_answer(list(span), one, context.vocabulary) for one in logged if one.unit for span in spans):
        return None  # 'nine eight, rest volts was twelve one': what was read there is told beside the reading
    found = _of_these(context, state, logged, told, text) if logged else None
    return found if found is not None and len(found.prompts) == 1 else Mending((), text)


def _called(context: Context, one: Target, names: Words) -> bool:
    """Whether the whole of a check's name or title is said, and more than its unit."""
    check, said = context.check(one.prompt.name), {*names}
    measured = stems("", context.vocabulary, check.unit)
    whole = ({*telling(words_of(text), context.vocabulary)} for text in (check.name, check.title))
    return any(words - measured and words <= said for words in whole)


def named_among(context: Context, state: State, prompts: Iterable[Prompt], text: str) -> tuple[Prompt, ...]:
    """Those of several answers that some words name."""
    allowed = {*prompts}
    targets = [one for one in targets_of(context, state) if one.prompt in allowed]
    tokens = tokens_of(text)
    place, rest = place_in(tuple(tokens), context.places_named())
    names = names_in(rest, targets, context.vocabulary)
    if not names and place is None:
        return ()
    told = Told(names, place, sure=True, bare=True, rest="")
    return tuple(one.prompt for one in targets if fits(one, told))


def with_value(context: Context, state: State, prompt: Prompt, text: str) -> tuple[Understanding | None, Expectation]:
    """What a correction says that one answer becomes, None where it says nothing of it; and what its prompt takes."""
    targets = list(targets_of(context, state))
    wanted = _expected(context, state, prompt)
    told = told_of(context, text, targets)
    one = next((row for row in targets if row.prompt == prompt), None)
    if told is None or one is None:
        return None, wanted
    return _value(context, one, told, wanted), wanted


def _of_these(context: Context, state: State, fitting: list[Target], told: Told, text: str) -> Mending | None:
    """The one of the answers which are named that takes the value; several where several do."""
    found: list[tuple[Target, Understanding, Expectation]] = []
    for one in fitting:
        wanted = _expected(context, state, one.prompt)
        meant = _value(context, one, told, wanted)
        if meant is not None:
            found.append((one, meant, wanted))
    if len(found) > 1:
        exact = [row for row in found if row[0].prompt in told.old]
        found = exact if len(exact) == 1 else found
    if len(found) == 1:
        (one, meant, wanted), *_ = found
        if not told.sure and (meant.approximate or (meant.confirm and meant.reason == "leftover")):
            return None
        return Mending((one.prompt,), text, meant, wanted)
    if found:
        return Mending(tuple(one.prompt for one, _, _ in found), text)
    around = as_set(context.vocabulary.mending.get(AROUND, ()))
    bare = [one for one in fitting if not _left(told, one.words, around)]
    if not told.bare or not (bare or (len(fitting) == 1 and _holds_value(context.vocabulary, told.rest))):
        return None  # 'I have to fix the plug, it broke off': no answer is meant
    return Mending(tuple(one.prompt for one in fitting), text)


def _not_logged(targets: list[Target], told: Told, text: str, asked: Prompt) -> Mending | None:
    """What is surely to be corrected and was never logged; None for what is asked now, which is answered."""
    if not told.rest:
        return None
    meant = [one for one in targets if fits(one, told)]
    if not meant or any(one.prompt == asked for one in meant):
        return None
    return Mending((), text)


def _value(context: Context, one: Target, told: Told, wanted: Expectation) -> Understanding | None:
    """The new answer of one target; None where its prompt does not take the words."""
    vocabulary = context.vocabulary
    words = told.rest.split()
    units = _unit_words(wanted.unit, vocabulary)
    for named in (lambda word: stem(word) in one.words, lambda word: stem(word) in one.more):
        left = [word for word in words if is_number(word, vocabulary) or not _named(word, named, wanted)]
        text = " ".join(strip(tuple(left), as_set(vocabulary.mending.get(AROUND, ()))))
        for said in dict.fromkeys((text, _units_last(told.rest, text, units))):
            meant = answer_of(said, wanted, vocabulary) if said else None
            if meant is not None and meant.outcome in TAKEN and not meant.command:
                if _stands(one, meant) or _declined(context, one.prompt, meant):
                    continue
                return meant
    return None


def _stands(one: Target, meant: Understanding) -> bool:
    """Whether an answer is the one that stands anyway."""
    if meant.value is not None and one.value is not None:
        return meant.value == one.value
    return meant.choice is not None and meant.choice == one.before


def _declined(context: Context, prompt: Prompt, meant: Understanding) -> bool:
    """Whether an answer would end the session: that is told at its own prompt, where it is warned of."""
    return prompt.kind is PromptKind.FACT and meant.choice in question_named(context, prompt.name).declines


def _named(word: str, named: Callable[[str], bool], wanted: Expectation) -> bool:
    """Whether a word only names what is meant: one that answers is kept."""
    answers = {form for choice in wanted.choices for one in (choice.name, *choice.also) for form in words_of(one)}
    return named(word) and word not in answers


def _units_last(rest: str, text: str, units: frozenset[str]) -> str:
    """The value with the unit that stood behind it."""
    last = rest.split()[-1:] or [""]
    return f"{text} {last[0]}" if last[0] in units and not text.endswith(last[0]) else text


def _unit_words(unit: str | None, vocabulary: Vocabulary) -> frozenset[str]:
    known = vocabulary.unit(unit)
    return frozenset() if known is None else frozenset((known.singular, known.plural))


def _expected(context: Context, state: State, prompt: Prompt) -> Expectation:
    if prompt.kind is PromptKind.FACT:
        return fact_expectation(context, prompt.name)
    return check_expectation(context, state, context.check(prompt.name), prompt.place)


def _holds_value(vocabulary: Vocabulary, rest: str) -> bool:
    return any(is_number(word, vocabulary) for word in rest.split())


def _left(told: Told, names: frozenset[str], around: frozenset[Words]) -> Words:
    """What is left of the words without those that name an answer, and those between."""
    return strip(tuple(word for word in told.rest.split() if stem(word) not in names), around)
