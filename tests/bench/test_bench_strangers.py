"""How long a paired screen waits while a stranger floods the page, against the same screen in peace, in one run.

The stranger is a process of his own on a second address of this machine, bounded to 5,000 connections and 15 seconds:
idle ones, half a header, garbage, wrong codes, and over TLS every second one a whole handshake. The page and he share
the machine's cores.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.web.access.certificate import own_certificate
from assistant.web.server import own_names
from tests.web.access.flood import stranger
from tests.web.access.strangers import ask, served
from tests.web.access.test_strangers import ELSEWHERE

pytestmark = pytest.mark.bench
SECONDS = 15.0
MOST = 5000
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

        ends = time.monotonic() + SECONDS / 3
        peace = waits(lambda: time.monotonic() < ends)
        with stranger(page.port, ELSEWHERE, MOST, SECONDS, handshakes=secured) as opened:
            until = time.monotonic() + SECONDS
            flood = waits(lambda: opened() < MOST and time.monotonic() < until)
            count = opened()
        line.close()
    middle = statistics.median(flood) / statistics.median(peace)
    with capsys.disabled():
        print(
            f"\n{'TLS' if secured else 'plain'}: {count} connections of a stranger; a paired screen waits "
            f"{middle:.2f} times as long ({1000 * statistics.median(peace):.1f} to "
            f"{1000 * statistics.median(flood):.1f} ms; "
            f"95 of 100 within {1000 * statistics.quantiles(peace, n=20)[-1]:.1f} to "
            f"{1000 * statistics.quantiles(flood, n=20)[-1]:.1f} ms; "
            f"slowest {1000 * max(peace):.0f} to {1000 * max(flood):.0f} ms; {len(peace)} and {len(flood)} asked)"
        )
