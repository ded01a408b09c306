"""Where the speech model can be had: the Java registry's client, or the recognizer's own downloader."""

from __future__ import annotations

import contextlib
import io
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import OperatorError

MODEL_NAME = "vosk-model-small-en-us-0.15"
"""Name of the model, the same at every source."""
ARTIFACT = "com.alphacephei:vosk-model-en:0.3.45:aar"
"""The publisher's own package of the model: a zip with the model under ``assets/model-en-us``."""
DEADLINE = 900.0
"""Seconds that fetching may take on a slow line."""


@dataclass(frozen=True, slots=True)
class Source:
    """One way to get the model's archive."""

    how: str
    """Ends the sentence 'Fetching the speech model ...'."""
    fetch: Callable[[Path], Path]
    """Fetches the archive into a scratch folder and returns its path; raises OperatorError."""


def sources() -> list[Source]:
    """Sources that this machine can use, the best first.

    A damaged copy in the Java client's own store would be handed out again, so the second way starts from nothing.
    """
    ways: list[Source] = []
    maven = shutil.which("mvn")
    if maven:
        ways.append(Source("with Maven", lambda scratch: by_maven(maven, scratch)))
        ways.append(Source("with Maven from a fresh store", lambda scratch: by_maven(maven, scratch, fresh=True)))
    ways.append(Source("from the publisher", by_publisher))
    return ways


def by_maven(maven: str, scratch: Path, *, fresh: bool = False) -> Path:
    """Fetch the archive with Maven, which knows this machine's mirrors and proxies.

    Raises:
        OperatorError: Maven failed, took too long, or gave nothing.
    """
    store = [f"-Dmaven.repo.local={scratch / 'store'}"] if fresh else []
    command = [
        maven,
        "--batch-mode",
        "--quiet",
        *store,
        "dependency:get",
        "dependency:copy",
        f"-Dartifact={ARTIFACT}",
        "-Dtransitive=false",
        f"-DoutputDirectory={scratch / 'copied'}",
    ]
    try:
        done = subprocess.run(  # noqa: S603 - a fixed command line, no shell
            command, cwd=scratch, stdin=subprocess.DEVNULL, capture_output=True, timeout=DEADLINE, check=False
        )
    except subprocess.TimeoutExpired:
        raise OperatorError(f"Maven did not finish within {DEADLINE / 60:.0f} minutes.") from None
    except OSError as error:
        raise OperatorError(f"Maven could not be started: {error.strerror or error}.") from None
    found = sorted((scratch / "copied").glob("*.aar"))
    if done.returncode != 0 or not found:
        raise OperatorError(f"Maven could not fetch {ARTIFACT} (exit code {done.returncode}).")
    return found[0]


def by_publisher(scratch: Path) -> Path:
    """Fetch the archive with the recognizer's own downloader and pack what it unpacked.

    Raises:
        OperatorError: the publisher cannot be reached.
    """
    folder = scratch / MODEL_NAME
    try:
        import vosk

        class Downloader(vosk.Model):  # type: ignore[misc]
            """The downloader alone: it is a method of a model that must not be loaded yet."""

            def __init__(self) -> None:
                pass

            def __del__(self) -> None:
                pass

        with contextlib.redirect_stderr(io.StringIO()):
            Downloader().download_model(folder)
    except Exception as error:  # noqa: BLE001 - whatever the network or the library throws, the next step is the same
        raise OperatorError(f"The publisher's download failed ({type(error).__name__}).") from None
    if not folder.is_dir():
        raise OperatorError("The publisher's download held no model.")
    return Path(shutil.make_archive(str(folder), "zip", root_dir=folder))
