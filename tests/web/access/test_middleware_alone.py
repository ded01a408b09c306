"""The access middleware by itself, asked as a server would ask it: each refusal, and what goes through unchanged."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pytest
from starlette.types import Message, Receive, Scope, Send

from assistant.web.access.connections import Connections
from assistant.web.access.limits import Buckets
from assistant.web.access.middleware import AccessMiddleware, cookie_header
from assistant.web.access.pairing import Pairing
from assistant.web.access.tokens import RENEW_SECONDS, TOKEN_SECONDS, Tokens

HOST = "bay2.example:8421"
ORIGIN = f"https://{HOST}"
CODE = "12345678"
PHOTO = "/api/photo/20260131-142305-k3f"


@dataclass
class Wall:
    """A clock that is set by hand."""

    at: float = 1_000_000.0

    def __call__(self) -> float:
        return self.at


@dataclass
class Asked:
    """What one request came to."""

    sent: list[Message] = field(default_factory=list)
    reached: list[Scope] = field(default_factory=list)
    """Scopes that went through to the page."""
    read: list[Message] = field(default_factory=list)
    """What the page read of the request."""

    @property
    def status(self) -> int:
        return int(self.sent[0]["status"])

    @property
    def headers(self) -> dict[str, str]:
        return {name.decode(): value.decode() for name, value in self.sent[0]["headers"]}

    @property
    def body(self) -> bytes:
        return b"".join(one.get("body", b"") for one in self.sent[1:])


class Door:
    """A page behind its middleware."""

    def __init__(
        self,
        *,
        paired: bool = True,
        secure: bool = True,
        rates: Buckets | None = None,
        connections: Connections | None = None,
    ) -> None:
        self.wall = Wall()
        self.tokens = Tokens(None, self.wall)
        self.pairing = Pairing(lambda *_: None, lambda: 0.0, lambda: CODE, self.tokens) if paired else None
        self.asked = Asked()
        self.middleware = AccessMiddleware(
            self._page, pairing=self.pairing, names=["Bay2.Example."], secure=secure, cookie="screen", rates=rates,
            connections=connections,
        )  # fmt: skip

    async def _page(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.asked.reached.append(scope)
        if scope["type"] != "http":
            return
        while True:
            message = await receive()
            self.asked.read.append(message)
            if message["type"] == "http.disconnect" or not message.get("more_body"):
                break
        await send({"type": "http.response.start", "status": 200, "headers": [(b"x-own", b"1")]})
        await send({"type": "http.response.body", "body": b"the page"})

    def ask(
        self,
        path: str = "/",
        method: str = "GET",
        *,
        kind: str = "http",
        body: tuple[bytes, ...] = (b"",),
        client: tuple[str, int] | None = ("192.0.2.50", 50000),
        token: str = "",
        more: Mapping[str, str] | None = None,
        **headers: str | None,
    ) -> Asked:
        """Send one request; a header given as None is left out."""
        told: dict[str, str | None] = {"host": HOST}
        told |= {name.replace("_", "-"): text for name, text in {**headers, **(more or {})}.items()}
        if token:
            told["cookie"] = f"other=1; screen={token}"
        scope: dict[str, Any] = {
            "type": kind, "path": path, "client": client, "server": ("192.0.2.7", 8421),
            "headers": [(name.encode(), text.encode()) for name, text in told.items() if text is not None],
        }  # fmt: skip
        if kind == "http":
            scope["method"] = method
        waiting = [
            {"type": "http.request", "body": part, "more_body": number < len(body)}
            for number, part in enumerate(body, 1)
        ]
        self.asked = Asked()

        async def receive() -> Message:
            return waiting.pop(0)

        async def send(message: Message) -> None:
            self.asked.sent.append(message)

        asyncio.run(self.middleware(scope, receive, send))
        return self.asked


def refused(asked: Asked, status: int) -> bool:
    """Refused with this status, a sentence, and nothing of the page."""
    told = json.loads(asked.body)
    assert list(told) == ["error"]
    assert told["error"].endswith(".")
    assert asked.headers["content-length"] == str(len(asked.body))
    assert asked.headers["content-type"] == "application/json"
    return asked.status == status and asked.reached == []


def test_what_is_neither_a_request_nor_a_line_goes_through() -> None:
    """A server's own start and stop."""
    door = Door()
    assert door.ask(kind="lifespan", host=None).reached


