"""What was meant: one typed line, or what a recognizer may have heard, at one prompt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from assistant.messages import (
    Clarification,
    Command,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Understanding,
)
from assistant.numerals.tokenizer import NUMBER_KINDS, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications, half_heard
from assistant.understanding.beside import with_question
from assistant.understanding.clauses.clause import Role
from assistant.understanding.follow_up import pick
from assistant.understanding.guessing import is_chat, opinion_on
from assistant.understanding.likely_choice import likely_choice
from assistant.understanding.recognition.grammar_phrases import TOO_ALIKE
from assistant.understanding.recognition.rescoring import (
    Candidate,
    Chances,
    Judged,
    Policy,
    candidate,
    chances,
    is_part,
    judge,
    policy_of,
    why_doubted,
    worth_a_yes,
)
from assistant.understanding.respelling import respelled
from assistant.understanding.spanish import in_english
from assistant.understanding.talk import asked_first
from assistant.understanding.utterance import (
    AS_COMMAND,
    COUNTING,
    answer_of,
    is_short_form,
    understand,
)
from assistant.understanding.values.dictated import as_one_figure
from assistant.understanding.values.offered import UNCLEAR, likely_reading, offered_reading
from assistant.understanding.values.readings import BY_COST

BY_SOUND = BY_COST | {"rival", "lost_word", "lone", "noise", "second_hearing"}
"""The same for doubts of sound; at a check the session decides, which knows what would come next."""
_PLAIN = NUMBER_KINDS | {Kind.UNIT, Kind.OVER_RANGE, Kind.CARRIER, Kind.FILLER}
"""Kinds of words that make a plain reading."""
_NO_ANSWER = frozenset({*clarifications.BY_ROLE, Role.UNREAL.value})
"""Reasons for which what was heard best answers nothing, whatever less likely words would."""
_TYPED = frozenset({Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.CHOICE})


def interpret(
    hypotheses: Sequence[Hypothesis],
    expectation: Expectation,
    vocabulary: Vocabulary,
    *,
    snr_db: float | None = None,
    policy: Policy | None = None,
) -> Understanding:
    """What was meant at this prompt, by the rules and, where they know nothing, by what it is like.

    Args:
        hypotheses: best first; a typed line is exactly one, as typed.
        expectation: what the prompt waits for.
        vocabulary: the compiled grammars.
        snr_db: signal-to-noise ratio in decibels, None when typed or unknown.
        policy: weights and thresholds of deciding; None for those of the grammars.
    """
    found = by_rules(hypotheses, expectation, vocabulary, snr_db=snr_db, policy=policy)
    if not hypotheses:
        return found
    typed = len(hypotheses) == 1 and snr_db is None
    return second_opinion(in_english(hypotheses[0].words, vocabulary), found, expectation, vocabulary, typed=typed)


def second_opinion(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary, *, typed: bool
) -> Understanding:
    """What words are like that the rules made ``found`` of, ``found`` itself where the rules stand.

    A session asks for it last, after all that only it can take up; whoever has no session, in ``interpret``.
    """
    if not text or (found.confirm and found.reason in BY_SOUND - BY_COST):
        return found  # which words were said is in doubt, and what they are like with it
    like = half_heard.heard_enough(text, _like(text, found, expectation, vocabulary))
    if like is None and typed and not is_chat(text, vocabulary):  # talk that was heard is never made a number of
        like = likely_reading(text, found, expectation, vocabulary)
    return like or found


def _like(text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """What words are like; None for nothing, or where the rules know better."""
    like = likely_choice(text, found, expectation, vocabulary)
    if like is not None:
        return like
    both = with_question(text, found, expectation, vocabulary)
    if both is not None:
        return both
    if found.outcome is Outcome.READING and found.reason in _NO_ANSWER and asked_first(text, vocabulary):
        # 'has forty-two oh seven been in here before': a number that is asked about is no reading
        plain = Understanding(Outcome.NOT_UNDERSTOOD, text, unit=expectation.unit, reason=found.reason)
        asked = opinion_on(text, plain, expectation, vocabulary)
        return asked if asked is not None and asked.outcome is Outcome.QUESTION else None
    return opinion_on(text, found, expectation, vocabulary)


def by_rules(
    hypotheses: Sequence[Hypothesis],
    expectation: Expectation,
    vocabulary: Vocabulary,
    *,
    snr_db: float | None = None,
    policy: Policy | None = None,
) -> Understanding:
    """The same by the rules alone: arguments as of ``interpret``.

    What counts by words of another language, or by a figure that was dictated in pieces, waits for a yes.
    """
    if len(hypotheses) == 1 and expectation.expects is not Expects.NOTE:
        said = in_english(hypotheses[0].words, vocabulary)
        if expectation.expects is Expects.READING:
            said = as_one_figure(said)
        if said != hypotheses[0].words:
            english = replace(hypotheses[0], words=said)
            found = _by_rules((english,), expectation, vocabulary, snr_db, policy)
            found = replace(found, heard=hypotheses[0].words, said_at=None)
            return _confirmed(found, "leftover", expectation, vocabulary) if found.outcome in _ANSWERED else found
    return _by_rules(hypotheses, expectation, vocabulary, snr_db, policy)


def _by_rules(
    hypotheses: Sequence[Hypothesis],
    expectation: Expectation,
    vocabulary: Vocabulary,
    snr_db: float | None,
    policy: Policy | None,
) -> Understanding:
    if not hypotheses or not hypotheses[0].words.strip():
        return Understanding(Outcome.NOT_UNDERSTOOD, "", unit=expectation.unit, reason="silence")
    first = understand(hypotheses[0].words, expectation, vocabulary)
    typed = len(hypotheses) == 1 and snr_db is None
    if first.command is Command.NOTE and first.note:
        return first  # a note is read back whole: nothing of it is weighed against other words
    policy = policy or policy_of(vocabulary)
    if typed:
        first = _as_meant(hypotheses[0].words, first, expectation, vocabulary)
        if expectation.expects is Expects.READING:
            words = respelled(hypotheses[0].words, expectation, vocabulary) or hypotheses[0].words
            first = replace(offered_reading(words, first, expectation, vocabulary), heard=hypotheses[0].words)
        slip = policy.slip if first.outcome in _TYPED else 0.0
        return _by_cost(first, Chances(slip, slip), "", expectation, vocabulary, policy)
    if expectation.expects is Expects.NOTE or first.outcome in (Outcome.QUESTION, Outcome.REPORT):
        return first
    if first.command in AS_COMMAND.values() and not is_short_form(first.heard, vocabulary):
        return first  # a question that a command answers
    judged = judge(candidates_of(hypotheses, expectation, vocabulary), expectation, policy)
    if judged is None or judged.below > policy.reach or _cut_short(first, judged, policy):
        return first
    two = first.outcome is Outcome.CHOOSE and first.reason == "two_meanings"
    if two and not judged.first and is_part(judged.meant.heard, hypotheses[0].words):
        return first  # two choices were heard: one of them in fewer words is no surer
    if first.reason in _NO_ANSWER and not judged.first:
        return first  # 'is it open', 'if it is open' was heard: the 'open' in it is no answer
    reads = expectation.expects is Expects.READING
    found = chances(judged, reads, snr_db, policy)
    why = why_doubted(judged, reads)
    return _by_cost(judged.meant, found, why, expectation, vocabulary, policy)


def _as_meant(text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """What a typed line means where words of it are cut short or mistyped; what counts by them waits for a yes."""
    unclear = found.outcome in UNCLEAR
    if expectation.expects is Expects.NOTE or not (unclear or found.confirm):
        return found
    meant = respelled(text, expectation, vocabulary)
    if meant is None:
        return found
    again = understand(meant, expectation, vocabulary)
    if not unclear:  # asked about already: what makes it no answer at all is heeded, and what is asked beside it
        beside = again.about is not None and again.value == found.value
        kept = replace(found, about=again.about, place=again.place) if beside else found
        return replace(again, heard=text) if again.reason in _NO_ANSWER else kept
    if again.outcome is Outcome.NOT_UNDERSTOOD:
        return replace(again, heard=text) if again.reason in _NO_ANSWER else found
    if again.outcome is Outcome.COMMAND and again.note:
        return found
    counts = again.outcome in _ANSWERED or (again.outcome is Outcome.COMMAND and again.command in COUNTING)
    again = replace(again, heard=text, said_at=None)
    return _confirmed(again, "leftover", expectation, vocabulary) if counts else again


_ANSWERED = frozenset({
    Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.RANGE, Outcome.NOTHING, Outcome.CHOICE,
    Outcome.IDENTIFIER,
})  # fmt: skip
"""What counts as an answer."""


def candidates_of(
    hypotheses: Sequence[Hypothesis], expectation: Expectation, vocabulary: Vocabulary
) -> list[Candidate]:
    """Every hypothesis of a piece of sound with what it means."""
    return [candidate(one, _heard(one.words, expectation, vocabulary), expectation, vocabulary) for one in hypotheses]


def _heard(words: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    if words in TOO_ALIKE:
        return Understanding(Outcome.NOT_UNDERSTOOD, words, unit=expectation.unit, reason="leftover")
    return pick(words, expectation, vocabulary) or answer_of(words, expectation, vocabulary)


def _cut_short(first: Understanding, judged: Judged, policy: Policy) -> bool:
    """Whether the best hypothesis is an answer's beginning, and the one judged best clearly only a part of it."""
    beginning = first.outcome is Outcome.INCOMPLETE and judged.below >= policy.near
    return beginning and is_part(judged.meant.heard, first.heard)


def _by_cost(
    found: Understanding,
    chances: Chances,
    why: str,
    expectation: Expectation,
    vocabulary: Vocabulary,
    policy: Policy,
) -> Understanding:
    """The answer with its chance of a mistake; asked about for its words' sake, or where that is worth a yes."""
    found = replace(found, chance=chances.wrong, otherwise=chances.otherwise)
    if words_ask(found, expectation, vocabulary):
        return found
    plain = replace(found, confirm=False, ask=None, reason="") if found.confirm else found
    if not worth_a_yes(chances, policy):
        return plain
    return _confirmed(plain, found.reason if found.confirm else why, expectation, vocabulary)


def words_ask(found: Understanding, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether the words alone ask for a yes, whatever a mistake costs.

    A reading that is only out of the limits does not, unless other words stand beside it: it may have been none.
    """
    if not found.confirm or found.reason not in BY_COST:
        return found.confirm
    unit = vocabulary.unit(expectation.unit)
    items = scan(found.heard, vocabulary, unit.dimension if unit else "")
    return not all(item.kind in _PLAIN for item in items)


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
