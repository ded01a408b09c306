"""A choice inside free talk: 'looks green', 'yeah it's cut', 'supposed to be clean but it's green'.

The names of the choices are found first, so that none of their words is taken for a role ('no pattern', 'on the
dash'). What stands around them decides as it does for readings: a choice counts silently only when every other word
has a role, and what should be, what was, what is not and what is asked is no answer.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from assistant.messages import Ask, Choice, Clarification, Outcome, Understanding
from assistant.numerals.tokenizer import UNKNOWN, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.clauses.clause import Clause, Role, Spoken
from assistant.understanding.clauses.parts import MASK, NAMED, NUMBER, PAUSE, Part
from assistant.understanding.clauses.spoken import spoken

_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
_MOST_LEFT_OVER = 5
"""Words without a role beside a choice: with more of them it was no answer."""
_SILENT = frozenset({
    NAMED, PAUSE, "lead", "filler", "tail", "asking_tail", "circumstance", "exact", "but", "now", "vague", "moving",
    "correction", "numbered", Kind.BETWEEN, Kind.TO, Kind.ABOVE, Kind.BELOW, Kind.REPAIR,
})  # fmt: skip
_DOING = frozenset({
    "i'll", "we'll", "he'll", "she'll", "you'll", "going", "gonna", "let's", "cleaned", "cleaning", "adjusted",
    "adjustment", "adjusting", "removed", "installed", "replaced", "fixed", "fixing",
})  # fmt: skip
"""Words of something that was or will be done: the choice beside them may be what was done away with."""
_UNSURE = frozenset(
    {
        "maybe",
        "perhaps",
        "possibly",
        "probably",
        "not quite",
        "something like",
        "could be",
        "might be",
        "may be",
        "almost",
        "nearly",
        "mostly",
        "barely",
    }
)
_NO_CHOICE = frozenset({"question", "talk", "unreal", "negation", "expectation", "earlier", "other_place"})


def spotted(
    text: str, choices: Sequence[Choice], vocabulary: Vocabulary, *, anywhere: bool = False
) -> tuple[Understanding | None, Spoken]:
    """The choice that an utterance holds among other words, or why it answers nothing; None when it names none.

    ``anywhere`` where the whole unit is asked about: a place that is named there is no other place.
    """
    masked, names, worded = _masked(text, choices)
    said = spoken(masked, scan(masked, vocabulary), vocabulary)
    if anywhere:
        _everywhere(said)
    parts = [part for clause in said.clauses for part in clause.parts]
    if not names or any(part.kind == UNKNOWN for part in parts):
        return None, said
    parts = _without(masked, said, parts, worded)
    aside = _placed(said)
    if (said.refused in _NO_CHOICE and not aside) or _denied(parts):
        reason = said.refused if said.refused in _NO_CHOICE else "negation"
        return _refused(text, reason, _named(parts, names), choices), said
    if _asks_of_all(text, parts, worded):
        return _refused(text, Role.QUESTION.value, _named(parts, names), choices), said
    if _EXCEPTED.search(text):
        return Understanding(
            Outcome.NOT_UNDERSTOOD, text, ask=clarifications.one_of(choices), reason=Role.NEGATION.value
        ), said
    told = (Role.ANSWER, Role.CIRCUMSTANCE, *((Role.OTHER_PLACE,) if aside else ()))
    answers = [clause for clause in said.clauses if clause.role in told]
    # 'green no corroded' puts right or denies: without a pause behind the 'no' nobody can tell
    found = _named(parts, names) if _no_before_name(masked, parts) else _told(answers, names)
    if len(found) != 1:
        asked = clarifications.which_name(*found[:3]) if found else clarifications.one_of(choices)
        outcome = Outcome.CHOOSE if found else Outcome.NOT_UNDERSTOOD
        return Understanding(outcome, text, ask=asked, reason="two_meanings" if found else "leftover"), said
    left = [part.text for clause in answers for part in clause.parts if not _explained(part)]
    left += [part.text for clause in answers for part in clause.parts[:1] if _ordered(clause)]
    if aside:
        left.append("place")
    left += _of_another(answers, found[0], choices)
    if len(left) > _MOST_LEFT_OVER:
        return None, said
    unsure = any(part.text in _UNSURE for part in parts)
    said.left_over = left
    if not left and not said.doubt and not unsure:
        return Understanding(Outcome.CHOICE, text, choice=found[0]), said
    ask = clarifications.which_name(found[0])
    reason = said.doubt or ("leftover" if left else "approximate")
    return Understanding(Outcome.CHOICE, text, choice=found[0], confirm=True, ask=ask, reason=reason), said


_UNITS = frozenset({"trailer", "tractor", "truck", "dolly", "lead", "rearmost", "last", "first"})
"""Words of names of choices that tell of which unit they are."""


def _of_another(answers: Sequence[Clause], found: str, choices: Sequence[Choice]) -> list[str]:
    """'The truck's went off, the trailer's is still there': a unit that only another choice names is told about."""
    names = {one.name: {word for form in (one.name, *one.also) for word in _words_of(form)} for one in choices}
    others = set[str]().union(*(words for name, words in names.items() if name != found)) - names[found]
    said = {word.removesuffix("'s") for clause in answers for part in clause.parts for word in part.text.split()}
    return sorted(said & others & _UNITS)


def _placed(said: Spoken) -> bool:
    """'Rubbed through on the left side of the frame': where on this part it is, or another place; a yes tells."""
    elsewhere = [clause for clause in said.clauses if clause.role is Role.OTHER_PLACE]
    return said.refused == Role.OTHER_PLACE.value and not any(clause.has("other_place") for clause in elsewhere)


def _everywhere(said: Spoken) -> None:
    """A place where the whole unit is asked about says nothing else."""
    for clause in said.clauses:
        clause.parts = [
            part._replace(role="circumstance") if part.role in ("place", "other_place") else part
            for part in clause.parts
        ]
        if clause.role is Role.OTHER_PLACE:
            clause.role = Role.ANSWER
    if said.refused == Role.OTHER_PLACE.value:
        said.refused = ""
    if said.doubt in ("place", Role.OTHER_PLACE.value):
        said.doubt = ""


def _masked(
    text: str, choices: Sequence[Choice]
) -> tuple[str, dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]:
    """The text with each name of a choice replaced by a word of its own; which choices that is for, and its words."""
    tokens = [(found.group().lower().replace("’", "'"), found.start(), found.end()) for found in _WORD.finditer(text)]
    forms = sorted(
        ((_words_of(form), choice.name) for choice in choices for form in (choice.name, *choice.also)),
        key=lambda form: -len(form[0]),
    )
    beginning: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    for words, name in forms:
        if words:
            beginning.setdefault(_stem(words[0]), []).append((words, name))
    names: dict[str, tuple[str, ...]] = {}
    worded: dict[str, tuple[str, ...]] = {}
    masked, at, done = "", 0, 0
    while at < len(tokens):
        near = beginning.get(_stem(tokens[at][0]), ())
        fitting = [(words, name) for words, name in near if _fits(tokens, at, words)]
        fitting = [one for one in fitting if not _of_the_others(tokens, at, one, choices)]
        if fitting and tokens[at][0] == "no" and text[tokens[at][2] : tokens[at + 1][1]].strip():
            fitting = []  # 'firm no, play' puts right: 'no play' is not said
        if not fitting or ((names or tokens[at][0] == "clean") and _by_degree(tokens, at, len(fitting[0][0]))):
            at += 1
            continue
        size = len(fitting[0][0])
        if fitting[0][0][0] == "not" and _reaches_further(tokens, at, size, forms):
            at += 1  # 'not charging light': 'charging light' is denied, although 'not charging' is a name too
            continue
        word = f"{MASK}{chr(ord('a') + len(names))}"
        names[word] = tuple(dict.fromkeys(name for words, name in fitting if len(words) == size))
        worded[word] = tuple(token for token, _, _ in tokens[at : at + size])
        masked += text[done : tokens[at][1]] + word
        done = tokens[at + size - 1][2]
        at += size
    return masked + text[done:], names, worded


ALL = frozenset({"all", "every", "everything", "both", "each"})
OTHERS = frozenset({"else", "other", "others", "rest", "remaining"})
_WORKS = frozenset({"work", "works", "working", "fine", "good", "ok", "okay", "bright"})


def _of_the_others(
    tokens: Sequence[tuple[str, int, int]], at: int, form: tuple[tuple[str, ...], str], choices: Sequence[Choice]
) -> bool:
    """'Everything else works', 'all the other lights work': told of what is not asked about, or not so at all."""
    words, name = form
    if words[0] not in ALL:
        return False
    behind = [token for token, _, _ in tokens[at + 1 : at + 5] if token not in ("of", "the")]
    if behind and behind[0] in OTHERS:
        return True
    after = tokens[at + len(words)][0] if at + len(words) < len(tokens) else ""
    told = {word for one in choices if one.name == name for said in (one.name, *one.also) for word in _words_of(said)}
    return after in _WORKS and not _WORKS & told


def _by_degree(tokens: Sequence[tuple[str, int, int]], at: int, size: int) -> bool:
    """'Chewed up pretty good': how much, and no choice of its own."""
    behind = tokens[at + 1][0] if at + 1 < len(tokens) else ""
    through = tokens[at][0] == "clean" and behind in ("off", "through", "out", "in", "apart", "across")
    degree = tokens[at][0] in ("good", "bad") and tokens[at - 1][0] in ("pretty", "real", "really")
    return size == 1 and (degree or through)


def _reaches_further(
    tokens: Sequence[tuple[str, int, int]], at: int, size: int, forms: Sequence[tuple[tuple[str, ...], str]]
) -> bool:
    """Whether a name that begins behind the 'not' ends behind the name that begins with it."""
    return any(len(words) >= size and _fits(tokens, at + 1, words) for words, _ in forms)


_WHO = frozenset({"it", "they", "he", "she", "there"})
_ASKING = frozenset(
    {"is", "are", "was", "were", "does", "do", "did", "can", "will", "should", "would", "has", "have"}
)


_EXCEPTED = re.compile(
    r"\b(?:all|every\w*|each|both|they|they're)\b.*?"
    r"\b(?:but|except|excepting|besides|other than|apart from|minus|save)\b"
    r"\W+(?:for\W+)?(?:the|one|two|three|a|an|that|this|my|left|right)\b",
    re.IGNORECASE,
)
"""'All lit but one': all of them is what it is not."""
_OF_ALL = frozenset({"all", "everything", "every", "both", "each", "they", "they're", "everything's"})
_NONE_OF = frozenset({"nothing", "without", "without any"})
"""Words that deny every name behind them."""
_NOUNS = frozenset({
    "rust", "corrosion", "damage", "crack", "cracks", "cut", "cuts", "chafing", "play", "slop", "wobble", "movement",
    "dirt", "water", "break", "breaks", "drag", "leak", "leaks", "looseness", "wear", "burn", "burns", "green stuff",
    "pinch", "nicks", "teeth missing", "missing teeth", "broken teeth", "bent pins", "loose pins",
})  # fmt: skip
"""Things of which there are some or none: a 'no' before one denies it, before 'corroded' it may put right."""


def _asks_of_all(text: str, parts: Sequence[Part], worded: dict[str, tuple[str, ...]]) -> bool:
    """'Is everything lit', 'are they all lit': asked, where the same words without the first one tell it."""
    first = text.lower().split()[0] if text.split() else ""
    named = next((part for part in parts if part.role == NAMED), None)
    if first not in ("is", "are", "do", "does", "did", "were", "was") or named is None:
        return False
    before = [part.text for part in parts[: parts.index(named)]]
    said = [word for words in (*before, " ".join(worded[named.text])) for word in words.split()]
    return len(said) > 1 and said[1] in _OF_ALL and (first != "is" or said[1] != "all")


def _without(masked: str, said: Spoken, parts: list[Part], worded: dict[str, tuple[str, ...]]) -> list[Part]:
    """'All clean, no corrosion': what there is none of is not chosen, where another choice is."""
    names = [(at, part) for at, part in enumerate(parts) if part.role == NAMED]
    denied = {part.start for at, part in names if _none_of(masked, parts, at, worded)}
    if len(denied) in (0, len(names)):
        return parts
    for clause in said.clauses:
        kept: list[Part] = []
        for part in clause.parts:
            if part.start in denied:
                while kept and (kept[-1].role in ("lead", "vague") or _denies(kept[-1])):
                    stop = _denies(kept[-1])
                    kept.pop()
                    if stop:
                        break
                kept.append(part._replace(role="tail"))
            else:
                kept.append(part)
        clause.parts = kept
    return [part for clause in said.clauses for part in clause.parts]


def _denies(part: Part) -> bool:
    return part.text in _NONE_OF or part.text in ("no", "zero")


def _none_of(masked: str, parts: Sequence[Part], at: int, worded: dict[str, tuple[str, ...]]) -> bool:
    """Whether the name there is said to be of nothing: 'no corrosion', 'nothing of rust', 'without cuts'."""
    before = at - 1
    while before > 0 and parts[before].role == "lead":
        before -= 1
    if before < 0 or not _denies(parts[before]) or masked[parts[before].end : parts[before + 1].start].strip():
        return False
    return parts[before].text in _NONE_OF or " ".join(worded[parts[at].text]) in _NOUNS


_BEFORE = frozenset({"so", "and", "well", "okay", "ok", "now", "hey", "but", "wait", "uh", "um", "or", "then"})
"""Words before a question."""


def _fits(tokens: Sequence[tuple[str, int, int]], at: int, words: tuple[str, ...]) -> bool:
    if not words or at + len(words) > len(tokens):
        return False
    begins = at == 1 or (at > 1 and tokens[at - 2][0] in _BEFORE)
    if begins and words[0] in _WHO and tokens[at - 1][0] in _ASKING:
        return False  # 'is it lights?' asks; the choice 'it lights' is not named by it
    return all(_stem(tokens[at + place][0]) == _stem(word) for place, word in enumerate(words))


@lru_cache(maxsize=8192)
def _words_of(form: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(form.lower()))


@lru_cache(maxsize=8192)
def _stem(word: str) -> str:
    """Without the 's of 'it's' and the s of several: 'bent pins' is 'bent pin'."""
    word = word.removesuffix("'s")
    return word[:-1] if len(word) > 4 and word.endswith("s") and not word.endswith("ss") else word


def _named(parts: Sequence[Part], names: dict[str, tuple[str, ...]]) -> list[str]:
    return list(dict.fromkeys(name for part in parts if part.role == NAMED for name in names.get(part.text, ())))


def _denied(parts: Sequence[Part]) -> bool:
    """'no corrosion': a no right before the name, and no other clause that names one."""
    marks = [
        at
        for at, part in enumerate(parts[:-1])
        if (part.text in _NONE_OF or (part.role == Kind.COMMAND and part.text in ("no", "zero")))
        and parts[at + 1].role == NAMED
    ]
    return bool(marks) and sum(part.role == NAMED for part in parts) == len(marks)


def _no_before_name(masked: str, parts: Sequence[Part]) -> bool:
    return any(
        part.text in ("no", "nope")
        and parts[at + 1].role == NAMED
        and not masked[part.end : parts[at + 1].start].strip()
        for at, part in enumerate(parts[:-1])
    )


def _told(answers: Sequence[Clause], names: dict[str, tuple[str, ...]]) -> list[str]:
    """The choices that the answers name; behind a correction only the last one."""
    parts = [part for clause in answers for part in clause.parts]
    places = [at for at, part in enumerate(parts) if part.role == NAMED]
    corrected = [
        at
        for at, part in enumerate(parts)
        if part.role in ("correction", Kind.REPAIR) or (part.role == Kind.COMMAND and part.text in ("no", "nope"))
    ]
    behind = [at for at in places if corrected and at > corrected[-1]]
    if behind and places[0] < corrected[-1]:
        parts = parts[behind[0] :]
    return _named(parts, names)


def _ordered(clause: Clause) -> bool:
    """'clean the pins': the name of a choice as something to be done."""
    parts = clause.parts
    return len(parts) > 1 and parts[0].role == NAMED and parts[1].text.split()[0] in ("the", "it", "that", "those")


def _explained(part: Part) -> bool:
    """Whether a part beside the name of a choice changes nothing about it."""
    if any(word in _DOING for word in part.text.split()):
        return False
    if part.role in _SILENT or part.role in ("hedge", Kind.APPROXIMATE):
        return True
    if part.role == NUMBER:
        return part.text in ("one", "a", "an", "and")
    return part.role == Kind.COMMAND and part.text in _YES


_YES = frozenset({"yes", "yeah", "yep", "yup", "sure", "correct", "affirmative", "uh huh"})


def _refused(text: str, reason: str, named: Sequence[str], choices: Sequence[Choice]) -> Understanding:
    """No answer: what is asked instead. After 'not X' the others are named."""
    ask = clarifications.BY_ROLE.get(reason, clarifications.one_of(choices))
    if reason == Role.NEGATION.value and named:
        others = tuple(choice.name for choice in choices if choice.name not in named)
        if others:
            ask = Clarification(Ask.NOT_THAT, names=(named[0], *others[: clarifications.NAMED]))
    return Understanding(Outcome.NOT_UNDERSTOOD, text, ask=ask, reason=reason)
