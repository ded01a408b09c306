"""A reading and a question in one breath: 'six eighty-two, how low can she go before you'd toss it'.

What was said is divided where a question may begin or end. One part asks, by a form or by what it is like; the other
one reads as it would alone. So the words of the question never make the reading doubtful, and the
reading never hides the question.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from assistant.intents.sayings import Beside
from assistant.messages import About, Clarification, Command, Expectation, Expects, Outcome, Understanding
from assistant.numerals.tokenizer import NUMBER_KINDS, scan
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.clauses.parts import SHOWN, parts_of
from assistant.understanding.guessing import ACTS, OVERRULES, margin_of
from assistant.understanding.patterns import words_of
from assistant.understanding.place_names import place_in
from assistant.understanding.respelling import respelled
from assistant.understanding.talk import question_of
from assistant.understanding.utterance import answer_of
from assistant.understanding.values.offered import offered_reading
from assistant.understanding.values.readings import BY_COST

_READ = frozenset({Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.RANGE})
_OPEN = _READ | {Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE, Outcome.INCOMPLETE, Outcome.QUESTION}
"""Outcomes of the whole beside which a question may stand, or in which it hides a reading."""
_BEGINS = frozenset({
    "and", "so", "is", "are", "was", "what", "what's", "whats", "how", "hw", "how's", "which", "where", "where's",
    "why", "why're", "when", "who", "who's", "that", "that's", "this", "does", "do", "did", "can", "will", "would",
    "should", "am", "we", "you", "but", "has", "have", "any", "anybody", "anyone", "hey", "how'd", "what'd", "ain't",
    "isn't", "could", "por", "que", "qué", "y", "no", "es", "cual", "cuál", "tell", "remind",
})  # fmt: skip
"""Words with which a question may begin behind a reading."""
_ASKS = frozenset({"has", "have", "is", "are", "was", "did", "does", "do", "would", "can", "could", "should", "will"})
"""Words that make of all that stands behind them a question, and no reading."""
_ASKS_WITH_A_NUMBER = frozenset({"is", "are", "does", "do", "would", "should", "what", "how"})
"""Words that begin a question which holds a number: 'is that good or does it have to be twelve hundred'."""
_AS_ASKED = {
    Beside.WHAT_NEXT.value: About.NEXT, Beside.DONE_SO_FAR.value: About.DONE, Command.WHATS_LEFT.value: About.LEFT,
}  # fmt: skip
"""Intents that are served by a question of another name."""
_ASKED = frozenset({*(one.value for one in About), *_AS_ASKED}) - {About.MEANING.value}
_SAID_OF_ANYTHING = (About.NEXT, About.LAST)
"""Questions whose words stand in much else: 'is that what you were after'."""
_FEWEST = 2
"""Words of a question that is only like one."""
_LONGEST = 40
_STOPS = ",.;:?!"
_NO_NUMBERS = frozenset({"one", "ones", "two", "a", "an", "first", "second", "half", "oh"})


def with_question(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """The reading with what is asked beside it; None where there are not both.

    It counts at once where it would alone and a stop stands between the two, or the rules read the same; else it
    waits for a yes.
    """
    if expectation.expects is not Expects.READING or expectation.prompt.overlaid is not None:
        return None
    if found.outcome not in _OPEN or (found.outcome in _READ and found.about is not None):
        return None
    if len(text.split()) > _LONGEST or not _shows(text, expectation, vocabulary):
        return None
    best: Understanding | None = None
    for words, rest, stops in _divisions(text):
        if not words or words.split()[0].lower() in _ASKS or not _shows(words, expectation, vocabulary):
            continue
        asked = _asked(rest, expectation, vocabulary)
        if asked is None:
            continue
        answer = answer_of(words, expectation, vocabulary)
        plain = answer.outcome in _READ and (not answer.confirm or answer.reason in BY_COST)
        if not plain:
            answer = offered_reading(words, answer, expectation, vocabulary)
            if answer.outcome not in _READ:
                continue
        about, place, sure = asked
        both = replace(answer, heard=text, about=about, place=place, said_at=None)
        same = found.outcome is answer.outcome and found.value == answer.value and not found.confirm
        if plain and (same or (stops and sure and about not in _SAID_OF_ANYTHING)):
            return both
        if best is None:
            ask = answer.ask or _is_it(answer, expectation)
            best = replace(both, confirm=True, ask=ask, reason=answer.reason or "leftover")
    return best


def _is_it(answer: Understanding, expectation: Expectation) -> Clarification:
    if answer.value is not None:
        return clarifications.right(answer.value, expectation.unit)
    return clarifications.OVER_RANGE if answer.outcome is Outcome.OVER_RANGE else clarifications.IS_IT_RIGHT


def _asked(rest: str, expectation: Expectation, vocabulary: Vocabulary) -> tuple[About, str | None, bool] | None:
    """What words ask for, the place that they name, and whether that is sure; None where they ask nothing known."""
    said = rest.strip(" ,.;:!")
    counts = _numbered(said, vocabulary)
    if not counts:
        known = question_of(said, expectation, vocabulary)
        if known is not None and known.about is not None:
            return known.about, known.place, True
    opinion = vocabulary.second_opinion
    words = words_of(said)
    asks = "?" in rest or (bool(words) and words[0] in _ASKS_WITH_A_NUMBER)
    if opinion is None or len(words) < _FEWEST or (counts and not asks):
        return None
    shares = opinion.shares(respelled(said, expectation, vocabulary) or said)
    best, ahead = next(iter(shares)), margin_of(shares, expectation)
    if best not in _ASKED or ahead < (OVERRULES if counts else ACTS):
        return None
    place, _ = place_in(words, expectation.places)
    about = _AS_ASKED.get(best) or About(best)
    if about is About.AT_PLACE and place is None:
        return None
    return about, place, ahead >= OVERRULES


def _divisions(text: str) -> Iterator[tuple[str, str, bool]]:
    """Ways to divide what was said: what may be the reading, what may ask, and whether a stop stands between."""
    tokens = text.split()
    for at in range(1, len(tokens)):
        stops = tokens[at - 1][-1] in _STOPS
        if not stops and tokens[at].lower().strip("'¿,") not in _BEGINS:
            continue
        before, after = " ".join(tokens[:at]), " ".join(tokens[at:])
        yield before.rstrip(" ,.;:"), after, stops
        if stops:
            yield after, before, True


def _shows(text: str, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether a number, or words for what a meter shows, stand in a text."""
    unit = vocabulary.unit(expectation.unit)
    items = scan(text, vocabulary, unit.dimension if unit else "")
    return _numbered(text, vocabulary) or any(part.role in SHOWN for part in parts_of(text, items, vocabulary))


def _numbered(text: str, vocabulary: Vocabulary) -> bool:
    return any(
        item.kind in NUMBER_KINDS and item.kind not in "XASPhM" and item.text not in _NO_NUMBERS
        for item in scan(text.lower(), vocabulary)
    )
