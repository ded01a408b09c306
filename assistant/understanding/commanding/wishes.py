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
from assistant.understanding.commanding.wish_patterns import NOT_ALONE, NOT_MEANT, named_by, told_by
from assistant.understanding.patterns import places, words_of

AROUND, DONE, TURNED, THINGS = "around", "done", "turned", "things"
DID, DONE_WORDS, UNSURE, BECAUSE, ONWARD = "did", "done_words", "unsure", "because", "onward"
_OTHERS = frozenset({"undone", "each"})
"""Parts of the file that hold no words of a command."""
YES = frozenset({"yes", "yeah", "yep", "yup", "sure"})
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
        found = _command(words, forms, around, vocabulary, waits_for_yes=waits_for_yes(expectation))
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
    forms = forms_in((*vocabulary.wishes.get(command.value, ()), *vocabulary.commands[command.value]))
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
        named = _command(words, forms, around, vocabulary, waits_for_yes=waits_for_yes(expectation))
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
    return any(words[: len(form)] == form for form in forms_in(vocabulary.wishes.get(BECAUSE, ())))


def only_onward(text: str, vocabulary: Vocabulary) -> bool:
    """True for words that ask to go on and do not say that something is done: 'next', not 'done, next'."""
    words = words_of(text)
    named = {
        name: any(places(words, form) for form in forms_in(vocabulary.wishes.get(name, ())))
        for name in (ONWARD, DONE)
    }
    return named[ONWARD] and not named[DONE] and not YES & set(words)


def no_idea(text: str, vocabulary: Vocabulary, *, beside: bool = False) -> bool:
    """True for words that say that nobody can tell; ``beside``: also where more is said in another clause."""
    _, around = _forms(tuple(vocabulary.wishes.items()), tuple(vocabulary.commands.items()))
    said = forms_in(vocabulary.wishes.get(UNSURE, ()))
    forms: dict[tuple[str, ...], tuple[Command, ...]] = dict.fromkeys(said, (Command.SKIP,))
    pieces = [tuple(normal(piece).split()) for piece in _PIECES.split(text) if normal(piece)]
    known = [_command(words, forms, around, None, waits_for_yes=False) is not None for words in pieces]
    rest = (_only_around(words, around) for words, found in zip(pieces, known, strict=True) if not found)
    return any(known) and (beside or all(rest))


@lru_cache(maxsize=8)
def forms_in(forms: tuple[str, ...]) -> frozenset[tuple[str, ...]]:
    """The words of each form."""
    return frozenset(tuple(form.split()) for form in forms)


def waits_for_yes(expectation: Expectation) -> bool:
    """Whether the prompt says that a yes is wanted."""
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
