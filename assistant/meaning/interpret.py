"""What was meant: one typed line, or what a recogniser may have heard, at one prompt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.meaning import questions
from assistant.meaning.choices import understand_choice
from assistant.meaning.commands import command_of
from assistant.meaning.follow_up import pick
from assistant.meaning.identifiers import understand_identifier
from assistant.meaning.reading import understand_reading
from assistant.meaning.runs import tidy
from assistant.messages import Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.words.lexicon import Lexicon
from assistant.words.tokens import scan


@dataclass(frozen=True, slots=True)
class Policy:
    """Thresholds of deciding between hypotheses, fitted on recordings by the bench."""

    near: float = 3.0
    """A rival meaning within this log score of the best asks for a yes."""
    reach: float = 12.0
    """How far below the best hypothesis a sayable answer may stand when the best is none."""
    noisy_db: float = 8.0
    """Below this signal-to-noise ratio every reading asks for a yes."""


DEFAULT_POLICY = Policy()
_ANSWERS = frozenset(Outcome) - {Outcome.NOT_UNDERSTOOD, Outcome.INCOMPLETE}


def interpret(
    hypotheses: Sequence[Hypothesis],
    expectation: Expectation,
    lexicon: Lexicon,
    *,
    snr_db: float | None = None,
    policy: Policy = DEFAULT_POLICY,
) -> Understanding:
    """What was meant at this prompt.

    Args:
        hypotheses: best first; a typed line is exactly one, as typed.
        expectation: what the prompt waits for.
        lexicon: the compiled grammars.
        snr_db: signal-to-noise ratio in decibels, None when typed or unknown.
        policy: thresholds of deciding.
    """
    if not hypotheses or not hypotheses[0].words.strip():
        return Understanding(Outcome.NOT_UNDERSTOOD, "", unit=expectation.unit, reason="silence")
    first = understand(hypotheses[0].words, expectation, lexicon)
    if len(hypotheses) == 1:
        return _noisy(first, expectation, lexicon, snr_db, policy)
    found = [(hypotheses[0], first)]
    found += [(other, understand(other.words, expectation, lexicon)) for other in hypotheses[1:]]
    return _noisy(_decide(found, expectation, lexicon, policy), expectation, lexicon, snr_db, policy)


def understand(text: str, expectation: Expectation, lexicon: Lexicon) -> Understanding:
    """What one text means at this prompt."""
    picked = pick(text, expectation, lexicon)
    if picked:
        return picked
    if expectation.expects is Expects.READING:
        return understand_reading(text, expectation, lexicon)
    if expectation.expects is Expects.CHOICE:
        return understand_choice(text, expectation, lexicon)
    if expectation.expects is Expects.IDENTIFIER:
        return understand_identifier(text, expectation, lexicon)
    command = command_of(text, tidy(scan(text.lower(), lexicon)), lexicon)
    if expectation.expects is Expects.NOTE:
        if command and not command.confirm and command.note is None:
            return command
        return Understanding(Outcome.NOTE, text, note=text.strip())
    return command or Understanding(Outcome.NOT_UNDERSTOOD, text, reason="leftover", ask="Say that again, please.")


def _decide(
    found: Sequence[tuple[Hypothesis, Understanding]], expectation: Expectation, lexicon: Lexicon, policy: Policy
) -> Understanding:
    """The first hypothesis that is an answer; a near rival with another meaning asks for a yes."""
    best_score = found[0][0].score
    answers = [(one, meant) for one, meant in found if meant.outcome in _ANSWERS]
    if not answers or best_score - answers[0][0].score > policy.reach:
        return found[0][1]
    top, chosen = answers[0]
    if top is not found[0][0]:
        chosen = _confirmed(chosen, "second_hearing", expectation, lexicon)
    rivals = [meant for one, meant in answers[1:] if top.score - one.score <= policy.near]
    if any(_meaning(rival) != _meaning(chosen) for rival in rivals):
        chosen = _confirmed(chosen, "rival", expectation, lexicon)
    return chosen


def _meaning(found: Understanding) -> tuple[object, ...]:
    ends = (found.low_end, found.high_end)
    return (found.outcome, found.value, found.values, ends, found.command, found.choice, found.identifier)


def _confirmed(found: Understanding, reason: str, expectation: Expectation, lexicon: Lexicon) -> Understanding:
    """The same answer, counted only after a yes."""
    if found.confirm or found.outcome in (Outcome.CHOOSE, Outcome.NOTE):
        return found
    return replace(found, confirm=True, reason=found.reason or reason, ask=_ask(found, expectation.unit, lexicon))


def _ask(found: Understanding, unit: str | None, lexicon: Lexicon) -> str:
    if isinstance(found.value, Decimal):
        return questions.right(found.value, unit, lexicon)
    if found.identifier:
        return questions.unit_number(found.identifier, lexicon)
    if found.choice:
        return f"Did you mean {found.choice}?"
    if found.command:
        return f"Did you mean {lexicon.commands[found.command.value][0]}?"
    return "Is that right?"


def _noisy(
    found: Understanding, expectation: Expectation, lexicon: Lexicon, snr_db: float | None, policy: Policy
) -> Understanding:
    if snr_db is None or snr_db >= policy.noisy_db or found.outcome is Outcome.COMMAND:
        return found
    if found.outcome not in _ANSWERS:
        return found
    return _confirmed(found, "noise", expectation, lexicon)
