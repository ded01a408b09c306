"""What was meant: one typed line, or what a recognizer may have heard, at one prompt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from assistant.messages import Clarification, Command, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.numerals.tokenizer import Item, scan
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choices import normal, understand_choice
from assistant.understanding.clauses import Role, spoken
from assistant.understanding.commands import command_of
from assistant.understanding.follow_up import pick
from assistant.understanding.grammar_phrases import TOO_ALIKE
from assistant.understanding.identifiers import understand_identifier
from assistant.understanding.number_spans import tidy
from assistant.understanding.readings import understand_reading
from assistant.understanding.rescoring import Candidate, Judged, Policy, candidate, doubt, is_part, judge, policy_of
from assistant.understanding.wishes import statement_of, wish_of

COUNTING = frozenset({Command.YES, Command.NO, Command.NEXT, Command.SKIP, Command.STOP, Command.WITHDRAW})
"""Commands that record or change something."""


def interpret(
    hypotheses: Sequence[Hypothesis],
    expectation: Expectation,
    vocabulary: Vocabulary,
    *,
    snr_db: float | None = None,
    policy: Policy | None = None,
) -> Understanding:
    """What was meant at this prompt.

    Args:
        hypotheses: best first; a typed line is exactly one, as typed.
        expectation: what the prompt waits for.
        vocabulary: the compiled grammars.
        snr_db: signal-to-noise ratio in decibels, None when typed or unknown.
        policy: weights and thresholds of deciding; None for those of the grammars.
    """
    if not hypotheses or not hypotheses[0].words.strip():
        return Understanding(Outcome.NOT_UNDERSTOOD, "", unit=expectation.unit, reason="silence")
    first = understand(hypotheses[0].words, expectation, vocabulary)
    typed = len(hypotheses) == 1 and snr_db is None
    if typed or expectation.expects is Expects.NOTE:
        return first
    policy = policy or policy_of(vocabulary)
    judged = judge(candidates_of(hypotheses, expectation, vocabulary), expectation, policy)
    if judged is None or judged.below > policy.reach or _cut_short(first, judged, policy):
        return first
    if first.reason in clarifications.BY_ROLE and not judged.first:
        return first  # 'is it open' was heard: the 'open' in it is no answer
    why = doubt(judged, expectation.expects is Expects.READING, snr_db, policy)
    return _confirmed(judged.meant, why, expectation, vocabulary) if why else judged.meant


def candidates_of(
    hypotheses: Sequence[Hypothesis], expectation: Expectation, vocabulary: Vocabulary
) -> list[Candidate]:
    """Every hypothesis of a piece of sound with what it means."""
    return [candidate(one, _heard(one.words, expectation, vocabulary), expectation, vocabulary) for one in hypotheses]


def _heard(words: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    if words in TOO_ALIKE:
        return Understanding(Outcome.NOT_UNDERSTOOD, words, unit=expectation.unit, reason="leftover")
    return understand(words, expectation, vocabulary)


def understand(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """What one text means at this prompt."""
    picked = pick(text, expectation, vocabulary)
    if picked:
        return picked
    found = _understood(text, expectation, vocabulary)
    if found.outcome is not Outcome.NOT_UNDERSTOOD and not (found.confirm and found.reason == "slip"):
        return found
    return wish_of(text, expectation, vocabulary) or statement_of(text, expectation, vocabulary) or found


def _understood(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    if expectation.expects is Expects.READING:
        return understand_reading(text, expectation, vocabulary)
    if expectation.expects is Expects.CHOICE:
        wish = wish_of(text, expectation, vocabulary) if _yes_or_no_among(expectation) else None
        return wish or understand_choice(text, expectation, vocabulary)
    if expectation.expects is Expects.IDENTIFIER:
        return understand_identifier(text, expectation, vocabulary)
    items = scan(text.lower(), vocabulary)
    command = command_of(text, tidy(items), vocabulary)
    if command and command.command in COUNTING and asks(text, items, vocabulary):
        command = None
    if expectation.expects is Expects.NOTE:
        if command and not command.confirm and command.note is None:
            return command
        return Understanding(Outcome.NOTE, text, note=text.strip())
    return command or Understanding(Outcome.NOT_UNDERSTOOD, text, reason="leftover", ask=clarifications.AGAIN)


def asks(text: str, items: Sequence[Item], vocabulary: Vocabulary) -> bool:
    """Whether something is asked by more words than the form of a command has."""
    said = normal(text)
    if any(said in forms for forms in vocabulary.commands.values()):
        return False
    return any(clause.role is Role.QUESTION for clause in spoken(text, items, vocabulary).clauses)


def _yes_or_no_among(expectation: Expectation) -> bool:
    return {"yes", "no"} <= {form for choice in expectation.choices for form in (choice.name, *choice.also)}


def _cut_short(first: Understanding, judged: Judged, policy: Policy) -> bool:
    """Whether the best hypothesis is an answer's beginning, and the one judged best clearly only a part of it."""
    beginning = first.outcome is Outcome.INCOMPLETE and judged.below >= policy.near
    return beginning and is_part(judged.meant.heard, first.heard)


def _confirmed(found: Understanding, reason: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """The same answer, counted only after a yes."""
    if found.confirm or found.outcome in (Outcome.CHOOSE, Outcome.NOTE):
        return found
    if expectation.expects is Expects.CHOICE and found.command in (Command.YES, Command.NO):
        # there a yes is an answer, and a yes to 'did you mean yes?' would be taken for one
        return Understanding(
            Outcome.NOT_UNDERSTOOD, found.heard, unit=expectation.unit, reason=reason, ask=clarifications.YES_OR_NO
        )
    return replace(found, confirm=True, reason=found.reason or reason, ask=_ask(found, expectation.unit, vocabulary))


def _ask(found: Understanding, unit: str | None, vocabulary: Vocabulary) -> Clarification:
    if isinstance(found.value, Decimal):
        return clarifications.right(found.value, unit)
    if found.identifier:
        return clarifications.unit_number(found.identifier)
    if found.choice:
        return clarifications.which_name(found.choice)
    if found.command:
        return clarifications.which_name(vocabulary.commands[found.command.value][0])
    return clarifications.IS_IT_RIGHT
