"""Work told as done in own words, by the verbs of the step that was said: 'they're numbered one through four'.

What is to come, is under way, is denied or gives trouble is no such report. Where each verb of the step is told as
done the report is whole; where only a state or a part is told, it is asked whether it is done.
"""

from __future__ import annotations

import re

from assistant.understanding.patterns import words_of

_SENTENCE = re.compile(r"[.;:!?]\s*|,?\s+\b(?:and|then)\b\s+")
_ORDERED = frozenset({
    "open", "number", "charge", "replace", "unplug", "disconnect", "connect", "clean", "install", "tighten",
    "remove", "pull", "take", "put", "push", "lift", "jack", "chock", "cage", "drain", "raise", "lower", "mend",
    "clear", "cycle", "roll", "drive", "start", "swap", "couple", "uncouple", "hook", "plug", "cut", "splice",
    "solder", "seal", "mark", "bolt", "torque", "grease", "strap", "load", "crank", "move", "lay", "run", "route",
    "tie", "wipe", "dry",
})  # fmt: skip
"""Verbs with which steps of work begin."""
_FORMS = {
    "put": {"put"},
    "cut": {"cut"},
    "take": {"took", "taken"},
    "drive": {"drove", "driven"},
    "run": {"ran", "run"},
    "lay": {"laid"},
    "replace": {"replaced", "swapped", "changed", "new"},
    "number": {"numbered", "marked", "tagged"},
    "unplug": {"unplugged", "apart", "off"},
    "disconnect": {"disconnected", "off", "apart"},
    "mend": {"mended", "fixed"},
    "clear": {"cleared", "erased", "wiped"},
    "install": {"installed", "in"},
    "open": {"opened", "open", "off"},
    "mark": {"marked", "numbered"},
    "start": {"started", "running", "runnin", "runs"},
    "tie": {"tied"},
    "dry": {"dried"},
    "plug": {"plugged", "in", "back"},
    "pull": {"pulled", "out", "off"},
}  # fmt: skip
_STATES = frozenset({
    "off", "out", "open", "opened", "apart", "in", "on", "up", "back", "done", "loose", "unplugged",
    "disconnected", "connected", "hooked", "swapped", "installed", "replaced", "running", "runnin", "charged",
    "cleaned", "mended", "fixed", "numbered", "marked", "chocked", "caged", "raised", "drained", "plugged",
    "pulled", "cleared", "greased", "tightened", "tight", "separated", "clear", "removed", "spliced", "soldered",
    "taped", "ready", "put", "got",
})  # fmt: skip
_BACKS_OUT = frozenset({
    "not", "no", "never", "haven't", "hasn't", "didn't", "isn't", "aren't", "ain't", "won't", "can't", "couldn't",
    "don't", "doesn't", "wasn't", "nothing", "none", "about", "going", "gonna", "will", "i'll", "trying",
    "almost", "nearly", "yet", "stuck", "broke", "broken", "stripped", "but", "except", "only", "half", "need",
    "needs", "should", "if", "when", "before", "after", "until", "till", "could", "would", "might", "maybe",
    "fixing", "still", "start", "want", "tomorrow", "later", "wait", "waiting", "first", "what", "which", "how",
    "why", "where", "who", "looks", "look", "corroded", "green", "burnt", "wet", "chafed", "rubbed", "cracked",
    "bad", "wrong", "missing", "skip", "leave", "let", "says", "said", "order", "ordered", "parts", "than",
    "last", "yesterday", "ago", "week", "month", "already", "another",
})  # fmt: skip
_LONGEST = 18


def told_done(text: str, step: str) -> bool | None:
    """Whether a step is told as done: True where all of it is, False where only some is, None for neither.

    Args:
        text: what was said.
        step: what the step says is to be done.
    """
    said = words_of(text)
    if not said or "?" in text or len(said) > _LONGEST or not _BACKS_OUT.isdisjoint(said):
        return None
    if any(word.endswith("ing") and word not in _STATES for word in said):
        return None
    words = {*said, *(re.findall(r"[a-z']+", text.lower()))}
    verbs = [verb for verb in (_verb(piece) for piece in _SENTENCE.split(step)) if verb]
    told = [verb for verb in verbs if not words.isdisjoint(_done_forms(verb))]
    if verbs and len(told) == len(verbs):
        return True
    known = {word for word in words_of(step) if len(word) > _SHORT} | {
        "it",
        "they",
        "them",
        "em",
        "all",
        "everything",
    }
    stems = {word.rstrip("s") for word in known}
    about = any(word.rstrip("s") in stems for word in said)
    return False if told or (about and not words.isdisjoint(_STATES)) else None


_SHORT = 3


def _verb(piece: str) -> str:
    """The verb with which a piece of a step begins; '' for none."""
    words = words_of(piece)
    return words[0] if words and words[0] in _ORDERED else ""


def _done_forms(verb: str) -> set[str]:
    plain = f"{verb}d" if verb.endswith("e") else f"{verb}ed"
    doubled = f"{verb}{verb[-1]}ed"
    return {plain, doubled, *_FORMS.get(verb, ())}
