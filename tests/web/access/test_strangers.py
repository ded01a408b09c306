"""A stranger's connections, garbage and wrong codes against a page that is really served: paired screens go on."""

from __future__ import annotations

import socket
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.web import server
from assistant.web.access import connections
from assistant.web.access.certificate import own_certificate
from assistant.web.access.connections import MOST_OF_ADDRESS, MOST_STRANGERS
from assistant.web.access.pairing import MISSES
from assistant.web.server import own_names
from tests.web.access.flood import stranger
from tests.web.access.strangers import ask, served

ELSEWHERE = "127.0.0.2" if sys.platform == "linux" else "127.0.0.1"
"""On Linux every address of 127.0.0.0/8 is this machine."""


def idle(port: int, count: int, source: str = ELSEWHERE) -> list[socket.socket]:
    return [socket.create_connection(("127.0.0.1", port), 5.0, source_address=(source, 0)) for _ in range(count)]


def test_200_idle_connections_refuse_no_paired_screen(lamp_shop: Path, tmp_path: Path) -> None:
    """Neither on the connection it has, nor on a new one, nor from the very address that they come from."""
    with served(tmp_path / "records") as page:
        line = page.line()
        cookie = page.pair(line)[1]
        ask(line, cookie)
        for source in (ELSEWHERE, "127.0.0.1"):
            held = idle(page.port, 100, source)
            ask(line, cookie)
            fresh = page.line()
            ask(fresh, cookie)
            fresh.close()
            assert len(page.house.connections) <= 2 * MOST_OF_ADDRESS + 2
            for one in held:
                one.close()
        line.close()


def test_connections_without_a_handshake_stop_no_new_ones(
    lamp_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """They are bounded from the moment they are accepted, and end by themselves; nothing reaches the terminal."""
    monkeypatch.setattr(server, "HANDSHAKE_SECONDS", 0.5)
    certificate = own_certificate(tmp_path / "page", own_names("127.0.0.1"), datetime.now(UTC))
    with served(tmp_path / "records", certificate) as page:
        held = idle(page.port, 250)
        for one in held[-3:]:
            one.sendall(b"GET / HTTP/1.1\r\n\r\n")
        line = page.line()
        status, cookie = page.pair(line)
        assert status == 200
        ask(line, cookie)
        assert len(page.house.connections) <= MOST_STRANGERS
        ends = time.monotonic() + 15
        while len(page.house.connections) > 1 and time.monotonic() < ends:
            time.sleep(0.05)
        assert len(page.house.connections) == 1
        ask(line, cookie)
        line.close()
        for one in held:
            one.close()
    assert capfd.readouterr() == ("", "")


def test_a_half_sent_request_is_closed(lamp_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever is still awaited: a header, a body, or anything at all."""
    monkeypatch.setattr(connections, "STRANGER_SECONDS", 0.5)
    with served(tmp_path / "records") as page:
        held = idle(page.port, 3)
        held[1].sendall(b"GET /pair HTTP/1.1\r\nhost: localhost\r\nx: ")
        held[2].sendall(b"POST /api/pair HTTP/1.1\r\nhost: localhost\r\ncontent-length: 900\r\n\r\n{")
        for one in held:
            one.settimeout(10)
            try:
                while one.recv(4096):
                    pass
            except ConnectionResetError:
                pass
            one.close()


def test_a_strangers_wrong_codes_lock_only_the_stranger(lamp_shop: Path, tmp_path: Path) -> None:
    """Told by the address that the connection comes from."""
    if ELSEWHERE == "127.0.0.1":
        pytest.skip("this system has one loopback address")
    with served(tmp_path / "records") as page:
        far = page.line(ELSEWHERE)
        assert [page.pair(far, "00000000")[0] for _ in range(MISSES)] == [403] * (MISSES - 1) + [429]
        assert page.pair(far)[0] == 429
        near = page.line()
        assert page.pair(near)[0] == 200
        far.close()
        near.close()


@pytest.mark.sweep
@pytest.mark.parametrize("source", [ELSEWHERE, "127.0.0.1"])
def test_a_paired_screen_is_answered_while_a_stranger_floods(lamp_shop: Path, tmp_path: Path, source: str) -> None:
    """5,000 connections or 20 seconds, whichever ends first; nothing but a sentence or two is told meanwhile."""
    with served(tmp_path / "records") as page:
        line = page.line()
        cookie = page.pair(line)[1]
        asked = 0
        with stranger(page.port, source, 5000, 20.0) as opened:
            ends = time.monotonic() + 20
            while opened() < 5000 and time.monotonic() < ends:
                ask(line, cookie)
                asked += 1
                time.sleep(0.06)  # a screen may ask twenty times a second in the long run
                assert len(page.house.connections) <= MOST_STRANGERS + 1
            assert opened() > 500
        assert asked > 5
        line.close()
    assert 1 <= len(page.told) <= 3
