"""Who gets in: nothing reaches the page that was not addressed to it, by its own pages, from a screen that is paired.

Each request and each websocket passes here first: host, origin, size, rate, pairing. A stranger gets the pairing page
and the few files that it needs, and nothing else, whatever the path: not even whether it exists.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.requests import HTTPConnection
from starlette.responses import JSONResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from assistant.web.access.connections import Connections
from assistant.web.access.limits import Buckets, address_key
from assistant.web.access.pairing import Pairing
from assistant.web.access.tokens import TOKEN_SECONDS
from assistant.web.photo_cleaning import MOST_BYTES
from assistant.web.refused import PAIR_FIRST, TOO_MUCH

LARGEST_BODY = 16_384
"""Bytes of the largest request."""
LARGEST_PHOTO = MOST_BYTES + 1
"""Bytes of the largest photo, from a paired screen; one more than is taken, so that the sentence about it arrives."""
PHOTO_PATH = "/api/photo/"
PHOTO_COST = 20.0
"""Requests that a photo counts as."""
OPEN_PATHS = frozenset({
    "/pair", "/api/pair", "/assets/base.css", "/assets/pair.js", "/assets/mark.svg", "/assets/leadsman.webmanifest",
    "/assets/icon-180.png", "/assets/icon-192.png", "/assets/icon-512.png",
})  # fmt: skip
"""What a stranger may ask for: what pairs, and our name and mark, which a home screen fetches without a token."""
REQUEST_RATE, REQUEST_BRIM = 20.0, 160.0
"""Requests a second in the long run, and at once: of one paired screen, or of all unpaired ones at an address."""


class AccessMiddleware:
    """ASGI middleware.

    Args:
        app: what it protects.
        pairing: who is paired; None where nobody needs to pair (this machine only).
        names: host names under which the page is reached, beside the address that a request came in on.
        secure: True when the page is served encrypted.
        cookie: name of the cookie that holds a screen's token.
        rates: requests, by paired screen and by address.
        connections: learns which connections are a paired screen's.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        pairing: Pairing | None,
        names: Iterable[str],
        secure: bool,
        cookie: str,
        rates: Buckets | None = None,
        connections: Connections | None = None,
    ) -> None:
        self._app = app
        self._pairing = pairing
        self._names = {name.lower().rstrip(".") for name in names}
        self._secure = secure
        self._cookie = cookie
        self._rates = rates or Buckets(REQUEST_RATE, REQUEST_BRIM)
        self._connections = Connections() if connections is None else connections

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let it through or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        asked = HTTPConnection(scope)
        device = self._device(asked)
        scope.setdefault("state", {})["device"] = device
        refusal = self._refusal(scope, asked, device)
        if refusal is not None:
            await self._refuse(scope, receive, send, *refusal)
        elif scope["type"] == "http":
            more = self._headers(asked.headers["host"])
            if self._pairing is not None and scope["path"] not in (*OPEN_PATHS, "/api/unpair"):
                fresh = self._pairing.renewed(asked.cookies.get(self._cookie, ""))
                more += [cookie_header(self._cookie, fresh, secure=self._secure)] if fresh else []
            await self._app(scope, _limited(receive, _largest(scope, device)), _with_headers(more, send))
        else:
            await self._app(scope, receive, send)

    def _device(self, asked: HTTPConnection) -> str:
        """The paired screen that a request comes from, '' for a stranger; its connection is marked accordingly."""
        host, port = asked.client or ("", 0)
        if self._pairing is None:
            device = address_key(host) or "unknown"
        else:
            device = self._pairing.device(asked.cookies.get(self._cookie, ""))
        if device:
            self._connections.trust((host, port), device)
        else:
            self._connections.distrust((host, port))
        return device

    def _refusal(self, scope: Scope, asked: HTTPConnection, device: str) -> tuple[int, str] | None:
        headers = asked.headers
        if not self._is_ours(headers.get("host", ""), scope):
            return 421, "This page is not served under that name."
        if not self._same_origin(scope, headers):
            return 403, "This page answers only its own pages."
        largest = _largest(scope, device)
        cost = PHOTO_COST if largest > LARGEST_BODY else 1.0
        if not self._rates.take(device or address_key(asked.client.host if asked.client else ""), cost):
            return 429, "Too many requests. Wait a moment."
        length = headers.get("content-length", "0")
        if not length.isdigit() or len(length) > 12 or int(length) > largest:
            return 413, TOO_MUCH
        if not device and not (scope["type"] == "http" and scope["path"] in OPEN_PATHS):
            if scope["type"] == "http" and scope["method"] in ("GET", "HEAD") and not _is_api(scope["path"]):
                return 303, "/pair"
            return 401, PAIR_FIRST
        return None

    def _is_ours(self, host: str, scope: Scope) -> bool:
        """True when a request names this page: a page elsewhere that points its own name here is refused."""
        try:
            name = (urlsplit(f"//{host}").hostname or "").rstrip(".")
        except ValueError:
            return False
        if not name:
            return False
        if name in self._names:
            return True
        server = scope.get("server")
        try:
            asked, came_in_on = ipaddress.ip_address(name), ipaddress.ip_address(server[0] if server else "")
        except ValueError:
            return False
        return asked == (getattr(came_in_on, "ipv4_mapped", None) or came_in_on)

    def _same_origin(self, scope: Scope, headers: Headers) -> bool:
        origin = headers.get("origin")
        if origin is None:
            # a browser always sends it with a websocket and with what changes something
            return scope["type"] == "http" and scope["method"] in ("GET", "HEAD") and self._own_fetch(scope, headers)
        scheme = "https" if self._secure else "http"
        return origin.lower() == f"{scheme}://{headers['host'].lower()}"

    @staticmethod
    def _own_fetch(scope: Scope, headers: Headers) -> bool:
        """Refuse what another site's page embeds or fetches; a link that is followed is allowed."""
        site = headers.get("sec-fetch-site", "none")
        followed = headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"
        return site in ("none", "same-origin") or (followed and not _is_api(scope["path"]))

    def _headers(self, host: str) -> list[tuple[bytes, bytes]]:
        sockets = f"{'wss' if self._secure else 'ws'}://{host}"
        policy = (
            f"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self' {sockets}; "
            "worker-src 'self'; manifest-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'; "
            "require-trusted-types-for 'script'; trusted-types leadsman-worker"
        )
        return [
            (b"content-security-policy", policy.encode("latin-1")),
            (b"x-content-type-options", b"nosniff"),
            (b"x-frame-options", b"DENY"),
            (b"referrer-policy", b"no-referrer"),
            (b"permissions-policy", b"microphone=(self), camera=(), geolocation=()"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"cache-control", b"no-store"),
        ]

    async def _refuse(self, scope: Scope, receive: Receive, send: Send, status: int, text: str) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 4000 + status, "reason": text})
            return
        answer = RedirectResponse(text, status) if status == 303 else JSONResponse({"error": text}, status)
        await answer(scope, receive, _with_headers(self._headers("localhost"), send))


