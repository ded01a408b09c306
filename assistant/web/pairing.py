"""Pairing a screen: a code that the terminal shows, and a token that the screen keeps afterwards.

The code expires, and a few misses lock pairing for a while and make a new code; paired screens stay paired, over a
restart of the server too (``tokens``).
"""

from __future__ import annotations

import contextlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable
from enum import StrEnum

from assistant.errors import OperatorError
from assistant.web.tokens import RENEW_SECONDS, Tokens

DIGITS = 8
"""Digits of a code: with gloves on, digits are quicker than letters."""
CODE_SECONDS = 15 * 60.0
"""How long a code is good for."""
MISSES = 5
"""Wrong codes, from all screens together, after which pairing is locked."""
LOCK_SECONDS = 5 * 60.0
"""How long it stays locked. Five guesses in five minutes at one code of a hundred million."""


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
        tokens: makes the tokens and knows its own; None for ones that end with the program.
    """

    def __init__(
        self,
        show: Callable[[str], None],
        clock: Callable[[], float] = time.monotonic,
        make_code: Callable[[], str] | None = None,
        tokens: Tokens | None = None,
    ) -> None:
        self._show, self._clock = show, clock
        self._make_code = make_code or (lambda: f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}")
        self._lock = threading.Lock()
        self._tokens = tokens or Tokens()
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
            return Entry.LET_IN, self._tokens.make()

    def is_paired(self, token: str) -> bool:
        """True for a screen that was let in and whose time is not over."""
        return bool(token) and self._tokens.age(token) is not None

    def renewed(self, token: str) -> str:
        """A fresh token for a screen in use, '' while its own is fresh enough or when it is not paired."""
        age = self._tokens.age(token) if token else None
        return self._tokens.make() if age is not None and age >= RENEW_SECONDS else ""

    def reminder(self) -> Callable[[], bool]:
        """For one open connection: asked while it is in use; True each time its page should fetch a fresh token.

        An open connection carries no cookie, so the page fetches one; whether a new token is due is decided then, by
        the token that the page has by then. An idle connection is not asked about.
        """
        last = self._tokens.now()

        def due() -> bool:
            nonlocal last
            if self._tokens.now() - last < RENEW_SECONDS:
                return False
            last = self._tokens.now()
            return True

        return due

    def forget(self, token: str) -> None:
        """Unpair a screen."""
        with contextlib.suppress(OperatorError):  # it is revoked here in any case
            self._tokens.revoke(token)

    def _renew(self) -> None:
        self._code = self._make_code()
        self._expires = self._clock() + CODE_SECONDS
        self._misses = 0
        self._show(self._code)
