"""What was meant: one typed line, or what a recogniser may have heard, at one prompt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from assistant.meaning import questions
from assistant.meaning.choices import understand_choice
from assistant.meaning.commands import command_of
from assistant.meaning.decide import Candidate, Judged, Policy, candidate, doubt, is_part, judge, policy_of
from assistant.meaning.follow_up import pick
from assistant.meaning.identifiers import understand_identifier
from assistant.meaning.phrases import TOO_ALIKE
from assistant.meaning.reading import understand_reading
from assistant.meaning.runs import tidy
from assistant.messages import Command, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.words.lexicon import Lexicon
from assistant.words.tokens import scan

_YES_NO = "Was that a yes or a no?"


def interpret(
    hypotheses: Sequence[Hypothesis],
    expectation: Expectation,
    lexicon: Lexicon,
    *,
    snr_db: float | None = None,
    policy: Policy | None = None,
) -> Understanding:
    """What was meant at this prompt.

    Args:
        hypotheses: best first; a typed line is exactly one, as typed.
        expectation: what the prompt waits for.
        lexicon: the compiled grammars.
        snr_db: signal-to-noise ratio in decibels, None when typed or unknown.
        policy: weights and thresholds of deciding; None for those of the grammars.
    """
    if not hypotheses or not hypotheses[0].words.strip():
        return Understanding(Outcome.NOT_UNDERSTOOD, "", unit=expectation.unit, reason="silence")
    first = understand(hypotheses[0].words, expectation, lexicon)
    typed = len(hypotheses) == 1 and snr_db is None
    if typed or expectation.expects is Expects.NOTE:
        return first
    policy = policy or policy_of(lexicon)
    judged = judge(candidates_of(hypotheses, expectation, lexicon), expectation, policy)
    if judged is None or judged.below > policy.reach or _cut_short(first, judged, policy):
        return first
    why = doubt(judged, expectation.expects is Expects.READING, snr_db, policy)
    return _confirmed(judged.meant, why, expectation, lexicon) if why else judged.meant


def candidates_of(hypotheses: Sequence[Hypothesis], expectation: Expectation, lexicon: Lexicon) -> list[Candidate]:
    """Every hypothesis of a piece of sound with what it means."""
    return [candidate(one, _heard(one.words, expectation, lexicon), expectation, lexicon) for one in hypotheses]


def _heard(words: str, expectation: Expectation, lexicon: Lexicon) -> Understanding:
    if words in TOO_ALIKE:
        return Understanding(Outcome.NOT_UNDERSTOOD, words, unit=expectation.unit, reason="leftover")
    return understand(words, expectation, lexicon)


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


def _cut_short(first: Understanding, judged: Judged, policy: Policy) -> bool:
    """Whether the best hypothesis is an answer's beginning, and the one judged best clearly only a part of it."""
    beginning = first.outcome is Outcome.INCOMPLETE and judged.below >= policy.near
    return beginning and is_part(judged.meant.heard, first.heard)


def _confirmed(found: Understanding, reason: str, expectation: Expectation, lexicon: Lexicon) -> Understanding:
    """The same answer, counted only after a yes."""
    if found.confirm or found.outcome in (Outcome.CHOOSE, Outcome.NOTE):
        return found
    if expectation.expects is Expects.CHOICE and found.command in (Command.YES, Command.NO):
        # there a yes is an answer, and a yes to 'did you mean yes?' would be taken for one
        return Understanding(Outcome.NOT_UNDERSTOOD, found.heard, unit=expectation.unit, reason=reason, ask=_YES_NO)
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
