"""Clocks that are set while a session runs, and clocks that are years off when one begins."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.errors import OperatorError
from assistant.records.index.listing import FEW, listed, newest
from assistant.records.index.start import next_ordinal
from assistant.records.journal.reader import parse
from assistant.records.journal.verify import holds_seal, verify
from assistant.records.journal.writer import Journal
from assistant.records.report.page import html_report
from assistant.records.report.transcript import transcript
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import identify
from assistant.records.summary.collect import summarize
from tests.records.forged import chain
from tests.records.samples import SCENE, Clock, header

ID = "20260131-142305-k3f"


class Along:
    """A wall clock that goes with the session's own time until somebody sets it."""

    def __init__(self) -> None:
        self.start = datetime(2026, 1, 31, 19, 23, 5, tzinfo=UTC)
        self.at = 0.0

    def wall(self) -> datetime:
        return self.start + timedelta(seconds=self.at)


def record(folder: Path, *, jump: timedelta, at: int, late: int = -1) -> bytes:
    clock = Along()
    with Journal.create(folder, header(ID), clock) as journal:
        for number, (entry, said, seconds) in enumerate(SCENE):
            clock.at = seconds + (600 if number == late else 0)
            if number == at:
                clock.start += jump
            journal.append(entry, said, seconds)
        return journal.path.read_bytes()


@pytest.mark.parametrize(
    ("jump", "words"),
    [
        (timedelta(hours=3, minutes=5), "went ahead by 3 hours 5 minutes (it was set or the machine slept)"),
        (-timedelta(days=400), "went back by 400 days (it was set)"),
    ],
)
def test_a_jump_in_mid_session_is_told_in_one_line(tmp_path: Path, jump: timedelta, words: str) -> None:
    session = parse(record(tmp_path, jump=jump, at=6), ID)
    summary = summarize(session)
    assert len(summary.clock_jumps) == 1
    assert f"Between 02:10 and 02:20 the clock {words}" in summary.clock_jumps[0]
    assert "Clock        Between 02:10 and 02:20" in transcript(session)
    assert "Between 02:10 and 02:20 the clock" in html_report(summary)


def test_what_is_only_written_late_is_no_jump(tmp_path: Path) -> None:
    assert summarize(parse(record(tmp_path, jump=timedelta(0), at=0, late=5), ID)).clock_jumps == ()


@pytest.mark.parametrize("many", [False, True])
@pytest.mark.parametrize("wrong", ["20000101-000000-abc", "20390101-000000-abc"])
def test_a_clock_years_off_hides_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, wrong: str, many: bool
) -> None:
    if many:
        monkeypatch.setattr("assistant.records.index.listing.FEW", 1)
    store, order = FolderStore(tmp_path), ["20260130-080000-old", ID, wrong, "20260201-080000-new"]
    for name in order:
        started = f"{name[:4]}-{name[4:6]}-{name[6:8]}T08:00:00-05:00"
        ordinal = 0 if name.endswith("old") else next_ordinal(store)
        with Journal.create(tmp_path, replace(header(name), started=started, ordinal=ordinal), Clock()):
            pass
        assert newest(store)[0] == identify(store, "last") == name
    assert [one.id for one in listed(store)] == order[::-1]
    assert FEW > 1


def test_a_forged_chain_and_a_cut_tail_show_against_a_seal(tmp_path: Path) -> None:
    data = record(tmp_path, jump=timedelta(0), at=0)
    seal = summarize(parse(data, ID)).seal
    assert seal in html_report(summarize(parse(data, ID)))
    lines = [json.loads(raw) for raw in data.splitlines()]
    forged = parse(chain([json.loads(json.dumps(line).replace("4210", "1210")) for line in lines]), ID)
    assert verify(forged).whole, "the chain alone does not show a forger"
    assert "not a forger" in " ".join(verify(forged).sentences())
    assert not holds_seal(forged, seal)
    assert not holds_seal(parse(b"".join(data.splitlines(keepends=True)[:-1]), ID), seal)
    assert holds_seal(parse(data, ID), seal[:8])
    assert not holds_seal(parse(data, ID), seal[:7])


def test_a_journal_changed_in_place_takes_no_more(tmp_path: Path) -> None:
    for change in (lambda data: data[len(data) // 2 :], lambda data: data[:-1], lambda data: b"x" * len(data)):
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        with Journal.create(folder, header(ID), Clock()) as journal:
            for entry, said, at in SCENE[:4]:
                journal.append(entry, said, at)
            whole = journal.path.read_bytes()
            journal.path.write_bytes(change(whole))
            with pytest.raises(OperatorError, match="another program has changed"):
                journal.append(*SCENE[4])
            assert journal.path.read_bytes() == change(whole), "nothing is written behind what is not ours"
            journal.path.write_bytes(whole)
            assert journal.append(*SCENE[4]) == 5, "put back, it goes on"
        assert verify(parse(journal.path.read_bytes(), ID)).whole


def test_a_record_of_a_later_format_is_only_read(tmp_path: Path) -> None:
    path = tmp_path / f"{ID}.jsonl"
    with Journal.create(tmp_path, replace(header(ID), format=99), Clock()) as journal:
        journal.append(*SCENE[0])
    before = path.read_bytes()
    with pytest.raises(OperatorError, match=r"A later version wrote session .* \(format 99\)"):
        Journal.open(tmp_path, ID, Clock())
    assert path.read_bytes() == before
    assert "later version" in transcript(parse(before, ID))


@pytest.mark.parametrize("suffix", [".lock", ".torn"])
def test_nothing_is_written_through_a_link(tmp_path: Path, suffix: str) -> None:
    victim, folder = tmp_path / "victim", tmp_path / "records"
    victim.write_text("mine")
    with Journal.create(folder, header(ID), Clock()) as journal:
        journal.append(*SCENE[0])
    with journal.path.open("ab") as file:
        file.write(b'{"torn')
    journal.path.with_suffix(suffix).symlink_to(victim)
    with pytest.raises(OperatorError, match="link"):
        Journal.open(folder, ID, Clock())
    assert victim.read_text() == "mine"
    journal.path.with_suffix(suffix).unlink()
    journal.path.with_suffix(".lock").unlink(missing_ok=True)
    journal.path.with_suffix(".lock").hardlink_to(victim)
    with pytest.raises(OperatorError, match="no lock of this program"):
        Journal.open(folder, ID, Clock())
    assert victim.read_text() == "mine"


def test_private_things_are_not_written_or_erased_through_a_link(tmp_path: Path) -> None:
    folder, away = tmp_path / "records", tmp_path / "away"
    (away / "sound").mkdir(parents=True)
    (away / "names.json").write_text("{}")
    (folder / "private").mkdir(parents=True)
    (folder / "private" / ID).symlink_to(away)
    store = FolderStore(folder)
    with pytest.raises(OperatorError, match="is a link to another place"):
        store.name_technician(ID, "Pat Example")
    with pytest.raises(OperatorError, match="is a link to another place"):
        store.erase(ID, sound=True, names=True, photos=True)
    assert (away / "names.json").read_text() == "{}"
    assert (away / "sound").is_dir()
