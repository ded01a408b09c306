"""Talk in a shop that is no answer: sentences to somebody else, single words that belong to no vocabulary."""

from __future__ import annotations

import random
import re
import tomllib
from collections.abc import Iterator, Set
from pathlib import Path

_TALK = tomllib.loads(Path(__file__).with_name("talk.toml").read_text(encoding="utf-8"))


def sentences(rng: random.Random) -> Iterator[str]:
    """Sentences to somebody else, for ever."""
    while True:
        yield re.sub(r"\{(\w+)\}", lambda slot: rng.choice(_TALK["slots"][slot[1]]), rng.choice(_TALK["sentences"]))


def stray_words(rng: random.Random, known: Set[str]) -> Iterator[str]:
    """One or two words that are no answer, for ever; none of them is one of the ``known`` words of our grammars."""
    strays = [word.replace("-", " ") for word in _TALK["stray"] if word not in known]
    while True:
        yield f"{rng.choice(strays)} {rng.choice(strays)}" if rng.random() < 0.3 else rng.choice(strays)
