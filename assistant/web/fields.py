"""What a request asks for: its fields, each a short text."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from starlette.requests import ClientDisconnect, Request

from assistant.web.refused import NO_JSON, TOO_MUCH, RefusedError

FIELD = 120
"""Characters of the longest field that a request may hold."""
Asked = Mapping[str, str]


async def fields_of(request: Request) -> dict[str, str]:
    """The fields of a request: short strings, from its path and, when it is posted, from its JSON body.

    Raises:
        RefusedError: it is not JSON, or holds something else.
    """
    given: Any = {}
    if request.method == "POST":
        if request.headers.get("content-type", "").split(";")[0].strip() != "application/json":
            raise RefusedError(415, "Send JSON.")
        try:
            given = json.loads(await request.body())
        except (ValueError, RecursionError):
            raise RefusedError(400, NO_JSON) from None
        except ClientDisconnect:
            raise RefusedError(413, TOO_MUCH) from None
    if not isinstance(given, dict):
        raise RefusedError(400, "Send a JSON object.")
    fields = {**given, **request.path_params}
    return {name: short(name, value) for name, value in fields.items()}


def short(name: str, value: Any) -> str:
    """A field that is a short text.

    Raises:
        RefusedError: it is none.
    """
    if not isinstance(value, str) or len(value) > FIELD or not value.isprintable():
        raise RefusedError(400, f"'{str(name)[:40]}' must be a short text.")
    return value
