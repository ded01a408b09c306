"""Serving the page: the socket, the certificate and uvicorn."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Iterator

import uvicorn
from starlette.applications import Starlette

from assistant.errors import OperatorError
from assistant.web.certificate import Certificate
from assistant.web.websocket import LARGEST_MESSAGE

LOOPBACK = ("127.0.0.1", "::1", "localhost")
"""Hosts that only this machine reaches."""


def open_socket(host: str, port: int) -> socket.socket:
    """A socket that listens; port 0 takes any that is free.

    Raises:
        OperatorError: the host is not this machine's, or the port is taken.
    """
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        made = socket.socket(family, kind, protocol)
    except OSError as error:
        raise OperatorError(
            f"'{host}' is no address of this machine ({error.strerror or error}).",
            remedy="Give --host 127.0.0.1, or 0.0.0.0 for every network that this machine is on.",
        ) from None
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind(address)
        made.listen(64)
    except OSError as error:
        made.close()
        raise OperatorError(
            f"Cannot listen on {host}, port {port}: {error.strerror or error}.",
            remedy="Give another --port, or another --host.",
        ) from None
    return made


def own_names(host: str) -> tuple[str, ...]:
    """Names and addresses under which this machine is reached when it listens on ``host``, the likeliest first."""
    if host in LOOPBACK:
        return (host, *(name for name in LOOPBACK if name != host))
    found: dict[str, None] = {}
    if host not in ("0.0.0.0", "::", ""):  # noqa: S104 - compared, not bound
        found[host] = None
    else:
        for family, far in ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")):
            with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
                # no packet leaves: this only asks which of our addresses the system would use
                probe.connect((far, 9))
                found[probe.getsockname()[0].split("%")[0]] = None
        with contextlib.suppress(OSError):
            for info in socket.getaddrinfo(socket.gethostname(), None):
                found[str(info[4][0]).split("%")[0]] = None
    name = socket.gethostname().lower()
    if name and name != "localhost":
        found[name] = None
        if "." not in name:
            found[f"{name}.local"] = None
    found["localhost"] = None
    found["127.0.0.1"] = None
    return tuple(found)


def make_server(app: Starlette, certificate: Certificate | None) -> uvicorn.Server:
    """The server of a page."""
    config = uvicorn.Config(
        app,
        http="h11",
        ws="websockets-sansio",
        ws_max_size=LARGEST_MESSAGE,
        ws_ping_interval=15.0,
        ws_ping_timeout=15.0,
        ws_per_message_deflate=False,
        lifespan="on",
        access_log=False,
        log_config=None,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=200,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=2,
        h11_max_incomplete_event_size=16_384,
        ssl_certfile=certificate.certificate if certificate else None,
        ssl_keyfile=certificate.key if certificate else None,
    )
    return uvicorn.Server(config)


@contextlib.contextmanager
def serving(app: Starlette, listening: socket.socket, certificate: Certificate | None = None) -> Iterator[None]:
    """Serve in a thread of its own while the block runs; sessions are left where they are at its end."""
    server = make_server(app, certificate)
    thread = threading.Thread(target=server.run, args=([listening],), name="leadsman-page")
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join()
        listening.close()
