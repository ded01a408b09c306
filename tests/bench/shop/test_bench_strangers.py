"""How long a paired screen waits while a stranger floods the page, against the same screen in peace, in one run.

The stranger is a process of his own on a second address of this machine. He keeps up to 5,000 connections and opens
a thousand new ones a second: idle ones, half a header, garbage, wrong codes, and over TLS every second one a whole
handshake. ``LEADSMAN_BENCH_FLOOD`` says for how many seconds, 15 if nothing else is said; the goal is ten minutes
(600) in which answers come within twice their usual time. The page and he share the machine's cores, so that at
a quicker pace his own work would be what is measured.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.web.access.certificate import own_certificate
from assistant.web.access.connections import MOST_STRANGERS
from assistant.web.server import own_names
from tests.web.access.flood import stranger
from tests.web.access.strangers import ask, served
from tests.web.access.test_strangers import ELSEWHERE

pytestmark = pytest.mark.bench
SECONDS = float(os.environ.get("LEADSMAN_BENCH_FLOOD", "15"))
KEPT = 5000
"""Connections that the stranger keeps open at a time."""
PACE = 1000.0
"""Connections that he opens in a second."""
MOST = 2_000_000
"""Connections that he opens in all, however long it lasts."""
PEACE = 10.0
"""Seconds of peace, half of them before, half of them behind: the machine may be busy with something else by then."""
PAUSE = 0.05
"""Seconds between two requests: a screen may make so many in the long run."""


@pytest.mark.parametrize("secured", [False, True])
def test_a_paired_screens_wait(tmp_path: Path, secured: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """The median and the slowest of a hundred, plain and encrypted."""
    certificate = own_certificate(tmp_path / "page", own_names("127.0.0.1"), datetime.now(UTC)) if secured else None
    with served(tmp_path / "records", certificate) as page:
        line = page.line()
        cookie = page.pair(line)[1]

        def waits(going: Callable[[], bool]) -> list[float]:
            spent = []
            while going():
                spent.append(ask(line, cookie))
                time.sleep(PAUSE)
            return spent

        def for_seconds(seconds: float) -> list[float]:
            until = time.monotonic() + seconds
            return waits(lambda: time.monotonic() < until)

        peace = for_seconds(PEACE / 2)
        with stranger(page.port, ELSEWHERE, MOST, SECONDS, handshakes=secured, kept=KEPT, pace=PACE) as opened:
            worked = time.process_time()
            flood = for_seconds(SECONDS)
            worked = time.process_time() - worked
            count, still = opened(), len(page.house.connections)
        peace += for_seconds(PEACE / 2)
        line.close()
    assert still <= MOST_STRANGERS + 1
    middle = statistics.median(flood) / statistics.median(peace)
    with capsys.disabled():
        print(
            f"\n{'TLS' if secured else 'plain'}: {count} connections of a stranger in {SECONDS:.0f} s; "
            f"a paired screen waits {middle:.2f} times as long ({1000 * statistics.median(peace):.1f} to "
            f"{1000 * statistics.median(flood):.1f} ms; "
            f"95 of 100 within {1000 * statistics.quantiles(peace, n=20)[-1]:.1f} to "
            f"{1000 * statistics.quantiles(flood, n=20)[-1]:.1f} ms; "
            f"slowest {1000 * max(peace):.0f} to {1000 * max(flood):.0f} ms; {len(peace)} and {len(flood)} asked); "
            f"this process worked {100 * worked / SECONDS:.0f} % of a core, "
            f"{1e6 * worked / max(1, count):.0f} microseconds a connection"
        )
