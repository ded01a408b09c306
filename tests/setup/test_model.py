"""The model is verified, put in place in one step, and repaired when it is damaged."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import threading
import zipfile
from pathlib import Path
from types import SimpleNamespace

import pytest

from assistant.errors import OperatorError
from assistant.setup import model, sources
from assistant.setup.model import ModelIdentity, fetch_model, identity, is_intact, model_folder, unpack

FILES = {"am/final.mdl": b"acoustic", "conf/model.conf": b"--beam=10", "graph/Gr.fst": b"graph"}
PINS = {name: hashlib.sha256(content).hexdigest() for name, content in FILES.items()}


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    return pack(tmp_path / "model.aar", FILES)


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty user's cache, and a model of three small files."""
    folder = tmp_path / "cache" / "model"
    monkeypatch.delenv("LEADSMAN_MODEL", raising=False)
    monkeypatch.setattr(model, "cached_folder", lambda: folder)
    monkeypatch.setattr(model, "PINS", PINS)
    monkeypatch.setattr(is_intact, "__defaults__", (PINS,))
    monkeypatch.setattr(unpack, "__defaults__", (PINS,))
    return folder


def pack(path: Path, files: dict[str, bytes], prefix: str = "assets/model-en-us/") -> Path:
    with zipfile.ZipFile(path, "w") as out:
        for name, content in files.items():
            out.writestr(prefix + name, content)
        out.writestr(prefix + "README", b"publisher's note")
        out.writestr("classes.jar", b"not ours")
    return path


def use_sources(monkeypatch: pytest.MonkeyPatch, *archives: Path | OperatorError) -> list[str]:
    """Make each archive a source; the list names those that were asked."""
    asked: list[str] = []

    def source(number: int, what: Path | OperatorError) -> sources.Source:
        def fetch(scratch: Path) -> Path:
            asked.append(str(number))
            assert scratch.is_dir()
            if isinstance(what, OperatorError):
                raise what
            return what

        return sources.Source(f"from source {number}", fetch)

    monkeypatch.setattr(model, "sources", lambda: [source(number, what) for number, what in enumerate(archives)])
    return asked


def leftovers(folder: Path) -> list[str]:
    return [path.name for path in folder.parent.iterdir() if path != folder]


@pytest.mark.parametrize("prefix", ["assets/model-en-us/", "vosk-model-small-en-us-0.15/", ""])
def test_the_same_files_are_accepted_wherever_they_are(tmp_path: Path, prefix: str) -> None:
    target = tmp_path / "cache" / "model"
    unpack(pack(tmp_path / "a.zip", FILES, prefix), target, PINS)
    assert {path.name for path in target.rglob("*") if path.is_file()} >= {"final.mdl", "Gr.fst", "README"}
    assert not (target / "classes.jar").exists()
    assert is_intact(target, PINS)
    assert leftovers(target) == []


@pytest.mark.parametrize(
    ("files", "sentence"),
    [
        ({**FILES, "am/final.mdl": b"other"}, "not the expected model: am/final.mdl"),
        ({name: FILES[name] for name in ("am/final.mdl", "conf/model.conf")}, "lacks graph/Gr.fst"),
        ({"readme.txt": b"x"}, "holds no speech model"),
    ],
)
def test_another_model_is_refused_and_leaves_nothing(tmp_path: Path, files: dict[str, bytes], sentence: str) -> None:
    target = tmp_path / "cache" / "model"
    with pytest.raises(OperatorError, match=sentence):
        unpack(pack(tmp_path / "a.zip", files), target, PINS)
    assert not target.exists()
    assert leftovers(target) == []


@pytest.mark.parametrize("size", [0, 10, 200])
def test_a_cut_off_archive_is_refused(tmp_path: Path, archive: Path, size: int) -> None:
    archive.write_bytes(archive.read_bytes()[:size])
    with pytest.raises(OperatorError, match="broken"):
        unpack(archive, tmp_path / "cache" / "model", PINS)


def test_a_damaged_model_is_replaced(tmp_path: Path, archive: Path) -> None:
    target = tmp_path / "cache" / "model"
    unpack(archive, target, PINS)
    (target / "graph" / "Gr.fst").write_bytes(b"half")
    assert not is_intact(target, PINS)
    unpack(archive, target, PINS)
    assert is_intact(target, PINS)
    assert leftovers(target) == []