# --- names and origins ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("host", "ours"),
    [
        (HOST, True), ("BAY2.example", True), ("bay2.example.", True), ("192.0.2.7", True), ("192.0.2.7:1", True),
        ("192.0.2.8", False), ("bay3.example", False), ("", False), (":8421", False), ("[", False), (None, False),
    ],
)  # fmt: skip
def test_the_name_or_the_address_asked_for(host: str | None, ours: bool) -> None:
    asked = Door(paired=False).ask(host=host)
    assert bool(asked.reached) is ours
    assert ours or refused(asked, 421)


def test_a_line_that_does_not_know_where_it_came_in_has_no_address() -> None:
    middleware = Door().middleware
    assert not middleware._is_ours("192.0.2.7", {"server": None})
    assert middleware._is_ours("bay2.example", {"server": None})


@pytest.mark.parametrize(
    ("origin", "secure", "ours"),
    [
        (ORIGIN, True, True), (ORIGIN.upper(), True, True), (f"http://{HOST}", False, True),
        (f"http://{HOST}", True, False), (ORIGIN, False, False), ("null", True, False), ("", True, False),
        ("https://bay2.example", True, False), ("https://evil.example", True, False),
    ],
)  # fmt: skip
def test_its_own_origin_alone(origin: str, secure: bool, ours: bool) -> None:
    for method in ("GET", "POST"):
        asked = Door(paired=False, secure=secure).ask("/api/home", method, origin=origin)
        assert bool(asked.reached) is ours
        assert ours or refused(asked, 403)


@pytest.mark.parametrize(
    ("method", "ours"), [("GET", True), ("HEAD", True), ("POST", False), ("PUT", False), ("DELETE", False)]
)
def test_without_an_origin_things_can_only_be_read(method: str, ours: bool) -> None:
    asked = Door(paired=False).ask("/api/home", method)
    assert bool(asked.reached) is ours
    assert ours or refused(asked, 403)


def test_a_line_needs_an_origin() -> None:
    door = Door(paired=False)
    assert door.ask("/api/session/x", kind="websocket").sent == [
        {"type": "websocket.close", "code": 4403, "reason": "This page answers only its own pages."}
    ]
    assert door.ask("/api/session/x", kind="websocket", origin=ORIGIN).reached


CROSS = {"sec_fetch_site": "cross-site"}
FOLLOWED = {**CROSS, "sec_fetch_mode": "navigate", "sec_fetch_dest": "document"}


@pytest.mark.parametrize(
    ("path", "told", "ours"),
    [
        ("/", {}, True),
        ("/", {"sec_fetch_site": "none"}, True),
        ("/", {"sec_fetch_site": "same-origin"}, True),
        ("/", {"sec_fetch_site": "same-site"}, False),
        ("/", CROSS, False),
        ("/", FOLLOWED, True),
        ("/", {**FOLLOWED, "sec_fetch_mode": "no-cors"}, False),
        ("/", {**FOLLOWED, "sec_fetch_dest": "iframe"}, False),
        ("/api/home", FOLLOWED, False),
        ("/apiary", FOLLOWED, True),
        ("/api/home", {"sec_fetch_site": "same-origin"}, True),
    ],
)
def test_what_another_site_fetches(path: str, told: dict[str, str], ours: bool) -> None:
    """Fetch metadata (W3C): a link that is followed is allowed, what is embedded is not."""
    asked = Door(paired=False).ask(path, more=told)
    assert bool(asked.reached) is ours
    assert ours or refused(asked, 403)


# --- how much ------------------------------------------------------------------------------------------------------


