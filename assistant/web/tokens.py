"""The seal on a screen's token: it outlives the server, so that a restart in mid-shift puts no screen out.

A token says when it was made, and carries a keyed hash (HMAC, RFC 2104, with SHA-256) that only this machine can
make. The key lies in a file that only its owner may read, together with the tokens that were let go before their
time; whoever takes the file away lets every screen go.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
import stat
import threading
import time
from collections.abc import Callable
from pathlib import Path

from assistant.errors import OperatorError
from assistant.web.private_file import write_private

TOKEN_SECONDS = 16 * 3600.0
"""How long a token is good for: a long shift."""
RENEW_SECONDS = TOKEN_SECONDS / 4
"""Age from which a screen that is in use is given a fresh token."""
MOST_LET_GO = 4096
"""Tokens that were let go and are remembered until they would have ended; beyond that a new key is made."""
_AHEAD = 120.0
"""Seconds that a token may come from the future: a clock that was set back a little."""


class Seal:
    """Makes and knows tokens.

    Args:
        path: the private file of the key; None for a key that ends with the program.
        wall: seconds since 1970, which go on while the program does not run.

    Raises:
        OperatorError: the file cannot be read or written, or others may read it.
    """

    def __init__(self, path: Path | None = None, wall: Callable[[], float] = time.time) -> None:
        self._path, self._wall = path, wall
        self._lock = threading.Lock()
        self._key = b""
        self._gone: dict[str, float] = {}
        if not self._read():
            self.start_anew()

    def start_anew(self) -> None:
        """Make a new key: every token made before is worth nothing."""
        with self._lock:
            self._key, self._gone = secrets.token_bytes(32), {}
            self._write()

    def now(self) -> float:
        """Seconds since 1970."""
        return self._wall()

    def make(self) -> str:
        """A token for one screen."""
        body = f"{int(self._wall())}.{secrets.token_urlsafe(18)}"
        return f"{body}.{self._mark(body)}"

    def age(self, token: str) -> float | None:
        """Seconds since a token was made; None for one that is not ours, has ended, or was let go."""
        body, _, mark = token.rpartition(".")
        made = body.partition(".")[0]
        if not body or not made.isdecimal() or len(made) > 12:
            return None
        if not hmac.compare_digest(mark.encode(), self._mark(body).encode()):
            return None
        age = self._wall() - int(made)
        with self._lock:
            if _digest(token) in self._gone:
                return None
        return max(0.0, age) if -_AHEAD <= age < TOKEN_SECONDS else None

    def let_go(self, token: str) -> None:
        """A token is worth nothing from here, over a restart too."""
        if self.age(token) is None:
            return
        if len(self._gone) >= MOST_LET_GO:
            self.start_anew()
            return
        now = self._wall()
        with self._lock:
            self._gone = {digest: ends for digest, ends in self._gone.items() if ends > now}
            self._gone[_digest(token)] = now + TOKEN_SECONDS
            self._write()

    def _mark(self, body: str) -> str:
        return hmac.new(self._key, body.encode(), hashlib.sha256).hexdigest()

    def _read(self) -> bool:
        """Take the key from its file; False when there is none, or it is damaged."""
        if self._path is None or not self._path.is_file():
            return False
        try:
            if os.name != "nt" and stat.S_IMODE(self._path.stat().st_mode) & 0o077:
                return False  # others could have read it: screens pair again under a new key
            kept = json.loads(self._path.read_text(encoding="ascii"))
            key = bytes.fromhex(kept["key"])
            gone = {str(digest): float(ends) for digest, ends in kept["let_go"].items()}
        except OSError as error:
            raise self._trouble(error) from None
        except (ValueError, KeyError, TypeError, AttributeError):
            return False
        if len(key) != 32:
            return False
        self._key, self._gone = key, gone
        return True

    def _write(self) -> None:
        if self._path is None:
            return
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            write_private(self._path, json.dumps({"key": self._key.hex(), "let_go": self._gone}).encode("ascii"))
        except OSError as error:
            raise self._trouble(error) from None

    def _trouble(self, error: OSError) -> OperatorError:
        return OperatorError(
            f"The key of paired screens in {self._path} cannot be read or written: {error.strerror or error}.",
            remedy="Make the folder writable.",
        )


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
