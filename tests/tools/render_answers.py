"""Render the answers of demo scenes as recordings, and check that they are heard right.

    python -m tests.tools.render_answers demo_sessions/NAME [...] [--check | --only-check]

Each ``[[answers]]`` of the scene is spoken by a voice of flite (Debian package ``flite``), brought to 16 kHz mono,
and written as ``01.flac``, ``02.flac`` and so on. ``noise_db`` mixes a shop's noise, synthesised here, behind the
voice at that signal-to-noise ratio. The same scene gives the same files.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from io import StringIO
from pathlib import Path
from random import Random

import numpy as np
import soundfile
import soxr

from assistant.app import Loop
from assistant.clock import ScriptedClock
from assistant.ear.base import Hearing
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE
from assistant.errors import LeadsmanError, OperatorError
from assistant.meaning.interpret import interpret
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Outcome, Understanding
from assistant.scenes import Answer, StoredScene, load_scene, pacing
from assistant.screen import Screen
from assistant.setup.model import model_folder
from assistant.wiring import new_session
from assistant.words.lexicon import Lexicon

EDGE = 0.25
"""Seconds of quiet kept before and after the voice."""
LEVEL = 0.12
"""Level of the voice, as root mean square share of full scale."""
_SILENT = 0.01  # share of the loudest frame's level below which a frame is silence
_FRAME = 160


def main(arguments: Sequence[str] | None = None) -> int:
    """Render and check scenes; the exit code is 1 when an answer was heard wrong."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("scenes", nargs="+", type=Path, help="folders with a scene.toml")
    parser.add_argument("--check", action="store_true", help="play the answers into a session afterwards")
    parser.add_argument("--only-check", action="store_true", help="render nothing")
    chosen = parser.parse_args(arguments)
    wrong = 0
    try:
        for folder in chosen.scenes:
            stored = load_scene(folder.name)
            if not chosen.only_check:
                print(f"{stored.name}: {render_scene(stored, folder)} recordings")
            if chosen.check or chosen.only_check:
                wrong += check_scene(stored)
    except LeadsmanError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    return 1 if wrong else 0


def render_scene(stored: StoredScene, folder: Path) -> int:
    """Write every recording of a scene and remove those that are no answer's any more."""
    for old in folder.glob("[0-9][0-9]*.flac"):
        old.unlink()
    for number, answer in enumerate(stored.scene.answers, 1):
        levels = speak(answer.spoken or answer.typed, answer.voice or stored.scene.voice)
        if answer.noise_db is not None:
            levels = with_noise(levels, answer.noise_db, seed_of(stored.name, number))
        soundfile.write(folder / f"{number:02d}.flac", levels, RATE, subtype="PCM_16")
    return len(stored.scene.answers)


def speak(words: str, voice: str) -> np.ndarray:
    """A voice's levels at 16 kHz, with a quarter of a second of quiet at each end.

    Raises:
        OperatorError: flite is not there, or cannot speak this.
    """
    flite = shutil.which("flite")
    if flite is None:
        raise OperatorError("The voice program flite is missing.", remedy="Run: sudo apt install flite")
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "said.wav"
        done = subprocess.run(
            [flite, "-voice", voice, "-t", words, "-o", str(path)], capture_output=True, check=False
        )
        if done.returncode != 0 or not path.is_file():
            raise OperatorError(f"flite cannot say '{words}' with the voice '{voice}'.")
        levels, rate = soundfile.read(path, dtype="float32")
    if rate != RATE:
        levels = soxr.resample(levels, rate, RATE)
    return trimmed(levels * LEVEL / max(1e-9, spoken_level(levels)))


def trimmed(levels: np.ndarray) -> np.ndarray:
    """The voice alone, with ``EDGE`` seconds of quiet at each end."""
    frames = frame_levels(levels)
    loud = np.flatnonzero(frames > _SILENT * frames.max())
    voice = levels[loud[0] * _FRAME : (loud[-1] + 1) * _FRAME]
    quiet = np.zeros(int(EDGE * RATE), dtype=np.float32)
    return np.concatenate([quiet, voice, quiet]).astype(np.float32)


def with_noise(levels: np.ndarray, ratio_db: float, seed: int) -> np.ndarray:
    """A shop behind the voice: broadband hiss, and the hum of a motor with its overtones, at a ratio in decibels."""
    rng = np.random.default_rng(seed)
    count = len(levels)
    hiss = rng.normal(0.0, 1.0, count)
    hiss = np.convolve(hiss, np.array([0.4, 0.3, 0.2, 0.1]), mode="same")
    seconds = np.arange(count) / RATE
    pitch = 118.0 + 4.0 * np.sin(2 * np.pi * 0.7 * seconds)
    phase = 2 * np.pi * np.cumsum(pitch) / RATE
    hum = sum(np.sin(order * phase + rng.uniform(0, 2 * np.pi)) / order for order in range(1, 9))
    noise = hiss / np.std(hiss) + hum / np.std(hum)
    noise *= spoken_level(levels) / 10 ** (ratio_db / 20) / np.std(noise)
    mixed = levels + noise
    return (mixed / max(1.0, float(np.max(np.abs(mixed))) / 0.98)).astype(np.float32)


