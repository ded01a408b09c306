"""What should be, what was, what is asked and what is not, at every prompt of every procedure: never logged silently.

Typed, and as the best of a recognizer's alternatives beside the value that stands in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Command, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.numerals.verbalizations import sayings
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import LimitSet
from assistant.understanding.choosing.choices import forms_of, normal
from assistant.understanding.interpret import interpret

VOCABULARY = load_vocabulary()
PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}
TAKEN = {Outcome.READING, Outcome.OVER_RANGE, Outcome.NOTHING, Outcome.UNSTEADY, Outcome.CHOICE, Outcome.IDENTIFIER}
COUNTING = {Command.YES, Command.NO, Command.NEXT, Command.SKIP, Command.STOP, Command.WITHDRAW}


def readings() -> Iterator[Expectation]:
    """Every prompt for a reading with each set of its limits, each once, and every fact that is read."""
    seen: set[object] = set()
    for procedure in PACK.values():
        for fact in procedure.facts:
            if fact.kind == "reading" and (fact.unit, fact.span) not in seen:
                seen.add((fact.unit, fact.span))
                yield Expectation(Expects.READING, unit=fact.unit, span=fact.span)
        for check in procedure.checks:
            for limits in (check.limits, *(row.limits for row in check.limits_when)):
                if check.kind != "reading" or limits is None:
                    continue
                key = (check.unit, check.span, limits.low, limits.high, limits.over_range)
                if key not in seen:
                    seen.add(key)
                    yield Expectation(
                        Expects.READING, unit=check.unit, span=check.span, low=limits.low, high=limits.high,
                        over_range=limits.over_range or "",
                    )  # fmt: skip


def choices() -> Iterator[tuple[Choice, ...]]:
    """The choices of every fact, check and proof step, each set once."""
    seen = set()
    for procedure in PACK.values():
        for row in (*procedure.facts, *procedure.checks, *procedure.proof):
            found = tuple(Choice(option.name, tuple(option.also)) for option in getattr(row, "choices", ()))
            if found and found not in seen:
                seen.add(found)
                yield found


READINGS = list(readings())
CHOICES = list(choices())
SOME_READINGS = [
    one if at % 9 == 0 else pytest.param(one, marks=pytest.mark.sweep) for at, one in enumerate(READINGS)
]
SOME_CHOICES = [one if at % 9 == 0 else pytest.param(one, marks=pytest.mark.sweep) for at, one in enumerate(CHOICES)]
"""Each ninth is asked in every run of the tests, all in the long one."""


def figures(prompt: Expectation) -> list[tuple[str, Decimal | None]]:
    """Readings within, at and outside the limits of a prompt, as they are said; over range is one of them."""
    edges = [edge for edge in (prompt.low, prompt.high) if edge is not None]
    values = {value for edge in edges for value in (edge, edge / 2, edge * 2)}
    if not edges and prompt.span is not None:
        values = {prompt.span[0] + part * (prompt.span[1] - prompt.span[0]) / 4 for part in (1, 2, 3)}
    if len(edges) == 2:
        values.add((edges[0] + edges[1]) / 2)
    found: list[tuple[str, Decimal | None]] = [("O L", None)]
    for value in sorted(values):
        said = next(iter(sayings(value, prompt.unit, VOCABULARY)), None)
        if said is not None:
            found.append((said.words, value))
    return found


def taken(found: Understanding) -> bool:
    """Whether something counts without a yes."""
    command = found.command if found.outcome is Outcome.COMMAND else None
    return not found.confirm and (found.outcome in TAKEN or command in COUNTING)


def heard(text: str, *others: str) -> tuple[Hypothesis, ...]:
    """What a recognizer may have heard: the words without their punctuation, and less likely parts of them."""
    best = normal(text)
    return (Hypothesis(best, 0.0), *(Hypothesis(other, -2.0) for other in others if other != best))


def understandings(text: str, prompt: Expectation, *others: str) -> list[Understanding]:
    """The text as it is typed, and as it may be heard in quiet and in noise."""
    typed = interpret((Hypothesis(text),), prompt, VOCABULARY)
    return [typed, *(interpret(heard(text, *others), prompt, VOCABULARY, snr_db=snr) for snr in (30.0, 12.0))]


def name(prompt: Expectation) -> str:
    return f"{prompt.unit} {prompt.low}..{prompt.high}"


def same(found: Understanding, value: Decimal | None) -> bool:
    return found.outcome is Outcome.OVER_RANGE if value is None else found.value == value


@pytest.mark.parametrize("prompt", SOME_READINGS, ids=name)
def test_what_should_be_is_never_taken_for_what_is(prompt: Expectation) -> None:
    said = figures(prompt)
    for read, value in said:
        for expected, _ in said:
            for text in (f"{read}, should be {expected}", f"{read} it should be {expected}",
                         f"should be {expected}, I get {read}", f"{read} supposed to be {expected}"):  # fmt: skip
                for found in understandings(text, prompt, expected, read):
                    assert not taken(found) or same(found, value), (text, found)
    for expected, _ in said:
        for text in (f"should be {expected}", f"it ought to be {expected}", f"I want {expected}"):
            for found in understandings(text, prompt, expected):
                assert not taken(found), (text, found)


@pytest.mark.parametrize("prompt", SOME_READINGS, ids=name)
def test_what_was_is_never_taken_for_what_is(prompt: Expectation) -> None:
    said = figures(prompt)
    for earlier, _ in said:
        for now, value in said:
            for text in (
                f"was {earlier}, now {now}",
                f"it was {earlier} now it's {now}",
                f"{earlier} now it's {now}",
            ):
                for found in understandings(text, prompt, earlier, now):
                    assert not taken(found) or same(found, value), (text, found)


@pytest.mark.parametrize("prompt", SOME_READINGS, ids=name)
def test_what_is_asked_or_denied_is_never_taken(prompt: Expectation) -> None:
    for read, _ in figures(prompt):
        for text in (f"is it {read}?", f"is it {read}", f"is that {read}", f"is {read} good", f"should it be {read}",
                     f"not {read}", f"it's not {read}", f"that isn't {read}", f"what if it's {read}",
                     f"the other side is {read}"):  # fmt: skip
            for found in understandings(text, prompt, read):
                assert not taken(found), (text, found)


@pytest.mark.parametrize("prompt", SOME_READINGS, ids=name)
def test_two_readings_are_two(prompt: Expectation) -> None:
    said = figures(prompt)
    for read, value in said:
        for other, second in said:
            if value == second:
                continue
            for found in understandings(f"{read} or {other}", prompt, read, other):
                assert not taken(found), (read, other, found)


def other_meaning(found: Understanding, text: str, choice: Choice, listed: tuple[Choice, ...]) -> bool:
    """A no to the question, or another choice whose own name stands in the words: 'not mended' is one."""
    if found.command is Command.NO:
        return any(word in text.split() for word in ("not", "isn't"))
    forms = {form for other in listed if other.name == found.choice and other != choice for form in forms_of(other)}
    return any(f" {form} " in f" {normal(text)} " for form in forms)


@pytest.mark.parametrize("listed", SOME_CHOICES, ids=lambda listed: "; ".join(choice.name for choice in listed))
def test_choices(listed: tuple[Choice, ...]) -> None:
    """'is it C?', 'not C', 'should be C', 'C or D' are never logged; 'was C, now D' is D."""
    prompt = Expectation(Expects.CHOICE, choices=listed)
    named = {form for choice in listed for form in forms_of(choice)}
    for choice in listed:
        for form in (choice.name, *choice.also):
            for text in (f"is it {form}?", f"is it {form}", f"not {form}", f"it's not {form}", f"should be {form}",
                         f"it isn't {form}", f"if it's {form}", f"the other one is {form}"):  # fmt: skip
                if normal(text) in named:
                    continue
                for found in understandings(text, prompt, form):
                    assert not taken(found) or other_meaning(found, text, choice, listed), (text, found)
        for other in listed:
            if other is choice:
                continue
            for found in understandings(f"was {choice.name}, now it's {other.name}", prompt, choice.name):
                assert not taken(found) or found.choice == other.name, (choice, other, found)
            for found in understandings(f"{choice.name} or {other.name}", prompt, choice.name):
                assert not taken(found) or normal(f"{choice.name} or {other.name}") in named, (choice, other, found)


def test_the_sweep_is_over_all_procedures() -> None:
    assert len(PACK) >= 11
    assert len(READINGS) >= 20
    assert sum(len(listed) for listed in CHOICES) >= 280
    assert any(isinstance(row.limits, LimitSet) for procedure in PACK.values() for row in procedure.checks)
