"""One answer among several: exact forms first, then the closest with a margin; close rivals are asked about."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from rapidfuzz import fuzz

from assistant.messages import Choice, Expectation, Outcome, PromptKind, Understanding
from assistant.numerals.readback import spell_whole
from assistant.numerals.tokenizer import NUMBER_KINDS, UNKNOWN, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choosing.of_a_light import of_a_light
from assistant.understanding.choosing.spotted_choices import ALL, OTHERS, spotted
from assistant.understanding.clauses.clause import Role
from assistant.understanding.commands import command_of

_ACCEPT = 86.0
_ASK = 70.0
_MARGIN = 12.0
_SHORT = 2
"""Words of texts that are compared word by word: of longer ones a wrong word is asked about."""
_SAME_WORD = 60.0
"""Two words that are less alike are no slip of one another."""
_UNFINISHED = re.compile(
    r"\bso far\b|\b(?:haven't|hasn't|ain't|not|isn't|aren't|didn't|i'm)\b[^.;!?]*"
    r"\b(?:yet|all the way|finished|done with)\b"
    r"|\b(?:only|just)(?: \w+)? (?:half|part|some) of\b|\b(?:half ?way|part ?way)\b"
    r"|\bstill (?:looking|checking|turning|going|at it)\b"
    r"|\bto (?:check|look at|go) (?:yet|still)\b",
    re.IGNORECASE,
)
"""Words that say that the look is not over: 'haven't gone all the way around yet, so far even'."""
_OWN_WORK = re.compile(
    r"\b(?:i|we|i've|we've|just|i'm|we're|gotta|have to|had to|let me|lemme) (?:just |already )?"
    r"(?:mov|chang|switch|swap|clean|clear|hook|unplug|plug|wiggl|jump|turn|pull|push|cut|stick|stuck|put)\w* "
    r"(?:the|my|that|this|these|those|a|one|over)\b(?: \w+){0,2}? "
    r"(?:leads?|probes?|clips?|meter|tips?|light|lamp|creeper|jack|stands?|hands?|gloves?|cart|tools?|truck|trailer)\b",
    re.IGNORECASE,
)
"""What somebody did to what he works with: 'I moved the lead' tells of no code that moved."""


