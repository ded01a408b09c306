"""Answers from recordings: in name order, each at the prompt it was made for."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import OperatorError
from assistant.inputs.recording import RecordedListener, recordings_in
from assistant.messages import Expectation, Expects, Heard, InputEnded, Source, WentQuiet, check_prompt
from tests.fakes import FakeClock, FakeHears

OHMS = Expectation(Expects.READING, prompt=check_prompt("sensor ohms"), unit="ohm")


def folder_with(folder: Path, *names: str) -> Path:
    for name in names:
        (folder / name).touch()
    return folder


def test_recordings_stand_in_name_order_with_numbers_as_numbers(tmp_path: Path) -> None:
    folder_with(tmp_path, "10.flac", "9.FLAC", "2b.wav", "2a.wav", "notes.txt", ".hidden.flac")
    assert [path.name for path in recordings_in(tmp_path)] == ["2a.wav", "2b.wav", "9.FLAC", "10.flac"]


def test_a_folder_without_recordings_is_named(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="no WAV or FLAC file"):
        recordings_in(folder_with(tmp_path, "a.mp3"))
    with pytest.raises(OperatorError, match="There is no folder"):
        recordings_in(tmp_path / "absent")
    with pytest.raises(OperatorError, match="is a file, not a folder"):
        recordings_in(tmp_path / "a.mp3")


def test_each_recording_is_one_answer() -> None:
    clock = FakeClock(5.0)
    notices: list[str] = []
    hears = FakeHears(("The sound is clipped.",))
    listener = RecordedListener([Path("1_twelve_six.flac"), Path("2.flac")], hears, clock, notice=notices.append)
    fact = listener.listen(OHMS, None)
    assert isinstance(fact, Heard)
    assert (fact.at, fact.hypotheses[0].words, fact.source) == (5.0, "twelve six", Source.RECORDING)
    assert (fact.snr_db, fact.sound) == (20.0, "1_twelve_six.flac")
    assert listener.listen(OHMS, None) == WentQuiet(5.0)
    assert isinstance(listener.listen(OHMS, None), InputEnded)
    assert notices == ["1_twelve_six.flac: The sound is clipped.", "2.flac: The sound is clipped."]
    listener.close()


def test_a_recording_made_for_another_prompt_stops_before_it_is_heard() -> None:
    hears = FakeHears()
    listener = RecordedListener([Path("01.flac")], hears, FakeClock(), ["proof:lamp"])
    with pytest.raises(OperatorError) as raised:
        listener.listen(OHMS, None)
    assert raised.value.problem == (
        "Answer 1 (01.flac) was made for the prompt 'proof:lamp', but the session asks 'check:sensor ohms'."
    )
    assert hears.asked == []
