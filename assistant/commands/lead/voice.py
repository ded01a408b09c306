"""The voice for a command: aloud, saved as sound, both, or silence with one line that says why."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import click

from assistant.audio.devices import loudspeaker_problem, speech_problem
from assistant.audio.sound import write_sound
from assistant.display.terminal import Voice
from assistant.errors import OperatorError
from assistant.setup.settings import load_voice
from assistant.tts.rendering import Renderer, VoiceFailedError
from assistant.tts.voice import Mouth


class SavingVoice:
    """Saves each utterance as a numbered sound file, then passes it on.

    Args:
        folder: where the files go; it is made when missing.
        renderer: makes the sound.
        onward: what also speaks it, None for nothing.
    """

    def __init__(self, folder: Path, renderer: Renderer, onward: Voice | None) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OperatorError(
                f"Cannot make the folder {folder} for the sound: {error.strerror or error}.",
                remedy="Name a folder that you may write to.",
            ) from None
        self._folder, self._renderer, self._onward = folder, renderer, onward
        self._count = 0
        self._failed = False

    def say(self, text: str) -> None:
        """Save and pass on one utterance; after a first failure saving is given up with one line."""
        self._count += 1
        if not self._failed:
            path = self._folder / f"{self._count:03d}.wav"
            try:
                write_sound(path, *self._renderer.render(text))
            except (VoiceFailedError, OSError, RuntimeError) as error:
                self._failed = True
                _notice(f"Cannot save speech to {path}: {error}. The session goes on without saving sound.")
        if self._onward is not None:
            self._onward.say(text)


def make_voice(stack: ExitStack, notice: Callable[[str], None]) -> Mouth | None:
    """The voice as it was set; None, with one line that says why, where nothing can be spoken."""
    from assistant.audio.player import Player

    problem = speech_problem() or loudspeaker_problem()
    if problem is not None:
        notice(f"{problem.text} {problem.remedy}")
        return None
    voice = Mouth(_renderer(), Player(), notice)
    stack.callback(voice.close)
    return voice


def open_voice(stack: ExitStack, *, aloud: bool, save_to: Path | None = None) -> Voice | None:
    """The voice that was asked for; it is closed with the stack."""
    voice = make_voice(stack, _notice) if aloud else None
    if save_to is None:
        return voice
    problem = speech_problem()
    if problem is not None:
        _notice(f"{problem.text} {problem.remedy}")
        return voice
    renderer = _renderer()
    stack.callback(renderer.close)
    return SavingVoice(save_to, renderer, voice)


def _renderer() -> Renderer:
    chosen = load_voice()
    return Renderer(chosen.words_a_minute, chosen.name)


def _notice(text: str) -> None:
    click.echo(f"({text})", err=True)
