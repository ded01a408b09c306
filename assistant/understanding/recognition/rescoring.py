"""Between what may have been heard: which answer it was, and how sure that is.

Each hypothesis carries the recognizer's log score. To it comes what the recognizer cannot know: whether the words as
a whole are a way to say the value (``sayable``), how many words it would have to have made up or lost, and whether a
meter could show the value here. Hypotheses that mean the same are added up. Limits take no part in it: they never
select a meaning.

How sure an answer is, follows from its leads over the other meanings: each may have been said instead, the likelier
the thinner the lead (`chances`). A rival that is the same words and more counts for more, because words are lost more
easily than made up. Whether a yes is asked for is a matter of what a mistake would cost (`worth_a_yes`): its chance
times the seconds that it costs, against the seconds that asking takes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

from assistant.messages import Command, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.recognition.answer_prior import usual
from assistant.understanding.values.disambiguation import side_of

SURENESS = frozenset({"both", "numbers", "alone"})
"""Kinds of sureness, and what their names in the grammar begin with."""
CLEAR = 8.0
"""A rival or a lead beyond this is never what makes an answer doubtful."""
_SHORT = 2
_ODD = frozenset({"odd", "unusual", "homophone", "repeat", "two_values", "lone_one"})
_AWAITED = frozenset({Command.YES, Command.NO, Command.NEXT, Command.STOP})
_NO_ANSWER = frozenset({Outcome.NOT_UNDERSTOOD, Outcome.INCOMPLETE})


@dataclass(frozen=True, slots=True)
class Sureness:
    """How leads become chances that something else was said."""

    trust: float = 1.0
    """In quiet: how much less likely a rival is for each unit that it stands behind."""
    trust_noisy: float = 0.6
    """The same in noise."""
    lost: float = 3.0
    """Units by which a rival that is the same words and more is nearer than it seems."""
    lone: float = 0.5
    """How much less likely it is that an answer of one word, or a command of two, was something else, for each unit
    of its lead by sound alone, at a prompt for a reading."""
    lone_number: float = 0.015
    """Chance that a number of one word was a word of no vocabulary that sounds like it, as 'tree' does, however clear
    its sound: no lead over other words of ours tells of words that are not ours."""
    unheard: float = 0.0005
    """Chance in quiet that what was said is not among what was heard."""
    unheard_noisy: float = 0.004
    """The same in noise."""
    unheard_loud: float = 0.01
    """The same in noise below ``loud_db``."""
    second_hearing: float = 16.0
    """Times as much, for an answer that does not stand on what was heard first."""


@dataclass(frozen=True, slots=True)
class Policy:
    """Weights and thresholds of deciding, in natural log units where nothing else is said.

    The values live in ``grammars/deciding.toml``; these stand in where that file is silent.
    """

    second: float = 0.6
    """Times the log probability by the second opinion, added to the recognizer's score."""
    second_number: float = 1.0
    """The same at a prompt for a reading in noise: there are many numbers and each was said in its training, choices
    and commands are few, and the recognizer's own grammar tells more of them."""
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
    """How far below a beginning the answer must stand that is only a part of it, for the rest to be asked for."""
    both: Sureness = Sureness()
    """Where a second opinion was weighed in."""
    numbers: Sureness = Sureness(trust_noisy=0.5)
    """The same at a prompt for a reading."""
    alone: Sureness = Sureness()
    """Where the recognizer's stands alone."""
    slip: float = 0.002
    """Chance that a line was typed wrong, and sent so."""
    quiet_db: float = 20.0
    """Signal-to-noise ratio in decibels from which it is quiet."""
    loud_db: float = 10.5
    """Signal-to-noise ratio in decibels below which it is loud."""
    asking: float = 5.0
    """Seconds that a question and its yes take."""
    untrue: float = 75.0
    """Seconds that a false answer costs that is judged like the true one: it is found, and put right."""
    misled: float = 450.0
    """Seconds that a false answer costs that is judged otherwise: a fault is passed, a wrong turn taken."""

    def second_at(self, expects: Expects, snr_db: float | None) -> float:
        """How much the second opinion weighs at such a prompt, in such a noise."""
        noisy = snr_db is not None and snr_db < self.quiet_db
        return self.second_number if noisy and expects is Expects.READING else self.second


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
    second: bool = False
    """True when a second opinion is part of the score."""
    own: bool = False
    """True for words that only the second opinion has."""


@dataclass(frozen=True, slots=True)
class Rival:
    """Another meaning of what was heard."""

    lead: float
    """How far it stands behind the best."""
    more: bool
    """True when its words are the best one's and more."""
    alike: bool
    """True when the limits would judge it as they judge the best."""


