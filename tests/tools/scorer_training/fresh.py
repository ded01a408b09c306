"""Recordings that nobody has looked at: the deciding voices say readings drawn by a seed, for the benchmark alone.

    python -m tests.tools.scorer_training.fresh --network FILE --voices DIR --out fresh --seed 1

writes a folder that the benchmark of hearing takes for the shared readings (``LEADSMAN_BENCH_READINGS=fresh``). The
value is drawn first and the words for it after, none of them a text of the shared readings; another seed is another
set, which settings that were looked at on one must meet again. Nothing of it may train or fit anything.
"""

from __future__ import annotations

import argparse
import csv
import random
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import numpy as np
import soundfile

from assistant import catalog
from assistant.messages import Expectation, Expects
from assistant.numerals.verbalizations import sayings
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.recognition.grammar_phrases import spread
from tests.tools.scorer_training import neural
from tests.tools.scorer_training.clips import RATE
from tests.tools.scorer_training.texts import PROMPTS, as_heard, told

COLUMNS = ("file", "voice", "said", "kind", "unit", "low", "high", "value")
_USUAL = 0.1
"""Least weight of a way to say a value."""


def rows(seed: int, aside: frozenset[str], vocabulary: Vocabulary) -> Iterator[dict[str, str]]:
    """Rows of a manifest without end: the deciding voices in turn, a prompt, a value near its limits, its words."""
    rng = random.Random(seed)
    number = 0
    while True:
        unit, low, high = rng.choice(PROMPTS)
        prompt = Expectation(Expects.READING, unit=unit, low=Decimal(low), high=Decimal(high))
        values = [one for one in spread(prompt, vocabulary, 900) if 0 <= one <= 2 * Decimal(high)]
        value = rng.choice(values)
        ways = [way for way in sayings(value, unit, vocabulary) if way.weight >= _USUAL]
        if not ways:
            continue
        words = rng.choices(ways, [way.weight for way in ways])[0].words
        if as_heard(words, vocabulary) in aside:
            continue
        voice = neural.DECIDE[number % len(neural.DECIDE)]
        yield dict(
            zip(
                COLUMNS,
                (f"s{seed}_{number:03d}.flac", voice, words, "reading", unit, low, high, str(value)),
                strict=True,
            )
        )
        number += 1


def main() -> None:
    """Say them and write the folder."""
    from tests.tools.scorer_training.corpus import said_before

    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--network", type=Path, required=True, help="file of the neural synthesizer")
    parser.add_argument("--voices", type=Path, required=True, help="folder of its voices")
    parser.add_argument("--corpus", type=Path, required=True, help="folder of the shared recordings")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--count", type=int, default=60)
    given = parser.parse_args()
    vocabulary = catalog.load_vocabulary()
    made = rows(given.seed, said_before(given.corpus), vocabulary)
    chosen = [next(made) for _ in range(given.count)]
    folder = given.out / "readings"
    folder.mkdir(parents=True, exist_ok=True)
    say = neural.speaker(given.network, given.voices)
    rng = random.Random(given.seed)
    for row in chosen:
        levels = say(row["voice"], told(row["said"]), rng.uniform(0.85, 1.2))
        soundfile.write(folder / row["file"], levels / max(1e-6, float(np.max(np.abs(levels)))) * 0.5, RATE)
        print(row["file"], row["voice"], row["said"], flush=True)
    with (folder / "manifest.tsv").open("w", encoding="utf-8", newline="") as opened:
        writer = csv.DictWriter(opened, COLUMNS, delimiter="\t")
        writer.writeheader()
        writer.writerows(chosen)


if __name__ == "__main__":
    main()