def test_each_address_has_its_own_share() -> None:
    """One that is not known shares with all that are not."""
    door = Door(paired=False, rates=Buckets(0.0, 2.0, clock=lambda: 0.0))
    assert [bool(door.ask().reached) for _ in range(3)] == [True, True, False]
    assert refused(door.asked, 429)
    assert door.ask(client=("192.0.2.51", 1)).reached
    assert [bool(door.ask(client=None).reached) for _ in range(3)] == [True, True, False]
    # refused before anything is taken out
    assert refused(door.ask(host="evil.example"), 421)


def test_without_rates_of_its_own_160_requests_come_at_once() -> None:
    """And 20 a second after that; a second's worth is the slack of a slow machine."""
    door = Door(paired=False)
    through = [bool(door.ask().reached) for _ in range(160)]
    assert all(through)


@pytest.mark.parametrize(
    ("length", "fits"),
    [
        ("0", True),
        ("16384", True),
        ("16385", False),
        ("-1", False),
        ("000000016384", True),
        ("0000000016384", False),
        ("1e3", False),
        ("", False),
    ],
)
def test_the_length_that_a_request_states(length: str, fits: bool) -> None:
    """16 KiB and no more; what is no number, or has more than twelve digits, is refused."""
    asked = Door(paired=False).ask(content_length=length)
    assert bool(asked.reached) is fits
    assert fits or refused(asked, 413)


@pytest.mark.parametrize(
    ("parts", "fits"),
    [
        ((b"x" * 16384,), True), ((b"x" * 16385,), False), ((b"x" * 8192, b"x" * 8192), True),
        ((b"x" * 8192, b"x" * 8193), False), ((b"x", b"", b"x"), True),
    ],
)  # fmt: skip
def test_what_arrives_is_cut_off(parts: tuple[bytes, ...], fits: bool) -> None:
    """A request that states no length is read up to 16 KiB."""
    read = Door(paired=False).ask(body=parts).read
    assert (read[-1]["type"] == "http.request") is fits
    if fits:
        assert [one["body"] for one in read] == list(parts)
    else:
        assert read[-1] == {"type": "http.disconnect"}


# --- pairing -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/pair", "/assets/base.css", "/assets/pair.js", "/assets/mark.svg"])
def test_a_stranger_sees_the_pairing_page(path: str) -> None:
    assert Door().ask(path).reached


@pytest.mark.parametrize(
    ("path", "method", "status"),
    [("/", "GET", 303), ("/", "HEAD", 303), ("/x", "GET", 303), ("/api/home", "GET", 401), ("/", "POST", 401)],
)
def test_a_stranger_is_sent_to_it_or_refused(path: str, method: str, status: int) -> None:
    asked = Door().ask(path, method, origin=ORIGIN)
    assert asked.reached == []
    assert asked.status == status
    if status == 303:
        assert asked.headers["location"] == "/pair"
        assert asked.headers["content-length"] == "0"
        assert asked.body == b""
    else:
        assert json.loads(asked.body) == {"error": "Pair this screen first."}


def test_a_strangers_line_is_closed_even_under_an_open_path() -> None:
    for path in ("/api/session/x", "/pair"):
        closed = Door().ask(path, kind="websocket", origin=ORIGIN)
        assert closed.sent == [{"type": "websocket.close", "code": 4401, "reason": "Pair this screen first."}]
        assert closed.reached == []


def test_a_paired_screen_goes_through() -> None:
    door = Door()
    token = door.tokens.make()
    assert door.ask("/api/home", token=token).reached
    assert door.ask("/api/session/x", kind="websocket", origin=ORIGIN, token=token).reached
    assert not door.ask("/api/home", token=f"{token}x").reached
    assert not door.ask("/api/home", cookie=f"another={token}").reached
    door.wall.at += TOKEN_SECONDS
    assert not door.ask("/api/home", token=token).reached


