"""Identities of sessions, and the names under which their journals lie."""

from __future__ import annotations

import os
import re
from datetime import datetime
from pathlib import Path
from random import Random
from typing import Protocol

from assistant.errors import OperatorError

SUFFIX = ".jsonl"
_ID = re.compile(r"[0-9A-Za-z][0-9A-Za-z_-]{0,79}")
_NAMED = re.compile(_ID.pattern + re.escape(SUFFIX)).fullmatch
_SUFFIX_SIGNS = "23456789abcdefghjkmnpqrstvwxyz"  # no 0 o 1 i l u: read aloud without mistakes


class Taken(Protocol):
    """Knows which identities are in use."""

    def has(self, session_id: str) -> bool:
        """True when there is a session of that identity."""
        ...


def new_session_id(folder: Path | Taken, started: datetime, random: Random) -> str:
    """A session's identity that is not yet taken in this place, such as ``20260131-142305-k3f``."""
    stem = started.strftime("%Y%m%d-%H%M%S")
    length = 3
    while True:
        for _ in range(50):
            name = f"{stem}-{''.join(random.choice(_SUFFIX_SIGNS) for _ in range(length))}"
            taken = os.path.lexists(folder / (name + SUFFIX)) if isinstance(folder, Path) else folder.has(name)
            if not taken:
                return name
        length += 1


def journal_path(folder: Path, session_id: str) -> Path:
    """Where a session's journal lies.

    Raises:
        OperatorError: this cannot be a session's identity.
    """
    return Path(journal_file(folder, session_id))


def journal_file(folder: Path, session_id: str) -> str:
    """The same as text, for going through very many.

    Raises:
        OperatorError: this cannot be a session's identity.
    """
    if not _ID.fullmatch(session_id):
        raise OperatorError(
            f"'{session_id}' is not the identity of a session.",
            remedy="It looks like 20260131-142305-k3f; 'leadsman sessions' lists them.",
        )
    return f"{folder}/{session_id}{SUFFIX}"


def is_journal_name(name: str) -> bool:
    """True for what a session's journal can be called."""
    return _NAMED(name) is not None


def no_session(session_id: str, where: object = "") -> OperatorError:
    """What a person is told of an identity that no session has.

    Args:
        session_id: the identity.
        where: the place that was looked at, '' for all of them.
    """
    at = f" in {where}" if where else ""
    return OperatorError(f"There is no session {session_id}{at}.", remedy="'leadsman sessions' lists them.")
