"""Commands, yes and no in free talk: 'let's skip this one', 'chocks are in', 'no not yet'.

Every word must belong: the words around a command are taken away from both ends until one of its forms is left. What
is asked ('should I skip this?') or denied ('don't stop') is no form, so it is no command.
"""

from __future__ import annotations

import re
from functools import lru_cache

from assistant.messages import Command, Expectation, Expects, Outcome, Overlaid, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choosing.choices import normal
from assistant.understanding.patterns import places, words_of
from assistant.understanding.wish_patterns import NOT_ALONE, NOT_MEANT, named_by, told_by

AROUND, DONE, TURNED, THINGS = "around", "done", "turned", "things"
DID, DONE_WORDS, UNSURE, BECAUSE, ONWARD = "did", "done_words", "unsure", "because", "onward"
_OTHERS = frozenset({"undone", "each"})
"""Parts of the file that hold no words of a command."""
_YES = frozenset({"yes", "yeah", "yep", "yup", "sure"})
_NOT = frozenset({
    "no", "nope", "nah", "not", "never", "aren't", "isn't", "haven't", "hasn't", "ain't", "don't", "didn't", "can't",
    "won't", "wasn't", "weren't", "none", "neither",
})  # fmt: skip
_ASKING = frozenset({"is", "are", "do", "does", "did", "am", "has", "have", "can"})
"""Words that ask at the beginning."""
_PIECES = re.compile(r"[,.;:!?…—]+")
_ANSWERS = frozenset({Command.YES, Command.NO})
_COUNTING = frozenset({
    Command.YES, Command.NO, Command.NEXT, Command.SKIP, Command.STOP, Command.WITHDRAW, Command.CORRECTION,
    Command.GO_BACK,
})  # fmt: skip
"""Commands that change something."""
_SAME = {
    frozenset({Command.YES, Command.NEXT}): Command.YES,
    frozenset({Command.RESUME, Command.WHERE}): Command.RESUME,
    frozenset({Command.HOLD, Command.NO}): Command.NO,
    frozenset({Command.WITHDRAW, Command.NO}): Command.WITHDRAW,
    frozenset({Command.WITHDRAW, Command.CORRECTION}): Command.WITHDRAW,
    frozenset({Command.HOLD, Command.SAY_AGAIN}): Command.SAY_AGAIN,
    frozenset({Command.HOLD, Command.GO_BACK}): Command.GO_BACK,
    frozenset({Command.HOLD, Command.WITHDRAW}): Command.WITHDRAW,
    frozenset({Command.HOLD, Command.CORRECTION}): Command.CORRECTION,
    frozenset({Command.HOLD, Command.WHERE}): Command.WHERE,
    frozenset({Command.HOLD, Command.WHY}): Command.WHY,
    frozenset({Command.HOLD, Command.HELP}): Command.HELP,
    frozenset({Command.HELP, Command.SAY_MORE}): Command.SAY_MORE,
    frozenset({Command.HELP, Command.SAY_AGAIN}): Command.SAY_AGAIN,
    frozenset({Command.NEXT, Command.RESUME}): Command.RESUME,
    frozenset({Command.YES, Command.RESUME}): Command.RESUME,
    frozenset({Command.GO_BACK, Command.SAY_AGAIN}): Command.GO_BACK,
    frozenset({Command.STOP, Command.YES}): Command.STOP,
    frozenset({Command.STOP, Command.NEXT}): Command.STOP,
    frozenset({Command.SKIP, Command.NEXT}): Command.SKIP,
    frozenset({Command.SKIP, Command.GO_BACK}): Command.SKIP,
    frozenset({Command.SAY_LESS, Command.NEXT}): Command.SAY_LESS,
}
"""Two commands in one breath that are one: 'yes, done'."""