def test_a_file_that_changed_is_noticed_although_it_was_verified_before(tmp_path: Path, archive: Path) -> None:
    target = tmp_path / "cache" / "model"
    unpack(archive, target, PINS)
    assert is_intact(target, PINS)
    (target / "am" / "final.mdl").write_bytes(b"acoustiC")
    assert not is_intact(target, PINS)
    (target / "am" / "final.mdl").unlink()
    assert not is_intact(target, PINS)


def test_two_at_once_do_no_harm(tmp_path: Path, archive: Path) -> None:
    target = tmp_path / "cache" / "model"
    problems: list[Exception] = []

    def work() -> None:
        try:
            unpack(archive, target, PINS)
        except OperatorError as error:
            problems.append(error)

    workers = [threading.Thread(target=work) for _ in range(8)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert problems == []
    assert is_intact(target, PINS)
    assert leftovers(target) == []


def test_what_an_interrupted_run_left_is_removed_when_it_is_old(
    tmp_path: Path, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "cache" / "model"
    (target.parent / ".unpacking-abc" / "am").mkdir(parents=True)
    unpack(archive, target, PINS)
    assert leftovers(target) == [".unpacking-abc"]
    monkeypatch.setattr(model, "_STALE_SECONDS", -1.0)
    unpack(archive, target, PINS)
    assert leftovers(target) == []


def test_fetching_says_what_it_does_and_does_it_once(
    cache: Path, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = use_sources(monkeypatch, archive)
    lines: list[str] = []
    assert fetch_model(lines.append) == cache
    assert [line.split(" ")[0] for line in lines] == ["Fetching", "Unpacking", "The"]
    assert fetch_model(lines.append) == cache == model_folder()
    assert asked == ["0"]
    assert leftovers(cache) == []


def test_a_source_that_fails_gives_way_to_the_next(
    cache: Path, archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = pack(tmp_path / "wrong.aar", {**FILES, "graph/Gr.fst": b"rot"})
    asked = use_sources(monkeypatch, OperatorError("No line."), wrong, archive)
    fetch_model(lambda _: None)
    assert asked == ["0", "1", "2"]
    assert is_intact(cache)


def test_when_every_source_fails_all_is_said_with_a_remedy(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    use_sources(monkeypatch, OperatorError("Maven failed."), OperatorError("The publisher failed."))
    with pytest.raises(OperatorError, match=r"Maven failed\. The publisher failed\.") as raised:
        fetch_model(lambda _: None)
    assert "LEADSMAN_MODEL" in raised.value.remedy
    assert not cache.exists()


def test_a_cache_that_cannot_be_written_is_said(cache: Path, archive: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache.parent.parent.joinpath("cache").write_text("a file where the folder should be", encoding="utf-8")
    use_sources(monkeypatch, archive)
    with pytest.raises(OperatorError, match="Cannot write to"):
        fetch_model(lambda _: None)


@pytest.mark.usefixtures("cache")
def test_no_model_or_a_damaged_one_names_the_command(tmp_path: Path, archive: Path) -> None:
    with pytest.raises(OperatorError, match=r"not on this machine\. Run: leadsman setup"):
        model_folder()
    target = tmp_path / "cache" / "model"
    unpack(archive, target, PINS)
    (target / "conf" / "model.conf").write_bytes(b"")
    with pytest.raises(OperatorError, match=r"is damaged\. Run: leadsman setup"):
        model_folder()


@pytest.mark.usefixtures("cache")
def test_another_model_can_be_named(tmp_path: Path, archive: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = tmp_path / "my-model"
    monkeypatch.setenv("LEADSMAN_MODEL", str(other))
    with pytest.raises(OperatorError, match="no speech model lies there"):
        model_folder()
    unpack(archive, other, PINS)
    assert fetch_model(lambda _: None) == other == model_folder()
    assert identity(other).name == "vosk-model-small-en-us-0.15"
    (other / "graph" / "Gr.fst").write_bytes(b"a graph of another kind")
    named = identity(other)
    assert named.name == "my-model"
    assert named != ModelIdentity("my-model", identity(tmp_path / "my-model").sha256[::-1])
    assert named == identity(other)


@pytest.fixture
def maven(tmp_path: Path) -> Path:
    """A stand-in for the Java client: it does what ``FAKE_MAVEN`` says."""
    script, does = tmp_path / "mvn", tmp_path / "mvn.py"
    # through the shell: a script's first line holds no path with a space in it
    script.write_text(f'#!/bin/sh\nexec "{sys.executable}" "{does}" "$@"\n', encoding="utf-8")
    does.write_text(
        "import os, pathlib, sys, time\n"
        "where = [part.split('=')[1] for part in sys.argv if part.startswith('-DoutputDirectory')][0]\n"
        "mode = os.environ['FAKE_MAVEN']\n"
        "if mode == 'hang': time.sleep(600)\n"
        "if mode == 'fail': sys.exit(1)\n"
        "pathlib.Path(where).mkdir()\n"
        "if mode == 'give': pathlib.Path(where, 'vosk-model-en-0.3.45.aar').write_bytes(b'zip')\n",
        encoding="utf-8",
    )
    script.chmod(0o755)
    return script


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a script")
@pytest.mark.parametrize(
    ("mode", "sentence"), [("fail", "exit code 1"), ("nothing", "exit code 0"), ("hang", "did not finish")]
)
def test_a_java_client_that_fails_is_said(
    maven: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str, sentence: str
) -> None:
    monkeypatch.setenv("FAKE_MAVEN", mode)
    monkeypatch.setattr(sources, "DEADLINE", 0.5 if mode == "hang" else 60.0)
    with pytest.raises(OperatorError, match=sentence):
        sources.by_maven(str(maven), tmp_path)


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a script")
def test_the_java_client_gives_the_archive(maven: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FAKE_MAVEN", "give")
    assert sources.by_maven(str(maven), tmp_path, fresh=True).read_bytes() == b"zip"


def test_a_java_client_that_cannot_be_started_is_said(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="could not be started"):
        sources.by_maven(str(tmp_path / "absent"), tmp_path)


def test_the_publisher_is_asked_where_there_is_no_java_client(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)
    assert [one.how for one in sources.sources()] == ["from the publisher"]
    monkeypatch.setattr(shutil, "which", lambda _: "mvn")
    assert next(one.how for one in sources.sources()) == "with Maven"


def test_the_publishers_download_is_packed_for_the_same_check(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import vosk

    def download(_: object, folder: Path) -> None:
        for name, content in FILES.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_bytes(content)

    monkeypatch.setattr(vosk.Model, "download_model", download)
    unpack(sources.by_publisher(tmp_path), tmp_path / "cache" / "model", PINS)
    monkeypatch.setattr(vosk.Model, "download_model", lambda _self, _folder: (_ for _ in ()).throw(OSError("no net")))
    with pytest.raises(OperatorError, match="publisher's download failed"):
        sources.by_publisher(tmp_path / "again")


def test_the_real_model_is_the_pinned_one(speech_model: Path) -> None:
    found = identity(speech_model)
    assert len(found.sha256) == 64
    if found.name == sources.MODEL_NAME:
        assert is_intact(speech_model)
        assert (speech_model / "README").is_file()


def test_looking_at_the_model_does_not_load_the_recognizer() -> None:
    code = "import sys, assistant.setup.report, assistant.asr.recognizer; sys.exit('vosk' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_full_disk_is_told_before_anything_is_fetched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And is not taken for a line that is down: no source is asked, and what helps is said."""
    asked: list[str] = []
    monkeypatch.delenv("LEADSMAN_MODEL", raising=False)
    monkeypatch.setattr(model, "cached_folder", lambda: tmp_path / "cache" / "model")
    monkeypatch.setattr(model, "sources", lambda: [sources.Source("from nowhere", lambda _: tmp_path / "none")])
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=7_000_000))
    with pytest.raises(OperatorError, match=r"7 MB free in .*takes 200 MB.*Free some space") as caught:
        model.fetch_model(asked.append)
    assert asked == []
    assert "tried again" not in str(caught.value)
