"""``leadsman demo``: a recorded scene with a hidden fault, from its sound."""

from __future__ import annotations

import os
from contextlib import ExitStack
from pathlib import Path
from random import Random

import click

from assistant import library
from assistant.clock import ScriptedClock
from assistant.commands.completion import complete_scenes
from assistant.commands.lead.voice import open_voice
from assistant.commands.machine.setup import ensure_model
from assistant.commands.records.places import records_option
from assistant.commands.shared import write_json
from assistant.commands.terminal import echo
from assistant.composition import Work, new_session
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.inputs.console import TypedAnswers
from assistant.inputs.ports import Listener
from assistant.loop import Loop
from assistant.phrasing.wording import ending_words
from assistant.scenes import StoredScene, list_scenes, load_scene, pacing
from assistant.setup.model import identity, model_folder

FIRST = "sensor-open-behind-a-drum"


@click.command(epilog="Example: leadsman demo --list")
@click.argument("scene", required=False, shell_complete=complete_scenes)
@click.option("--list", "list_them", is_flag=True, help="List the scenes.")
@click.option("--typed", is_flag=True, help="Use the scene's typed answers instead of its recordings.")
@click.option("--voice/--mute", default=False, help="Also speak our side aloud. Default: only show it.")
@click.option("--save-sound", type=click.Path(path_type=Path), help="Save what was said as sound into this folder.")
@records_option
@click.option("--json", "as_json", is_flag=True, help="With --list: print one JSON object a scene.")
def demo(
    scene: str | None,
    list_them: bool,
    typed: bool,
    voice: bool,
    save_sound: Path | None,
    records: Path | None,
    as_json: bool,
) -> None:
    """Run one SCENE: an invented unit with a hidden fault, its technician's voice recorded."""
    if list_them:
        _list(as_json)
        return
    stored = load_scene(scene or FIRST)
    folder = records or library.records_folder() / "demo"
    with ExitStack() as stack:
        model = None if typed else _model()
        echo(f"{stored.scene.title}. {stored.scene.summary}")
        echo("(Everything in this scene is invented.)\n")
        screen = Screen(open_voice(stack, aloud=voice, save_to=save_sound))
        work, ending = run_scene(stack, stored, folder, screen, model)
        echo(f"\nHidden fault: {', '.join(stored.scene.faults)}. The session ended: {ending_words(ending)}.")
        echo(f"Record: {work.journal.where}")
        echo(f"Read it with: leadsman show {work.header.session_id} --records {folder}")
        if ending != stored.scene.ending:
            raise OperatorError(f"The scene should have ended '{stored.scene.ending}'.")


def run_scene(
    stack: ExitStack, stored: StoredScene, folder: Path, screen: Screen, model: Path | None
) -> tuple[Work, str]:
    """Run one scene into a record; from sound when a model is given, else from its typed answers.

    Raises:
        OperatorError: the session asks for something else than the scene's next answer is for.
    """
    scene = stored.scene
    clock = ScriptedClock(scene.started)
    work = new_session(
        scene.procedure,
        folder,
        clock,
        meter=scene.meter,
        unit=scene.unit,
        air_fahrenheit=scene.air_fahrenheit,
        source="recording" if model else "typed",
        model=identity(model) if model else None,
        invented=True,
        history=False,  # a scene runs the same each time, whatever lies beside it
        random=Random(stored.name),  # noqa: S311 - only names the record, the same each time in an empty folder
    )
    stack.callback(work.journal.close)
    listener: Listener
    if model:
        from assistant.asr.recognizer import Recognizer
        from assistant.inputs.recording import RecordedListener

        recognizer = stack.enter_context(Recognizer(model, work.context.vocabulary, notice=screen.notice))
        answers = [answer for answer, _ in stored.spoken]
        files = [path for _, path in stored.spoken]
        listener = RecordedListener(
            files, recognizer, clock.now, [answer.prompt for answer in answers], screen.notice
        )
    else:
        answers = stored.typed
        listener = TypedAnswers([one.typed for one in answers], clock.now, [one.prompt for one in answers])
    loop = Loop(work.context, work.state, work.journal, listener, screen, clock, pacing(answers, clock))
    return work, loop.run()


def _list(as_json: bool) -> None:
    for stored in list_scenes():
        if as_json:
            write_json({"name": stored.name, "title": stored.scene.title, "summary": stored.scene.summary})
        else:
            echo(f"{stored.name}\n    {stored.scene.title}. {stored.scene.summary}")


def _model() -> Path | None:
    trouble = ensure_model()
    if trouble is None:
        return model_folder()
    if os.environ.get("LEADSMAN_STRICT"):
        raise trouble
    echo("The same scene runs from its typed answers instead.\n", err=True)
    return None
