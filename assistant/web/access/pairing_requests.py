"""The requests by which a screen is paired, let go, and shows how one more is paired."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from assistant.web.access.limits import address_key
from assistant.web.access.middleware import cookie_header
from assistant.web.access.pairing import CODE_SECONDS, LOCK_SECONDS, Entry, Pairing
from assistant.web.access.pairing_picture import as_path, pairing_link
from assistant.web.fields import fields_of
from assistant.web.refused import RefusedError

_REFUSED = {
    Entry.WRONG: (403, "That is not the code. Look at the terminal again."),
    Entry.EXPIRED: (403, "That code has expired. The terminal shows a new one."),
    Entry.LOCKED: (
        429,
        f"Too many wrong codes from here. Press Enter in the terminal, or wait {LOCK_SECONDS / 60:.0f} minutes.",
    ),
}


def pair(pairing: Pairing | None, cookie: str, *, secure: bool) -> Callable[[Request], Awaitable[Response]]:
    """Trade the code for a token."""

    async def give(request: Request) -> Response:
        fields = await fields_of(request)
        if pairing is None:
            return JSONResponse({"paired": True})
        address = address_key(request.client.host if request.client else "")
        entry, token = pairing.try_code(fields.get("code", ""), address)
        if entry is not Entry.LET_IN:
            status, text = _REFUSED[entry]
            return JSONResponse({"error": text}, status)
        response = JSONResponse({"paired": True})
        name, told = cookie_header(cookie, token, secure=secure)
        response.headers.append(name.decode(), told.decode())
        return response

    return give


def unpair(pairing: Pairing | None, cookie: str, *, secure: bool) -> Callable[[Request], Awaitable[Response]]:
    """Unpair this screen."""

    async def give(request: Request) -> Response:
        if pairing is not None:
            pairing.forget(request.cookies.get(cookie, ""))
        response = JSONResponse({"paired": False})
        response.delete_cookie(cookie, path="/", secure=secure, httponly=True, samesite="strict")
        return response

    return give


def one_more(pairing: Pairing | None, link: str) -> dict[str, Any]:
    """What pairs one more screen: the code, and a link with its picture. A paired screen may ask for it.

    Raises:
        RefusedError: nobody else reaches the page.
    """
    if pairing is None or not link:
        raise RefusedError(
            409, "Only this machine reaches the page. For phones, start it with: leadsman serve --host 0.0.0.0"
        )
    code, secret = pairing.offered()
    size, path = as_path(pairing_link(link, secret))
    return {"code": code, "minutes": round(CODE_SECONDS / 60), "size": size, "path": path}
