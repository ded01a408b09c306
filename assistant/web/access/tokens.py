"""A paired screen's token: it outlives the server, so that a restart in mid-shift unpairs no screen.

A token is the random name of a screen and the time it was made, signed with HMAC and SHA-256 (itsdangerous); a fresh
token of the same screen has the same name. The key lies in a file that only its owner may read, together with the
names of screens that were let go; whoever takes the file away unpairs every screen.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import stat
import threading
import time
from collections.abc import Callable
from pathlib import Path

from itsdangerous import BadSignature, TimestampSigner

from assistant.errors import OperatorError
from assistant.private_files import make_private_folder, write_private

TOKEN_SECONDS = 16 * 3600.0
"""How long a token is good for: a long shift."""
RENEW_SECONDS = TOKEN_SECONDS / 4
"""Age from which a screen that is in use is given a fresh token."""
MOST_REVOKED = 4096
"""Screens let go that are remembered until their tokens would have ended; beyond that a new key is made."""
_AHEAD = 120.0
"""Seconds that a token may come from the future: a clock that was set back a little."""


class _Signer(TimestampSigner):
    """Signs with SHA-256, by the clock that it is given."""

    def __init__(self, key: bytes, wall: Callable[[], float]) -> None:
        super().__init__(key, salt="leadsman screen", key_derivation="hmac", digest_method=hashlib.sha256)
        self._wall = wall

    def get_timestamp(self) -> int:
        """Whole seconds since 1970."""
        return int(self._wall())


class Tokens:
    """Makes tokens and knows its own.

    Args:
        path: the private file of the key; None for a key that ends with the program.
        wall: seconds since 1970, which go on while the program does not run.

    Raises:
        OperatorError: the file cannot be read or written.
    """

    def __init__(self, path: Path | None = None, wall: Callable[[], float] = time.time) -> None:
        self._path, self._wall = path, wall
        self._lock = threading.Lock()
        kept = self._read()
        if kept is None:
            self.start_anew()
        else:
            self._key, self._revoked = kept
            self._signer = _Signer(self._key, wall)

    def start_anew(self) -> None:
        """Make a new key: every token made before is worth nothing."""
        with self._lock:
            self._key, self._revoked = secrets.token_bytes(32), {}
            self._signer = _Signer(self._key, self._wall)
            self._write()

    def now(self) -> float:
        """Seconds since 1970."""
        return self._wall()

    def make(self, name: str = "") -> str:
        """A token for the screen of this name; for a new screen when no name is given."""
        return self._signer.sign(name or secrets.token_urlsafe(18)).decode("ascii")

    @staticmethod
    def name(token: str) -> str:
        """Name of the screen that a token is for. It says nothing about whether the token is good."""
        return token.partition(".")[0]

    def is_revoked(self, name: str) -> bool:
        """True for a screen that was let go."""
        with self._lock:
            return name in self._revoked

    def age(self, token: str) -> float | None:
        """Seconds since a token was made; None for one that is not ours, has ended, or was revoked."""
        try:
            name, made = self._signer.unsign(token, return_timestamp=True)
        except BadSignature:
            return None
        with self._lock:
            if name.decode() in self._revoked:
                return None
        age = self._wall() - made.timestamp()
        return max(0.0, age) if -_AHEAD <= age < TOKEN_SECONDS else None

    def revoke(self, token: str) -> None:
        """Every token of this screen is worth nothing from here, over a restart too."""
        if self.age(token) is None:
            return
        if len(self._revoked) >= MOST_REVOKED:
            self.start_anew()
            return
        # the name, not the whole token: the last letter of a signature may be written in more than one way
        name, now = self.name(token), self._wall()
        with self._lock:
            self._revoked = {each: ends for each, ends in self._revoked.items() if ends > now}
            self._revoked[name] = now + TOKEN_SECONDS
            self._write()

    def _read(self) -> tuple[bytes, dict[str, float]] | None:
        """The key and the revoked names from their file; None when there is none, or it is damaged."""
        if self._path is None or not self._path.is_file():
            return None
        try:
            if os.name != "nt" and stat.S_IMODE(self._path.stat().st_mode) & 0o077:
                return None  # others could have read it: screens pair again under a new key
            kept = json.loads(self._path.read_text(encoding="ascii"))
            key = bytes.fromhex(kept["key"])
            revoked = {str(name): float(ends) for name, ends in kept["revoked"].items()}
        except OSError as error:
            raise self._trouble(error) from None
        except (ValueError, KeyError, TypeError, AttributeError):
            return None
        return (key, revoked) if len(key) == 32 else None

    def _write(self) -> None:
        if self._path is None:
            return
        try:
            make_private_folder(self._path.parent)
            write_private(self._path, json.dumps({"key": self._key.hex(), "revoked": self._revoked}).encode("ascii"))
        except OSError as error:
            raise self._trouble(error) from None

    def _trouble(self, error: OSError) -> OperatorError:
        return OperatorError(
            f"The key of paired screens in {self._path} cannot be read or written: {error.strerror or error}.",
            remedy="Make the folder writable.",
        )
