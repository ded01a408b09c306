"""The speaking voice for a command: aloud, saved as sound, both, or silence with one line that says why."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from assistant.display.terminal import Voice
from assistant.errors import OperatorError
from assistant.tts.speaker import Speaker, make_speaker, render


class SavingVoice:
    """Saves each utterance as a numbered sound file, then passes it on.

    Args:
        folder: where the files go; it is made when missing.
        onward: what also speaks it, None for nothing.
    """

    def __init__(self, folder: Path, onward: Voice | None) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OperatorError(
                f"Cannot make the folder {folder} for the sound: {error.strerror or error}.",
                remedy="Name a folder that you may write to.",
            ) from None
        self._folder = folder
        self._onward = onward
        self._count = 0
        self._failed = False

    def say(self, text: str) -> None:
        """Save and pass on one utterance; after a first failure saving is given up with one line."""
        self._count += 1
        if not self._failed:
            try:
                render(text, self._folder / f"{self._count:03d}.wav")
            except OperatorError as error:
                self._failed = True
                click.echo(f"({error} The session goes on without saving sound.)", err=True)
        if self._onward is not None:
            self._onward.say(text)


def open_voice(stack: ExitStack, *, aloud: bool, save_to: Path | None = None) -> Voice | None:
    """The voice that was asked for; it is closed with the stack."""
    speaker: Speaker | None = None
    if aloud:
        speaker = make_speaker(lambda text: click.echo(f"({text})", err=True))
        stack.callback(speaker.close)
    return SavingVoice(save_to, speaker) if save_to is not None else speaker
