"""Who may stay connected: strangers make room for others and end soon, paired screens stay; and how it is told."""

from __future__ import annotations

import logging
from collections.abc import Callable

from assistant.web.access.connections import (
    CONNECT_BRIM,
    MOST_OF_ADDRESS,
    MOST_OF_DEVICE,
    MOST_STRANGERS,
    STRANGER_SECONDS,
    Connections,
)
from assistant.web.access.quiet_log import PERIOD, QuietLog
from tests.web.conftest import FakeTime


class Lines:
    """Connections under test, and which of them were closed."""

    def __init__(self) -> None:
        self.time = FakeTime()
        self.connections = Connections(self.time)
        self.closed: list[tuple[str, int]] = []

    def open(self, host: str, port: int) -> tuple[str, int]:
        peer = (host, port)
        self.connections.admit(peer, self._closing(peer), lambda: peer in self.closed)
        return peer

    def _closing(self, peer: tuple[str, int]) -> Callable[[], None]:
        return lambda: self.closed.append(peer)


def test_one_address_only_pushes_out_its_own() -> None:
    """The oldest first; a paired screen at the same address stays."""
    lines = Lines()
    screen = lines.open("192.0.2.1", 1)
    lines.connections.trust(screen, "screen")
    other = lines.open("192.0.2.2", 1)
    flood = [lines.open("192.0.2.1", 100 + number) for number in range(5 * MOST_OF_ADDRESS)]
    assert lines.closed == flood[: 4 * MOST_OF_ADDRESS]
    assert len(lines.connections) == MOST_OF_ADDRESS + 2
    lines.connections.trust(other, "other screen")
    assert lines.connections.take_turned_away() == 4 * MOST_OF_ADDRESS
    assert lines.connections.take_turned_away() == 0


def test_many_addresses_push_out_the_one_with_most() -> None:
    """So a newcomer with one connection is let in however many a stranger holds."""
    lines = Lines()
    for address in range(MOST_STRANGERS // MOST_OF_ADDRESS):
        for port in range(MOST_OF_ADDRESS):
            lines.open(f"192.0.2.{address}", port)
    newcomers = [lines.open(f"198.51.100.{number}", 1) for number in range(20)]
    assert not set(newcomers) & set(lines.closed)
    assert len(lines.connections) == MOST_STRANGERS


def test_a_stranger_ends_after_a_while_and_a_screen_does_not() -> None:
    """Whatever it waits for; one whose screen was let go counts as a stranger from then on."""
    lines = Lines()
    stranger, screen, gone = (lines.open("192.0.2.1", port) for port in range(3))
    lines.connections.trust(screen, "screen")
    lines.connections.trust(gone, "gone")
    lines.time.at += STRANGER_SECONDS
    lines.connections.sweep()
    assert lines.closed == [stranger]
    lines.connections.distrust(gone)
    lines.time.at += STRANGER_SECONDS - 1
    lines.connections.sweep()
    assert lines.closed == [stranger]
    lines.time.at += 1
    lines.connections.sweep()
    assert lines.closed == [stranger, gone]


def test_a_screen_has_a_bound_too_and_closed_ones_do_not_count() -> None:
    """Its oldest that is still open goes."""
    lines = Lines()
    first = lines.open("192.0.2.1", 0)
    lines.connections.trust(first, "screen")
    for port in range(1, 3 * MOST_OF_DEVICE):
        peer = lines.open("192.0.2.1", port)
        lines.connections.trust(peer, "screen")
        lines.closed.append(peer)
    assert first not in lines.closed
    live = [lines.open("192.0.2.1", 1000 + port) for port in range(MOST_OF_DEVICE)]
    for peer in live:
        lines.connections.trust(peer, "screen")
    assert first in lines.closed
    assert not set(live) & set(lines.closed)


def test_a_port_that_comes_again_is_another_connection() -> None:
    """The far end may use a port anew before the old connection was seen to be closed."""
    lines = Lines()
    first = lines.connections.admit(("192.0.2.1", 1), lambda: None, lambda: True)
    second = lines.connections.admit(("192.0.2.1", 1), lambda: None, lambda: False)
    lines.connections.lost(first)
    assert len(lines.connections) == 1
    lines.connections.lost(second)
    lines.connections.lost(second)
    assert len(lines.connections) == 0
    lines.connections.make_room()
    lines.connections.trust(("192.0.2.1", 1), "screen")


def test_connecting_has_a_rate() -> None:
    """Of its own for each address."""
    lines = Lines()
    allowed = [lines.connections.may_connect("192.0.2.1") for _ in range(int(CONNECT_BRIM) + 9)]
    assert allowed.count(False) == 9
    assert lines.connections.may_connect("192.0.2.2")
    lines.time.at += 1
    assert lines.connections.may_connect("192.0.2.1")


def test_what_was_refused_is_one_sentence_a_minute() -> None:
    """However much the libraries log; nothing of it reaches the terminal, and a fault of ours is named."""
    time, told = FakeTime(), list[str]()
    log = QuietLog(told.append, time)
    log.tick(0)
    assert told == []
    with log.instead():
        logging.getLogger("uvicorn.error").warning("Invalid HTTP request received.")
        log.tick(0)
        for _ in range(1000):
            logging.getLogger("uvicorn.error").warning("Invalid HTTP request received.")
            log.tick(3)
        logging.getLogger("asyncio").error("fault", exc_info=ValueError())
        logging.getLogger("uvicorn.error").info("not a trouble")
        assert told == ["(The page: 1 broken requests refused. Sessions go on.)"]
        time.at += PERIOD
        log.tick(0)
        time.at += PERIOD
        log.tick(0)
    assert len(told) == 2
    assert "3000 connections of unpaired screens closed, 1000 broken requests refused" in told[1]
    assert "1 requests met a fault of the program's own (ValueError)" in told[1]
    assert log not in logging.getLogger("uvicorn").handlers
