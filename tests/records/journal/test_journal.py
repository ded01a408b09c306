"""Nothing that was acknowledged is lost: kills, full disks, folders that go away, two writers, clocks that jump."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest

from assistant.errors import OperatorError
from assistant.records.journal import writer as journal_module
from assistant.records.journal.disk import AppendFile
from assistant.records.journal.lines import Attempt, Entry
from assistant.records.journal.names import journal_path, new_session_id
from assistant.records.journal.reader import parse
from assistant.records.journal.writer import Journal
from tests.records.samples import SCENE, Clock, FailingFile, header, write_scene

ID = header().session_id


class Unsynced(AppendFile):
    """Spares a test of thousands of openings the waiting for the disk."""

    def sync(self) -> None:
        pass


def entries_of(path: Path) -> list[object]:
    return [entry for _, entry in parse(path.read_bytes(), ID).entries()]


def test_a_session_comes_back_whole(tmp_path: Path) -> None:
    path = write_scene(tmp_path / "records")
    session = parse(path.read_bytes(), ID)
    assert session.damage == ()
    assert session.header == header()
    assert [line.seq for line in session.lines] == list(range(1, len(SCENE) + 1))
    assert [(entry.fact, entry.decisions, entry.said, line.mono) for line, entry in session.entries()] == [
        (record.fact, record.decisions, said, at) for record, said, at in SCENE
    ]


@pytest.mark.skipif(os.name == "nt", reason="modes are POSIX")
def test_files_are_private(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "records"
    path = write_scene(folder, 1)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert [one.name for one in folder.iterdir()] == [f"{ID}.jsonl"]


def test_one_write_and_one_sync_an_entry_in_that_order(tmp_path: Path) -> None:
    calls: list[str] = []

    class Watched(AppendFile):
        def write(self, data: bytes) -> None:
            calls.append("write")
            super().write(data)

        def sync(self) -> None:
            calls.append("sync")
            super().sync()

    with Journal.create(tmp_path, header(), Clock(), opener=Watched) as journal:
        for record, said, at in SCENE:
            journal.append(record, said, at)
    assert calls == ["write", "sync"] * (len(SCENE) + 1)


@pytest.mark.parametrize(
    "entries", [1, pytest.param(len(SCENE), marks=pytest.mark.sweep)], ids=["one entry", "whole session"]
)
def test_killed_at_every_byte(tmp_path: Path, entries: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A copy cut at every byte: each entry whose newline stands is kept, the next append is never glued."""
    monkeypatch.setattr(journal_module, "sync_folder", lambda _folder: None)
    whole = write_scene(tmp_path / "whole", entries).read_bytes()
    kept_all = entries_of(tmp_path / "whole" / f"{ID}.jsonl")
    folder = tmp_path / "cut"
    folder.mkdir()
    path = folder / f"{ID}.jsonl"
    first = whole.index(b"\n")
    starts = [at for at in range(len(whole)) if whole[at : at + 1] == b"\n"]
    record, said, at = SCENE[-1]
    for cut in range(first + 1, len(whole) + 1):
        for beside in folder.iterdir():
            beside.unlink()
        path.write_bytes(whole[:cut])
        acknowledged = sum(1 for newline in starts if newline < cut) - 1
        with Journal.open(folder, ID, Clock(), opener=Unsynced) as journal:
            number = journal.append(record, said, at)
        session = parse(path.read_bytes(), ID)
        found = [entry for _, entry in session.entries()]
        assert session.damage == ()
        assert found[:acknowledged] == kept_all[:acknowledged]
        assert isinstance(found[-1], Entry)
        assert (found[-1].fact, found[-1].decisions) == (record.fact, record.decisions)
        # at most one more: a line that lacked only its newline
        assert acknowledged + 1 <= len(found) <= acknowledged + 2
        assert session.lines[-1].seq == number
        torn = folder / f"{ID}.torn"
        extra = len(found) - acknowledged - 1
        rest = whole[starts[acknowledged] + 1 : cut]
        assert (torn.read_bytes() if torn.exists() else b"") == (b"" if extra or not rest else rest + b"\n")
    print(f"\nkilled at {len(whole) - first} places, {entries} entries: nothing acknowledged was lost or glued")