def wish_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """The command that an utterance is, None when it is none.

    A yes or a no in free talk counts only where one is waited for: 'it is good' at a reading is no yes.
    """
    forms, around = _forms(tuple(vocabulary.wishes.items()), tuple(vocabulary.commands.items()))
    said: list[Command] = []
    asked = False
    for piece in _PIECES.split(text):
        words = tuple(normal(piece).split())
        if not words:
            continue
        found = _command(words, forms, around, vocabulary, waits_for_yes=_waits_for_yes(expectation))
        if (
            found is None
            and not _only_around(words, around)
            and not (said == [Command.HOLD] and _reason(words, vocabulary))
        ):
            return None
        if found is not None:
            if "?" in text and found[0] in _COUNTING and not _listed(words, found[0], vocabulary):
                return None  # 'that sounds right?'
            said.append(found[0])
            mocked = found[0] is Command.YES and told_by(words, vocabulary.patterns, NOT_MEANT)
            asked = asked or found[1] or mocked
    named = frozenset(said)
    if named == {Command.WITHDRAW, Command.NO} and expectation.prompt.overlaid is Overlaid.CONFIRM:
        named = frozenset({Command.NO})  # what is asked about was not taken yet
        said = [Command.NO]
    command = said[0] if len(named) == 1 else _SAME.get(named)
    if command is None or (command in _ANSWERS and not _answers(expectation)):
        return None
    return _meant(text, command, expectation, vocabulary, asked=asked)


def _listed(words: tuple[str, ...], command: Command, vocabulary: Vocabulary) -> bool:
    """Whether words end with a form that is written down for a command: 'can we skip this one?'."""
    forms = _set((*vocabulary.wishes.get(command.value, ()), *vocabulary.commands[command.value]))
    return any(words[at:] in forms for at in range(1 if command in _ANSWERS else len(words)))


def _meant(
    text: str, command: Command, expectation: Expectation, vocabulary: Vocabulary, *, asked: bool
) -> Understanding:
    ask = clarifications.which_name(vocabulary.commands[command][0]) if asked else None
    return Understanding(
        Outcome.COMMAND, text, unit=expectation.unit, command=command, confirm=asked, ask=ask,
        reason="leftover" if asked else "",
    )  # fmt: skip


def spotted_wish(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """A command among words that tell nothing the tool could use: 'compressor kicked on, what'd you say'.

    Where it changes something, a yes is wanted. What is asked, and what begins with a denial, holds none.
    """
    forms, around = _forms(tuple(vocabulary.wishes.items()), tuple(vocabulary.commands.items()))
    found: dict[Command, bool] = {}
    left = 0
    for piece in _CLAUSES.split(text.lower()):
        words = tuple(normal(piece).split())
        if not words:
            continue
        named = _command(words, forms, around, vocabulary, waits_for_yes=_waits_for_yes(expectation))
        if named is None or told_by(words, vocabulary.patterns, NOT_ALONE):
            left += len(words) if not _only_around(words, around) else 0
            if _HOLDS_BACK & set(words[:2]):
                return None
        elif named[0] not in found:
            found[named[0]] = named[1]
    if len(found) > 1:
        found.pop(Command.HOLD, None)  # 'hold on, ...' only begins
    if len(found) == 2 and frozenset(found) in _SAME:
        found = {_SAME[frozenset(found)]: any(found.values())}
    if len(found) != 1 or left > _MOST_BESIDE or not left:
        return None
    (command, unsure), *_ = found.items()
    if command in _ANSWERS | {Command.NEXT} or (command in _COUNTING and "?" in text):
        return None  # what else is said may be what it is a yes to
    if command is Command.HOLD and left > _FEW_BESIDE:
        return None
    return _meant(text, command, expectation, vocabulary, asked=unsure or command in _COUNTING)


_CLAUSES = re.compile(
    r"[,.;:!?…—-]+|\b(?:and|but|so|because|cause|'cause|cuz|then|since|though|while|that is|i mean)\b"
)
"""Where another clause may begin."""
_HOLDS_BACK = frozenset({"don't", "dont", "never", "not", "no", "if", "when", "unless", "before", "until", "should"})
_MOST_BESIDE = 12
"""Words beside a command: with more of them it was a story."""
_FEW_BESIDE = 8


def _reason(words: tuple[str, ...], vocabulary: Vocabulary) -> bool:
    """Whether a piece tells why somebody is to wait: 'gotta grab my phone'."""
    return any(words[: len(form)] == form for form in _set(vocabulary.wishes.get(BECAUSE, ())))


def statement_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """A yes or a no told as a statement: 'the chocks are down', 'brakes aren't caged yet'; None when it is none.

    Each word must be one of those that tell what is done, or of those around them. A state that has an opposite, and
    work on something else than the prompt names, is asked about.
    """
    if expectation.expects is not Expects.COMMAND or "?" in text:
        return None
    words = tuple(normal(text).split())
    told = _told(words, vocabulary)
    if told is None or not words or words[0] in _ASKING or (TURNED in told and "still" in words):
        return None
    denied = sum(word in _NOT for word in words)
    denied -= denied > 1 and words[0] in ("no", "nope", "nah")  # 'nope, not done' is one no
    affirmed = any(word in _YES for word in words)
    if denied > 1 or (denied and affirmed) or not (told or denied or affirmed):
        return None
    if denied:
        return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.NO)
    command = Command.NEXT if expectation.hint.startswith("next") else Command.YES
    unsure = _unsure(words, told, expectation, vocabulary)
    ask = clarifications.which_name(vocabulary.commands[command][0]) if unsure else None
    return Understanding(
        Outcome.COMMAND, text, unit=expectation.unit, command=command, confirm=unsure, ask=ask,
        reason="leftover" if unsure else "",
    )  # fmt: skip


