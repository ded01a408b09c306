"""The pages and the requests behind them. Files are named here; no part of a request ever becomes a path."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from jinja2 import Environment
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route, WebSocketRoute

from assistant.audio.vad import VoiceDetector, make_detector
from assistant.errors import LeadsmanError
from assistant.records.report.page import style_sheet
from assistant.web.connections import Connections
from assistant.web.limits import Buckets, address_key
from assistant.web.middleware import AccessMiddleware, cookie_header
from assistant.web.pairing import LOCK_SECONDS, Entry, Pairing
from assistant.web.ports import Hears, Shop
from assistant.web.session_worker import SessionWorkers
from assistant.web.websocket import session_socket

ASSETS = Path(__file__).parent / "assets"
_KINDS = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
_FIELD = 120  # characters of the longest field that a request may hold
_REFUSED = {
    Entry.WRONG: (403, "That is not the code. Look at the terminal again."),
    Entry.EXPIRED: (403, "That code has expired. The terminal shows a new one."),
    Entry.LOCKED: (
        429,
        f"Too many wrong codes from here. Press Enter in the terminal, or wait {LOCK_SECONDS / 60:.0f} minutes.",
    ),
}


@dataclass(frozen=True)
class House:
    """Everything the page works with."""

    shop: Shop
    """Sessions and records."""
    pairing: Pairing | None
    """Who is paired; None where nobody needs to pair (this machine only)."""
    hearing: Hears | None = None
    """The recognizer, None when this machine cannot hear."""
    deaf_because: str = ""
    """Why it cannot hear, with the remedy."""
    names: frozenset[str] = frozenset({"localhost"})
    """Host names under which the page is reached."""
    secure: bool = False
    """True when it is served encrypted."""
    port: int = 0
    """Port, which tells the cookies of two pages on one machine apart."""
    detector: Callable[[], VoiceDetector] = make_detector
    """Makes what tells voices from noise."""
    workers: SessionWorkers = field(default_factory=SessionWorkers)
    """Sessions at work."""
    connections: Connections = field(default_factory=Connections)
    """Every open connection."""

    @property
    def cookie(self) -> str:
        """Name of the cookie with a screen's token."""
        return f"{'__Host-' if self.secure else ''}leadsman-{self.port}"


def make_app(house: House, rates: Buckets | None = None) -> Starlette:
    """The page as an ASGI application; closing it leaves every session where it is."""

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await run_in_threadpool(house.workers.close)

    files = {path.name: (path.read_bytes(), _KINDS[path.suffix]) for path in ASSETS.iterdir() if path.is_file()}
    files["record.css"] = (style_sheet().encode(), _KINDS[".css"])
    app = Starlette(
        routes=[
            *_pages(files),
            Route("/record/{id}", _record(house, files["record.html"][0].decode()), methods=["GET"]),
            Route("/api/pair", _pair(house), methods=["POST"]),
            Route("/api/unpair", _unpair(house), methods=["POST"]),
            Route("/api/stay", _json(lambda _: {"paired": house.pairing is not None}), methods=["GET"]),
            Route("/api/home", _json(lambda _: _home(house)), methods=["GET"]),
            Route("/api/start", _json(lambda asked: _start(house, asked)), methods=["POST"]),
            Route("/api/resume", _json(lambda asked: _resume(house, asked)), methods=["POST"]),
            Route("/api/leave", _json(lambda asked: _leave(house, asked)), methods=["POST"]),
            WebSocketRoute(
                "/api/session/{id}",
                session_socket(house.workers, house.hearing, house.deaf_because, house.detector, house.pairing),
            ),
        ],
        middleware=[
            Middleware(
                AccessMiddleware,
                pairing=house.pairing,
                names=house.names,
                secure=house.secure,
                cookie=house.cookie,
                rates=rates,
                connections=house.connections,
            )
        ],
        exception_handlers={RefusedError: _refused, LeadsmanError: _refused},
        lifespan=lifespan,
    )
    app.state.house = house
    return app


def _pages(files: Mapping[str, tuple[bytes, str]]) -> list[Route]:
    pages = {"/": "home.html", "/pair": "pair.html", "/session/{id}": "session.html"}
    routes = [Route(path, _file(*files[name]), methods=["GET"]) for path, name in pages.items()]
    assets = [name for name in files if not name.endswith(".html")]
    return routes + [Route(f"/assets/{name}", _file(*files[name]), methods=["GET"]) for name in assets]


def _file(content: bytes, kind: str) -> Callable[[Request], Awaitable[Response]]:
    async def give(_: Request) -> Response:
        return Response(content, media_type=kind)

    return give


Asked = Mapping[str, str]


class RefusedError(Exception):
    """A request that cannot be met.

    Args:
        status: of the answer.
        text: a sentence for the person.
    """

    def __init__(self, status: int, text: str) -> None:
        super().__init__(text)
        self.status = status


