"""Findings that nobody asked for, by words that tell what is seen: 'something's been gnawing on it' for 'damaged'."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from assistant.understanding.choosing.asserted import denied


def told_in_looks(said: Sequence[str], forms: Sequence[str]) -> int:
    """How many of the words tell one of these forms, none of it denied.

    Args:
        said: the words.
        forms: what tells a finding, as in ``grammars/looks.toml``; ``*`` ends the beginning of a word.
    """
    return sum(1 + form.count(" ") for form in forms for at in _places(form, said) if not denied(said, at))


def _places(form: str, said: Sequence[str]) -> list[int]:
    """Where a form stands: the place of its first word."""
    pattern = _pattern(form)
    size = len(pattern)
    return [
        at
        for at in range(len(said) - size + 1)
        if all(
            word.startswith(one) if begins else word == one
            for (one, begins), word in zip(pattern, said[at : at + size], strict=True)
        )
    ]


@lru_cache(maxsize=4096)
def _pattern(form: str) -> tuple[tuple[str, bool], ...]:
    """The words of a form, each with whether it is only a beginning."""
    return tuple((word.removesuffix("*"), word.endswith("*")) for word in form.split())
