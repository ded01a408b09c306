"""The pages and the requests behind them. Files are named here; no part of a request ever becomes a path."""

from __future__ import annotations

import hashlib
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager
from dataclasses import asdict, dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route, WebSocketRoute

from assistant.audio.vad import VoiceDetector, make_detector
from assistant.errors import LeadsmanError
from assistant.phrasing.wording import ending_words
from assistant.pictures.style import STYLE as HANDS
from assistant.records.index.board import Stand
from assistant.records.report.page import style_sheet
from assistant.web import pages, photos
from assistant.web.access.connections import Connections
from assistant.web.access.limits import Buckets
from assistant.web.access.middleware import AccessMiddleware
from assistant.web.access.pairing import Pairing
from assistant.web.access.pairing_requests import one_more, pair, unpair
from assistant.web.fields import Asked, fields_of, short
from assistant.web.page_voice import PageVoice
from assistant.web.ports import Hears, Shop
from assistant.web.refused import RefusedError
from assistant.web.session_worker import SessionWorkers
from assistant.web.websocket import session_socket

_KINDS = {
    ".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".png": "image/png",
    ".webmanifest": "application/manifest+json",
}  # fmt: skip
WORKER = "worker.js"
"""The service worker, which is served beside the pages: it may answer only for addresses below its own."""


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
    voice: PageVoice | None = None
    """The machine's voice for screens that have none, None when it cannot speak."""
    link: str = ""
    """Address under which other devices reach the page, '' where only this machine does."""
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


def assets() -> list[Path]:
    """Files that the page is made of; each has a name of its own, whatever folder it lies in."""
    return sorted(path for path in pages.ASSETS.rglob("*") if path.suffix in _KINDS)


