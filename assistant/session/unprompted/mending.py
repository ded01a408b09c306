"""An answer that was logged some prompts ago and is told to be wrong, named by check, place, unit or kind.

'Correction, left rear ohms is eleven eighty', 'the rest volts should be twelve four': which answer is meant, and
what it becomes. Nothing is taken here: what is found is asked about with both values, and counts after a yes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from assistant.messages import Choice, Expectation, Expects, Outcome, Prompt, PromptKind, Understanding, check_prompt
from assistant.messages.decisions import Phase
from assistant.numerals.vocabulary import Vocabulary
from assistant.session.agenda.facts_to_ask import AS_LAST_TIME
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.prompts import asked_now, question_named
from assistant.session.context import Context
from assistant.session.ledger import AS_TOLD, OWN_COMPLAINT, UNIT_NUMBER
from assistant.session.saying.questions import check_expectation, fact_expectation
from assistant.session.state import State
from assistant.understanding.naming import (
    AROUND,
    POINTS,
    SMALL,
    as_set,
    is_number,
    longest,
    numbers_said,
    stem,
    stems,
    stems_of,
    strip,
    telling,
    tokens_of,
)
from assistant.understanding.patterns import Words, words_of
from assistant.understanding.talk import asked_first, place_in
from assistant.understanding.utterance import answer_of

WRONG, CHANGE, OUGHT, OLD = "wrong", "change", "ought", "old"
"""Parts of ``grammars/mending.toml``."""
_TELLING = (WRONG, CHANGE, OUGHT, OLD)
_MOST = 24
"""Words of the longest correction: more is a story."""
TAKEN = (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.CHOICE, Outcome.IDENTIFIER)
_ASKED_OTHERWISE = frozenset({AS_LAST_TIME, AS_TOLD, OWN_COMPLAINT})


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


@dataclass(frozen=True, slots=True)
class _Target:
    """What can be named: a check at its place, or a fact."""

    prompt: Prompt
    name: frozenset[str]
    """Stems of its name."""
    words: frozenset[str]
    """Stems of its name, its title and its unit."""
    more: frozenset[str]
    """Those of its question and its choices too."""
    before: str
    """The answer that stands, as words; '' where none does."""
    logged: bool
    unit: str | None = None

    @property
    def value(self) -> Decimal | None:
        """The answer that stands, where it is a number."""
        return Decimal(self.before) if self.before.replace(".", "", 1).isdecimal() else None


@dataclass(frozen=True, slots=True)
class _Told:
    """The words of a correction, by what they do."""

    names: Words
    """What is named, in stems."""
    place: str | None
    sure: bool
    """True where it is told to be wrong, and not only what it should be."""
    bare: bool
    """True where it is told to be wrong by words that say so without a new value."""
    rest: str
    """What is left for the value."""
    old: frozenset[Prompt] = frozenset()
    """Answers whose old value is told beside the new one."""


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
    if not any(longest(tokens, at, lists.get(name, ())) for at in range(len(tokens)) for name in _TELLING):
        return None
    targets = list(_targets(context, state))
    told = _told(context, text, targets)
    if told is None or (sure_only and not told.sure):
        return None
    asked = asked_now(context, state).prompt
    fitting = [one for one in targets if one.logged and _fits(one, told)]
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
    targets = [one for one in _targets(context, state) if one.prompt.kind is PromptKind.CHECK]
    here = next((one for one in targets if one.prompt == asked_now(context, state).prompt), None)
    if here is None:
        return None
    place, rest = place_in(tuple(tokens_of(text)), _places(context))
    names = _names(rest, targets, context.vocabulary)
    others = frozenset(names) - here.more
    told = _Told(names, place, sure=False, bare=False, rest=" ".join(rest))
    fitting = [one for one in targets if others & one.name and _fits(one, told)]
    if not fitting and not _called(context, here, names):
        rest_of = [one for one in targets if one.prompt.name != here.prompt.name and _fits(one, told)]
        fitting = [one for one in rest_of if _called(context, one, names)]
    if not fitting:
        return None
    logged = [one for one in fitting if one.logged]
    spans = [rest[at:end] for at in range(len(rest)) for end in range(at + 1, min(at + 5, len(rest)) + 1)]
    if any(_same(list(span), one, context.vocabulary) for one in logged if one.unit for span in spans):
        return None  # 'nine eight, rest volts was twelve one': what was read there is told beside the reading
    found = _of_these(context, state, logged, told, text) if logged else None
    return found if found is not None and len(found.prompts) == 1 else Mending((), text)


def _called(context: Context, one: _Target, names: Words) -> bool:
    """Whether the whole of a check's name or title is said, and more than its unit."""
    check, said = context.check(one.prompt.name), {*names}
    measured = stems("", context.vocabulary, check.unit)
    whole = ({*telling(words_of(text), context.vocabulary)} for text in (check.name, check.title))
    return any(words - measured and words <= said for words in whole)