def _unsure(words: tuple[str, ...], told: set[str], expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether what was told may be about something else, or the opposite of what was asked."""
    if "\n" in expectation.told and words[0] not in _YES:
        return bool(told)  # one of several cautions was told to be done
    if not told & {TURNED, DID}:
        return bool(told) and not _waits_for_yes(expectation) and _only_sound(words, vocabulary)
    asked = frozenset(_stem(word) for word in normal(expectation.told).split())
    nouns = _nouns(vocabulary.questions.get("parts", ()))
    named = {_stem(word) for word in words} & nouns
    if not named <= asked and (asked or DID not in told):
        return True
    if DID in told:
        return False
    alone = (form for name, form in _parts(words, vocabulary) or () if name == TURNED and len(form) == 1)
    states = {_stem(form[0]) for form in alone}
    plain = states - _ADVERBS
    raised = asked & {"raise", "jack", "lift"}
    up = {"up"} if raised else set[str]()
    if not all(state in asked or asked & _SAME_AS.get(state, frozenset()) for state in states - up):
        return True
    return not (named or plain or DONE in told or states & up)


def _only_sound(words: tuple[str, ...], vocabulary: Vocabulary) -> bool:
    """'The sensor's good' where work is waited for: what a part is, and not that something was done to it."""
    done = {form for name, form in _parts(words, vocabulary) or () if name == DONE}
    nouns = _nouns(vocabulary.questions.get("parts", ()))
    return done <= _SOUND and bool(nouns & {_stem(word) for word in words})


_SOUND = frozenset({("good",), ("clear",), ("safe",), ("there",)})
_APART = frozenset({"unplug", "unhook", "disconnect", "pull", "remove"})
_TOGETHER = frozenset({"plug", "connect", "hook", "reconnect"})
_SAME_AS = {
    "disconnected": _APART, "unplug": _APART, "unplugged": _APART, "unhooked": _APART, "connected": _TOGETHER,
    "reconnected": _TOGETHER,
}  # fmt: skip
"""States that are what other words ask for."""
_ADVERBS = frozenset({"on", "in", "off", "up", "down", "out", "away"})
"""States that say nothing without the thing they are about."""


@lru_cache(maxsize=8)
def _nouns(parts: tuple[str, ...]) -> frozenset[str]:
    more = ("wheel", "shield", "drum", "key", "chock", "stand", "brake", "engine", "air", "hood", "tie")
    return frozenset(_stem(word) for part in (*parts, *more) for word in part.split())


def _stem(word: str) -> str:
    word = word.removesuffix("'s")
    if word.endswith("ged") and len(word) > 5:
        return word[:-3]  # unplugged, unplug
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def only_onward(text: str, vocabulary: Vocabulary) -> bool:
    """True for words that ask to go on and do not say that something is done: 'next', not 'done, next'."""
    words = words_of(text)
    named = {
        name: any(places(words, form) for form in _set(vocabulary.wishes.get(name, ()))) for name in (ONWARD, DONE)
    }
    return named[ONWARD] and not named[DONE] and not _YES & set(words)


def no_idea(text: str, vocabulary: Vocabulary, *, beside: bool = False) -> bool:
    """True for words that say that nobody can tell; ``beside``: also where more is said in another clause."""
    _, around = _forms(tuple(vocabulary.wishes.items()), tuple(vocabulary.commands.items()))
    said = _set(vocabulary.wishes.get(UNSURE, ()))
    forms: dict[tuple[str, ...], tuple[Command, ...]] = dict.fromkeys(said, (Command.SKIP,))
    pieces = [tuple(normal(piece).split()) for piece in _PIECES.split(text) if normal(piece)]
    known = [_command(words, forms, around, None, waits_for_yes=False) is not None for words in pieces]
    rest = (_only_around(words, around) for words, found in zip(pieces, known, strict=True) if not found)
    return any(known) and (beside or all(rest))


def yes_with_more(text: str, expectation: Expectation) -> str | None:
    """What follows a yes at 'is that right?' ('yup, wide open'); None when it begins with no yes."""
    if expectation.prompt.overlaid is not Overlaid.CONFIRM:
        return None
    said = _BEGINS_WITH_YES.match(text.lower().replace("’", "'"))
    return text[said.end() :].strip(" ,.;:!") if said is not None else None


def no_with_more(text: str) -> bool:
    """True for a no with its reason: 'no, I had it on the wrong pin'; not for 'no problem', 'no, it's right'."""
    said = _BEGINS_WITH_NO.match(text.lower().replace("’", "'"))
    rest = normal(text[said.end() :]).split() if said is not None else []
    return bool(rest) and "?" not in text and not _TAKES_BACK_NO & set(rest)


_BEGINS_WITH_NO = re.compile(r"\W*(?:(?:oh|uh|well|ah|er)\W+)?(?:no|nope|nah)\b")
_TAKES_BACK_NO = frozenset({
    "problem", "doubt", "question", "yes", "yeah", "yep", "right", "correct", "sir", "ma'am", "good", "fine", "okay",
    "change", "matter", "worries", "continuity", "reading", "power", "voltage",
})  # fmt: skip
_BEGINS_WITH_YES = re.compile(
    r"\W*(?:(?:oh|uh|well|okay|ok)\W+)?(?:yes|yep|yup|yeah|yessir|sí|si|mm.?hmm|mhm|uh huh|right|correct|"
    r"affirmative|"
    r"absolutely|exactly|that's right|that is right|that's it|you got it|ten four)"
    r"\b(?!\s+(?:rear|front|side|axle|one))"
)
_CHANGES = frozenset({"no", "not", "but", "except", "should", "wait", "actually", "instead", "only", "wrong"})


def only_aside(rest: str) -> bool:
    """True for words behind a yes that take nothing of it back."""
    return not _CHANGES & set(normal(rest).split())


@lru_cache(maxsize=8)
def _set(forms: tuple[str, ...]) -> frozenset[tuple[str, ...]]:
    """The words of each form."""
    return frozenset(tuple(form.split()) for form in forms)


def _told(words: tuple[str, ...], vocabulary: Vocabulary) -> set[str] | None:
    """What is told: it is done, what was done, or a state that has an opposite; None when a word is left over."""
    parts = _parts(words, vocabulary)
    return None if parts is None else {name for name, _ in parts} & {DONE, TURNED, DID}


def _parts(words: tuple[str, ...], vocabulary: Vocabulary) -> list[tuple[str, tuple[str, ...]]] | None:
    """The forms that the words are made of, the longest first, each with its list; None when a word is left over."""
    at, found_all = 0, list[tuple[str, tuple[str, ...]]]()
    sets = [(name, _set(vocabulary.wishes.get(name, ()))) for name in (DONE, TURNED, THINGS, DID, DONE_WORDS)]
    while at < len(words):
        for size in range(min(6, len(words) - at), 0, -1):
            form = words[at : at + size]
            found = next((name for name, forms in sets if form in forms), None)
            if found is not None:
                found_all.append((found, form))
                at += size
                break
        else:
            return None
    return found_all


def told_parts(words: tuple[str, ...], vocabulary: Vocabulary) -> list[tuple[str, tuple[str, ...]]] | None:
    """What words tell of work, form by form, each with its list; None when one tells nothing."""
    return _parts(words, vocabulary)


def told_words(words: tuple[str, ...], vocabulary: Vocabulary) -> bool:
    """Whether all words are such as stand around work that was done."""
    return not words or (not denies(words) and _parts(words, vocabulary) is not None)


def denies(words: tuple[str, ...]) -> bool:
    """Whether something is denied."""
    return bool(_NOT & set(words))


def begins_with_yes(words: tuple[str, ...]) -> bool:
    """Whether a yes stands first."""
    return bool(words) and words[0] in _YES


def _waits_for_yes(expectation: Expectation) -> bool:
    return expectation.hint.startswith("yes")


def _answers(expectation: Expectation) -> bool:
    """Whether a yes or a no is an answer here."""
    asked = expectation.expects is Expects.COMMAND or expectation.prompt.overlaid is Overlaid.CONFIRM
    return asked or any(
        word in (choice.name, *choice.also) for choice in expectation.choices for word in ("yes", "no")
    )


@lru_cache(maxsize=8)
def _forms(
    wishes: tuple[tuple[str, tuple[str, ...]], ...], commands: tuple[tuple[str, tuple[str, ...]], ...]
) -> tuple[dict[tuple[str, ...], tuple[Command, ...]], frozenset[tuple[str, ...]]]:
    """Words of a form -> its commands, and the words that may stand around."""
    forms: dict[tuple[str, ...], tuple[Command, ...]] = {}
    around: set[tuple[str, ...]] = set()
    for name, texts in (*commands, *wishes):
        for text in texts:
            words = tuple(text.split())
            if name == AROUND:
                around.add(words)
            elif name in (DONE, TURNED, THINGS, DID, DONE_WORDS, UNSURE, BECAUSE, ONWARD) or name in _OTHERS:
                continue
            elif Command(name) not in forms.get(words, ()):
                forms[words] = (*forms.get(words, ()), Command(name))
    return forms, frozenset(around)


def _command(
    words: tuple[str, ...],
    forms: dict[tuple[str, ...], tuple[Command, ...]],
    around: frozenset[tuple[str, ...]],
    vocabulary: Vocabulary | None,
    *,
    waits_for_yes: bool,
) -> tuple[Command, bool] | None:
    """The command that is left when words around it are taken away, the longest form first; a pattern after them.

    Beside it whether its words may say something else.
    """
    seen = {words}
    rows = [words]
    while rows:
        for row in rows:
            if row in forms:
                named = forms[row]
                return (Command.YES if waits_for_yes and Command.YES in named else named[0]), False
        rows = [short for row in rows for short in _shorter(row, around) if short not in seen and not seen.add(short)]  # type: ignore[func-returns-value]
    if vocabulary is None:
        return None
    for row in sorted(seen, key=len, reverse=True):
        command = named_by(row, vocabulary.patterns, yes_first=waits_for_yes)
        if command is not None:
            return command
    return None


def _shorter(words: tuple[str, ...], around: frozenset[tuple[str, ...]]) -> list[tuple[str, ...]]:
    found = []
    for size in range(1, min(6, len(words))):
        if words[:size] in around:
            found.append(words[size:])
        if words[-size:] in around:
            found.append(words[:-size])
    return found


def _only_around(words: tuple[str, ...], around: frozenset[tuple[str, ...]]) -> bool:
    """Whether nothing but words around a command is left."""
    return words in around or any(_only_around(short, around) for short in _shorter(words, around))
