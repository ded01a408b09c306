"""Prompts as values: what is asked, about what, where, and which question lies over it.

A prompt is made and compared as a value everywhere. It is text only at the edges (journals, demo scenes, the page),
written by ``str(prompt)`` and read by ``Prompt.read``, its inverse: ``check:sensor ohms:left rear``. A colon or a
backslash inside a name or a place is written behind a backslash, so that every name comes back as it was.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import StrEnum


class PromptKind(StrEnum):
    """What a prompt asks for."""

    NONE = ""
    """No prompt of a session."""
    OFFER = "offer"
    """Before a session: go on with one that was left? In one ``offer:hand over`` and ``offer:found before``."""
    READY = "ready"
    """Everything in hand?"""
    CAUTION = "caution"
    """``caution:<name>``, or ``caution:as before[:<place>]`` for cautions known from another place."""
    FACT = "fact"
    """``fact:<name>``."""
    HISTORY = "history"
    """The unit's history is being looked up; nobody is asked."""
    ACCESS = "access"
    """``access:<name>[:<place>]``."""
    CHECK = "check"
    """``check:<name>[:<place>]``."""
    FIX = "fix"
    """``fix:<name>[:<place>]``."""
    PROOF = "proof"
    """``proof:<step>``."""
    CLOSE = "close"
    """``close:put back`` for the put-back list, ``close:end`` for the last prompt of all."""
    NOTE = "note"
    """Free speech for the record."""
    STOP = "stop"
    """Really end?"""
    HELD = "held"
    """On hold."""
    ENDED = "ended"
    """The session is over."""


class Overlaid(StrEnum):
    """A question about an answer, laid over the prompt that was answered."""

    CONFIRM = "confirm"
    """``confirm:<prompt>``: yes, no, or a new answer."""
    CHOOSE = "choose"
    """``choose:<prompt>``: which of several values, or the ends of a moving one."""
    SKIP = "skip"
    """``skip:<prompt>``: why is it skipped?"""


_OVERLAID = {one.value: one for one in Overlaid}
_KINDS = {one.value: one for one in PromptKind}
_SPECIAL = re.compile(r"[:\\]")
_PART = re.compile(r"(?:[^:\\]|\\.|\\\Z)*", re.DOTALL)
_ESCAPED = re.compile(r"\\([:\\])")
_MOST_PARTS = 3


@dataclass(frozen=True, slots=True)
class Prompt:
    """The identity of a prompt."""

    kind: PromptKind = PromptKind.NONE
    name: str = ""
    """Name of the caution, fact, access, check, fix or proof step; '' where there is only one of the kind."""
    place: str | None = None
    """Where, None for the whole unit."""
    overlaid: Overlaid | None = None
    """The question laid over it, None for the prompt itself."""

    @classmethod
    def read(cls, text: str) -> Prompt:
        """The prompt that ``str`` wrote as this text.

        A name written before colons were escaped is read up to its first colon; what follows is the place.

        Raises:
            ValueError: the text names no kind of prompt.
        """
        parts = _parts(text)
        overlaid = _OVERLAID.get(parts[0])
        if overlaid is not None:
            parts = parts[1:] or [""]
        kind = _KINDS.get(parts[0])
        if kind is None:
            raise ValueError(f"'{text}' is no prompt of a session")
        name = parts[1] if len(parts) > 1 else ""
        place = ":".join(parts[2:]) if len(parts) >= _MOST_PARTS else None
        return cls(kind, name, place, overlaid)

    def __str__(self) -> str:
        """The prompt as text, such as ``confirm:check:sensor ohms:left rear``."""
        parts = [self.kind.value]
        if self.name or self.place is not None:
            parts.append(_escaped(self.name))
        if self.place is not None:
            parts.append(_escaped(self.place))
        if self.overlaid is not None:
            parts.insert(0, self.overlaid.value)
        return ":".join(parts)

    def under(self, overlaid: Overlaid) -> Prompt:
        """The same prompt with a question laid over it."""
        return replace(self, overlaid=overlaid)


NO_PROMPT = Prompt()
"""Stands where nothing of a session is asked."""


HAND_OVER = Prompt(PromptKind.OFFER, "hand over")
"""The hunt took longer than nine in ten: hand it over?"""
FOUND_BEFORE = Prompt(PromptKind.OFFER, "found before")
"""An earlier session found the fault, and its repair waited: mend it now?"""


def check_prompt(check: str, place: str | None = None) -> Prompt:
    """The prompt of a check."""
    return Prompt(PromptKind.CHECK, check, place)


def _escaped(text: str) -> str:
    return _SPECIAL.sub(lambda found: f"\\{found.group()}", text)


def _parts(text: str) -> list[str]:
    """The text between its colons, without the backslashes that guard colons inside names."""
    parts, at = [], 0
    while at <= len(text):
        found = _PART.match(text, at)
        end = found.end() if found is not None else len(text)
        parts.append(_ESCAPED.sub(r"\1", text[at:end]))
        at = end + 1
    return parts
