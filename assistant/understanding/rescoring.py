"""Between what may have been heard: which answer it was, and how sure that is.

Each hypothesis carries the recognizer's log score. To it comes what the recognizer cannot know: whether the words as
a whole are a way to say the value (``sayable``), how many words it would have to have made up or lost, and whether a
meter could show the value here. Hypotheses that mean the same are added up. Limits take no part in it: they never
select a meaning.

How sure an answer is, is its lead over the next meaning. A lead that is too thin for the noise asks for a yes. Over a
rival that is the same words and more the lead must be wider, because words are lost more easily than made up. So must
it over a rival that the limits would judge otherwise, because that mistake costs more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

from assistant.messages import Command, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.answer_prior import usual
from assistant.understanding.disambiguation import side_of

NEVER = math.inf
_SHORT = 2
_ODD = frozenset({"odd", "unusual", "homophone", "repeat", "two_values", "lone_one"})
_AWAITED = frozenset({Command.YES, Command.NO, Command.NEXT, Command.STOP})
_NO_ANSWER = frozenset({Outcome.NOT_UNDERSTOOD, Outcome.INCOMPLETE})


@dataclass(frozen=True, slots=True)
class Policy:
    """Weights and thresholds of deciding, in natural log units where nothing else is said.

    The values live in ``grammars/deciding.toml``; these stand in where that file is silent.
    """

    second: float = 0.6
    """Times the log probability by the second opinion, added to the recognizer's score."""
    whole: float = 6.0
    """Added for words that as a whole are a way to say what they mean."""
    usual: float = 1.0
    """Times the logarithm of how usual that way is."""
    word: float = 1.5
    """Added for each word: the recognizer loses short words in noise."""
    odd: float = 2.0
    """Taken off for a value that the meter could hardly show, or words that are rarely said so."""
    unknown: float = 2.0
    """Taken off for words among which one is unknown."""
    expected: float = 1.0
    """Added for yes, no, next and stop at a prompt for a command, and for a choice where one is asked for."""
    choose: float = 1.0
    """Taken off for words with two meanings."""
    reach: float = 9.0
    """How far below the best score an answer may stand when the best is none."""
    near: float = 2.5
    """A lead below this asks for a yes in quiet."""
    near_noisy: float = 4.0
    """The same in noise."""
    near_loud: float = 8.0
    """The same for a command in noise below ``loud_db``."""
    differs_noisy: float = 4.5
    """The lead, in noise, over a rival that the limits would judge otherwise."""
    lost: float = 4.0
    """The lead, in quiet, over a rival that is the same words and more."""
    lost_noisy: float = 5.0
    """The same in noise."""
    lone: float = 4.0
    """The lead of an answer of one word or a command of two, by sound alone, at a prompt for a reading."""
    quiet_db: float = 20.0
    """Signal-to-noise ratio in decibels from which it is quiet."""
    loud_db: float = 10.5
    """Signal-to-noise ratio in decibels below which a command needs the lead ``near_loud``."""
    noisy_db: float = 6.0
    """Signal-to-noise ratio in decibels below which every reading and unit number asks for a yes."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One hypothesis, read."""

    words: str
    """As heard."""
    score: float
    """The recognizer's log score."""
    meant: Understanding
    """What the words mean."""
    share: float
    """How usual they are as a whole, see ``sayable``; 0 when they are no way to say it."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The best answer among hypotheses, and how sure it is."""

    meant: Understanding
    """What it means, as read from its words alone."""
    first: bool
    """True when it stands on the recognizer's best hypothesis, or that one means the same."""
    lead: float
    """Lead over the next meaning; ``NEVER`` without a rival."""
    lead_lost: float
    """Lead over the next meaning whose words are the same and more."""
    lead_differs: float
    """Lead over the next meaning that the limits would judge otherwise, or that is no reading."""
    lead_sound: float
    """Lead by the recognizer's own score alone, over anything else that was heard."""
    below: float
    """How far its words stand below the recognizer's best."""
    lone: bool
    """True for an answer that is only one word, or a command of two."""


@dataclass(slots=True)
class _Meaning:
    total: float
    sound: float
    best: float
    words: str
    meant: Understanding