def named_among(context: Context, state: State, prompts: Iterable[Prompt], text: str) -> tuple[Prompt, ...]:
    """Those of several answers that some words name."""
    allowed = {*prompts}
    targets = [one for one in _targets(context, state) if one.prompt in allowed]
    tokens = tokens_of(text)
    place, rest = place_in(tuple(tokens), _places(context))
    names = _names(rest, targets, context.vocabulary)
    if not names and place is None:
        return ()
    told = _Told(names, place, sure=True, bare=True, rest="")
    return tuple(one.prompt for one in targets if _fits(one, told))


def with_value(context: Context, state: State, prompt: Prompt, text: str) -> tuple[Understanding | None, Expectation]:
    """What a correction says that one answer becomes, None where it says nothing of it; and what its prompt takes."""
    targets = list(_targets(context, state))
    wanted = _expected(context, state, prompt)
    told = _told(context, text, targets)
    one = next((row for row in targets if row.prompt == prompt), None)
    if told is None or one is None:
        return None, wanted
    return _value(context, one, told, wanted), wanted


def _of_these(context: Context, state: State, fitting: list[_Target], told: _Told, text: str) -> Mending | None:
    """The one of the answers which are named that takes the value; several where several do."""
    found: list[tuple[_Target, Understanding, Expectation]] = []
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


def _not_logged(targets: list[_Target], told: _Told, text: str, asked: Prompt) -> Mending | None:
    """What is surely to be corrected and was never logged; None for what is asked now, which is answered."""
    if not told.rest:
        return None
    meant = [one for one in targets if _fits(one, told)]
    if not meant or any(one.prompt == asked for one in meant):
        return None
    return Mending((), text)


def _targets(context: Context, state: State) -> Iterator[_Target]:
    """Everything that can be named: checks at their places, logged or not, and the facts that were answered."""
    small = context.vocabulary.mending.get(SMALL, ())
    standing = {check_prompt(one.check, one.place): one for one in state.observations}
    history = dict.fromkeys(done.prompt for done in state.answer_history)
    tasks = () if state.phase in (Phase.CAUTIONS, Phase.FACTS) else view_of(context, state).tasks
    asked = asked_now(context, state).prompt
    here = (asked,) if asked.kind is PromptKind.CHECK else ()
    prompts = dict.fromkeys((*here, *standing, *(check_prompt(task.check, task.place) for task in tasks)))
    for prompt in prompts:
        check = context.check(prompt.name)
        seen = standing.get(prompt)
        forms = " ".join(form for one in check.choices for form in (one.name, *one.also))
        words = stems(f"{check.name} {check.title}", context.vocabulary, check.unit)
        before = "" if seen is None else seen.choice or ("" if seen.value is None else f"{seen.value:f}")
        more = words | stems(f"{check.ask} {forms}", context.vocabulary)
        logged = seen is not None and prompt in history
        yield _Target(prompt, stems_of(check.name, small), words, more, before, logged, check.unit)
    for prompt in history:
        if prompt.kind is PromptKind.FACT and prompt.name not in _ASKED_OTHERWISE and prompt.name in state.facts:
            question = question_named(context, prompt.name)
            forms = " ".join(form for one in question.choices for form in (one.name, *one.also))
            number = "number" if prompt.name == UNIT_NUMBER else ""
            words = stems(f"{question.name} {question.title} {number}", context.vocabulary, question.unit)
            yield _Target(
                prompt,
                stems_of(question.name, small),
                words,
                words | stems(forms, context.vocabulary),
                state.facts[prompt.name],
                logged=True,
            )


