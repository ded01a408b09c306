"""Whether the quick tests have just passed on this very tree, so that ``make test-all`` need not run them twice.

``make test`` notes a fingerprint beside the environment when it is green: of every file that git tracks or would
track, of the Python version, of the packages that stand in the environment and of the parts of the system that the
tests look for. ``make test-all`` runs the sweeps alone where that fingerprint still holds, and everything where it
does not. ``make test-all AGAIN=1`` runs everything in any case.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import subprocess
import sys
from importlib import metadata
from pathlib import Path

from tests import machine

ROOT = Path(__file__).parent.parent.parent
NOTE = Path(sys.prefix) / ".quick-tests-passed"
EVERYTHING = "not bench"
SWEEPS = "sweep and not bench"


def fingerprint(root: Path = ROOT) -> str:
    """What the quick tests depend on, '' where git is not there or cannot say which files there are."""
    if shutil.which("git") is None:
        return ""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=root, capture_output=True, check=False,
    )  # fmt: skip
    if listed.returncode != 0:
        return ""
    told = hashlib.sha256()
    for name in sorted(set(os.fsdecode(listed.stdout).split("\0")) - {""}):
        path = root / name
        held = path.read_bytes() if path.is_file() else b""
        told.update(f"{name}\0{len(held)}\0".encode("utf-8", "surrogateescape") + held)
    told.update("\0".join([sys.version, *machine.told(), *_packages(), *_settings()]).encode())
    return told.hexdigest()


def _packages() -> list[str]:
    return sorted(f"{one.name} {one.version}" for one in metadata.distributions())


def _settings() -> list[str]:
    """The program's own settings of the environment: strict or not, and where recordings lie."""
    return sorted(f"{name}={value}" for name, value in os.environ.items() if name.startswith("LEADSMAN_"))


def marks(found: str, noted: str) -> str:
    """Which tests ``make test-all`` runs."""
    return SWEEPS if found and found == noted else EVERYTHING


def main() -> int:
    """Note it, or print the marks that are left to run."""
    parser = argparse.ArgumentParser(
        description=__doc__, epilog="Example: python -m tests.tools.passed --note",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.add_argument("--note", action="store_true", help="the quick tests have passed: note it")
    asked = parser.parse_args()
    found = fingerprint()
    if asked.note:
        NOTE.write_text(found, encoding="utf-8")
        return 0
    chosen = marks(found, NOTE.read_text("utf-8") if NOTE.is_file() else "")
    if chosen == SWEEPS:
        print("The quick tests have passed on this tree: only the sweeps are left.", file=sys.stderr)
    print(chosen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
