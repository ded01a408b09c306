"""Every demo scene is a replayed test: it ends at its hidden fault, and sound and typing lead the same way.

``LEADSMAN_REFRESH=1`` writes the expected transcripts anew; look at the difference before committing it.
"""

from __future__ import annotations

import io
import os
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from assistant import catalog, library
from assistant.audio.sound import read_sound
from assistant.commands.lead.demo import run_scene
from assistant.display.terminal import Screen
from assistant.records.journal.reader import Session
from assistant.records.report.transcript import transcript
from assistant.scenes import StoredScene, list_scenes, load_scene
from tests.records.samples import session_in

SCENES = [stored.name for stored in list_scenes()]
LONGEST = ("sensor-open-behind-a-drum", "two-faults-in-a-row")
"""Heard in the long sweep; typed they are led each time."""


@dataclass
class Played:
    """One run of a scene."""

    stored: StoredScene
    ending: str
    session: Session
    screen: str

    def decisions(self, *kinds: str) -> list[Any]:
        return [one for _, entry in self.session.entries() for one in entry.decisions if one.kind in kinds]


def play(name: str, folder: Path, model: Path | None) -> Played:
    stored = load_scene(name)
    out = io.StringIO()
    with ExitStack() as stack:
        work, ending = run_scene(stack, stored, folder, Screen(out=out), model)
    return Played(stored, ending, session_in(folder, work.header.session_id), out.getvalue())


def course(played: Played) -> list[tuple[object, ...]]:
    """What the session decided: checks, readings with verdicts, fixes, proof and end."""
    rows: list[tuple[object, ...]] = []
    for one in played.decisions("observed", "fix_done", "proof_step_done", "ended", "observation_withdrawn"):
        if one.kind == "observed":
            grade = one.verdict.grade if one.verdict else None
            rows.append((one.check, one.place, one.value, one.display, one.choice, grade))
        elif one.kind == "fix_done":
            rows.append((one.fix, one.place))
        elif one.kind == "proof_step_done":
            rows.append((one.step, one.answer, one.passed))
        elif one.kind == "ended":
            rows.append((one.ending,))
        else:
            rows.append((one.number,))
    return rows


def test_there_are_at_least_five_scenes() -> None:
    """The scenes are the demonstration of the job."""
    assert len(SCENES) >= 5


@pytest.mark.parametrize("name", SCENES)
def test_scene_ends_at_its_hidden_fault_when_typed(name: str, tmp_path: Path) -> None:
    """Each fix that was confirmed answers a hidden fault, and each hidden fault was fixed."""
    played = play(name, tmp_path, None)
    assert played.ending == played.stored.scene.ending
    hidden = {tuple(fault.partition(" @ ")[::2]) for fault in played.stored.scene.faults}
    chosen = {(one.fix, one.place): one.fault for one in played.decisions("fix_chosen")}
    procedure = library.read_toml(library.find("dialogs", f"{played.stored.scene.procedure}.toml"))
    fix_of = {fault["name"]: fault["fix"] for fault in procedure["faults"]}
    done = {(one.fix, one.place or "") for one in played.decisions("fix_done")}
    assert {(fix_of[fault], place) for fault, place in hidden} <= done
    assert all((fix, place) in chosen for fix, place in [(f, p or None) for f, p in done])


@pytest.mark.model
@pytest.mark.parametrize(
    "name", [pytest.param(one, marks=[pytest.mark.sweep] if one in LONGEST else []) for one in SCENES]
)
def test_scene_from_sound_runs_as_it_does_when_typed(name: str, tmp_path: Path, speech_model: Path) -> None:
    """The recorded voice gives the same readings, verdicts, checks and ending as the typed answers."""
    spoken = play(name, tmp_path / "spoken", speech_model)
    typed = play(name, tmp_path / "typed", None)
    assert course(spoken) == course(typed)
    expected = spoken.stored.folder / "transcript.txt"
    text = transcript(spoken.session, catalog.load_vocabulary()) + "\n"
    if os.environ.get("LEADSMAN_REFRESH") == "1":
        expected.write_text(text, encoding="utf-8")
    assert text == expected.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", SCENES)
def test_every_answer_has_its_recording(name: str) -> None:
    """16 kHz mono FLAC, one a prompt, none left over."""
    stored = load_scene(name)
    paths = [path for _, path in stored.spoken]
    assert [path.name for path in paths] == sorted(path.name for path in stored.folder.glob("*.flac"))
    for path in paths:
        assert read_sound(path).duration > 0.3


def test_scenes_show_what_they_must() -> None:
    """A correction, a hold and resume, an over-range call, a number asked back, noise behind the voice."""
    answers = [answer for name in SCENES for answer in load_scene(name).scene.answers]
    said = [answer.typed for answer in answers]
    assert any("scratch that" in text or text.startswith("correction") for text in said)
    assert any(text == "hold on" for text in said)
    assert any(answer.prompt == "held" for answer in answers)
    assert any("o l" in text.lower().split("o l") or text.lower() in {"o l", "it says o l", "open"} for text in said)
    assert any(answer.prompt.startswith("choose:") for answer in answers)
    assert any(answer.noise_db is not None for answer in answers)
