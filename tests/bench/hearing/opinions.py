"""The opinions that the benchmark of hearing sets side by side: the recognizer alone, and with each second scorer."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from assistant.asr.network.moonshine import Moonshine
from assistant.asr.network.weights import Weights
from assistant.asr.recognizer import Recognizer
from assistant.asr.second_opinion import OURS_SHA256, NetworkScorer, Scorer, downloaded_weights, our_weights
from assistant.audio.sound import Sound
from assistant.setup.scorer import published_hash
from tests.bench.hearing.cases import Case
from tests.bench.hearing.mixing import case_sound
from tests.bench.hearing.nbest import Cache

PUBLISHED, OURS = "published weights", "our weights"
_READ: dict[str, tuple[str, Callable[[], Weights | None]]] = {
    PUBLISHED: ("published", downloaded_weights),
    OURS: ("ours", our_weights),
}


def scorers() -> dict[str, Scorer]:
    """Every second opinion that this machine has; ``LEADSMAN_BENCH_OPINIONS=ours`` leaves the published one out."""
    wanted = os.environ.get("LEADSMAN_BENCH_OPINIONS", "published,ours").split(",")
    found: dict[str, Scorer] = {}
    for name, (short, read) in _READ.items():
        weights = read() if short in wanted else None
        if weights is not None:
            found[name] = NetworkScorer(Moonshine(weights))
    return found


def cache_of(corpus: Path, recognizer: Recognizer) -> Cache:
    """What is heard and thought of it, from the file of earlier runs where ``LEADSMAN_BENCH_HEARD`` names one."""

    def sound(case: Case, condition: str) -> Sound:
        noise, _, ratio = condition.partition("@")
        return case_sound(case, corpus, "" if noise == "quiet" else noise, float(ratio or 0))

    named = os.environ.get("LEADSMAN_BENCH_HEARD")
    hashes = {OURS: OURS_SHA256[:16], PUBLISHED: published_hash()[:16]}
    return Cache(Path(named) if named else None, recognizer, sound, scorers(), hashes)