def make_app(house: House, rates: Buckets | None = None) -> Starlette:
    """The page as an ASGI application; closing it leaves every session where it is."""

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await run_in_threadpool(house.workers.close)

    files = {path.name: (path.read_bytes(), _KINDS[path.suffix]) for path in assets()}
    files["hands.css"] = (HANDS.encode(), _KINDS[".css"])
    files["record.css"] = (style_sheet().encode(), _KINDS[".css"])
    for template in pages.PLAIN.values():
        files[Path(template).name] = (pages.plain(template), _KINDS[".html"])
    files[WORKER] = (_stamped(files), _KINDS[".js"])
    shop, record = house.shop, partial(pages.record, house.shop, house.workers)

    app = Starlette(
        routes=[
            *_pages(files),
            Route("/unit", pages.page("unit.html", lambda number: pages.unit(shop, number)), methods=["GET"]),
            Route("/record/{id}", pages.page("record.html", record), methods=["GET"]),
            Route(
                "/record/{id}/customer",
                pages.page("customer.html", partial(record, customer=True)),
                methods=["GET"],
            ),
            Route(
                "/api/unit-of/{id}", _json(lambda asked: {"unit": house.shop.unit_of(asked["id"])}), methods=["GET"]
            ),
            Route("/api/pair", pair(house.pairing, house.cookie, secure=house.secure), methods=["POST"]),
            Route("/api/unpair", unpair(house.pairing, house.cookie, secure=house.secure), methods=["POST"]),
            Route("/api/pairing", _json(lambda _: one_more(house.pairing, house.link)), methods=["GET"]),
            Route("/api/stay", _json(lambda _: {"paired": house.pairing is not None}), methods=["GET"]),
            Route("/api/home", _json(lambda _: _home(house)), methods=["GET"]),
            Route("/api/choose", _json(lambda asked: _chosen(house, asked)), methods=["POST"]),
            Route("/api/start", _json(lambda asked: _start(house, asked)), methods=["POST"]),
            Route("/api/practice", _json(lambda asked: _practice(house, asked)), methods=["POST"]),
            Route("/api/resume", _json(lambda asked: _resume(house, asked)), methods=["POST"]),
            Route("/api/leave", _json(lambda asked: _leave(house, asked)), methods=["POST"]),
            Route("/api/voice/{id}/{number}", _said(house), methods=["GET"]),
            Route("/api/photo/{id}", _take_photo(house), methods=["POST"]),
            Route("/api/erase-photo", _erase_photo(house), methods=["POST"]),
            Route("/record/{id}/photo/{name}", _photo(house), methods=["GET"]),
            WebSocketRoute(
                "/api/session/{id}",
                session_socket(
                    house.workers,
                    house.hearing,
                    house.deaf_because,
                    house.detector,
                    house.pairing,
                    speaks=house.voice is not None,
                ),
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
    whole = {path: Path(template).name for path, template in pages.PLAIN.items()} | {f"/{WORKER}": WORKER}
    routes = [Route(path, _file(*files[name]), methods=["GET"]) for path, name in whole.items()]
    linked = [name for name in files if not name.endswith(".html") and name != WORKER]
    return routes + [Route(f"/assets/{name}", _file(*files[name]), methods=["GET"]) for name in linked]


def _stamped(files: Mapping[str, tuple[bytes, str]]) -> bytes:
    """The service worker with the sum of all files behind it: a browser keeps them anew when it has changed."""
    total = hashlib.sha256(b"".join(content for _, (content, _) in sorted(files.items()))).hexdigest()
    return files[WORKER][0] + f"// {total}\n".encode()


def _file(content: bytes, kind: str) -> Callable[[Request], Awaitable[Response]]:
    async def give(_: Request) -> Response:
        return Response(content, media_type=kind)

    return give


def _json(answer: Callable[[Asked], dict[str, Any]]) -> Callable[[Request], Awaitable[Response]]:
    """Answer with JSON; work that waits for the disk is done in a thread."""

    async def give(request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(answer, await fields_of(request)))

    return give


def _refused(_: Request, error: Exception) -> Response:
    """What a request gets that cannot be met."""
    return JSONResponse({"error": str(error)}, error.status if isinstance(error, RefusedError) else 409)


def _home(house: House) -> dict[str, Any]:
    running = {worker.id for worker in house.workers.running()}
    return {
        "offers": [asdict(offer) for offer in house.shop.offers()],
        "meters": [{"name": name, "title": title} for name, title in house.shop.meters()],
        "meter": house.shop.meter,
        "records": [
            {**asdict(row), "ended": ending_words(row.ending), "running": row.id in running}
            for row in house.shop.records()
        ],
        "board": _board(house),
        "pairing": house.pairing is not None,
    }


def _board(house: House) -> list[dict[str, Any]]:
    """The shop's sessions that are open or wait: those open here first, with what they ask now."""
    here = {worker.id: worker for worker in house.workers.running()}
    rows = []
    for row in house.shop.board():
        worker = here.get(row.id)
        if worker is not None:
            asked = (worker.feed.standing or {}).get("ask", {})
            open_now = {
                "stand": Stand.OPEN,
                "minutes": worker.minutes,
                "waits_for": asked.get("text", ""),
                "since": "",
            }
        rows.append({**asdict(row), **(open_now if worker is not None else {})})
    return sorted(rows, key=lambda one: list(Stand).index(one["stand"]))


def _start(house: House, asked: Asked) -> dict[str, Any]:
    procedure = _procedure(house, asked)
    meter = asked.get("meter", "")
    if meter and meter not in {name for name, _ in house.shop.meters()}:
        raise RefusedError(400, "Choose one of the meters.")
    unit, air = asked.get("unit", "").strip(), asked.get("air", "").strip()
    words = asked.get("words", "").strip()
    if asked.get("left") == "ask" and not house.workers.made(_key(asked)):
        left = house.shop.left(procedure, unit)
        if left is not None:
            return {"left": asdict(left)}
    order = asked.get("order", "").strip()
    worker = house.workers.open(_key(asked), lambda: house.shop.start(procedure, unit, meter, air, words, order))
    return {"id": worker.id}


def _chosen(house: House, asked: Asked) -> dict[str, Any]:
    """Procedures that own words may be about, the nearest first."""
    return {"procedures": list(house.shop.about(asked.get("words", "")))}


def _practice(house: House, asked: Asked) -> dict[str, Any]:
    procedure = _procedure(house, asked)
    return {"id": house.workers.open(_key(asked), lambda: house.shop.practice(procedure)).id}


def _procedure(house: House, asked: Asked) -> str:
    procedure = asked.get("procedure", "")
    if procedure not in {offer.name for offer in house.shop.offers()}:
        raise RefusedError(400, "Choose one of the procedures.")
    return procedure


def _resume(house: House, asked: Asked) -> dict[str, Any]:
    session_id = asked.get("id", "")
    worker = house.workers.find(session_id)
    if worker is not None and worker.running:
        return {"id": worker.id}
    if worker is not None:
        worker.join()
    return {"id": house.workers.open(_key(asked), lambda: house.shop.resume(session_id), session_id).id}


def _leave(house: House, asked: Asked) -> dict[str, Any]:
    worker = house.workers.find(asked.get("id", ""))
    if worker is not None:
        worker.close()
        worker.join()
    return {"left": True}


def _said(house: House) -> Callable[[Request], Awaitable[Response]]:
    """One sentence of a session as sound."""

    async def give(request: Request) -> Response:
        asked = await fields_of(request)
        if house.voice is None:
            raise RefusedError(404, "This machine has no voice.")
        worker = house.workers.find(asked["id"])
        sound = await run_in_threadpool(house.voice.said, worker, asked["number"])
        return Response(sound, media_type="audio/wav")

    return give


def _take_photo(house: House) -> Callable[[Request], Awaitable[Response]]:
    """The body is the photo; what it is of stands behind the path."""

    async def give(request: Request) -> Response:
        given = {**request.query_params, **request.path_params}
        asked = {name: short(name, value) for name, value in given.items()}
        try:
            content = await request.body()
        except ClientDisconnect:
            raise RefusedError(413, "The photo did not arrive whole, or is too large. Send it again.") from None
        return JSONResponse(await photos.keep(house.shop, house.workers, asked, content))

    return give


def _erase_photo(house: House) -> Callable[[Request], Awaitable[Response]]:
    async def give(request: Request) -> Response:
        return JSONResponse(await photos.erase(house.shop, house.workers, await fields_of(request)))

    return give


def _photo(house: House) -> Callable[[Request], Awaitable[Response]]:
    """One picture of a record."""

    async def give(request: Request) -> Response:
        asked = await fields_of(request)
        picture = await run_in_threadpool(house.shop.photo, asked["id"], asked["name"])
        if picture is None:
            raise RefusedError(404, "There is no such photo, or it was erased.")
        return Response(picture, media_type="image/jpeg")

    return give


def _key(asked: Asked) -> str:
    key = asked.get("key", "")
    if len(key) < 8:
        raise RefusedError(400, "The request has no key of its own.")
    return key
