"""Letting a screen in: a code that the terminal shows, and a token that the screen keeps afterwards.

The code expires, and a few misses lock pairing for a while and make a new code; screens that are paired go on. Only
hashes of tokens are kept, in memory: ending the program ends every pairing.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable
from enum import StrEnum

DIGITS = 8
"""Digits of a code: with gloves on, digits are quicker than letters."""
CODE_SECONDS = 15 * 60.0
"""How long a code is good for."""
MISSES = 5
"""Wrong codes, from all screens together, after which pairing is locked."""
LOCK_SECONDS = 5 * 60.0
"""How long it stays locked. Five guesses in five minutes at one code of a hundred million."""
TOKEN_SECONDS = 16 * 3600.0
"""How long a screen stays paired after it was last seen: a long shift."""
MOST_TOKENS = 64
"""Screens paired at one time; the one not seen for longest is let go."""


class Entry(StrEnum):
    """What a try at the code came to."""

    LET_IN = "let_in"
    WRONG = "wrong"
    EXPIRED = "expired"
    LOCKED = "locked"


class Pairing:
    """The code and the tokens.

    Args:
        show: called with each new code, to show it in the terminal.
        clock: monotonic seconds.
        make_code: makes a code.
    """

    def __init__(
        self,
        show: Callable[[str], None],
        clock: Callable[[], float] = time.monotonic,
        make_code: Callable[[], str] | None = None,
    ) -> None:
        self._show, self._clock = show, clock
        self._make_code = make_code or (lambda: f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}")
        self._lock = threading.Lock()
        self._tokens: dict[str, float] = {}
        self._misses = 0
        self._locked_until = 0.0
        self._renew()

    @property
    def code(self) -> str:
        """The code that lets a screen in now; a new one, shown in the terminal, when the last has expired."""
        with self._lock:
            if self._clock() >= self._expires:
                self._renew()
            return self._code

    def try_code(self, typed: str) -> tuple[Entry, str]:
        """Try a code: what came of it, and the screen's token when it was right.

        Spaces and dashes in the code do not matter. A code that has expired is replaced by a new one.
        """
        given = "".join(sign for sign in typed if sign not in " -\N{NO-BREAK SPACE}")
        with self._lock:
            now = self._clock()
            if now < self._locked_until:
                return Entry.LOCKED, ""
            if now >= self._expires:
                self._renew()
                return Entry.EXPIRED, ""
            if not hmac.compare_digest(given.encode(), self._code.encode()):
                self._misses += 1
                if self._misses >= MISSES:
                    self._locked_until = now + LOCK_SECONDS
                    self._renew()
                    return Entry.LOCKED, ""
                return Entry.WRONG, ""
            self._misses = 0
            token = secrets.token_urlsafe(32)
            self._tokens[_digest(token)] = now + TOKEN_SECONDS
            while len(self._tokens) > MOST_TOKENS:
                del self._tokens[min(self._tokens, key=lambda name: self._tokens[name])]
            return Entry.LET_IN, token

    def is_paired(self, token: str) -> bool:
        """True for a screen that was let in; its time begins anew."""
        if not token:
            return False
        digest = _digest(token)
        with self._lock:
            now = self._clock()
            if self._tokens.get(digest, 0.0) <= now:
                self._tokens.pop(digest, None)
                return False
            self._tokens[digest] = now + TOKEN_SECONDS
            return True

    def forget(self, token: str) -> None:
        """Let a screen go."""
        with self._lock:
            self._tokens.pop(_digest(token), None)

    def _renew(self) -> None:
        self._code = self._make_code()
        self._expires = self._clock() + CODE_SECONDS
        self._misses = 0
        self._show(self._code)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
