"""Pages from templates: plain ones made once, and those of the records made for each request."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from assistant.errors import LeadsmanError
from assistant.phrasing.wording import day, ending_words
from assistant.templates import engine_of
from assistant.web.fields import short
from assistant.web.ports import Shop
from assistant.web.refused import RefusedError
from assistant.web.session_worker import SessionWorkers

ASSETS = Path(__file__).parent / "assets"
PLAIN = {
    "/": "pages/home.html", "/pair": "pages/pair.html", "/session/{id}": "session/session.html",
    "/offline": "offline/offline.html",
}  # fmt: skip
"""Address to the template of a page that is the same for everybody."""
_NOTHING = {"trouble": "", "record": None, "resumable": False, "id": "", "past": None}
"""What a page of the records may be without."""


def plain(template: str) -> bytes:
    """A page that is the same for everybody."""
    return engine_of(ASSETS).get_template(template).render().encode()


def page(template: str, made: Callable[[str], dict[str, Any]]) -> Callable[[Request], Awaitable[Response]]:
    """A page made for each request: text becomes markup on this side only, by an engine that escapes it.

    Args:
        template: of the page; ``trouble`` is the sentence for what cannot be shown.
        made: what is filled in, from what the request asks for: ``id`` in its path, or ``number`` behind it.
    """
    template_of = engine_of(ASSETS).get_template(f"pages/{template}")

    async def give(request: Request) -> Response:
        try:
            given = {"id": request.query_params.get("number", ""), **request.path_params}
            asked = short("number", given["id"]).strip()
            status, filled = 200, await run_in_threadpool(made, asked)
        except (RefusedError, LeadsmanError) as error:
            status = error.status if isinstance(error, RefusedError) else 409
            filled = {"title": "Record", "trouble": str(error)}
        return HTMLResponse(template_of.render(_NOTHING | filled), status)

    return give


def record(shop: Shop, workers: SessionWorkers, session_id: str, *, customer: bool = False) -> dict[str, Any]:
    """One record, for its page or for the customer's.

    Raises:
        RefusedError: there is none.
    """
    found = shop.record(session_id, customer=customer)
    if found is None:
        raise RefusedError(404, "There is no record of that session.")
    worker = workers.find(session_id)
    resumable = found.left or (worker is not None and worker.running)
    shown = Markup(found.html)  # noqa: S704 - escaped by its maker
    return {"title": found.title, "record": shown, "resumable": resumable, "id": session_id}


def unit(shop: Shop, number: str) -> dict[str, Any]:
    """What the records know of a unit, for its page.

    Raises:
        RefusedError: they know nothing.
    """
    past = shop.unit(number) if number else None
    if past is None:
        raise RefusedError(404, f"No session on unit {number} is recorded." if number else "Give a unit's number.")
    return {"past": past, "ended": ending_words, "day": day}