def _told(context: Context, text: str, targets: list[_Target]) -> _Told | None:
    """The words by what they do; None where nothing is told to be wrong."""
    lists, vocabulary = context.vocabulary.mending, context.vocabulary
    tokens = tokens_of(text)
    kept: list[str] = []
    sure = bare = ought = False
    at = 0
    while at < len(tokens):
        wrong, change = (longest(tokens, at, lists.get(name, ())) for name in (WRONG, CHANGE))
        should = longest(tokens, at, lists.get(OUGHT, ()))
        size = max(wrong, change, should)
        if size:
            sure, ought = sure or max(wrong, change) >= should, ought or should == size
            bare = bare or wrong == size
            kept.append("|")
            at += size
        else:
            kept.append(tokens[at])
            at += 1
    rest, old = _without_old(kept, targets, vocabulary)
    if not (sure or ought or old):
        return None
    said = tuple(word for word in rest if word != "|")
    place, left = place_in(said, _places(context))
    around = as_set(lists.get(AROUND, ()))
    names = _names(left, targets, vocabulary)
    if not sure and not names:
        return None
    return _Told(names, place, sure, bare, " ".join(strip(left, around)), old)


def _without_old(
    kept: list[str], targets: list[_Target], vocabulary: Vocabulary
) -> tuple[list[str], frozenset[Prompt]]:
    """The words without the old answer and what leads to it ('not twelve one'), and the answers that it is."""
    olds = sorted((form.split() for form in vocabulary.mending.get(OLD, ())), key=len, reverse=True)
    logged = [one for one in targets if one.logged and one.before]
    for at in range(len(kept)):
        for form in olds:
            if kept[at : at + len(form)] != form:
                continue
            after = at + len(form)
            for end in range(min(len(kept), after + 6), after, -1):
                words = [word for word in kept[after:end] if word != "|"]
                same = frozenset(one.prompt for one in logged if words and _same(words, one, vocabulary))
                if same:
                    return [*kept[:at], "|", *kept[end:]], same
    return kept, frozenset()


def _same(words: list[str], one: _Target, vocabulary: Vocabulary) -> bool:
    """Whether words are the answer that stands."""
    told = " ".join(words)
    if one.unit is not None and one.value is not None:
        if not all(word in POINTS or is_number(word, vocabulary) for word in words):
            return False
        meant = answer_of(told, Expectation(Expects.READING, unit=one.unit), vocabulary)
        return meant.outcome is Outcome.READING and meant.value == one.value
    return words_of(told) == words_of(one.before)


def _value(context: Context, one: _Target, told: _Told, wanted: Expectation) -> Understanding | None:
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


def _stands(one: _Target, meant: Understanding) -> bool:
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


def _fits(one: _Target, told: _Told) -> bool:
    """Whether everything that is named is this one's."""
    if told.place is not None and one.prompt.place != told.place:
        return False
    if not told.names:
        return told.place is not None
    return set(told.names) <= one.more and bool(set(told.names) & one.words)


def _expected(context: Context, state: State, prompt: Prompt) -> Expectation:
    if prompt.kind is PromptKind.FACT:
        return fact_expectation(context, prompt.name)
    return check_expectation(context, state, context.check(prompt.name), prompt.place)


def _holds_value(vocabulary: Vocabulary, rest: str) -> bool:
    return any(is_number(word, vocabulary) for word in rest.split())


def _left(told: _Told, names: frozenset[str], around: frozenset[Words]) -> Words:
    """What is left of the words without those that name an answer, and those between."""
    return strip(tuple(word for word in told.rest.split() if stem(word) not in names), around)


def _names(said: Words, targets: Iterable[_Target], vocabulary: Vocabulary) -> Words:
    """Stems of the words that name something."""
    known = {word for one in targets for word in one.words}
    return tuple(stem for stem in telling(said, vocabulary) if stem in known)


def _places(context: Context) -> list[Choice]:
    return [Choice(place.name, place.also) for place in context.procedure.places]
