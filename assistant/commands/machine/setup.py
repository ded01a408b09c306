"""``leadsman setup``: the speech model and everything else a session needs from the machine."""

from __future__ import annotations

from dataclasses import asdict

import click

from assistant.asr.recognizer import Recognizer
from assistant.asr.second_opinion import best_scorer
from assistant.catalog import load_vocabulary
from assistant.commands.shared import write_json
from assistant.commands.terminal import echo
from assistant.errors import OperatorError
from assistant.setup.model import fetch_model, model_folder
from assistant.setup.report import Status, inspect_machine
from assistant.setup.scorer import fetch_published
from assistant.setup.settings import FASTEST, SLOWEST

NEEDED = {"Python", "speech model", "records folder"}
"""What a session from recorded voice cannot do without; anything else is reported but is no failure."""


@click.command(epilog="Example: leadsman setup")
@click.option("--check", is_flag=True, help="Only report; fetch nothing.")
@click.option("--model-only", is_flag=True, help="Only fetch and verify the speech model and the weights.")
@click.option("--listen", is_flag=True, help="Try the microphone: a level meter, and one sentence to say.")
@click.option("--voice", is_flag=True, help="Choose how the voice speaks; asks, unless --speed or --named says it.")
@click.option("--speed", type=click.IntRange(SLOWEST, FASTEST), help="With --voice: words a minute.")
@click.option("--named", metavar="VOICE", help="With --voice: the speech engine's name of the voice.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a line of the report.")
def setup(
    check: bool, model_only: bool, listen: bool, voice: bool, speed: int | None, named: str | None, as_json: bool
) -> None:
    """Fetch and verify the speech model, and report what else is missing, each with its remedy."""
    if (speed is not None or named is not None) and not voice:
        raise click.UsageError("--speed and --named go with --voice.")
    if voice or listen:
        from assistant.commands.speech.sound_check import check_microphone, choose_voice

        if voice:
            choose_voice(speed, named)
        if listen:
            check_microphone()
        return
    trouble = None if check else ensure_model(quiet=as_json)
    if model_only:
        if trouble is not None:
            raise trouble
        return
    statuses = [*inspect_machine(), _second(), *_words(), *_talk()]
    for one in statuses:
        if as_json:
            write_json(asdict(one))
        else:
            state = "ready" if one.ok else "MISSING" if one.name in NEEDED else "without"
            echo(f"{state:<8} {one.name:<16} {one.detail}")
            if not one.ok and one.remedy:
                echo(f"{'':<25} {one.remedy}")
    if not all(one.ok for one in statuses if one.name in NEEDED):
        raise SystemExit(1)


def _second() -> Status:
    """Which weights the second opinion has."""
    scorer = best_scorer()
    if scorer is not None:
        return Status("second opinion", True, f"each answer is scored anew by: {scorer.name}", "")
    return Status(
        "second opinion", False, "There is none: answers in loud noise are asked about more often.",
        "Run: leadsman setup",
    )  # fmt: skip


def _talk() -> list[Status]:
    """What free talk is held against; fitted here, so that no session waits for it."""
    opinion = load_vocabulary().second_opinion
    if opinion is None:
        return []
    kinds = len(opinion.shares("again"))
    return [Status("free talk", True, f"what no rule knows is held against sayings of {kinds} intents", "")]


def _words() -> list[Status]:
    """Which words of the grammars the model knows, and what is listened for in place of the others."""
    try:
        with Recognizer(model_folder(), load_vocabulary()) as recognizer:
            return [Status("words", True, recognizer.words().sentence, "")]
    except OperatorError:
        return []  # without a model that can be loaded: the report says so already


def ensure_model(*, quiet: bool = False) -> OperatorError | None:
    """Have the model ready; when it cannot be had, say why and return the error instead of raising it.

    The weights for dictation come with it; without them all else works, so that they are no error.
    """
    try:
        fetch_published(lambda text: None if quiet else echo(text, err=True))
    except OperatorError as error:
        if not quiet:
            echo(str(error), err=True)
    try:
        model_folder()
    except OperatorError:
        try:
            fetch_model(lambda text: None if quiet else echo(text, err=True))
        except OperatorError as error:
            if not quiet:
                echo(str(error), err=True)
            return error
    return None