@pytest.mark.parametrize("tail", [b"\0" * 4096, b'{"seq":9,"wa\xe6\x97', b"\xff\xfe", b'{"seq":9\0\0\0', b"\0\0x\0"])
def test_torn_and_zero_filled_tails_are_set_aside(tmp_path: Path, tail: bytes) -> None:
    path = write_scene(tmp_path)
    before = path.read_bytes()
    path.write_bytes(before + tail)
    assert parse(path.read_bytes(), ID).damage[0].where == f"entry {len(SCENE) + 1} and after"
    with Journal.open(tmp_path, ID, Clock()) as journal:
        assert journal.set_aside == len(tail)
        assert "torn" in str(journal.damage[0])
    assert path.read_bytes().startswith(before)
    assert (tmp_path / f"{ID}.torn").read_bytes() == tail + b"\n"
    session = parse(path.read_bytes(), ID)
    assert session.damage == ()
    attempt = session.lines[-1].body
    assert isinstance(attempt, Attempt)
    assert (attempt.number, attempt.set_aside) == (2, len(tail))


def test_zeros_behind_a_line_that_lacks_its_newline(tmp_path: Path) -> None:
    path = write_scene(tmp_path, 2)
    before = path.read_bytes()
    path.write_bytes(before[:-1] + b"\0" * 10)
    with Journal.open(tmp_path, ID, Clock()) as journal:
        assert journal.set_aside == 10
    assert path.read_bytes().startswith(before)
    assert parse(path.read_bytes(), ID).damage == ()


def test_a_full_disk_at_every_entry_and_every_so_many_bytes(tmp_path: Path) -> None:
    """The disk fills up inside each entry; the entry is not claimed, and stands once there is room again."""
    for full_at in range(len(SCENE)):
        for room in (0, 40, 150):
            folder = tmp_path / f"{full_at}-{room}"
            made: list[FailingFile] = []

            def opener(path: Path, *, create: bool, made: list[FailingFile] = made) -> FailingFile:
                made.append(FailingFile(path, create=create))
                return made[-1]

            with Journal.create(folder, header(), Clock(), opener=opener) as journal:
                for number, (record, said, at) in enumerate(SCENE):
                    if number == full_at:
                        made[0].budget = room
                        with pytest.raises(
                            OperatorError, match=rf"Entry {number + 1} is not on disk: the disk is full"
                        ):
                            journal.append(record, said, at)
                        assert parse(journal.path.read_bytes(), ID).damage == ()
                        assert len(entries_of(journal.path)) == number
                        made[0].budget = None
                    assert journal.append(record, said, at) == number + 1
                path = journal.path
            session = parse(path.read_bytes(), ID)
            assert session.damage == ()
            assert len(list(session.entries())) == len(SCENE)
    print(
        f"\nfull disk {3 * len(SCENE)} times: no entry claimed that was not there, each written once there was room"
    )


def test_writes_that_fail_at_every_byte(tmp_path: Path) -> None:
    made: list[FailingFile] = []

    def opener(path: Path, *, create: bool) -> FailingFile:
        made.append(FailingFile(path, create=create))
        return made[-1]

    record, said, at = SCENE[4]
    with Journal.create(tmp_path, header(), Clock(), opener=opener) as journal:
        before = journal.path.read_bytes()
        room = 0
        while True:
            made[0].budget = room
            try:
                journal.append(record, said, at)
            except OperatorError:
                assert journal.path.read_bytes() == before
                room += 1
                continue
            break
        assert room > 500
        assert journal.path.read_bytes().startswith(before)
        assert parse(journal.path.read_bytes(), ID).damage == ()