def test_the_connections_of_paired_screens_are_known() -> None:
    """A screen's connection counts as the screen's as long as it shows its token, a stranger's never does."""
    connections = Connections(lambda: 0.0)
    door = Door(connections=connections)
    screen, stranger = ("192.0.2.50", 50000), ("192.0.2.51", 50000)
    ours, other = (connections.admit(peer, lambda: None, lambda: False) for peer in (screen, stranger))
    token = door.tokens.make()
    door.ask(token=token, client=screen)
    door.ask(client=stranger)
    assert (ours.paired, other.paired) == (True, False)
    door.ask(client=screen)
    assert not ours.paired


@pytest.mark.parametrize(
    ("path", "method", "length", "paired", "status"),
    [
        (PHOTO, "POST", 12_000_000, True, 200), (PHOTO, "POST", 8_000_001, True, 200),
        (PHOTO, "POST", 12_000_002, True, 413), (PHOTO, "POST", 16_385, False, 413),
        (PHOTO, "PUT", 16_385, True, 413), ("/api/note/x", "POST", 16_385, True, 413),
    ],
)  # fmt: skip
def test_how_long_a_photo_may_be(path: str, method: str, length: int, paired: bool, status: int) -> None:
    """One byte more than is taken gets through, so that the screen shows why; from a paired screen alone."""
    door = Door()
    token = door.tokens.make() if paired else ""
    assert door.ask(path, method, content_length=str(length), token=token, origin=ORIGIN).status == status


def test_a_photo_counts_as_twenty_requests() -> None:
    for others, photo in ((20, True), (21, False)):
        door = Door(rates=Buckets(0.0, 40.0, clock=lambda: 0.0))
        token = door.tokens.make()
        assert all(door.ask(token=token).reached for _ in range(others))
        assert bool(door.ask(PHOTO, "POST", token=token, origin=ORIGIN).reached) is photo


def test_a_screen_in_use_gets_a_fresh_token_where_it_is_paired() -> None:
    door = Door()
    token = door.tokens.make()
    assert "set-cookie" not in door.ask(token=token).headers
    door.wall.at += RENEW_SECONDS
    told = door.ask(token=token).headers["set-cookie"]
    name, _, rest = told.partition("=")
    assert name == "screen"
    assert door.ask(token=rest.split(";")[0]).reached
    assert "Max-Age=57600" in told  # 16 hours
    assert told.endswith("; Path=/; HttpOnly; SameSite=Strict; Secure")
    for path, method in (("/pair", "GET"), ("/api/unpair", "POST")):
        assert "set-cookie" not in door.ask(path, method, token=token, origin=ORIGIN).headers
    assert "set-cookie" not in Door(paired=False).ask(token=token).headers


def test_a_cookie_on_an_open_line_is_not_said_to_be_secure() -> None:
    assert cookie_header("screen", "t", secure=False) == (
        b"set-cookie", b"screen=t; Max-Age=57600; Path=/; HttpOnly; SameSite=Strict",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("header", "enters"),
    [
        ("screen={}", True), ("x=1; screen={}; y=2", True), ("x={}", False), ("", False), ("screen", False),
        ("a[=1", False),
    ],
)  # fmt: skip
def test_the_token_among_cookies(header: str, enters: bool) -> None:
    door = Door()
    assert bool(door.ask("/api/home", cookie=header.format(door.tokens.make())).reached) is enters


# --- what every answer carries -------------------------------------------------------------------------------------


@pytest.mark.parametrize("secure", [True, False])
def test_the_policy_of_every_answer(secure: bool) -> None:
    """Content Security Policy Level 3 (W3C): nothing inline, nothing from elsewhere, in nobody's frame."""
    door = Door(paired=False, secure=secure)
    passed, stopped = door.ask().headers, door.ask(host="evil.example").headers
    assert passed["x-own"] == "1"
    scheme = "wss" if secure else "ws"
    assert f"connect-src 'self' {scheme}://{HOST};" in passed["content-security-policy"]
    assert f"connect-src 'self' {scheme}://localhost;" in stopped["content-security-policy"]
    for headers in (passed, stopped):
        for part in ("default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"):
            assert part in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["permissions-policy"] == "microphone=(self), camera=(), geolocation=()"
        assert headers["cross-origin-opener-policy"] == headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cache-control"] == "no-store"
