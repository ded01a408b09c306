"""Which choice free words are like, where the rules know none or only half: 'I can rock it a good bit' is loose.

What people say of a plug or a bearing is endless; between the two or three choices of one question it is not. Words
are taken at once only where hardly another choice is possible, no rule saw a reason against them, and they are like
telling what something looks like or does; else the likeliest choice is asked about by its name.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.intents.features import words_in
from assistant.intents.sayings import Beside
from assistant.messages import Command, Expectation, Expects, Outcome, PromptKind, Report, Understanding
from assistant.numerals.tokenizer import NUMBER_KINDS, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choosing.asserted import asserted, of_now, only_denied, tells_nothing, told_undenied
from assistant.understanding.choosing.choices import beside_own_work, forms_of, normal
from assistant.understanding.clauses.clause import Role
from assistant.understanding.guessing import ACTS as BESIDE
from assistant.understanding.guessing import margin_of

TAKES = 0.985
"""Share of a choice among its question's from which it is taken: with a writer left out, 99 of 100 are right."""
ASKS = 0.5
"""Share from which it is asked about by its name: with a writer left out, nine of ten are right."""
TELLS = 0.9
"""Share from which words are an answer that are like a report as well: 'it went out' where the light is asked for."""
AGAINST = 0.8
"""Share from which another choice than the rules found is named beside theirs."""
LOOKS = 0.5
"""How far 'it tells what something looks like' must stand before talk to somebody else, for words to be taken."""
_OPEN = frozenset({"leftover", "close", "", "two_meanings", Role.NEGATION.value, Role.TALK.value, Role.EARLIER.value})
"""Reasons for which the rules found no answer, or half of one, that words may be one all the same."""
_PLAIN = frozenset({"leftover", "close", ""})
"""Those of them that say nothing against the words."""
_MAY_ANSWER = frozenset({
    Report.LIGHT_OUT.value, Report.LIGHT_ON.value, Report.REPLACED.value, Report.STUCK.value, Report.WORKING.value,
    Report.NO_TOOL.value, Report.FOUND.value, Report.PARTS.value, Report.OUT_OF_REACH.value, Command.YES.value,
    Command.NO.value, Beside.DONE.value, Beside.NOT_DONE.value,
})  # fmt: skip
"""What words may be like that answer a question with choices all the same."""
_LOOKS = frozenset({Beside.LOOK.value, Beside.READING.value})


def likely_choice(
    text: str, found: Understanding, expectation: Expectation, vocabulary: Vocabulary
) -> Understanding | None:
    """The choice that words are like, taken or asked about; None where the rules stand, or nothing stands out.

    Args:
        text: what was said.
        found: what the rules made of it.
        expectation: what the prompt waits for.
        vocabulary: the compiled grammars.
    """
    answers, prompt = vocabulary.answers, expectation.prompt
    if answers is None or expectation.expects is not Expects.CHOICE or prompt.overlaid is not None or not prompt.name:
        return None
    if not _open(found, text, expectation) or "?" in text or _measured(text, expectation, vocabulary):
        return None
    best, share = _likeliest(text, answers.shares(prompt.name, expectation.choices, _so(text)), expectation)
    if best is None or not answers.known_words(prompt.name, expectation.choices, text):
        return None
    beside, ahead, looks = _beside(text, expectation, vocabulary)
    if beside not in _LOOKS and ahead >= BESIDE and not (beside in _MAY_ANSWER and share >= TELLS):
        return None
    if found.outcome is Outcome.REPORT and share < TELLS:
        return None
    named = _named_otherwise(text, best, found, expectation)
    if named:
        # another one that the rules found gives way only to what is surer than it
        return _which(text, best, *named) if share >= (ASKS if found.choice is None else AGAINST) else None
    if found.choice is not None:
        if not found.confirm or found.reason != "leftover" or prompt.kind is not PromptKind.CHECK:
            return None
    elif share < (TELLS if found.reason == Role.NEGATION.value else ASKS):
        return None
    sure = share >= TAKES and looks and found.reason in _PLAIN and prompt.kind is PromptKind.CHECK
    if sure and found.outcome is not Outcome.REPORT and of_now(words_in(text)):
        return Understanding(Outcome.CHOICE, text, choice=best, chance=round(1 - share, 3))
    if found.choice is not None:
        return None
    ask = clarifications.which_name(best)
    return Understanding(Outcome.CHOICE, text, choice=best, confirm=True, ask=ask, reason="leftover")


_METERED = frozenset({"voltage", "resistance", "current"})
"""What a meter shows, and no look at a part does."""


def _measured(text: str, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether a meter's figure is told where no choice is called by one: 'three hundredths of a volt' is not firm."""
    items = scan(text.lower(), vocabulary)
    numbers = any(item.kind in NUMBER_KINDS and item.kind not in "XA" for item in items)
    units = (vocabulary.unit(str(item.value)) for item in items if item.kind == Kind.UNIT)
    if not numbers or not any(unit is not None and unit.dimension in _METERED for unit in units):
        return False
    forms = (form for choice in expectation.choices for form in forms_of(choice))
    figures = (item for form in forms for item in scan(form, vocabulary) if item.kind in NUMBER_KINDS - set("XA"))
    return all(item.text == "zero" for item in figures)


def _named_otherwise(text: str, best: str, found: Understanding, expectation: Expectation) -> tuple[str, ...]:
    """Other choices than the likeliest: the one that the rules found, or those of whom a word is told undenied."""
    if found.choice is not None:
        return (found.choice,) if found.choice != best else ()
    return tuple(one.name for one in expectation.choices if one.name != best and told_undenied(text, one))[:2]


def _likeliest(text: str, shares: Mapping[str, float], expectation: Expectation) -> tuple[str | None, float]:
    """The choice with the largest share, and its part of all; None where the words tell nothing of it."""
    best = next(iter(shares), None)
    chosen = next((choice for choice in expectation.choices if choice.name == best), None)
    if best is None or (chosen is not None and (tells_nothing(text, chosen) or only_denied(text, chosen))):
        return None, 0.0
    return best, shares[best] / sum(shares.values())


def _so(text: str) -> str:
    """What is said to be so; all of it where nothing is supposed or asked beside it."""
    said = " ".join(word for words in asserted(text) for word in words)
    return said if said and said != normal(text) else text


def _open(found: Understanding, text: str, expectation: Expectation) -> bool:
    """Whether the rules leave open what was answered; a choice in its own words they do not."""
    if found.choice is None and not beside_own_work(text).strip(" ,.!"):
        return False  # 'I moved the lead' tells of no code that moved
    if found.outcome is Outcome.REPORT:
        return str(found.report) in _MAY_ANSWER
    if found.outcome is Outcome.CHOICE and not found.confirm:
        said = normal(text)
        return all(said not in forms_of(choice) for choice in expectation.choices)
    return found.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE, Outcome.CHOICE) and found.reason in _OPEN


def _beside(text: str, expectation: Expectation, vocabulary: Vocabulary) -> tuple[str, float, bool]:
    """What words are like beside answers, how far that stands before all else, and whether they tell a look."""
    if vocabulary.second_opinion is None:
        return Beside.LOOK.value, 0.0, False
    shares = vocabulary.second_opinion.shares(text)
    looks = shares.get(Beside.LOOK, 0.0) - shares.get(Beside.CHAT, 0.0) >= LOOKS
    return next(iter(shares)), margin_of(shares, expectation), looks


def _which(text: str, *names: str) -> Understanding:
    return Understanding(Outcome.CHOOSE, text, ask=clarifications.which_name(*names), reason="two_meanings")
