"""What lies outside the chain so that it can be erased: names, in a side file; kept sound, in a folder beside it."""

from __future__ import annotations

import contextlib
import json
import shutil
import stat
from pathlib import Path

from assistant.errors import OperatorError
from assistant.private_files import link_below, make_private_folder, read_plain, write_private
from assistant.records.journal.disk import explain

FOLDER = "private"
"""Subfolder of the records."""
SOUND = "sound"
"""Subfolder of a session's private folder."""
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
    link = link_below(folder, FOLDER, session_id, SOUND)
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


def erase(folder: Path, session_id: str, *, sound: bool, names: bool) -> list[str]:
    """Erase what lies outside the chain; returns what was there, in words.

    Raises:
        OperatorError: something is there and cannot be erased, or a link stands in the way.
    """
    place = private_folder(folder, session_id)
    must_not_be_links(folder, session_id)
    gone = []
    try:
        if sound and (count := len(sounds_of(folder, session_id))):
            gone.append(f"{count} recording{'' if count == 1 else 's'}")
        if sound and (place / SOUND).exists():
            shutil.rmtree(place / SOUND)
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
