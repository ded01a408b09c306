"""What can be named of a session by words (a check at its place, a fact), and how a correction's words name it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from assistant.messages import Expectation, Expects, Outcome, Prompt, PromptKind, check_prompt
from assistant.messages.decisions import Phase
from assistant.numerals.vocabulary import Vocabulary
from assistant.session.agenda.facts_to_ask import AS_LAST_TIME
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.prompts import asked_now, question_named
from assistant.session.context import Context
from assistant.session.ledger import AS_TOLD, OWN_COMPLAINT, UNIT_NUMBER
from assistant.session.state import State
from assistant.understanding.naming import (
    AROUND,
    POINTS,
    SMALL,
    as_set,
    is_number,
    longest,
    stems,
    stems_of,
    strip,
    telling,
    tokens_of,
)
from assistant.understanding.patterns import Words, words_of
from assistant.understanding.place_names import place_in
from assistant.understanding.utterance import answer_of

WRONG, CHANGE, OUGHT, OLD = "wrong", "change", "ought", "old"
"""Parts of ``grammars/mending.toml``."""
TELLING = (WRONG, CHANGE, OUGHT, OLD)
_ASKED_OTHERWISE = frozenset({AS_LAST_TIME, AS_TOLD, OWN_COMPLAINT})


@dataclass(frozen=True, slots=True)
class Target:
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
class Told:
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


def targets_of(context: Context, state: State) -> Iterator[Target]:
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
        yield Target(prompt, stems_of(check.name, small), words, more, before, logged, check.unit)
    for prompt in history:
        if prompt.kind is PromptKind.FACT and prompt.name not in _ASKED_OTHERWISE and prompt.name in state.facts:
            question = question_named(context, prompt.name)
            forms = " ".join(form for one in question.choices for form in (one.name, *one.also))
            number = "number" if prompt.name == UNIT_NUMBER else ""
            words = stems(f"{question.name} {question.title} {number}", context.vocabulary, question.unit)
            yield Target(
                prompt,
                stems_of(question.name, small),
                words,
                words | stems(forms, context.vocabulary),
                state.facts[prompt.name],
                logged=True,
            )


def told_of(context: Context, text: str, targets: list[Target]) -> Told | None:
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
    place, left = place_in(said, context.places_named())
    around = as_set(lists.get(AROUND, ()))
    names = names_in(left, targets, vocabulary)
    if not sure and not names:
        return None
    return Told(names, place, sure, bare, " ".join(strip(left, around)), old)


def _without_old(
    kept: list[str], targets: list[Target], vocabulary: Vocabulary
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
                same = frozenset(one.prompt for one in logged if words and same_answer(words, one, vocabulary))
                if same:
                    return [*kept[:at], "|", *kept[end:]], same
    return kept, frozenset()


def same_answer(words: list[str], one: Target, vocabulary: Vocabulary) -> bool:
    """Whether words are the answer that stands."""
    told = " ".join(words)
    if one.unit is not None and one.value is not None:
        if not all(word in POINTS or is_number(word, vocabulary) for word in words):
            return False
        meant = answer_of(told, Expectation(Expects.READING, unit=one.unit), vocabulary)
        return meant.outcome is Outcome.READING and meant.value == one.value
    return words_of(told) == words_of(one.before)


def fits(one: Target, told: Told) -> bool:
    """Whether everything that is named is this one's."""
    if told.place is not None and one.prompt.place != told.place:
        return False
    if not told.names:
        return told.place is not None
    return set(told.names) <= one.more and bool(set(told.names) & one.words)


def names_in(said: Words, targets: Iterable[Target], vocabulary: Vocabulary) -> Words:
    """Stems of the words that name something."""
    known = {word for one in targets for word in one.words}
    return tuple(stem for stem in telling(said, vocabulary) if stem in known)
