"""What a technician prefers, kept between sessions on this machine: how much is said.

One small file beside the records, private to its owner. Nobody's name stands in it: a technician is kept under the
SHA-256 of the name, so that forgetting a name in the records leaves nothing to forget here.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from pathlib import Path

from assistant.messages import Talk
from assistant.private_files import make_private_folder, read_plain, write_private

FILE = "preferences.json"
"""In the folder of the records."""
_MOST = 1_048_576
"""Bytes of it that are read."""


def talk_of(folder: Path, technician: str) -> Talk | None:
    """How much this technician wants said; '' is everybody who gave no name. None where nobody has said."""
    with contextlib.suppress(ValueError):
        return Talk(_kept(folder).get(_key(technician), ""))
    return None


def keep_talk(folder: Path, technician: str, talk: Talk) -> None:
    """Keep it for the next session. Where the disk refuses, the next session asks for nothing and talks as usual."""
    kept = {**_kept(folder), _key(technician): talk.value}
    with contextlib.suppress(OSError):
        make_private_folder(folder)
        write_private(folder / FILE, (json.dumps({"talk": kept}, indent=1) + "\n").encode())


def _kept(folder: Path) -> dict[str, str]:
    try:
        fields = json.loads(read_plain(folder / FILE, _MOST))["talk"]
    except (OSError, ValueError, RecursionError, KeyError, TypeError):
        return {}
    return {str(name): str(value) for name, value in fields.items()} if isinstance(fields, dict) else {}


def _key(technician: str) -> str:
    return hashlib.sha256(" ".join(technician.casefold().split()).encode()).hexdigest()