def understand_choice(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """Which of the prompt's choices was meant, or which command; one named beside a light waits for a yes."""
    found = _understood(text, expectation, vocabulary)
    if found.choice is None or (found.confirm and _OWN_WORK.search(text) is None):
        return found
    plain = _is_form(text, expectation.choices)
    if not plain and _OWN_WORK.search(text) is not None:
        beside = _understood(beside_own_work(text), expectation, vocabulary)
        if beside.choice is None:
            return _unknown(text, expectation.choices)
        return replace(
            beside, heard=text, confirm=True, ask=clarifications.which_name(beside.choice), reason="leftover"
        )
    unfinished = not plain and _UNFINISHED.search(text) is not None
    if not unfinished and not of_a_light(text, found.choice, expectation.choices):
        return found
    return replace(found, confirm=True, ask=clarifications.which_name(found.choice), reason="leftover")


def beside_own_work(text: str) -> str:
    """The words beside those for what somebody did to what he works with."""
    return _OWN_WORK.sub(" ", text)


def _is_form(text: str, choices: Sequence[Choice]) -> bool:
    said = normal(text)
    return any(said in forms_of(choice) for choice in choices)


def _understood(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    choices = expectation.choices
    text = _figures_spelled(text, choices)
    said = normal(text)
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
    if items and all(item.kind in NUMBER_KINDS for item in items if item.kind not in (Kind.CARRIER, Kind.FILLER)):
        return command or _unknown(text, choices)  # 'just the one' is not nearly 'none'
    found = _closest(text, core or said, choices)
    if found.outcome is Outcome.NOT_UNDERSTOOD and command:
        return command
    return found


_FIGURE = re.compile(r"(?<![\d.,/])(\d{1,2})(?:s|'s)?\b(?![.,/]\d)")


def _figures_spelled(text: str, choices: Sequence[Choice]) -> str:
    """The text with figures in words where a choice is called so: '30' is 'thirty'."""
    forms = {form for choice in choices for form in forms_of(choice)} if _FIGURE.search(text) else set()

    def spelled(found: re.Match[str]) -> str:
        words = spell_whole(int(found.group(1))).replace("-", " ")
        return words if words in forms else found.group()

    return _FIGURE.sub(spelled, text)


def bare(form: str, vocabulary: Vocabulary) -> str:
    """A form without the words that may stand around an answer."""
    items = scan(form, vocabulary)
    return normal(" ".join(item.text for item in items if item.kind not in (Kind.CARRIER, Kind.FILLER)))


@lru_cache(maxsize=8192)
def normal(text: str) -> str:
    """Lower case, single spaces, no punctuation."""
    kept = "".join(mark if mark.isalnum() or mark in "'[]" else " " for mark in text.lower())
    return " ".join(kept.split())


def forms_of(choice: Choice) -> set[str]:
    """Every way to say a choice."""
    return {normal(form) for form in (choice.name, *choice.also)}


def _closest(text: str, said: str, choices: Sequence[Choice]) -> Understanding:
    scored = sorted(
        ((max(_likeness(said, form) for form in forms_of(choice)), choice) for choice in choices),
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


def _likeness(said: str, form: str) -> float:
    """How alike two texts are, in percent; 0 where a word stands for one of other letters, or all is not all of them.

    'Right front' has most letters of 'right off', and names a wheel.
    """
    if not OTHERS.isdisjoint(said.split()):  # 'everything else works' is not all; 'the other one' is asked about
        return 0.0 if ALL.intersection(form.split()) else fuzz.ratio(said, form)
    pairs = list(zip(said.split(), form.split(), strict=False))
    if (
        len(said.split()) == len(form.split()) == _SHORT
        and min(fuzz.ratio(one, other) for one, other in pairs) < _SAME_WORD
    ):
        return 0.0
    return fuzz.ratio(said, form)


def _chosen(text: str, name: str) -> Understanding:
    return Understanding(Outcome.CHOICE, text, choice=name)


def _ask(text: str, choices: Sequence[Choice]) -> Understanding:
    ask = clarifications.which_name(*(choice.name for choice in choices[:3]))
    return Understanding(Outcome.CHOOSE, text, ask=ask, reason="two_meanings")


def _unknown(text: str, choices: Sequence[Choice]) -> Understanding:
    return Understanding(Outcome.NOT_UNDERSTOOD, text, ask=clarifications.one_of(choices), reason="leftover")


_DENYING = frozenset({
    "no", "not", "none", "never", "nothing", "neither", "nobody", "nor", "without", "hardly", "barely", "if", "would",
    "should", "could", "might", "supposed", "whether", "unless", "until", "before", "except", "only",
    "cannot", "stopped", "quit", "used", "what", "what's", "why", "how", "which", "who", "where", "did", "does",
})  # fmt: skip
"""Words beside which what happened may not have happened, or happened some other time."""
_TO_A_THING = frozenset({"the", "a", "an", "it", "that", "this", "those", "them", "my", "out"})
"""Behind a word, what somebody did: 'changed the bulb'."""
_FEWEST_LETTERS = 4
_MOST_WORDS = 9
"""With more of them it was a story."""


def in_another_form(text: str, choices: Sequence[Choice]) -> Understanding | None:
    """The one choice whose word stands in a text in another form: 'changed when I wiggled it' for 'change'.

    It is for words that nothing else explains, and never counts without a yes. None where no choice or several are
    named, and where something is denied, asked or supposed.
    """
    words = normal(text).split()
    if "?" in text or len(words) > _MOST_WORDS or any(word in _DENYING or word.endswith("n't") for word in words):
        return None
    done = {word for word, behind in pairwise(words) if behind in _TO_A_THING}
    done |= ALL if not OTHERS.isdisjoint(words) else set()
    said = {stem for word in words if word not in done for stem in stems_of(word)}
    found = [
        choice
        for choice in choices
        if any(" " not in form and not said.isdisjoint(stems_of(form)) for form in forms_of(choice))
    ]
    if len(found) != 1:
        return None
    ask = clarifications.which_name(found[0].name)
    return Understanding(Outcome.CHOICE, text, choice=found[0].name, confirm=True, ask=ask, reason="leftover")


@lru_cache(maxsize=8192)
def stems_of(word: str) -> frozenset[str]:
    """What a word may be a form of: 'changed' of 'change', 'flickering' of 'flicker'; no stem is very short."""
    found = {word}
    for ending in ("s", "es", "d", "ed", "ing"):
        stem = word.removesuffix(ending)
        if stem != word:
            found |= {stem, f"{stem}e"} if ending == "ing" else {stem}
            if ending in ("ed", "ing") and stem[-1:] == stem[-2:-1]:
                found.add(stem[:-1])
            if ending in ("es", "ed") and stem.endswith("i"):
                found.add(f"{stem[:-1]}y")
    return frozenset(stem for stem in found if len(stem) >= _FEWEST_LETTERS)
