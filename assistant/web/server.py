"""Serving the page: the socket, the certificate and uvicorn."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import struct
import sys
import threading
from collections.abc import Callable, Coroutine, Iterator
from typing import Any

import uvicorn
from starlette.applications import Starlette

from assistant.errors import OperatorError
from assistant.web.access.certificate import Certificate
from assistant.web.access.connections import Connections, Peer
from assistant.web.access.quiet_log import QuietLog
from assistant.web.websocket import LARGEST_MESSAGE

BACKLOG = 512
"""Connections that wait to be accepted."""
HANDSHAKE_SECONDS = 5.0
"""How long a TLS handshake may take."""
CLOSING_SECONDS = 2.0
"""How long the far end may take to say goodbye over TLS."""
OUT_OF_ROOM = 0.05
"""Seconds to wait before accepting again when the system refused."""
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
        made.listen(BACKLOG)
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


class PageServer(uvicorn.Server):
    """Uvicorn behind our own accepting: who may connect is decided before any TLS handshake.

    Args:
        config: of uvicorn.
        listening: the socket that listens.
        connections: decides who may connect.
        log: tells now and then what was refused.
    """

    def __init__(
        self, config: uvicorn.Config, listening: socket.socket, connections: Connections, log: QuietLog
    ) -> None:
        super().__init__(config)
        self._listening, self._connections, self.log = listening, connections, log
        self._work: set[asyncio.Task[None]] = set()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:  # noqa: ARG002 - uvicorn's
        """Begin to accept."""
        await self.lifespan.startup()
        if self.lifespan.should_exit:
            sys.exit(3)  # as uvicorn does
        self.servers = []
        self._listening.setblocking(False)
        self._begin(self._accept())
        self.started = True

    async def on_tick(self, counter: int) -> bool:
        """Ten times a second; once a second old strangers are closed."""
        if counter % 10 == 0:
            self._connections.sweep()
            self.log.tick(self._connections.take_turned_away())
        return await super().on_tick(counter)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Accept no more, then end as uvicorn does."""
        for task in tuple(self._work):
            task.cancel()
        await super().shutdown(sockets)

    def _begin(self, work: Coroutine[Any, Any, None]) -> asyncio.Task[None]:
        task = asyncio.ensure_future(work)
        self._work.add(task)
        task.add_done_callback(self._work.discard)
        return task

    async def _open(self, line: socket.socket, peer: Peer) -> None:
        """Make the TLS handshake, where there is one, and hand the connection to uvicorn's protocol."""
        opening, transport = asyncio.current_task(), None

        def close() -> None:
            if transport is not None:
                transport.abort()
            elif opening is not None:
                opening.cancel()

        known = self._connections.admit(peer, close, lambda: line.fileno() == -1)
        secured = self.config.ssl is not None
        try:
            line.setblocking(False)
            transport, _ = await asyncio.get_running_loop().connect_accepted_socket(
                self._protocol,
                line,
                ssl=self.config.ssl,
                ssl_handshake_timeout=HANDSHAKE_SECONDS if secured else None,
                ssl_shutdown_timeout=CLOSING_SECONDS if secured else None,
            )
        except OSError:
            pass  # no handshake came, or a broken one
        finally:
            if transport is None:
                self._connections.lost(known)
                line.close()

    def _protocol(self) -> asyncio.Protocol:
        made: asyncio.Protocol = self.config.http_protocol_class(  # type: ignore[call-arg]
            config=self.config, server_state=self.server_state, app_state=self.lifespan.state
        )
        return made

    async def _accept(self) -> None:
        loop = asyncio.get_running_loop()
        while True:
            try:
                line, peer = await loop.sock_accept(self._listening)
            except OSError:  # no descriptor is left, or the far end went away before it was accepted
                self._connections.make_room()
                await asyncio.sleep(OUT_OF_ROOM)
                continue
            if self._connections.may_connect(peer[0]):
                self._begin(self._open(line, peer[:2]))
            else:
                _hang_up(line)
            await asyncio.sleep(0)  # those who are connected have their turn between any two that come


def _hang_up(line: socket.socket) -> None:
    """Close a connection at once, with a reset: nothing of it is left behind."""
    with contextlib.suppress(OSError):
        line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    line.close()


def make_server(
    app: Starlette,
    listening: socket.socket,
    certificate: Certificate | None,
    tell: Callable[[str], None] = lambda _: None,
) -> PageServer:
    """The server of a page; its connections are counted by the page's own ``House.connections``."""
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
        timeout_keep_alive=15,
        timeout_graceful_shutdown=2,
        h11_max_incomplete_event_size=16_384,
        ssl_certfile=certificate.certificate if certificate else None,
        ssl_keyfile=certificate.key if certificate else None,
    )
    return PageServer(config, listening, app.state.house.connections, QuietLog(tell))


@contextlib.contextmanager
def serving(
    app: Starlette,
    listening: socket.socket,
    certificate: Certificate | None = None,
    tell: Callable[[str], None] = lambda _: None,
) -> Iterator[None]:
    """Serve in a thread of its own while the block runs; sessions are left where they are at its end.

    Args:
        app: the page.
        listening: the socket that listens.
        certificate: for TLS, None to serve without.
        tell: takes a sentence now and then about what was refused.
    """
    server = make_server(app, listening, certificate, tell)
    thread = threading.Thread(target=server.run, name="leadsman-page")
    with server.log.instead():
        thread.start()
        try:
            yield
        finally:
            server.should_exit = True
            thread.join()
            listening.close()