def cookie_header(name: str, token: str, *, secure: bool) -> tuple[bytes, bytes]:
    """The header that gives a screen its token: kept from scripts, from other sites and from open lines."""
    told = f"{name}={token}; Max-Age={TOKEN_SECONDS:.0f}; Path=/; HttpOnly; SameSite=Strict"
    return b"set-cookie", f"{told}{'; Secure' if secure else ''}".encode("latin-1")


def _with_headers(more: list[tuple[bytes, bytes]], send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message["headers"], *more]}
        await send(message)

    return sending


def _is_api(path: str) -> bool:
    return path.startswith("/api/")


def _largest(scope: Scope, device: str) -> int:
    """Bytes that the body of a request may have: more for a photo from a paired screen."""
    photo = scope["type"] == "http" and scope["method"] == "POST" and scope["path"].startswith(PHOTO_PATH)
    return LARGEST_PHOTO if device and photo else LARGEST_BODY


def _limited(receive: Receive, largest: int) -> Receive:
    """What arrives of a request, cut off once it is more than a request may be."""
    arrived = 0

    async def receiving() -> Message:
        nonlocal arrived
        message = await receive()
        arrived += len(message.get("body", b""))
        if arrived > largest:
            return {"type": "http.disconnect"}
        return message

    return receiving
