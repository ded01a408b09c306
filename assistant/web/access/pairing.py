"""Pairing a screen: a code that the terminal shows, and a token that the screen keeps afterwards.

A code lets in one screen; then the terminal shows the next one, as it does when a code has expired and whenever
somebody at the terminal asks for one. A few wrong codes lock pairing for a while for the address that they came from,
and for no other. Paired screens stay paired, over a restart of the server too (``tokens``).
"""

from __future__ import annotations

import contextlib
import hmac
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from assistant.errors import OperatorError
from assistant.web.access.tokens import RENEW_SECONDS, Tokens

DIGITS = 8
"""Digits of a code: with gloves on, digits are quicker than letters."""
CODE_SECONDS = 15 * 60.0
"""How long a code is good for."""
MISSES = 5
"""Wrong codes from one address after which pairing is locked for it."""
LOCK_SECONDS = 5 * 60.0
"""How long it stays locked. A whole network of 250 addresses has 4,000 guesses at one code of a hundred million."""
MOST_ADDRESSES = 4096
"""Addresses whose wrong codes are remembered; beyond that the oldest are forgotten."""


class Entry(StrEnum):
    """What a try at the code came to."""

    LET_IN = "let_in"
    WRONG = "wrong"
    EXPIRED = "expired"
    LOCKED = "locked"


@dataclass(slots=True)
class _Misses:
    """Wrong codes from one address."""

    count: int = 0
    until: float = 0.0
    """When its lock ends, monotonic seconds; and when its wrong codes are forgotten."""


class Pairing:
    """The code and the tokens.

    Args:
        show: called with each new code and the link's secret, to show them in the terminal.
        clock: monotonic seconds.
        make_code: makes a code.
        tokens: makes the tokens and knows its own; None for ones that end with the program.
    """

    def __init__(
        self,
        show: Callable[[str, str], None],
        clock: Callable[[], float] = time.monotonic,
        make_code: Callable[[], str] | None = None,
        tokens: Tokens | None = None,
    ) -> None:
        self._show, self._clock = show, clock
        self._make_code = make_code or (lambda: f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}")
        self._lock = threading.Lock()
        self._tokens = tokens or Tokens()
        self._misses: OrderedDict[str, _Misses] = OrderedDict()
        self._watching: dict[str, set[Callable[[], None]]] = {}
        self._renew()

    @property
    def code(self) -> str:
        """The code that lets a screen in now; a new one, shown in the terminal, when the last has expired."""
        return self.offered()[0]

    def offered(self) -> tuple[str, str]:
        """The code and the link's secret that let a screen in now, new ones where the last have expired."""
        with self._lock:
            if self._clock() >= self._expires:
                self._renew()
            return self._code, self._secret

    def show_new_code(self) -> None:
        """Make a new code and show it, as somebody at the terminal asked; every address may try again."""
        with self._lock:
            self._misses.clear()
            self._renew()

    def try_code(self, typed: str, address: str = "") -> tuple[Entry, str]:
        """Try a code, or a link's secret: what came of it, and the screen's token when it was right.

        Spaces and dashes in the code do not matter. A code that has expired is replaced by a new one. The secret of
        a link has 128 bits and is not guessed: it lets in also where wrong codes have locked an address, which a
        stranger on the same machine could do to its owner.

        Args:
            typed: what was typed.
            address: where it came from (``limits.address_key``).
        """
        given = "".join(sign for sign in typed if sign not in " -\N{NO-BREAK SPACE}")
        with self._lock:
            now = self._clock()
            fresh = now < self._expires
            if fresh and hmac.compare_digest(typed.encode(), self._secret.encode()):
                return self._let_in(address)
            misses = self._misses.get(address)
            if misses is not None and now >= misses.until:
                del self._misses[address]
                misses = None
            if misses is not None and misses.count >= MISSES:
                return Entry.LOCKED, ""
            if not fresh:
                self._renew()
                return Entry.EXPIRED, ""
            if hmac.compare_digest(given.encode(), self._code.encode()):
                return self._let_in(address)
            return self._miss(address, now), ""

    def is_paired(self, token: str) -> bool:
        """True for a screen that was let in and whose time is not over."""
        return bool(token) and self._tokens.age(token) is not None

    def device(self, token: str) -> str:
        """Name of the paired screen that a token is for, '' when it is not paired."""
        return self._tokens.name(token) if self.is_paired(token) else ""

    def renewed(self, token: str) -> str:
        """A fresh token for a screen in use, '' while its own is fresh enough or when it is not paired."""
        age = self._tokens.age(token) if token else None
        return self._tokens.make(self._tokens.name(token)) if age is not None and age >= RENEW_SECONDS else ""

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

    def watch(self, device: str, gone: Callable[[], None]) -> Callable[[], None]:
        """Have ``gone`` called when this screen is let go, from whatever thread does it; returns what ends that.

        A screen that was let go already is told at once.
        """
        with self._lock:
            self._watching.setdefault(device, set()).add(gone)
        if self._tokens.is_revoked(device):
            gone()

        def leave() -> None:
            with self._lock:
                watching = self._watching.get(device, set())
                watching.discard(gone)
                if not watching:
                    self._watching.pop(device, None)

        return leave

    def forget(self, token: str) -> None:
        """Let a screen go: its token is worth nothing, and its open lines are told."""
        device = self.device(token)
        if not device:
            return
        with contextlib.suppress(OperatorError):  # it is revoked here in any case
            self._tokens.revoke(token)
        everybody = not self._tokens.is_revoked(device)  # a new key was made: nobody is paired any more
        with self._lock:
            told = [gone for name, all_of in self._watching.items() if everybody or name == device for gone in all_of]
        for gone in told:
            gone()

    def _let_in(self, address: str) -> tuple[Entry, str]:
        self._misses.pop(address, None)
        token = self._tokens.make()
        self._renew()
        return Entry.LET_IN, token

    def _miss(self, address: str, now: float) -> Entry:
        misses = self._misses.setdefault(address, _Misses())
        misses.count += 1
        misses.until = now + LOCK_SECONDS
        self._misses.move_to_end(address)
        while len(self._misses) > MOST_ADDRESSES:
            self._misses.popitem(last=False)
        return Entry.LOCKED if misses.count >= MISSES else Entry.WRONG

    def _renew(self) -> None:
        self._code, self._secret = self._make_code(), secrets.token_urlsafe(16)
        self._expires = self._clock() + CODE_SECONDS
        self._show(self._code, self._secret)
