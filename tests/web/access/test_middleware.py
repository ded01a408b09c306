"""The door: a stranger sees the pairing page and nothing else; no other site and no other name gets in."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.types import Receive, Scope, Send
from starlette.websockets import WebSocketDisconnect

from assistant.web.access.limits import Buckets
from assistant.web.access.middleware import LARGEST_BODY, OPEN_PATHS, AccessMiddleware
from assistant.web.access.pairing import CODE_SECONDS, LOCK_SECONDS, MISSES
from assistant.web.access.tokens import RENEW_SECONDS, TOKEN_SECONDS, Tokens
from tests.web.conftest import BASE, CODE, PORT, FakeTime, Floor, FloorMaker, Line

HOURS = 29
"""How long one view is looked at."""
PRIVATE_PAGES = [
    "/",
    "/session/x",
    "/record/x",
    "/assets/session.js",
    "/nothing/there",
    "/assets/../x",
]
PRIVATE_GETS = ["/api/home", "/api/stay", "/api/nothing"]
PRIVATE_POSTS = ["/api/start", "/api/resume", "/api/leave", "/api/unpair", "/api/nothing"]


@pytest.mark.parametrize("path", PRIVATE_PAGES)
def test_a_stranger_is_sent_to_the_pairing_page(make_floor: FloorMaker, path: str) -> None:
    """The same for what exists and for what does not."""
    answer = make_floor().client.get(path)
    assert (answer.status_code, answer.headers["location"], answer.text) == (303, "/pair", "")


@pytest.mark.parametrize("path", PRIVATE_GETS + PRIVATE_POSTS)
def test_a_stranger_gets_no_data(make_floor: FloorMaker, path: str) -> None:
    """Nothing but that pairing comes first."""
    floor = make_floor()
    answer = floor.client.get(path) if path in PRIVATE_GETS else floor.post(path, {})
    assert answer.status_code == 401
    assert answer.json() == {"error": "Pair this screen first."}


def test_a_stranger_gets_what_the_pairing_page_needs(make_floor: FloorMaker) -> None:
    """And the pairing page names nothing of the shop."""
    client = make_floor().client
    for path in OPEN_PATHS - {"/api/pair"}:
        assert client.get(path).status_code == 200, path
    assert "4471" not in client.get("/pair").text


def test_a_stranger_gets_no_websocket(make_floor: FloorMaker) -> None:
    """Not even on a session that is open."""
    floor = make_floor()
    floor.pair()
    session = floor.start()
    with pytest.raises(WebSocketDisconnect) as caught, floor.talk(session, cookie="leadsman-8421=guess"):
        pass
    assert caught.value.code == 4401


def test_the_code_lets_in_with_a_cookie_that_scripts_cannot_read(make_floor: FloorMaker) -> None:
    """HttpOnly, this site only; Secure and bound to the host when encrypted."""
    floor = make_floor()
    cookie = floor.post("/api/pair", {"code": "1234 5678"}).headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "path=/" in cookie
    assert "secure" not in cookie
    assert floor.client.get("/").status_code == 200


def test_a_wrong_an_expired_and_a_locked_code_are_told_apart(make_floor: FloorMaker) -> None:
    """Each with what to do; after the lock the new code works."""
    floor = make_floor()
    wrong = floor.post("/api/pair", {"code": "00000000"})
    assert (wrong.status_code, wrong.json()["error"]) == (403, "That is not the code. Look at the terminal again.")
    floor.time.at += CODE_SECONDS
    expired = floor.post("/api/pair", {"code": CODE})
    assert (expired.status_code, "expired" in expired.json()["error"]) == (403, True)
    answers = [floor.post("/api/pair", {"code": "00000000"}).status_code for _ in range(MISSES)]
    assert answers == [403] * (MISSES - 1) + [429]
    locked = floor.post("/api/pair", {"code": CODE})
    assert (locked.status_code, "Too many wrong codes" in locked.json()["error"]) == (429, True)
    assert floor.client.get("/api/home").status_code == 401
    floor.time.at += LOCK_SECONDS
    assert floor.post("/api/pair", {"code": CODE}).status_code == 200


def test_unpairing_ends_it(floor: Floor) -> None:
    """The token is worth nothing afterwards, cookie or not."""
    cookie = f"leadsman-{PORT}={floor.client.cookies[f'leadsman-{PORT}']}"
    assert floor.post("/api/unpair", {}).status_code == 200
    floor.client.cookies.clear()
    assert floor.client.get("/api/home", headers={"cookie": cookie}).status_code == 401


def test_a_screen_in_use_is_given_a_fresh_token_and_survives_a_restart(
    make_floor: FloorMaker, tmp_path: Path
) -> None:
    """With every answer once its own has aged; not with what a stranger may ask for, nor when it unpairs."""
    wall = FakeTime()
    tokens = Tokens(tmp_path / "pairing.json", wall)
    floor = make_floor(tokens=tokens)
    floor.pair()
    assert "set-cookie" not in floor.client.get("/").headers
    wall.at += RENEW_SECONDS
    assert "set-cookie" not in floor.client.get("/pair").headers
    fresh = floor.client.get("/api/home").headers["set-cookie"]
    assert f"Max-Age={TOKEN_SECONDS:.0f}" in fresh
    assert "HttpOnly" in fresh
    again = make_floor(tokens=Tokens(tmp_path / "pairing.json", wall))
    again.client.cookies = floor.client.cookies
    wall.at += TOKEN_SECONDS - RENEW_SECONDS
    assert again.client.get("/api/home").status_code == 200
    wall.at += TOKEN_SECONDS
    assert again.client.get("/api/home").status_code == 401


def test_a_screen_on_one_view_for_longer_than_a_token_lasts_stays_paired(make_floor: FloorMaker) -> None:
    """Its line says when to fetch a fresh token; an idle one ends, and cannot be made fresh after its end."""
    wall = FakeTime()
    floor = make_floor(tokens=Tokens(None, wall))
    floor.pair()
    idle = "; ".join(f"{name}={value}" for name, value in floor.client.cookies.items())
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.standing(1)
        told = 0
        for _ in range(HOURS):
            wall.at += 3600.0
            socket.send_json({"kind": "ping"})
            # what is told after a ping comes before the next one's answer
            if line.until(lambda one: one["kind"] in ("pong", "renew"))["kind"] == "renew":
                told += 1
                assert floor.client.get("/api/stay").json() == {"paired": True}
                line.until(lambda one: one["kind"] == "pong")
        assert told == (HOURS - 1) * 3600 // RENEW_SECONDS
    assert TOKEN_SECONDS < HOURS * 3600
    assert floor.client.get("/api/home").status_code == 200
    floor.client.cookies.clear()
    for path in ("/api/stay", "/api/home"):
        assert floor.client.get(path, headers={"cookie": idle}).status_code == 401
    with pytest.raises(WebSocketDisconnect), floor.talk(session, cookie=idle):
        pass


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.2", "localhost.evil.example", "[::2]", ""]
)
def test_another_name_is_refused(floor: Floor, host: str) -> None:
    """A site that points its own name at this machine gets nothing."""
    answer = floor.client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "html" not in answer.text


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", f"https://localhost:{PORT}", "http://localhost:3000", ""]
)
def test_another_origin_is_refused(floor: Floor, origin: str) -> None:
    """Requests that change something, readings, and websockets."""
    session = floor.start()
    assert floor.post("/api/start", {"procedure": "lamp"}, origin=origin).status_code == 403
    assert floor.client.get("/api/home", headers={"origin": origin}).status_code == 403
    with pytest.raises(WebSocketDisconnect) as caught, floor.talk(session, origin=origin):
        pass
    assert caught.value.code == 4403


def test_a_change_without_an_origin_is_refused(floor: Floor) -> None:
    """Browsers always send it."""
    assert floor.client.post("/api/start", json={"procedure": "lamp"}).status_code == 403


def test_what_another_site_embeds_is_refused_and_a_followed_link_is_not(floor: Floor) -> None:
    """Told by the browser's own headers about the fetch."""
    embedded = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors", "sec-fetch-dest": "script"}
    assert floor.client.get("/assets/session.js", headers=embedded).status_code == 403
    followed = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
    assert floor.client.get("/", headers=followed).status_code == 200
    assert floor.client.get("/api/home", headers=followed).status_code == 403
    framed = {"sec-fetch-site": "same-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "iframe"}
    assert floor.client.get("/", headers=framed).status_code == 403


def test_every_answer_carries_the_policy(floor: Floor) -> None:
    """Pages, files, data and refusals alike: nothing inline, nothing from elsewhere, in nobody's frame."""
    refused = {"host": "evil.example"}
    for answer in (
        floor.client.get("/"),
        floor.client.get("/assets/base.css"),
        floor.client.get("/api/home"),
        floor.client.get("/nothing"),
        floor.client.get("/", headers=refused),
    ):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "style-src 'self';" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["cache-control"] == "no-store"


def test_too_large_is_refused(floor: Floor) -> None:
    """By what it says of its length, and by what arrives."""
    assert floor.post("/api/start", {"procedure": "x" * LARGEST_BODY}).status_code == 413
    told = floor.client.post(
        "/api/start",
        content=iter([b"x" * 9000, b"x" * 9000]),
        headers={"origin": BASE, "content-type": "application/json"},
    )
    assert told.status_code == 413


def test_too_many_requests_are_refused(make_floor: FloorMaker) -> None:
    """The pairing page too: guessing is slow."""
    floor = make_floor(rates=Buckets(0.0, 3.0, clock=lambda: 0.0))
    answers = [floor.post("/api/pair", {"code": "0"}).status_code for _ in range(5)]
    assert answers == [403, 403, 403, 429, 429]


def test_without_pairing_host_and_origin_are_still_checked(make_floor: FloorMaker) -> None:
    """--no-pairing opens the page to this machine, not to other sites' pages."""
    floor = make_floor(pairing=False)
    assert floor.client.get("/api/home").status_code == 200
    assert floor.client.get("/api/home", headers={"host": "evil.example"}).status_code == 421
    assert floor.post("/api/start", {}, origin="http://evil.example").status_code == 403


async def nothing(scope: Scope, receive: Receive, send: Send) -> None:
    """An application that answers nothing."""


@pytest.mark.parametrize(
    ("host", "came_in_on", "ours"),
    [
        ("192.0.2.7:8421", "192.0.2.7", True),
        ("192.0.2.7:8421", "::ffff:192.0.2.7", True),
        ("192.0.2.8", "192.0.2.7", False),
        ("[2001:db8::5]:8421", "2001:db8::5", True),
        ("[2001:db8:0::5]", "2001:db8::5", True),
        ("LOCALHOST.", "192.0.2.7", True),
        ("shop-pc", "192.0.2.7", False),
        ("user@localhost", "127.0.0.1", True),
        ("[", "127.0.0.1", False),
    ],
)
def test_an_address_counts_only_on_the_line_it_names(host: str, came_in_on: str, ours: bool) -> None:
    """A name must be known; an address must be the one that the request came in on."""
    middleware = AccessMiddleware(nothing, pairing=None, names=["localhost"], secure=False, cookie="c")
    assert middleware._is_ours(host, {"server": (came_in_on, 8421)}) is ours