def candidate(
    hypothesis: Hypothesis, meant: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Candidate:
    """A hypothesis with what deciding needs to know of it."""
    share = 0.0 if meant.outcome in _NO_ANSWER else usual(hypothesis.words, meant, expectation, vocabulary)
    return Candidate(hypothesis.words, hypothesis.score, meant, share)


def judge(candidates: Sequence[Candidate], expectation: Expectation, policy: Policy) -> Judged | None:
    """The likeliest answer among candidates, None when none of them is an answer."""
    top = max(one.score for one in candidates)
    meanings: dict[tuple[object, ...], _Meaning] = {}
    unclear = -math.inf
    for one in candidates:
        sound = one.score - top
        if one.meant.outcome in _NO_ANSWER:
            unclear = max(unclear, sound)
            continue
        total = sound + weight(one, expectation, policy)
        known = meanings.get(key := meaning_of(one.meant))
        if known is None:
            meanings[key] = _Meaning(total, sound, total, one.words, one.meant)
            continue
        if total > known.best:
            known.best, known.words, known.meant = total, one.words, one.meant
        known.sound = max(known.sound, sound)
        # a command with many names is no likelier for them
        command = one.meant.outcome is Outcome.COMMAND
        known.total = max(known.total, total) if command else _sum(known.total, total)
    if not meanings:
        return None
    ranked = sorted(meanings.values(), key=lambda one: -one.total)
    best, rivals = ranked[0], ranked[1:]
    more = [rival for rival in rivals if is_part(best.words, rival.words)]
    differs = [rival for rival in rivals if not _judged_alike(best.meant, rival.meant, expectation)]
    return Judged(
        meant=best.meant,
        first=best.sound >= 0.0,
        lead=best.total - rivals[0].total if rivals else NEVER,
        lead_lost=best.total - max(rival.total for rival in more) if more else NEVER,
        lead_differs=best.total - differs[0].total if differs else NEVER,
        lead_sound=best.sound - max([unclear, *(rival.sound for rival in rivals)]),
        below=-best.sound,
        lone=len(best.words.split()) <= (_SHORT if best.meant.outcome is Outcome.COMMAND else 1),
    )


def weight(one: Candidate, expectation: Expectation, policy: Policy) -> float:
    """What the whole of the words adds to the recognizer's score."""
    total = policy.word * len(one.words.split())
    if one.share:
        total += policy.whole + policy.usual * math.log(one.share)
    if one.meant.reason in _ODD:
        total -= policy.odd
    if UNKNOWN_WORD in one.words:
        total -= policy.unknown
    if _waited_for(one.meant, expectation):
        total += policy.expected
    return total - policy.choose if one.meant.outcome is Outcome.CHOOSE else total


def _waited_for(meant: Understanding, expectation: Expectation) -> bool:
    if expectation.expects is Expects.COMMAND:
        return meant.command in _AWAITED
    return expectation.expects is Expects.CHOICE and meant.outcome is Outcome.CHOICE


def doubt(judged: Judged, expects_reading: bool, snr_db: float | None, policy: Policy) -> str:
    """Why the answer needs a yes, '' when it needs none."""
    meant = judged.meant
    ratio = math.inf if snr_db is None else snr_db
    noisy = ratio < policy.quiet_db
    near, lead = policy.near_noisy if noisy else policy.near, judged.lead
    if noisy and meant.outcome is Outcome.COMMAND:
        # in noise what was waited for is heard into other words: that weighs for it, and is no ground to be sure
        lead, near = lead - policy.expected, policy.near_loud if ratio < policy.loud_db else near
    if lead < near or (noisy and judged.lead_differs < policy.differs_noisy):
        return "rival"
    if judged.lead_lost < (policy.lost_noisy if noisy else policy.lost):
        return "lost_word"
    if judged.lone and expects_reading and judged.lead_sound < policy.lone:
        return "lone"
    if not judged.first:
        return "second_hearing"
    counted = meant.outcome not in (Outcome.COMMAND, Outcome.CHOICE)
    return "noise" if counted and ratio < policy.noisy_db else ""


def _judged_alike(one: Understanding, other: Understanding, expectation: Expectation) -> bool:
    """Whether both are readings on the same side of the limits; without limits nothing says that they are."""
    if one.value is None or other.value is None or (expectation.low is None and expectation.high is None):
        return False
    return side_of(one.value, expectation) == side_of(other.value, expectation)


def meaning_of(found: Understanding) -> tuple[object, ...]:
    """What makes two answers the same."""
    ends = (found.low_end, found.high_end)
    choose = found.values if found.outcome is Outcome.CHOOSE else ()
    return (found.outcome, found.value, choose, ends, found.command, found.choice, found.identifier)


def policy_of(vocabulary: Vocabulary) -> Policy:
    """The policy that ``grammars/deciding.toml`` states."""
    known = {field.name for field in fields(Policy)}
    return Policy(**{name: value for name, value in vocabulary.deciding.items() if name in known})


def _sum(first: float, second: float) -> float:
    high, low = max(first, second), min(first, second)
    return high + math.log1p(math.exp(low - high))


def is_part(words: str, more: str) -> bool:
    """Whether the words are the other ones with some left out."""
    rest = iter(more.split())
    return len(words) < len(more) and all(word in rest for word in words.split())