@dataclass(frozen=True, slots=True)
class Chances:
    """How likely it is that something else was said."""

    wrong: float
    """Anything else."""
    otherwise: float
    """Something that is judged otherwise, or another command or choice."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The best answer among hypotheses, and how sure it is."""

    meant: Understanding
    """What it means, as read from its words alone."""
    first: bool
    """True when it stands on what was heard best, or that means the same, and the recognizer had it too."""
    rivals: tuple[Rival, ...]
    """What else it may have been, the nearest first."""
    lead_sound: float
    """Lead by the score of what was heard alone, over anything else that was heard."""
    below: float
    """How far its words stand below the recognizer's best."""
    lone: bool
    """True for an answer that is only one word, or a command of two."""
    second: bool = False
    """True when a second opinion was weighed in."""


@dataclass(slots=True)
class _Meaning:
    total: float
    sound: float
    best: float
    words: str
    meant: Understanding
    recognized: bool
    """Whether the recognizer had it among its alternatives."""


def candidate(
    hypothesis: Hypothesis, meant: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Candidate:
    """A hypothesis with what deciding needs to know of it."""
    share = 0.0 if meant.outcome in _NO_ANSWER else usual(hypothesis.words, meant, expectation, vocabulary)
    return Candidate(hypothesis.words, hypothesis.score, meant, share, hypothesis.second is not None, hypothesis.own)


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
            meanings[key] = _Meaning(total, sound, total, one.words, one.meant, not one.own)
            continue
        if total > known.best:
            known.best, known.words, known.meant = total, one.words, one.meant
        known.sound = max(known.sound, sound)
        known.recognized = known.recognized or not one.own
        # a command with many names is no likelier for them
        command = one.meant.outcome is Outcome.COMMAND
        known.total = max(known.total, total) if command else _sum(known.total, total)
    if not meanings:
        return None
    ranked = sorted(meanings.values(), key=lambda one: -one.total)
    best, rivals = ranked[0], ranked[1:]
    return Judged(
        meant=best.meant,
        first=best.sound >= 0.0 and best.recognized,
        rivals=tuple(
            Rival(
                best.total - one.total,
                is_part(best.words, one.words),
                _judged_alike(best.meant, one.meant, expectation),
            )
            for one in rivals
        ),
        lead_sound=best.sound - max([unclear, *(rival.sound for rival in rivals)]),
        below=-best.sound,
        lone=len(best.words.split()) <= (_SHORT if best.meant.outcome is Outcome.COMMAND else 1),
        second=any(one.second for one in candidates),
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


def chances(judged: Judged, expects_reading: bool, snr_db: float | None, policy: Policy) -> Chances:
    """How likely it is that something else was said than was judged likeliest."""
    ratio = math.inf if snr_db is None else snr_db
    noisy = ratio < policy.quiet_db
    with_second = policy.numbers if expects_reading else policy.both
    sure = with_second if judged.second else policy.alone
    trust = sure.trust_noisy if noisy else sure.trust
    unheard = sure.unheard_loud if ratio < policy.loud_db else sure.unheard_noisy if noisy else sure.unheard
    if not judged.first:
        unheard *= sure.second_hearing
    alike = otherwise = 0.0
    for rival in judged.rivals:
        odds = math.exp(-trust * (rival.lead - (sure.lost if rival.more else 0.0)))
        if rival.alike:
            alike += odds
        else:
            otherwise += odds
    otherwise += unheard
    if judged.lone and expects_reading:
        otherwise += math.exp(-sure.lone * max(0.0, judged.lead_sound))
        if judged.meant.value is not None:
            otherwise += sure.lone_number
    whole = 1.0 + alike + otherwise
    return Chances((alike + otherwise) / whole, otherwise / whole)


def worth_a_yes(chances: Chances, policy: Policy) -> bool:
    """Whether a mistake would cost more than asking, as far as can be told without a plan."""
    return loss(chances, policy.misled, policy) > policy.asking


def why_doubted(judged: Judged, expects_reading: bool) -> str:
    """A short name for what makes an answer doubtful most."""
    near = judged.rivals[0] if judged.rivals else None
    if near is not None and near.lead < CLEAR:
        return "lost_word" if near.more else "rival"
    if judged.lone and expects_reading and (judged.lead_sound < CLEAR or judged.meant.value is not None):
        return "lone"
    return "noise" if judged.first else "second_hearing"


def loss(chances: Chances, otherwise: float, policy: Policy) -> float:
    """Seconds that are lost on the average by not asking, where an answer judged otherwise costs ``otherwise``."""
    return (chances.wrong - chances.otherwise) * policy.untrue + chances.otherwise * otherwise


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
    told = vocabulary.deciding
    plain = {one.name for one in fields(Policy)} - SURENESS
    sure = {
        kind: Sureness(**{one.name: told[name] for one in fields(Sureness) if (name := f"{kind}_{one.name}") in told})
        for kind in SURENESS
    }
    return Policy(**sure, **{name: value for name, value in told.items() if name in plain})  # type: ignore[arg-type]


def _sum(first: float, second: float) -> float:
    high, low = max(first, second), min(first, second)
    return high + math.log1p(math.exp(low - high))


def is_part(words: str, more: str) -> bool:
    """Whether the words are the other ones with some left out."""
    rest = iter(more.split())
    return len(words) < len(more) and all(word in rest for word in words.split())
