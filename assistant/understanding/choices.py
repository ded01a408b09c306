"""One answer among several: exact forms first, then the closest with a margin; close rivals are asked about."""

from __future__ import annotations

from collections.abc import Sequence

from rapidfuzz import fuzz

from assistant.messages import Choice, Expectation, Outcome, PromptKind, Understanding
from assistant.numerals.tokenizer import UNKNOWN, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.clauses import Role
from assistant.understanding.commands import command_of
from assistant.understanding.spotted_choices import spotted

_ACCEPT = 86.0
_ASK = 70.0
_MARGIN = 12.0


def understand_choice(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """Which of the prompt's choices was meant, or which command."""
    said = normal(text)
    choices = expectation.choices
    exact = [choice for choice in choices if said in forms_of(choice)]
    if len(exact) == 1:
        return _chosen(text, exact[0].name)
    if len(exact) > 1:
        return _ask(text, exact)
    items = scan(text.lower(), vocabulary)
    among_words, _ = spotted(text, choices, vocabulary, anywhere=expectation.prompt.kind is PromptKind.FACT)
    if among_words is not None and among_words.reason == Role.QUESTION:
        return among_words
    command = command_of(text, items, vocabulary)
    if command and not command.confirm:
        return command
    if among_words is not None:
        return among_words
    core = " ".join(item.text.lower() for item in items if item.kind not in (Kind.CARRIER, Kind.FILLER)).strip()
    core = normal(core)
    exact = [choice for choice in choices if core and core in {bare(form, vocabulary) for form in forms_of(choice)}]
    if len(exact) == 1:
        return _chosen(text, exact[0].name)
    if any(item.kind == UNKNOWN for item in items):
        return _unknown(text, choices)
    found = _closest(text, core or said, choices)
    if found.outcome is Outcome.NOT_UNDERSTOOD and command:
        return command
    return found


def bare(form: str, vocabulary: Vocabulary) -> str:
    """A form without the words that may stand around an answer."""
    items = scan(form, vocabulary)
    return normal(" ".join(item.text for item in items if item.kind not in (Kind.CARRIER, Kind.FILLER)))


def normal(text: str) -> str:
    """Lower case, single spaces, no punctuation."""
    kept = "".join(mark if mark.isalnum() or mark in "'[]" else " " for mark in text.lower())
    return " ".join(kept.split())


def forms_of(choice: Choice) -> set[str]:
    """Every way to say a choice."""
    return {normal(form) for form in (choice.name, *choice.also)}


def _closest(text: str, said: str, choices: Sequence[Choice]) -> Understanding:
    scored = sorted(
        ((max(fuzz.ratio(said, form) for form in forms_of(choice)), choice) for choice in choices),
        key=lambda pair: pair[0],
        reverse=True,
    )
    if not scored or scored[0][0] < _ASK:
        return _unknown(text, choices)
    best, choice = scored[0]
    rivals = [other for score, other in scored[1:] if best - score < _MARGIN and score >= _ASK]
    if rivals:
        return _ask(text, [choice, *rivals])
    ask = clarifications.which_name(choice.name)
    if best >= _ACCEPT:
        return Understanding(Outcome.CHOICE, text, choice=choice.name, confirm=True, ask=ask, reason="close")
    return Understanding(Outcome.CHOOSE, text, ask=ask, reason="close")


def _chosen(text: str, name: str) -> Understanding:
    return Understanding(Outcome.CHOICE, text, choice=name)


def _ask(text: str, choices: Sequence[Choice]) -> Understanding:
    ask = clarifications.which_name(*(choice.name for choice in choices[:3]))
    return Understanding(Outcome.CHOOSE, text, ask=ask, reason="two_meanings")


def _unknown(text: str, choices: Sequence[Choice]) -> Understanding:
    return Understanding(Outcome.NOT_UNDERSTOOD, text, ask=clarifications.one_of(choices), reason="leftover")
