"""What lies outside the chain so that it can be erased: names, in a side file; kept sound, in a folder beside it."""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import stat
from pathlib import Path

from assistant.errors import OperatorError
from assistant.private_files import link_below, make_private_folder, read_plain, write_private
from assistant.records.journal.disk import explain

FOLDER = "private"
"""Subfolder of the records."""
SOUND, PHOTOS = "sound", "photos"
"""Subfolders of a session's private folder."""
_PHOTO = re.compile(r"[0-9a-f]{16,32}")
_PHOTO_MOST = 4_000_000
"""Bytes of a photo as it is kept; what is cleaned has far fewer."""
_NAMES_MOST = 65_536
"""Bytes of the side file."""


def private_folder(folder: Path, session_id: str) -> Path:
    """Where a session's erasable things lie."""
    return folder / FOLDER / session_id


def must_not_be_links(folder: Path, session_id: str) -> None:
    """Nothing is written or erased where a link leads elsewhere: whoever may write the folder could put one there.

    Raises:
        OperatorError: there is one.
    """
    links = (link_below(folder, FOLDER, session_id, kind) for kind in (SOUND, PHOTOS))
    link = next((one for one in links if one is not None), None)
    if link is not None:
        raise OperatorError(
            f"{link} is a link to another place, so nothing is written or erased there.",
            remedy="Look where it leads, and take it away.",
        )


def read_names(folder: Path, session_id: str) -> dict[str, str]:
    """The side file's fields; empty when there is none or it cannot be read."""
    try:
        # a rebuild asks this of every session, and few have the file: no object is made for the way to it
        fields = json.loads(read_plain(f"{folder}/{FOLDER}/{session_id}/names.json", _NAMES_MOST))
    except (OSError, ValueError, RecursionError):
        return {}
    return {str(name): str(value) for name, value in fields.items()} if isinstance(fields, dict) else {}


def write_names(folder: Path, session_id: str, fields: dict[str, str]) -> None:
    """Write the side file, private to the user.

    Raises:
        OperatorError: the disk refuses, or a link stands in the way.
    """
    place = private_folder(folder, session_id)
    must_not_be_links(folder, session_id)
    path = place / "names.json"
    try:
        make_private_folder(place)
        write_private(path, json.dumps(fields, ensure_ascii=False).encode())
    except OSError as error:
        raise explain(error, path, "The technician's name") from None


def sounds_of(folder: Path, session_id: str) -> dict[int, Path]:
    """Entry to its kept sound."""
    found = {}
    with contextlib.suppress(OSError):
        for path in (private_folder(folder, session_id) / SOUND).glob("*.flac"):
            if path.stem.isdecimal() and path.stem.isascii() and stat.S_ISREG(path.lstat().st_mode):
                found[int(path.stem)] = path
    return dict(sorted(found.items()))


def write_photo(folder: Path, session_id: str, name: str, content: bytes) -> None:
    """Keep a photo's picture, private to the user.

    Raises:
        OperatorError: the disk refuses, a link stands in the way, or this is no name of a photo.
    """
    must_not_be_links(folder, session_id)
    path = _photo_path(folder, session_id, name)
    try:
        make_private_folder(path.parent)
        write_private(path, content)
    except OSError as error:
        raise explain(error, path, "The photo") from None


def read_photo(folder: Path, session_id: str, name: str) -> bytes | None:
    """A photo's picture, None where it is not there (any more)."""
    try:
        must_not_be_links(folder, session_id)
        return read_plain(_photo_path(folder, session_id, name), _PHOTO_MOST)
    except (OSError, OperatorError):
        return None


def photos_of(folder: Path, session_id: str) -> list[str]:
    """Names of the photos whose pictures are there."""
    with contextlib.suppress(OSError):
        every = (private_folder(folder, session_id) / PHOTOS).glob("*.jpg")
        return sorted(one.stem for one in every if _PHOTO.fullmatch(one.stem) and stat.S_ISREG(one.lstat().st_mode))
    return []


def erase_photo(folder: Path, session_id: str, name: str) -> bool:
    """Erase one picture; False where there was none.

    Raises:
        OperatorError: it is there and cannot be erased.
    """
    must_not_be_links(folder, session_id)
    path = _photo_path(folder, session_id, name)
    try:
        path.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise explain(error, path, "The photo") from None
    return True


def _photo_path(folder: Path, session_id: str, name: str) -> Path:
    if not _PHOTO.fullmatch(name):
        raise OperatorError(f"'{name[:40]}' is not the name of a photo.")
    return private_folder(folder, session_id) / PHOTOS / f"{name}.jpg"


def counted(count: int, one: str) -> str:
    """``1 photo``, ``2 photos``."""
    return f"{count} {one}{'' if count == 1 else 's'}"


def erase(folder: Path, session_id: str, *, sound: bool, names: bool, photos: bool) -> list[str]:
    """Erase what lies outside the chain; returns what was there, in words.

    Raises:
        OperatorError: something is there and cannot be erased, or a link stands in the way.
    """
    place = private_folder(folder, session_id)
    must_not_be_links(folder, session_id)
    gone = []
    try:
        if sound and (count := len(sounds_of(folder, session_id))):
            gone.append(counted(count, "recording"))
        if sound and (place / SOUND).exists():
            shutil.rmtree(place / SOUND)
        if photos and (count := len(photos_of(folder, session_id))):
            gone.append(counted(count, "photo"))
        if photos and (place / PHOTOS).exists():
            shutil.rmtree(place / PHOTOS)
        if names and (place / "names.json").exists():
            gone.append("the technician's name")
            (place / "names.json").unlink()
        if place.is_dir() and not any(place.iterdir()):
            place.rmdir()
    except OSError as error:
        reason = (error.strerror or str(error)).rstrip(".")
        raise OperatorError(
            f"Not all of it could be erased: {reason} ({place}).", remedy="Erase that folder by hand."
        ) from None
    return gone
