"""Procedures that can be led: those without faults, a file read again when it was written to since."""

from __future__ import annotations

import contextlib
from pathlib import Path

from assistant.errors import DocumentError, OperatorError
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure


class OfferedProcedures:
    """The procedures as they were read last."""

    def __init__(self) -> None:
        self._titles: dict[str, str] = {}
        self._offered: dict[Path, tuple[tuple[int, int], Procedure | None]] = {}

    def title(self, name: str) -> str:
        """The title of a procedure, its name where no title is known."""
        return self._titles.get(name, name)

    def without_faults(self) -> list[tuple[Path, Procedure]]:
        """Procedures without faults and where they lie; a file is read again when it was written to since."""
        return [(path, one) for path in list_procedures() if (one := self._read(path)) is not None]

    def _read(self, path: Path) -> Procedure | None:
        try:
            status = path.stat()
        except OSError:
            return None
        stamp = status.st_mtime_ns, status.st_size
        if path not in self._offered or self._offered[path][0] != stamp:
            procedure = None
            with contextlib.suppress(DocumentError, OperatorError):
                procedure = load_procedure(path).procedure
                self._titles[procedure.name] = procedure.title
            self._offered[path] = stamp, procedure
        return self._offered[path][1]