def test_a_failed_sync_claims_nothing_and_a_failed_cut_is_made_good(tmp_path: Path) -> None:
    made: list[FailingFile] = []

    def opener(path: Path, *, create: bool) -> FailingFile:
        made.append(FailingFile(path, create=create))
        return made[-1]

    record, said, at = SCENE[0]
    with Journal.create(tmp_path, header(), Clock(), opener=opener) as journal:
        file = made[0]
        file.sync_fails = file.truncate_fails = True
        for _ in range(3):
            with pytest.raises(OperatorError, match="not on disk"):
                journal.append(record, said, at)
        file.sync_fails = file.truncate_fails = False
        assert journal.append(record, said, at) == 1
        session = parse(journal.path.read_bytes(), ID)
    assert session.damage == ()
    assert len(list(session.entries())) == 1


def test_a_new_record_that_cannot_be_written_leaves_nothing_behind(tmp_path: Path) -> None:
    class Full(FailingFile):
        budget = 10

    with pytest.raises(OperatorError, match="The new record is not on disk: the disk is full"):
        Journal.create(tmp_path, header(), Clock(), opener=Full)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_goes_away_and_comes_back(tmp_path: Path) -> None:
    folder, away = tmp_path / "records", tmp_path / "away"
    with Journal.create(folder, header(), Clock()) as journal:
        record, said, at = SCENE[0]
        journal.append(record, said, at)
        folder.rename(away)
        with pytest.raises(OperatorError, match="is gone"):
            journal.append(record, said, at)
        away.rename(folder)
        assert journal.append(record, said, at) == 2
    assert len(entries_of(folder / f"{ID}.jsonl")) == 2


@pytest.mark.skipif(os.name == "nt", reason="an open file cannot be removed there")
def test_a_file_that_was_removed_is_written_anew(tmp_path: Path) -> None:
    with Journal.create(tmp_path, header(), Clock()) as journal:
        record, said, at = SCENE[0]
        journal.append(record, said, at)
        for one in tmp_path.iterdir():
            one.unlink()
        assert journal.append(record, said, at) == 2
        with pytest.raises(OperatorError, match="written by another process"):
            Journal.open(tmp_path, ID, Clock())
    session = parse((tmp_path / f"{ID}.jsonl").read_bytes(), ID)
    assert session.damage == ()
    assert len(list(session.entries())) == 2


def test_another_file_in_its_place_is_not_written_to(tmp_path: Path) -> None:
    with Journal.create(tmp_path, header(), Clock()) as journal:
        journal.path.rename(tmp_path / "elsewhere")
        journal.path.write_text("somebody's", encoding="utf-8")
        with pytest.raises(OperatorError, match="another file has taken the place"):
            journal.append(*SCENE[0])
        assert journal.path.read_text(encoding="utf-8") == "somebody's"


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(OperatorError, match=r"not on disk: .*file"):
        Journal.create(tmp_path / "file" / "records", header(), Clock())


@pytest.mark.parametrize("number", [errno.EACCES, errno.EPERM, errno.EROFS])
def test_a_read_only_folder_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """What the system says of a folder without write permission; root gets no such answer from a real one."""

    def refuse(path: Path) -> None:
        raise OSError(number, os.strerror(number), str(path))

    monkeypatch.setattr(journal_module, "SessionLock", refuse)
    with pytest.raises(OperatorError, match="cannot be written to"):
        Journal.create(tmp_path, header(), Clock())
    assert list(tmp_path.iterdir()) == []


def test_a_read_only_disk_is_named(tmp_path: Path) -> None:
    def opener(_path: Path, *, create: bool) -> AppendFile:
        assert create
        raise OSError(30, "Read-only file system")

    with pytest.raises(OperatorError, match=r"cannot be written to\. Make the folder writable"):
        Journal.create(tmp_path, header(), Clock(), opener=opener)
    assert list(tmp_path.iterdir()) == []


def test_a_second_writer_in_this_process_is_refused(tmp_path: Path) -> None:
    with Journal.create(tmp_path, header(), Clock()) as journal:
        with pytest.raises(OperatorError, match="is being written by another process"):
            Journal.open(tmp_path, ID, Clock())
        assert journal.append(*SCENE[0]) == 1
    Journal.open(tmp_path, ID, Clock()).close()


HOLDER = """
import sys, time
from pathlib import Path
from assistant.records.journal.writer import Journal
from tests.records.samples import Clock
"""


