"""Sayings: sentences that people said, each with its intent; the files of ``grammars/sayings/``.

A line is an intent, a tab and a sentence; empty lines and lines that begin with # are passed over.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from assistant.errors import DocumentError, Finding
from assistant.messages import About, Command, Report


class Beside(StrEnum):
    """Intents of sayings that are none of ``About``, ``Report`` and ``Command``."""

    WHAT_NEXT = "what_next"
    """``About.NEXT``, beside the command ``next``."""
    DONE_SO_FAR = "done_so_far"
    """``About.DONE``."""
    LATER = "later"
    """It cannot be done now."""
    DONE = "done"
    """The work that is asked for is done."""
    NOT_DONE = "not_done"
    """It is not done yet."""
    UNSURE = "unsure"
    """Nobody can tell."""
    CHAT = "chat"
    """Talk to somebody else."""
    READING = "reading"
    """What a meter shows."""
    LOOK = "look"
    """What something looks like, or does."""


KNOWN = frozenset({
    *(one.value for one in About if one not in (About.NEXT, About.DONE)), *(one.value for one in Report),
    *(one.value for one in Command), *(one.value for one in Beside),
})  # fmt: skip
"""Every intent that a saying can have."""


def sayings_in(files: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """The sayings of files, by their names.

    Args:
        files: name of a file -> its text.

    Raises:
        DocumentError: a line is none, or has an intent that does not exist; all findings are named.
    """
    found: list[tuple[str, str]] = []
    faults: list[Finding] = []
    for name, text in files.items():
        for number, line in enumerate(text.splitlines(), 1):
            if not line or line[0] == "#":
                continue
            intent, _, said = line.partition("\t")
            if intent in KNOWN and said:
                found.append((intent, said))
            else:
                fault = f"'{intent}' is no intent." if said else "Write an intent, a tab and a sentence."
                faults.append(Finding(name, fault, number))
    if faults:
        raise DocumentError("sayings", faults)
    return tuple(found)