async def _fields(request: Request) -> dict[str, str]:
    """The fields of a request: short strings, from its path and, when it is posted, from its JSON body."""
    given: Any = {}
    if request.method == "POST":
        if request.headers.get("content-type", "").split(";")[0].strip() != "application/json":
            raise RefusedError(415, "Send JSON.")
        try:
            given = json.loads(await request.body())
        except (ValueError, RecursionError):
            raise RefusedError(400, "That is not JSON.") from None
        except ClientDisconnect:
            raise RefusedError(413, "That is too much at once.") from None
    if not isinstance(given, dict):
        raise RefusedError(400, "Send a JSON object.")
    fields = {**given, **request.path_params}
    for name, value in fields.items():
        if not isinstance(value, str) or len(value) > _FIELD or not (value.isprintable()):
            raise RefusedError(400, f"'{str(name)[:40]}' must be a short text.")
    return fields


def _json(answer: Callable[[Asked], dict[str, Any]]) -> Callable[[Request], Awaitable[Response]]:
    """Answer with JSON; work that waits for the disk is done in a thread."""

    async def give(request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(answer, await _fields(request)))

    return give


def _refused(_: Request, error: Exception) -> Response:
    """What a request gets that cannot be met."""
    return JSONResponse({"error": str(error)}, error.status if isinstance(error, RefusedError) else 409)


def _pair(house: House) -> Callable[[Request], Awaitable[Response]]:
    """Trade the code for a token."""

    async def give(request: Request) -> Response:
        fields = await _fields(request)
        if house.pairing is None:
            return JSONResponse({"paired": True})
        address = address_key(request.client.host if request.client else "")
        entry, token = house.pairing.try_code(fields.get("code", ""), address)
        if entry is not Entry.LET_IN:
            status, text = _REFUSED[entry]
            return JSONResponse({"error": text}, status)
        response = JSONResponse({"paired": True})
        name, told = cookie_header(house.cookie, token, secure=house.secure)
        response.headers.append(name.decode(), told.decode())
        return response

    return give


def _unpair(house: House) -> Callable[[Request], Awaitable[Response]]:
    """Unpair this screen."""

    async def give(request: Request) -> Response:
        if house.pairing is not None:
            house.pairing.forget(request.cookies.get(house.cookie, ""))
        response = JSONResponse({"paired": False})
        response.delete_cookie(house.cookie, path="/", secure=house.secure, httponly=True, samesite="strict")
        return response

    return give


def _home(house: House) -> dict[str, Any]:
    running = {worker.id for worker in house.workers.running()}
    return {
        "offers": [asdict(offer) for offer in house.shop.offers()],
        "meters": [{"name": name, "title": title} for name, title in house.shop.meters()],
        "meter": house.shop.meter,
        "records": [{**asdict(row), "running": row.id in running} for row in house.shop.records()],
        "pairing": house.pairing is not None,
    }


def _start(house: House, asked: Asked) -> dict[str, Any]:
    known = {offer.name for offer in house.shop.offers()}
    procedure = asked.get("procedure", "")
    if procedure not in known:
        raise RefusedError(400, "Choose one of the procedures.")
    meter = asked.get("meter", "")
    if meter and meter not in {name for name, _ in house.shop.meters()}:
        raise RefusedError(400, "Choose one of the meters.")
    unit, air = asked.get("unit", "").strip(), asked.get("air", "").strip()
    if asked.get("left") == "ask" and not house.workers.made(_key(asked)):
        left = house.shop.left(procedure, unit)
        if left is not None:
            return {"left": asdict(left)}
    worker = house.workers.open(_key(asked), lambda: house.shop.start(procedure, unit, meter, air))
    return {"id": worker.id}


def _resume(house: House, asked: Asked) -> dict[str, Any]:
    session_id = asked.get("id", "")
    worker = house.workers.find(session_id)
    if worker is not None and worker.running:
        return {"id": worker.id}
    if worker is not None:
        worker.join()
    return {"id": house.workers.open(_key(asked), lambda: house.shop.resume(session_id)).id}


def _leave(house: House, asked: Asked) -> dict[str, Any]:
    worker = house.workers.find(asked.get("id", ""))
    if worker is not None:
        worker.close()
        worker.join()
    return {"left": True}


def _record(house: House, template: str) -> Callable[[Request], Awaitable[Response]]:
    """One record as a whole page: text becomes markup on this side only, by an engine that escapes it."""
    page = Environment(autoescape=True).from_string(template)

    def made(asked: Asked) -> str:
        found = house.shop.record(asked["id"])
        if found is None:
            raise RefusedError(404, "There is no record of that session.")
        worker = house.workers.find(asked["id"])
        resumable = found.left or (worker is not None and worker.running)
        return page.render(title=found.title, record=Markup(found.html), resumable=resumable)  # noqa: S704 - escaped

    async def give(request: Request) -> Response:
        try:
            status, content = 200, await run_in_threadpool(made, await _fields(request))
        except (RefusedError, LeadsmanError) as error:
            status = error.status if isinstance(error, RefusedError) else 409
            content = page.render(title="Record", trouble=str(error))
        return HTMLResponse(content, status)

    return give


def _key(asked: Asked) -> str:
    key = asked.get("key", "")
    if len(key) < 8:
        raise RefusedError(400, "The request has no key of its own.")
    return key