def test_a_killed_process_leaves_no_lock(tmp_path: Path) -> None:
    """Two real processes: the second is refused while the first lives, and let in once it was killed."""
    write_scene(tmp_path, 2)
    script = (
        HOLDER + f"j = Journal.open(Path(sys.argv[1]), {ID!r}, Clock())\nprint('held', flush=True)\ntime.sleep(60)\n"
    )
    holder = subprocess.Popen(
        [sys.executable, "-c", script, str(tmp_path)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[3],
    )
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline().strip() == "held"
        with pytest.raises(OperatorError, match=rf"another process \(number {holder.pid}\)"):
            Journal.open(tmp_path, ID, Clock())
    finally:
        holder.kill() if os.name == "nt" else holder.send_signal(signal.SIGKILL)
        holder.wait()
        if holder.stdout is not None:
            holder.stdout.close()
    with Journal.open(tmp_path, ID, Clock()) as journal:
        assert journal.append(*SCENE[2]) == 5
    session = parse((tmp_path / f"{ID}.jsonl").read_bytes(), ID)
    assert session.damage == ()
    assert [attempt.number for _, attempt in session.attempts()] == [2, 3]


def test_clocks_that_jump_do_no_harm(tmp_path: Path) -> None:
    clock = Clock()
    with Journal.create(tmp_path, header(), clock) as journal:
        journal.append(SCENE[0][0], (), 100.0)
        clock.time -= timedelta(days=400)
        journal.append(SCENE[1][0], (), 101.0)
        journal.append(SCENE[2][0], (), 3.0)  # a caller's clock that went back
    session = parse(journal.path.read_bytes(), ID)
    assert session.damage == ()
    assert [line.mono for line in session.lines] == [100.0, 101.0, 101.0]
    assert session.lines[1].wall < session.lines[0].wall


def test_a_new_attempt_keeps_the_old_lines_and_goes_on_from_their_time(tmp_path: Path) -> None:
    path = write_scene(tmp_path, 5)
    before = path.read_bytes()
    with Journal.open(tmp_path, ID, Clock()) as journal:
        assert journal.append(SCENE[5][0], (), 3.0) == 7
    assert path.read_bytes().startswith(before)
    assert parse(path.read_bytes(), ID).lines[-1].mono == 120.0


def test_identities() -> None:
    assert journal_path(Path("x"), "20260131-142305-k3f").name == "20260131-142305-k3f.jsonl"
    for wrong in ("", "../up", "a/b", ".hidden", "a" * 90, "x\0"):
        with pytest.raises(OperatorError, match="not the identity"):
            journal_path(Path("x"), wrong)


def test_new_identities_do_not_collide(tmp_path: Path) -> None:
    """The same second and the same randomness still give another name."""
    started = Clock().wall()
    first = new_session_id(tmp_path, started, Random(1))
    assert first.startswith("20260131-192306-")
    (tmp_path / f"{first}.jsonl").write_text("", encoding="utf-8")
    assert new_session_id(tmp_path, started, Random(1)) != first
    with pytest.raises(OperatorError, match="already"):
        Journal.create(tmp_path, header(first), Clock())
    assert [one.name for one in tmp_path.iterdir()] == [f"{first}.jsonl"]


def test_what_is_not_there_or_lost_its_header_cannot_be_continued(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="There is no session"):
        Journal.open(tmp_path, ID, Clock())
    path = write_scene(tmp_path, 3)
    data = path.read_bytes()
    path.write_bytes(b"x" * 50 + data[50:])
    with pytest.raises(OperatorError, match="has lost its header"):
        Journal.open(tmp_path, ID, Clock())


def test_a_record_that_cannot_be_begun_is_not_said_to_be_tried_again(tmp_path: Path) -> None:
    """Nothing tries it again: the program ends. Of an entry in a session it is true."""

    class Full(AppendFile):
        def write(self, data: bytes) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

    with pytest.raises(
        OperatorError, match=r"The new record is not on disk: the disk is full\. Free some space"
    ) as no:
        Journal.create(tmp_path, header(), Clock(), opener=Full)
    assert "tried again" not in str(no.value)
