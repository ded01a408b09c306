"""The model's folder with a wider lattice: the model itself stays as it was verified."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from assistant.asr.lattice import LATTICE_BEAM, widened, with_wide_lattice
from assistant.asr.recognizer import Recognizer
from assistant.audio.sound import read_sound
from assistant.messages import Expectation, Expects


def made(folder: Path) -> Path:
    (folder / "conf").mkdir(parents=True)
    (folder / "am").mkdir()
    (folder / "am" / "final.mdl").write_bytes(b"model")
    (folder / "conf" / "model.conf").write_text("--beam=10.0\n--lattice-beam=2.0\n", encoding="utf-8")
    return folder


def test_only_the_lattice_beam_is_changed() -> None:
    assert widened("--beam=10.0\n--lattice-beam=2.0\n") == f"--beam=10.0\n--lattice-beam={LATTICE_BEAM}\n"
    assert widened("--beam=10.0\n") == f"--beam=10.0\n--lattice-beam={LATTICE_BEAM}\n"


def test_the_model_is_unchanged_and_the_copy_is_removed(tmp_path: Path) -> None:
    model = made(tmp_path / "model")
    with with_wide_lattice(model) as folder:
        assert folder != model
        assert (folder / "am" / "final.mdl").read_bytes() == b"model"
        assert f"lattice-beam={LATTICE_BEAM}" in (folder / "conf" / "model.conf").read_text(encoding="utf-8")
    assert not folder.exists()
    assert (model / "conf" / "model.conf").read_text(encoding="utf-8") == "--beam=10.0\n--lattice-beam=2.0\n"
    assert (model / "am" / "final.mdl").read_bytes() == b"model"


def test_without_links_the_model_itself_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object, **__: object) -> None:
        raise OSError("links are not allowed")

    model = made(tmp_path / "model")
    monkeypatch.setattr("pathlib.Path.symlink_to", refused)
    with with_wide_lattice(model) as folder:
        assert folder == model


def test_a_folder_without_settings_is_left_to_the_library_to_refuse(tmp_path: Path) -> None:
    with with_wide_lattice(tmp_path) as folder:
        assert folder == tmp_path


@pytest.mark.model
@pytest.mark.corpus
def test_alternatives_reach_far_below_the_best(speech_corpus: Path, recognizer: Recognizer) -> None:
    """The model's own lattice ends two below the best, so that this recording has one alternative."""
    prompt = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
    found = recognizer.hear(read_sound(speech_corpus / "readings" / "0003.flac"), prompt).hypotheses
    assert found[0].score - found[-1].score > 5
    assert len(found) > 2
