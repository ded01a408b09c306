"""The voice for a command: aloud, saved as sound, both, or silence with one line that says why."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

from assistant.audio.devices import loudspeaker_problem, speech_problem
from assistant.audio.sound import write_sound
from assistant.commands.terminal import notice
from assistant.display.terminal import Speaks
from assistant.errors import OperatorError
from assistant.setup.settings import load_voice
from assistant.tts.synthesizer import Synthesizer, VoiceFailedError
from assistant.tts.voice import Voice


class SavingVoice:
    """Saves each utterance as a numbered sound file, then passes it on.

    Args:
        folder: where the files go; it is made when missing.
        synthesizer: makes the sound.
        onward: what also speaks it, None for nothing.
    """

    def __init__(self, folder: Path, synthesizer: Synthesizer, onward: Speaks | None) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OperatorError(
                f"Cannot make the folder {folder} for the sound: {error.strerror or error}.",
                remedy="Name a folder that you may write to.",
            ) from None
        self._folder, self._synthesizer, self._onward = folder, synthesizer, onward
        self._count = 0
        self._failed = False

    def say(self, text: str) -> None:
        """Save and pass on one utterance; after a first failure saving is given up with one line."""
        self._count += 1
        if not self._failed:
            path = self._folder / f"{self._count:03d}.wav"
            try:
                write_sound(path, *self._synthesizer.synthesize(text))
            except (VoiceFailedError, OSError, RuntimeError) as error:
                self._failed = True
                notice(f"Cannot save speech to {path}: {error}. The session goes on without saving sound.")
        if self._onward is not None:
            self._onward.say(text)


def make_voice(stack: ExitStack, notice: Callable[[str], None]) -> Voice | None:
    """The voice as it was set; None, with one line that says why, where nothing can be spoken."""
    from assistant.audio.player import Player

    problem = speech_problem() or loudspeaker_problem()
    if problem is not None:
        notice(f"{problem.text} {problem.remedy}")
        return None
    voice = Voice(chosen_synthesizer(), Player(), notice)
    stack.callback(voice.close)
    return voice


def open_voice(stack: ExitStack, *, aloud: bool, save_to: Path | None = None) -> Speaks | None:
    """The voice that was asked for; it is closed with the stack."""
    voice = make_voice(stack, notice) if aloud else None
    if save_to is None:
        return voice
    problem = speech_problem()
    if problem is not None:
        notice(f"{problem.text} {problem.remedy}")
        return voice
    synthesizer = chosen_synthesizer()
    stack.callback(synthesizer.close)
    return SavingVoice(save_to, synthesizer, voice)


def chosen_synthesizer() -> Synthesizer:
    """The voice as it was set, as sound."""
    chosen = load_voice()
    return Synthesizer(chosen.words_a_minute, chosen.name)
