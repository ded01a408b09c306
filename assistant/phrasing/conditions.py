"""Conditions of a check in words, and what a procedure's own sentence says already."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from assistant.phrasing.sentences import CONDITIONS, CONDITIONS_READ

_ASKS_ITSELF = re.compile(r"\b(?:say|then) (?:next|yes|done|ready|no)\b", re.IGNORECASE)
_SENTENCE = re.compile(r"(?<=[.?!]) +")
_PLUGS_IN = re.compile(r"\bplug(?!s? off)|\bswap")
_CORD_ON = re.compile(r"\bcord on\b")
_TAKES_OFF = re.compile(r"\bunplug|\bplugs? off\b|\bcord off\b|trailer end")
_ENGINE_OFF = re.compile(r"\b(?:engine|key)\b[^.?:;]{0,24}\b(?:off|out)\b")
_UNPLUGS = re.compile(r"\bunplug|\bplugs? off\b")


def condition_text(name: str, value: str) -> str:
    """A condition as a person says it: 'Key off.', 'Leave it unplugged.', 'Load: ten amps.'."""
    text = _told(name, value, CONDITIONS)
    return f"{text[:1].upper()}{text[1:]}."


def condition_read(name: str, value: str) -> str:
    """A condition beside a reading in a record: 'key off', 'unplugged, both ends', 'load: ten amps'."""
    return _told(name, value, CONDITIONS_READ)


def _told(name: str, value: str, words: Mapping[str, str]) -> str:
    plain = value.strip().rstrip(".")
    match name, plain.lower():
        case "plugged", "no" | "yes" as answer:
            return words[f"plugged {answer}"]
        case "plugged", _:
            first, _, rest = plain.partition(",")
            key = {"no": "unplugged so", "yes": "plugged in so"}.get(first.lower(), "plugged so")
            if first.lower() == "yes" and f"plugged in {rest.strip()}" in words:
                key = f"plugged in {rest.strip()}"
            key = key if key in words else "plugged so"
            return words[key].format(value=plain if key == "plugged so" else rest.strip())
        case (("load" | "pace"), _):
            return words["amount"].format(name=name, value=plain)
        case _, "yes":
            return name
        case _, "no":
            return words["not"].format(name=name)
        case _:
            return f"{name} {plain}"


def mentions(sentence: str, name: str, value: str) -> bool:
    """True when a procedure's own sentence says a condition, so that it need not be said twice."""
    said = sentence.lower()
    if name == "key" and " " in value:
        return "key" in said and all(re.search(rf"\b{word}\b", said) for word in value.lower().split())
    if name == "key":
        return re.search(rf"\bkey\b[^.?]{{0,20}}\b{re.escape(value.lower())}\b", said) is not None
    if name == "plugged":
        return (_UNPLUGS if value.lower().startswith("no") else _PLUGS_IN).search(said) is not None
    words = re.findall(r"[a-z0-9]+", value.lower())
    return re.search(rf"\b{re.escape(name.lower())}", said) is not None or all(word in said for word in words)


def in_words(plugs: Sequence[str]) -> str:
    """Plugs in a row, as they are said: 'the left rear wheel plug and the module power plug'."""
    named = [plug if plug == "everything" else f"the {plug}" for plug in plugs]
    return " and ".join(filter(None, (", ".join(named[:-1]), named[-1])))


def says_plugged(sentence: str, plug: str) -> bool:
    """True when a procedure's own sentence says that this plug goes in, or that all are in."""
    said = sentence.lower()
    if "everything plugged in" in said or (plug.startswith("cord") and _CORD_ON.search(said)):
        return True
    return plug.endswith("plug at the module") and "back in at the module" in said


def says_unplugged(sentence: str) -> bool:
    """True when a procedure's own sentence says what is unplugged."""
    return _TAKES_OFF.search(sentence.lower()) is not None


def says_engine_off(sentence: str) -> bool:
    """True when a procedure's own sentence has the engine shut off, by its name or by the key."""
    return _ENGINE_OFF.search(sentence.lower()) is not None


def says_load(sentence: str) -> bool:
    """True when a procedure's own sentence says where the load goes; 'load still on' does not."""
    said = sentence.lower()
    return "load" in said and "still on" not in said


def says_pins(sentence: str) -> bool:
    """True when a procedure's own sentence says that the probes go on both pins of the plug that it names."""
    return "pin to pin" in sentence.lower()


def asks(sentences: str) -> str:
    """The question alone of what a procedure says to ask: its last sentence, from 'how' on where it has one."""
    last = _SENTENCE.split(sentences)[-1]
    _, colon, behind = last.rpartition(": ")
    return behind if colon and behind.startswith("how ") else last


def asks_itself(sentence: str) -> bool:
    """True for a sentence of a procedure that says what to answer when it is done."""
    return _ASKS_ITSELF.search(sentence) is not None
