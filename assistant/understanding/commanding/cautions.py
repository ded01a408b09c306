"""A caution wants a yes. Words that tell each thing done that it asks for are one; of a part it is asked about all.

'Next' is none, and neither is 'chocks are in' where brakes and glasses are asked for too.
"""

from __future__ import annotations

from functools import lru_cache

from assistant.messages import Ask, Clarification, Command, Expectation, Expects, Outcome, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.choosing.choices import normal
from assistant.understanding.commanding.statements import begins_with_yes, denies, told_parts
from assistant.understanding.commanding.wishes import DID, DONE, TURNED
from assistant.understanding.patterns import Words, words_of

_IN, _OUT = frozenset({"in", "on"}), frozenset({"pull", "off", "out", "remove", "drain"})
EACH = "each"
"""What cautions ask for, each with the words that tell it: a part of ``grammars/wishes.toml``."""
_ALL = Clarification(Ask.ALL_DONE)


def caution_answered(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """A yes to a caution that is told as things done, or the question whether all of it is; None for other words."""
    if expectation.expects is not Expects.COMMAND or not expectation.told or not expectation.hint.startswith("yes"):
        return None
    words = tuple(normal(text).split())
    heads = _heads(vocabulary.wishes.get(EACH, ()))
    said = {head for word in words for head in heads.get(word, ())}
    asked = words_of(expectation.told)
    wanted = {head for word in asked for head in heads.get(word, ())}
    if "?" in text or not said & wanted or denies(words):
        return None
    parts = told_parts(words, vocabulary) or told_parts(
        tuple(word for word in words if word not in heads), vocabulary
    )
    told = {name for name, _ in parts or ()} & {DONE, TURNED, DID}
    if parts is None or not told:
        return _yes(text, expectation, sure=False) if _tells(words, vocabulary) else None
    turned = [form[0] for name, form in parts if name in (TURNED, DID)]
    fits = all(_fits(one, asked) for one in turned)
    return _yes(text, expectation, sure=fits and (begins_with_yes(words) or wanted <= said))


def _fits(state: str, asked: Words) -> bool:
    """Whether a state is what is asked for, and not its opposite: chocks are in, where they are not to be pulled."""
    if state in _IN:
        return not _OUT & {*asked}
    return any(_stem(state) == _stem(word) for word in asked)


def _yes(text: str, expectation: Expectation, *, sure: bool) -> Understanding:
    return Understanding(
        Outcome.COMMAND, text, unit=expectation.unit, command=Command.YES, confirm=not sure,
        ask=None if sure else _ALL, reason="" if sure else "leftover",
    )  # fmt: skip


def _tells(words: tuple[str, ...], vocabulary: Vocabulary) -> bool:
    """Whether something is told as done among words that tell nothing: 'chocked, keys in my pocket'."""
    forms = {form for name in (DONE, TURNED, DID) for form in vocabulary.wishes.get(name, ()) if " " not in form}
    return bool(forms & set(words))


def _stem(word: str) -> str:
    for ending in ("ed", "ing", "s"):
        if len(word) > len(ending) + 2 and word.endswith(ending):
            word = word.removesuffix(ending)
            break
    return word[:-1] if word[-1:] == word[-2:-1] else word


@lru_cache(maxsize=4)
def _heads(rows: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """Word -> the things that it tells."""
    found: dict[str, tuple[str, ...]] = {}
    for row in rows:
        head, _, words = row.partition(":")
        for word in (head.strip(), *words.split()):
            found[word] = (*found.get(word, ()), head.strip())
    return found
