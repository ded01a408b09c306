"""Photos of a session: they come in beside the answers, are shown with the record, and can be erased."""

from __future__ import annotations

import asyncio
import hashlib
import re
from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool

from assistant.messages import Photo, PhotoGone, PhotoTaken, Prompt, check_prompt
from assistant.web.photo_cleaning import NoPhotoError, clean
from assistant.web.ports import Shop
from assistant.web.refused import RefusedError
from assistant.web.session_worker import SessionWorker, SessionWorkers

MOST_PHOTOS = 60
"""Photos of one session."""
HANDLED_SECONDS = 15.0
"""How long a session may take to deal with one; a shared database has a few seconds."""
_NAME = re.compile(r"[0-9a-f]{16,32}")


async def keep(shop: Shop, workers: SessionWorkers, asked: Mapping[str, str], content: bytes) -> dict[str, Any]:
    """Take a photo into a session that is open: the picture first, then the entry that says so.

    Args:
        shop: keeps the picture.
        workers: runs the sessions.
        asked: ``id`` of the session; ``key``, the photo's own name: one that comes twice is kept once; ``turn`` at
            which it was taken; ``reading``, the number of the reading that it shows, '' for what is asked.
        content: what arrived.

    Raises:
        RefusedError: it is not kept. Nothing that was recorded is changed.
    """
    worker, name = _open_worker(workers, asked), asked.get("key", "")
    if not _NAME.fullmatch(name):
        raise RefusedError(400, "The photo has no name of its own.")
    if name in worker.loop.state.ledger.photos:
        return {"kept": name}
    if len(worker.loop.state.ledger.photos) >= MOST_PHOTOS:
        raise RefusedError(409, f"This session has {MOST_PHOTOS} photos; no more are taken.")
    prompt, reading = _shown(worker, asked)
    try:
        picture = await run_in_threadpool(clean, content)
    except NoPhotoError as error:
        raise RefusedError(415, str(error)) from None
    await run_in_threadpool(shop.keep_photo, worker.id, name, picture.content)
    total = hashlib.sha256(picture.content).hexdigest()
    photo = Photo(name, total, len(picture.content), picture.width, picture.height, prompt, reading)
    await _handled(worker, PhotoTaken(worker.now(), photo))
    if name in worker.loop.state.ledger.photos:
        return {"kept": name}
    if worker.unwritten:
        raise RefusedError(409, "The record cannot be written just now. The photo is logged with the next entry.")
    await run_in_threadpool(shop.erase_photo, worker.id, name)
    raise RefusedError(409, "The session was closed before the photo was logged, so it is not kept.")


async def erase(shop: Shop, workers: SessionWorkers, asked: Mapping[str, str]) -> dict[str, Any]:
    """Erase a picture; in a session that is open an entry says so.

    Raises:
        RefusedError: there is no such photo.
    """
    session_id, name = asked.get("id", ""), asked.get("name", "")
    if not _NAME.fullmatch(name):
        raise RefusedError(400, "Name a photo.")
    gone = await run_in_threadpool(shop.erase_photo, session_id, name)
    worker = workers.find(session_id)
    if worker is not None and worker.running and name in worker.loop.state.ledger.photos:
        await _handled(worker, PhotoGone(worker.now(), name))
    elif not gone:
        raise RefusedError(404, "There is no such photo.")
    return {"erased": name}


def _shown(worker: SessionWorker, asked: Mapping[str, str]) -> tuple[Prompt, int | None]:
    """What a photo shows: a reading that stands, or what was asked when it was taken."""
    wanted = _number(asked, "reading")
    seen = next((one for one in worker.loop.state.observations if one.number == wanted), None)
    if wanted is not None and seen is None:
        raise RefusedError(409, "There is no such reading any more. Take the photo of what is asked.")
    if seen is not None:
        return check_prompt(seen.check, seen.place), seen.number
    prompt = worker.listener.prompt_at(_number(asked, "turn") or 0)
    if prompt is None:
        raise RefusedError(409, "The question that the photo was taken at is not known any more. Take it again.")
    return prompt, None


async def _handled(worker: SessionWorker, fact: PhotoTaken | PhotoGone) -> None:
    try:
        await asyncio.wait_for(asyncio.wrap_future(worker.listener.bring(fact)), HANDLED_SECONDS)
    except TimeoutError:
        raise RefusedError(503, "The session is busy and did not answer in time. Look at its photos.") from None


def _open_worker(workers: SessionWorkers, asked: Mapping[str, str]) -> SessionWorker:
    worker = workers.find(asked.get("id", ""))
    if worker is None or not worker.running:
        raise RefusedError(409, "This session is not open here, so no photo is taken into it.")
    return worker


def _number(asked: Mapping[str, str], name: str) -> int | None:
    text = asked.get(name, "")
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else None
