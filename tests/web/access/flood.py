"""A stranger who floods a page, in a process of his own: only the page's processor time is then the page's.

Nothing of the program is imported here, so that the process is there at once.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import socket
import ssl
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator
from multiprocessing.sharedctypes import Synchronized
from multiprocessing.synchronize import Event

SLOW_HEADER = b"GET /pair HTTP/1.1\r\nhost: localhost\r\nx-slow: "
GARBAGE = (b"\x16\x03\x01\xff\xff" + bytes(200), b"\0" * 300, b"GET / HTTP/9.9\r\n\r\n", b"POST /" + b"a" * 20_000)
KEPT = 300
"""Connections that he keeps open unless told otherwise."""
SPARE = 100
"""Descriptors that he leaves to his process."""


@contextlib.contextmanager
def stranger(
    port: int,
    source: str,
    most: int,
    seconds: float,
    *,
    handshakes: bool = False,
    kept: int = KEPT,
    pace: float = 1e9,
) -> Iterator[Callable[[], int]]:
    """Open connections and send garbage, slow headers and wrong codes from ``source`` while the block runs.

    Args:
        port: of the page, on this machine.
        source: address of this machine that it comes from.
        most: connections in all.
        seconds: after which it ends in any case.
        handshakes: also make whole TLS handshakes, on every second connection.
        kept: connections that he keeps open at a time.
        pace: connections a second that he opens at most.

    Yields:
        Tells how many connections were opened.
    """
    spawn = multiprocessing.get_context("spawn")
    over, opened = spawn.Event(), spawn.Value("i", 0)
    ready = spawn.Event()
    sending = spawn.Process(
        target=_send, args=(port, source, most, seconds, handshakes, kept, pace, over, ready, opened), daemon=True
    )
    sending.start()
    assert ready.wait(30)
    try:
        yield lambda: opened.value
    finally:
        over.set()
        sending.join(10)
        if sending.is_alive():
            sending.kill()


def _send(
    port: int, source: str, most: int, seconds: float, handshakes: bool, kept: int, pace: float, over: Event,
    ready: Event, opened: Synchronized[int],
) -> None:  # fmt: skip
    if sys.platform != "win32":
        import resource

        _, bound = resource.getrlimit(resource.RLIMIT_NOFILE)
        resource.setrlimit(resource.RLIMIT_NOFILE, (bound, bound))
        kept = min(kept, bound - SPARE) if bound != resource.RLIM_INFINITY else kept
    code = b'{"code": "00000000"}'
    wrong = (
        f"POST /api/pair HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\norigin: http://127.0.0.1:{port}\r\n"
        f"content-type: application/json\r\ncontent-length: {len(code)}\r\n\r\n"
    ).encode() + code
    said = (b"", SLOW_HEADER, wrong, *GARBAGE)
    trusting = ssl.create_default_context()
    trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
    held: deque[socket.socket] = deque()
    ready.set()
    began = time.monotonic()
    ends = began + seconds
    while not over.is_set() and opened.value < most and time.monotonic() < ends:
        number = opened.value
        if early := max(0.0, began + number / pace - time.monotonic()):
            over.wait(early)
        try:
            line = socket.create_connection(("127.0.0.1", port), 1.0, source_address=(source, 0))
        except OSError:
            over.wait(0.01)
            continue
        opened.value = number + 1
        with contextlib.suppress(OSError):
            if handshakes and number % 2:
                line.settimeout(0.2)
                line = trusting.wrap_socket(line)
            line.sendall(said[number // 2 % len(said)] if handshakes else said[number % len(said)])
        held.append(line)
        if len(held) > kept:
            held.popleft().close()
    for line in held:
        line.close()
