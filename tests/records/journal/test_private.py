"""Names and kept sound lie outside the chain: private, only for what was accepted, and erasable."""

from __future__ import annotations

import base64
import os
import re
import stat
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.clock import ScriptedClock
from assistant.composition import new_session
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.loop import Loop
from assistant.messages import Fact, Heard, Hypothesis
from assistant.records.journal.private import private_folder, read_names, sounds_of
from assistant.records.journal.sound import Samples, SoundKeepingJournal
from assistant.records.journal.verify import verify
from assistant.records.store.folder import FolderStore
from tests.fakes import FakeClock, FakeListener
from tests.records.samples import Clock, session_in

WORDS = ["next", "mumble grumble", "yes", "four oh one nine", "not an answer at all"]


def sound_of(number: int) -> Samples:
    return (np.sin(np.arange(1600) / (5 + number)) * 9000).astype(np.int16)


def run(folder: Path, source: object, technician: str = "") -> tuple[str, list[str]]:
    """A session of spoken answers, kept with its sound."""
    notices: list[str] = []
    clock = ScriptedClock(Clock().wall())
    work = new_session("trailer-abs-light-on", folder, clock, technician=technician)
    facts: list[str | Fact] = [
        Heard(float(number), (Hypothesis(words),), sound=f"{number}.wav") for number, words in enumerate(WORDS)
    ]
    name = work.header.session_id
    keeping = SoundKeepingJournal(work.journal, folder, name, source, notices.append)  # type: ignore[arg-type]
    Loop(work.context, work.state, keeping, FakeListener(facts, FakeClock()), Screen(out=StringIO()), clock).run()
    keeping.close()
    return name, notices


def known(name: str) -> tuple[Samples, int]:
    return sound_of(int(name.removesuffix(".wav"))), 16000


def test_only_accepted_answers_are_kept_each_beside_its_entry(tmp_path: Path) -> None:
    name, notices = run(tmp_path, known)
    session = session_in(tmp_path, name)
    kept = sounds_of(tmp_path, name)
    spoken = {line.seq: entry.fact for line, entry in session.entries() if isinstance(entry.fact, Heard)}
    words = [spoken[seq].hypotheses[0].words for seq in kept]
    assert words == ["next", "yes", "four oh one nine"]
    for seq, path in kept.items():
        samples, rate = soundfile.read(path, dtype="int16")
        fact = spoken[seq]
        assert isinstance(fact, Heard)
        assert rate == 16000
        assert np.array_equal(samples, known(fact.sound)[0])
        assert soundfile.info(path).format == "FLAC"
        if os.name != "nt":
            assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert notices == []
    if os.name != "nt":
        assert stat.S_IMODE(private_folder(tmp_path, name).stat().st_mode) == 0o700


def test_sound_that_cannot_be_kept_is_said_once_and_costs_no_entry(tmp_path: Path) -> None:
    def broken(name: str) -> tuple[Samples, int]:
        raise OperatorError(f"There is no recording {name}.")

    name, notices = run(tmp_path, broken)
    assert len(notices) == 1
    assert "cannot be kept: There is no recording" in notices[0]
    kinds = [entry.fact.kind for _, entry in session_in(tmp_path, name).entries()]
    assert sorted(kinds) == ["began", *["heard"] * len(WORDS), "history_told"]
    assert sounds_of(tmp_path, name) == {}


def test_a_name_lies_outside_the_chain_and_in_the_index(tmp_path: Path) -> None:
    name, _ = run(tmp_path, known, technician="Pat Example")
    store = FolderStore(tmp_path)
    assert b"Pat" not in store.data(name)
    assert store.technician(name) == "Pat Example"
    from assistant.records.index.queries import matching

    with store.index().connect() as connection:
        assert [one.id for one in matching(connection, technician="pat example")] == [name]


@pytest.mark.parametrize(
    ("sound", "names", "gone"),
    [
        (True, True, ["3 recordings", "the technician's name"]),
        (True, False, ["3 recordings"]),
        (False, True, ["the technician's name"]),
    ],
)
def test_forgetting_erases_without_breaking_the_chain(
    tmp_path: Path, sound: bool, names: bool, gone: list[str]
) -> None:
    name, _ = run(tmp_path, known, technician="Pat Example")
    store = FolderStore(tmp_path)
    before = store.data(name)
    assert store.erase(name, sound=sound, names=names, photos=False) == gone
    assert store.erase(name, sound=sound, names=names, photos=False) == []
    assert store.data(name) == before
    assert verify(session_in(tmp_path, name)).whole
    assert bool(sounds_of(tmp_path, name)) == (not sound)
    assert read_names(tmp_path, name) == ({} if names else {"technician": "Pat Example"})
    if names:
        store.index().engine.dispose()
        left = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())
        assert b"Pat Example" not in left


@pytest.mark.parametrize("embedded", [False, True])
def test_kept_sound_plays_from_the_report(tmp_path: Path, embedded: bool) -> None:
    """Each answer has its player; the address leads to the very file, or carries it."""
    from assistant.__main__ import main

    name, _ = run(tmp_path / "records", known)
    out = tmp_path / "sent" / "report.html"
    out.parent.mkdir()
    option = ["--with-sound"] if embedded else []
    with pytest.raises(SystemExit) as left:
        main(["report", name, "--records", str(tmp_path / "records"), "--out", str(out), *option])
    assert left.value.code == 0
    addresses = re.findall(r'<audio controls preload="none" src="([^"]+)">', out.read_text(encoding="utf-8"))
    kept = sounds_of(tmp_path / "records", name)
    assert len(addresses) == len(kept) == 3
    for address, path in zip(addresses, kept.values(), strict=True):
        if embedded:
            assert base64.b64decode(address.removeprefix("data:audio/flac;base64,")) == path.read_bytes()
        else:
            assert (out.parent / address).resolve() == path.resolve()
