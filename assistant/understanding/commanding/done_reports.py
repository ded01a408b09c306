"""Work told as done in own words, by the verbs of the step that was said: 'they're numbered one through four'.

What is to come, is under way, is denied or gives trouble is no such report. Where each verb of the step is told as
done the report is whole; where only a state or a part is told, it is asked whether it is done.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.patterns import words_of

ORDERED, STATES, MEANT, BACKS_OUT = "ordered", "states", "meant", "backs_out"
"""Parts of ``grammars/done.toml``."""
_SENTENCE = re.compile(r"[.;:!?]\s*|,?\s+\b(?:and|then)\b\s+")
_LONGEST = 18


def told_done(text: str, step: str, vocabulary: Vocabulary) -> bool | None:
    """Whether a step is told as done: True where all of it is, False where only some is, None for neither.

    Args:
        text: what was said.
        step: what the step says is to be done.
        vocabulary: its words stand in ``grammars/done.toml``.
    """
    said, lists = words_of(text), vocabulary.done
    states = lists.get(STATES, ())
    things = {*states, *lists.get(MEANT, ())}  # 'running' is a state and 'everything' a thing: neither is under way
    if not said or "?" in text or len(said) > _LONGEST or not set(said).isdisjoint(lists.get(BACKS_OUT, ())):
        return None
    if any(word.endswith("ing") and word not in things for word in said):
        return None
    words = {*said, *(re.findall(r"[a-z']+", text.lower()))}
    verbs = [verb for verb in (_verb(piece, lists.get(ORDERED, ())) for piece in _SENTENCE.split(step)) if verb]
    told = [verb for verb in verbs if not words.isdisjoint(_done_forms(verb, vocabulary.done_forms))]
    if verbs and len(told) == len(verbs):
        return True
    known = {word for word in words_of(step) if len(word) > _SHORT} | set(lists.get(MEANT, ()))
    stems = {word.rstrip("s") for word in known}
    about = any(word.rstrip("s") in stems for word in said)
    return False if told or (about and not words.isdisjoint(states)) else None


_SHORT = 3


def _verb(piece: str, ordered: tuple[str, ...]) -> str:
    """The verb with which a piece of a step begins; '' for none."""
    words = words_of(piece)
    return words[0] if words and words[0] in ordered else ""


def _done_forms(verb: str, others: Mapping[str, tuple[str, ...]]) -> set[str]:
    plain = f"{verb}d" if verb.endswith("e") else f"{verb}ed"
    doubled = f"{verb}{verb[-1]}ed"
    return {plain, doubled, *others.get(verb, ())}
