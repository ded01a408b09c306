"""Texts as the pieces of words that the network knows, and back.

The publisher's file lists the pieces by number, each with its length before it (one byte, or two from 128 on). A text
is taken apart into letters and joined again, always the two neighbors whose union has the lowest number: byte-pair
encoding with byte fallback (Sennrich and others 2016; Kudo 2018), as the publisher's own reader does it.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

SPACE = "\u2581"
"""Stands for the space before a word."""
START, END = 1, 2
_BYTES_FROM = 3
"""Number of the piece for the byte 0; the 255 others follow."""
_WORDS_FROM = 259


class Tokenizer:
    """Pieces by number.

    Args:
        listed: the publisher's file.
    """

    def __init__(self, listed: bytes) -> None:
        self._pieces = _pieces(listed)
        self._numbers: dict[bytes, int] = {}
        for number, piece in enumerate(self._pieces):
            if number >= _WORDS_FROM or number < _BYTES_FROM:
                self._numbers.setdefault(piece, number)
        self._encoded = lru_cache(8192)(self._encode)

    def __len__(self) -> int:
        return len(self._pieces)

    def encode(self, text: str) -> tuple[int, ...]:
        """Numbers of the pieces of a text, without start and end."""
        return self._encoded(text)

    def decode(self, numbers: tuple[int, ...] | list[int]) -> str:
        """The text of pieces; those that mark start, end and the unknown are left out."""
        joined = b"".join(self._piece(number) for number in numbers if number > END)
        return joined.decode("utf-8", "replace").replace(SPACE, " ").strip()

    def piece(self, number: int) -> str:
        """One piece as it is written, the space before a word as ``SPACE``; '' for start, end and the unknown."""
        return self._piece(number).decode("utf-8", "replace") if number > END else ""

    def _piece(self, number: int) -> bytes:
        if _BYTES_FROM <= number < _WORDS_FROM:
            return bytes([number - _BYTES_FROM])
        return self._pieces[number] if number < len(self._pieces) else b""

    def _encode(self, text: str) -> tuple[int, ...]:
        parts = [letter.encode() for letter in SPACE + text.replace(" ", SPACE)]
        while True:
            joints = [(self._numbers.get(one + other), at) for at, (one, other) in enumerate(pairwise(parts))]
            known = [(number, at) for number, at in joints if number is not None]
            if not known:
                break
            _, at = min(known)
            parts[at : at + 2] = [parts[at] + parts[at + 1]]
        found: list[int] = []
        for part in parts:
            number = self._numbers.get(part)
            found += [number] if number is not None else [_BYTES_FROM + byte for byte in part]
        return tuple(found)


def _pieces(listed: bytes) -> list[bytes]:
    pieces = []
    at = 0
    while at < len(listed):
        length = listed[at]
        at += 1
        if length >= 128:
            length = listed[at] * 128 + length - 128
            at += 1
        pieces.append(listed[at : at + length])
        at += length
    return pieces
