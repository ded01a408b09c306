"""``leadsman demo``: which scenes there are, one led from its typed answers, and what happens without a model."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.commands.lead import demo as demo_command
from assistant.errors import OperatorError
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import find
from assistant.scenes import list_scenes, load_scene
from tests.commands.running import Run

SCENE = "ground-that-passes-unloaded"
NONE = OperatorError("There is no speech model.", remedy="Run: leadsman setup")


def test_every_scene_is_listed_with_what_it_is_about(run: Run) -> None:
    listed = run("demo", "--list").out
    rows = [json.loads(line) for line in run("demo", "--list", "--json").out.splitlines()]
    assert [row["name"] for row in rows] == [stored.name for stored in list_scenes()]
    assert all(f"{row['name']}\n    {row['title']}. {row['summary']}\n" in listed for row in rows)


def test_a_typed_scene_ends_at_its_hidden_fault_and_is_kept_apart(run: Run, tmp_path: Path) -> None:
    ran = run("demo", SCENE, "--typed", "--records", str(tmp_path))
    assert ran.code == 0, ran.err
    scene = load_scene(SCENE).scene
    assert ran.out.startswith(f"{scene.title}. {scene.summary}\n(Everything in this scene is invented.)\n")
    assert f"Hidden fault: {', '.join(scene.faults)}. The session ended:" in ran.out
    [name] = FolderStore(tmp_path).ids()
    assert f"Read it with: leadsman show {name} --records {tmp_path}" in ran.out
    header = find(FolderStore(tmp_path), name).header
    assert (header.source, header.invented, header.unit) == ("typed", True, scene.unit)


def test_a_scene_that_ends_otherwise_than_it_should_is_an_error(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stored = load_scene(SCENE)
    other = replace(stored, scene=stored.scene.model_copy(update={"ending": "surveyed"}))
    monkeypatch.setattr(demo_command, "load_scene", lambda _: other)
    ran = run("demo", SCENE, "--typed", "--records", str(tmp_path))
    assert ran.code == 2
    assert "The scene should have ended 'surveyed'." in ran.err


@pytest.mark.parametrize("strict", [False, True])
def test_without_a_model_the_scene_is_typed_unless_that_is_no_demonstration(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, strict: bool
) -> None:
    monkeypatch.setattr(demo_command, "ensure_model", lambda: NONE)
    monkeypatch.setenv("LEADSMAN_STRICT", "1" if strict else "")
    ran = run("demo", SCENE, "--records", str(tmp_path))
    if strict:
        assert (ran.code, FolderStore(tmp_path).ids()) == (2, [])
        assert str(NONE) in ran.err
        return
    assert ran.code == 0
    assert "The same scene runs from its typed answers instead." in ran.err
    [name] = FolderStore(tmp_path).ids()
    assert find(FolderStore(tmp_path), name).header.source == "typed"


def test_the_scene_is_spoken_where_that_is_asked(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything that is shown of our side is spoken, too, each utterance once."""
    said: list[str] = []

    class Speaks:
        def say(self, text: str) -> None:
            said.append(text)

    def open_voice(_stack: object, *, aloud: bool, save_to: Path | None) -> Speaks:
        assert (aloud, save_to) == (True, tmp_path / "said")
        return Speaks()

    spoken: Callable[..., Speaks] = open_voice
    monkeypatch.setattr(demo_command, "open_voice", spoken)
    ran = run(
        "demo", SCENE, "--typed", "--voice", "--save-sound", str(tmp_path / "said"), "--records", str(tmp_path / "r")
    )
    assert ran.code == 0
    assert len(said) == ran.out.count("  Leadsman  ")
