"""A file that only its owner may read."""

from __future__ import annotations

import os
from pathlib import Path


def write_private(path: Path, content: bytes) -> None:
    """Write a file that only its owner may read, whole or not at all.

    Raises:
        OSError: the disk refuses.
    """
    beside = path.with_suffix(".new")
    beside.unlink(missing_ok=True)
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
    beside.replace(path)