def frame_levels(levels: np.ndarray) -> np.ndarray:
    """Level of each hundredth of a second."""
    count = max(1, len(levels) // _FRAME)
    return np.sqrt(np.mean(np.resize(levels, (count, _FRAME)).astype(np.float64) ** 2, axis=1))


def spoken_level(levels: np.ndarray) -> float:
    """Level of the spoken part: the frames within 20 dB of the loudest."""
    frames = frame_levels(levels)
    return float(np.sqrt(np.mean(frames[frames > 0.1 * frames.max()] ** 2)))


def seed_of(scene: str, number: int) -> int:
    """The same noise for the same answer in every run."""
    return zlib.crc32(f"{scene} {number}".encode())


class CheckingEar:
    """Gives a session the typed answers and hears the recordings beside them."""

    def __init__(self, stored: StoredScene, recogniser: Recogniser, lexicon: Lexicon, clock: ScriptedClock) -> None:
        self._answers: Iterator[tuple[int, Answer]] = iter(enumerate(stored.scene.answers))
        self._stored = stored
        self._recogniser = recogniser
        self._lexicon = lexicon
        self._clock = clock
        self.wrong: list[str] = []
        self.heard = 0

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002 - gives at once
        """Compare what is heard with what was meant, and answer with what was meant."""
        index, answer = next(self._answers, (0, None))
        if answer is None:
            return InputEnded(self._clock.now())
        hearing = self._recogniser.hear_file(self._stored.recordings[index], expectation)
        typed = (Hypothesis(answer.typed),)
        meant = interpret(typed, expectation, self._lexicon)
        found = interpret(hearing.hypotheses, expectation, self._lexicon, snr_db=hearing.snr_db)
        self.heard += 1
        if not agrees(meant, found):
            self.wrong.append(describe(index, answer, meant, found, hearing))
        return Heard(self._clock.now(), typed)

    def close(self) -> None:
        """Nothing to let go of."""


def agrees(meant: Understanding, found: Understanding) -> bool:
    """True when a recording leads to the same step as the typed answer: same meaning, same need of a yes."""
    if meant.outcome is Outcome.NOTE:
        return found.outcome is Outcome.NOTE
    names = ("outcome", "value", "values", "low_end", "high_end", "command", "choice", "identifier", "confirm")
    return all(getattr(meant, name) == getattr(found, name) for name in names)


def describe(index: int, answer: Answer, meant: Understanding, found: Understanding, hearing: Hearing) -> str:
    """One line about an answer that was heard otherwise."""
    heard = hearing.hypotheses[0].words if hearing.hypotheses else "nothing"
    return (
        f"{index + 1:02d}.flac at {answer.prompt}: said '{answer.spoken or answer.typed}', heard '{heard}': "
        f"{found.outcome.value} {found.value or found.command or found.choice or found.identifier or ''} "
        f"instead of {meant.outcome.value} {meant.value or meant.command or meant.choice or meant.identifier or ''} "
        f"(yes needed: {found.confirm} instead of {meant.confirm}; {found.reason})"
    )


def check_scene(stored: StoredScene) -> int:
    """Play a scene's recordings beside its typed answers and count those heard otherwise."""
    scene = stored.scene
    clock = ScriptedClock(scene.started)
    with ExitStack() as stack, tempfile.TemporaryDirectory() as records:
        work = new_session(
            scene.procedure, Path(records), clock, meter=scene.meter, unit=scene.unit,
            air_fahrenheit=scene.air_fahrenheit, invented=True, random=Random(stored.name),
        )  # fmt: skip
        stack.callback(work.journal.close)
        recogniser = stack.enter_context(Recogniser(model_folder(), work.setting.lexicon))
        ear = CheckingEar(stored, recogniser, work.setting.lexicon, clock)
        Loop(work.setting, work.state, work.journal, ear, Screen(None, StringIO()), clock, pacing(scene, clock)).run()
    for line in ear.wrong:
        print(f"  {line}")
    print(f"{stored.name}: {ear.heard - len(ear.wrong)} of {ear.heard} answers heard as meant")
    return len(ear.wrong)


if __name__ == "__main__":
    sys.exit(main())
