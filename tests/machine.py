"""Parts of the system that some tests need: told before the tests run, each with its install line.

A test that needs one and does not find it is skipped by name; under ``LEADSMAN_STRICT=1`` it fails.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from ctypes.util import find_library
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Part:
    """One part of the system."""

    name: str
    """What it is for."""
    packages: str
    """Debian's packages that bring it."""
    there: Callable[[], bool]
    """Whether it is here."""


def _programs(*names: str) -> Callable[[], bool]:
    return lambda: all(shutil.which(name) is not None for name in names)


def _any_program(*names: str) -> Callable[[], bool]:
    return lambda: any(shutil.which(name) is not None for name in names)


def _libraries(*names: str) -> Callable[[], bool]:
    return lambda: all(find_library(name) is not None for name in names)


def pooler() -> str | None:
    """The program of PgBouncer, which Debian puts where only root looks."""
    return shutil.which("pgbouncer") or shutil.which("pgbouncer", path="/usr/sbin")


def _postgresql() -> bool:
    return any(Path("/usr/lib/postgresql").glob("*/bin/initdb")) or shutil.which("initdb") is not None


PARTS = (
    Part("speech", "espeak-ng", _any_program("espeak-ng", "espeak")),
    Part("the demo's voices", "flite", _programs("flite")),
    Part("sound devices", "libportaudio2", _libraries("portaudio")),
    Part("a sound card of the tests' own", "pulseaudio pulseaudio-utils libasound2-plugins", _programs("pulseaudio")),
    Part("PDF reports", "libpango-1.0-0 libpangoft2-1.0-0", _libraries("pango-1.0", "pangoft2-1.0")),
    Part("pages of a PDF, read by another program", "poppler-utils", _programs("pdfinfo", "pdftotext")),
    Part("the page in a browser", "chromium", _any_program("chromium", "chromium-browser")),
    Part("manual pages, checked by another program", "groff-base", _programs("groff")),
    Part("an outside solver for the simulated truck's circuits", "ngspice", _programs("ngspice")),
    Part("an outside library of probabilities", "libgomp1", _libraries("gomp")),
    Part("what of the tests has changed since they passed", "git", _programs("git")),
    Part("the shop's database", "postgresql", _postgresql),
    Part("a pooler before the database", "pgbouncer", lambda: pooler() is not None),
)


def lacking() -> tuple[Part, ...]:
    """The parts that are not here; none is looked for on other systems than Linux."""
    return tuple(part for part in PARTS if not part.there()) if sys.platform.startswith("linux") else ()


def told() -> list[str]:
    """One line for each missing part, and how to install all of them."""
    parts = lacking()
    if not parts:
        return []
    lines = [f"missing here: {part.name} ({part.packages}); its tests are skipped" for part in parts]
    return [*lines, f"to run them too: apt-get install {' '.join(part.packages for part in parts)}"]


if __name__ == "__main__":
    for line in told():
        print(line)
