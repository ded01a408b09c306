"""What the second opinion costs a typed line, and its fitting and keeping, as ratios measured in one run."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from io import BytesIO
from statistics import median

import pytest

from assistant import catalog
from assistant.intents.linear import fit, read, write
from assistant.messages import Hypothesis
from assistant.understanding.interpret import by_rules, interpret
from tests.understanding.left_out import OHMS, writers

pytestmark = pytest.mark.bench


def seconds(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def test_what_a_second_opinion_costs() -> None:
    vocabulary = catalog.load_vocabulary()
    said = [text for told in writers().values() for _, text in told][::5]
    interpret((Hypothesis(said[0]),), OHMS, vocabulary)  # read or fitted
    lines = {
        way is interpret: [seconds(partial(way, (Hypothesis(text),), OHMS, vocabulary)) for text in said]
        for way in (by_rules, interpret)
    }
    rules, both = median(lines[False]), median(lines[True])
    late = sorted(lines[True])[int(0.99 * len(said))]
    print(f"\na line of talk: rules {1000 * rules:.2f} ms, with the second opinion {1000 * both:.2f} ms: "
          f"{both / rules:.2f} times at the median; {1000 * late:.2f} ms at the 99th of 100")  # fmt: skip
    sayings = [one for told in writers().values() for one in told]
    fitting = seconds(lambda: fit(sayings))
    kept = BytesIO()
    write(fit(sayings), kept)
    reading = seconds(lambda: read(BytesIO(kept.getvalue())))
    print(f"fitted in {fitting:.2f} s, read in {1000 * reading:.1f} ms: {fitting / reading:.0f} times; "
          f"{len(kept.getvalue()) / 2**20:.1f} MiB")  # fmt: skip
    assert reading < fitting
