"""Which photos of a record are shown: those that are still there and are what was logged."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from assistant.records.summary.summary import SessionSummary

CHANGED = ""
"""Stands for the address of a picture that is not the one that was logged: it is told and not shown."""


def addresses(
    one: SessionSummary, picture: Callable[[str], bytes | None], address: Callable[[str, bytes], str]
) -> dict[str, str]:
    """Photo to the address of its picture; one that was erased lacks.

    Args:
        one: what the session came to.
        picture: a photo's picture by its name, None where it is gone.
        address: where a picture of this name is, or holds it.
    """
    found = {}
    for photo in one.photos:
        kept = None if photo.erased else picture(photo.name)
        if kept is not None:
            same = hashlib.sha256(kept).hexdigest() == photo.sha256
            found[photo.name] = address(photo.name, kept) if same else CHANGED
    return found
