"""Developer's tool: writes a demo scene by playing a simulated unit through the real session.

    python -m tests.tools.write_scene [NAME ...]

The recipe in ``recipes.py`` gives the facts, the hidden faults and what the technician says in his own way; every
other answer comes from the simulated unit. Each answer is spoken by a voice of flite and heard by the recognizer, and
what was heard leads the session; a voice that is misheard gives way to another, and the next way to say it. Last, the
same answers are typed, and what only the sound needed is marked.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections import deque
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from io import StringIO
from pathlib import Path
from random import Random

import numpy as np
import soundfile

from assistant import catalog
from assistant.asr.recognizer import Recognizer
from assistant.audio.sound import RATE, make_sound
from assistant.clock import ScriptedClock
from assistant.composition import new_session
from assistant.diagnosis.fault_model import Suspect
from assistant.display.terminal import Screen
from assistant.inputs.ports import Listener
from assistant.loop import Loop
from assistant.messages import (
    Expectation,
    Expects,
    Fact,
    Heard,
    Hypothesis,
    InputEnded,
    Outcome,
    Source,
    Understanding,
)
from assistant.numerals.verbalizations import sayings
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check, Fix, ProofStep
from assistant.scenes import Answer
from assistant.setup.model import model_folder
from assistant.simulator.unit import SimulatedUnit
from assistant.understanding.interpret import interpret
from tests.tools.scenes.recipes import RECIPES, Recipe
from tests.tools.scenes.render_answers import render

ROOT = Path(__file__).parent.parent.parent
VOICES = ("rms", "slt", "awb")
MOST = 150
"""Answers after which a session that does not end is given up."""


@dataclass
class Said:
    """One answer that was given, as it goes into the scene."""

    answer: Answer
    levels: np.ndarray


class Technician:
    """Answers aloud: from the recipe first, from the simulated unit otherwise; what is heard leads the session."""

    def __init__(self, unit: SimulatedUnit, recipe: Recipe, recognizer: Recognizer, clock: ScriptedClock) -> None:
        self._unit, self._recipe, self._recognizer, self._clock = unit, recipe, recognizer, clock
        self._vocabulary = catalog.load_vocabulary()
        self._rng = Random(recipe.name)
        self.script = {prompt: deque(lines) for prompt, lines in recipe.says.items()}
        self.said: list[Said] = []

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """Say it in the first voice and wording that is heard as meant."""
        if len(self.said) >= MOST:
            talk = "\n".join(f"{one.answer.prompt}: {one.answer.typed}" for one in self.said)
            raise SystemExit(f"{talk}\n{self._recipe.name}: the session does not end; it asks {expectation.prompt}")
        prompt = str(expectation.prompt)
        after = self._pace(prompt)
        self._clock.advance(after)
        for words in self._wordings(expectation):
            meant = interpret((Hypothesis(words),), expectation, self._vocabulary)
            for voice in dict.fromkeys((self._recipe.voice, *VOICES)):
                answer = Answer(
                    prompt=prompt, typed=words, after=after,
                    voice=None if voice == self._recipe.voice else voice,
                    noise_db=self._recipe.noise_db if prompt.startswith("check:") else None,
                )  # fmt: skip
                name = f"{len(self.said) + 1:02d}.flac"
                levels = render(answer, self._recipe.voice, name)
                hearing = self._recognizer.hear(make_sound(as_stored(levels), RATE), expectation)
                found = interpret(hearing.hypotheses, expectation, self._vocabulary, snr_db=hearing.snr_db)
                if same(meant, found):
                    self.said.append(Said(answer, levels))
                    return Heard(self._clock.now(), hearing.hypotheses, Source.RECORDING, hearing.snr_db, name)
        raise SystemExit(f"{self._recipe.name}: at {expectation.prompt} no voice is heard right saying '{words}'")

    def close(self) -> None:
        """Nothing to let go of."""

    def _wordings(self, expectation: Expectation) -> list[str]:
        scripted = self.script.get(str(expectation.prompt))
        if scripted:
            words = scripted.popleft()
            if words != "=":
                return [words]
        return self._ways(self._unit.answer(expectation), expectation)

    def _ways(self, truth: str, expectation: Expectation) -> list[str]:
        """A number in several ways that somebody would say it; anything else as it is."""
        if expectation.expects is not Expects.READING or expectation.unit is None:
            return [truth]
        try:
            value = Decimal(truth)
        except InvalidOperation:
            return [{"over range": "it says O L"}.get(truth, truth), "open"]
        said = sayings(value, expectation.unit, self._vocabulary)
        best = max(one.weight for one in said)
        likely = [one.words for one in said if one.weight > best / 3]
        return self._rng.sample(likely, min(6, len(likely)))

    def _pace(self, prompt: str) -> float:
        kind, _, rest = prompt.partition(":")
        tables: dict[str, Sequence[Check | Fix | ProofStep]] = {
            "check": self._unit.procedure.checks,
            "fix": self._unit.procedure.fixes,
            "proof": self._unit.procedure.proof.steps,
        }
        for row in tables.get(kind, ()):
            if rest == row.name or rest.startswith(row.name + ":"):
                return max(15.0, round(row.minutes * 60))
        return {"ready": 60.0, "caution": 6.0, "access": 120.0}.get(kind, 9.0)


class Typist:
    """Types a scene's answers, leaving out those that only the sound needed."""

    def __init__(self, said: Sequence[Said], clock: ScriptedClock) -> None:
        self._rest = deque(said)
        self._clock = clock
        self.only_sound: set[int] = set()
        self._number = 0

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """The next answer for this prompt; a spoken yes that nobody asks for now is left out."""
        while self._rest:
            one = self._rest.popleft()
            self._number += 1
            if one.answer.prompt == str(expectation.prompt):
                return Heard(self._clock.now(), (Hypothesis(one.answer.typed),))
            if not one.answer.prompt.startswith("confirm:"):
                raise SystemExit(
                    f"typed, the session asks {expectation.prompt} where {one.answer.prompt} was answered"
                )
            self.only_sound.add(self._number)
        return InputEnded(self._clock.now())

    def close(self) -> None:
        """Nothing to let go of."""


def as_stored(levels: np.ndarray) -> np.ndarray:
    """The levels as a 16-bit file gives them back."""
    stored: np.ndarray = np.round(np.clip(levels, -1, 1) * 32767).astype(np.int16) / 32768
    return stored.astype(np.float32)


def same(meant: Understanding, found: Understanding) -> bool:
    """True when both mean the same; a spoken reading may need a yes where a typed one does not."""
    if meant.outcome is Outcome.NOTE:
        return found.outcome is Outcome.NOTE
    names = ("outcome", "value", "low_end", "high_end", "command", "choice", "identifier")
    return all(getattr(meant, name) == getattr(found, name) for name in names)


def play(recipe: Recipe, listener: Listener, clock: ScriptedClock) -> tuple[str, str]:
    """Run a session with this listener; its ending and its talk."""
    out = StringIO()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        work = new_session(
            recipe.procedure, folder, clock, meter=recipe.meter, unit=recipe.unit,
            air_fahrenheit=recipe.air_fahrenheit, invented=True, random=Random(recipe.name),
        )  # fmt: skip
        stack.callback(work.journal.close)
        return Loop(work.context, work.state, work.journal, listener, Screen(out=out), clock).run(), out.getvalue()


def write(recipe: Recipe, recognizer: Recognizer) -> str:
    """Play a recipe, write its scene and recordings, and return the talk."""
    clock = ScriptedClock(recipe.started)
    faults = [Suspect(fault, place or None) for fault, _, place in (one.partition(" @ ") for one in recipe.faults)]
    unit = SimulatedUnit(load_procedure(recipe.procedure).procedure, recipe.facts, faults, seed=recipe.seed)
    technician = Technician(unit, recipe, recognizer, clock)
    ending, talk = play(recipe, technician, clock)
    unused = {prompt: list(lines) for prompt, lines in technician.script.items() if lines}
    if unused:
        raise SystemExit(f"{recipe.name}: never asked, so never said: {unused}")
    clock = ScriptedClock(recipe.started)
    typist = Typist(technician.said, clock)
    typed_ending, _ = play(recipe, typist, clock)
    if typed_ending != ending:
        raise SystemExit(f"{recipe.name}: ends '{ending}' from sound and '{typed_ending}' typed")
    save(recipe, technician.said, typist.only_sound, ending)
    return talk


def save(recipe: Recipe, said: Sequence[Said], only_sound: set[int], ending: str) -> None:
    """Write ``scene.toml`` and the recordings."""
    folder = ROOT / "demo_sessions" / recipe.name
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.flac"):
        old.unlink()
    lines = [
        "# Written by tests/tools/write_scene.py from its recipe. Everything in it is invented.",
        f"title = {json.dumps(recipe.title)}",
        f"summary = {json.dumps(recipe.summary)}",
        "invented = true",
        f"procedure = {json.dumps(recipe.procedure)}",
        f"faults = {json.dumps(list(recipe.faults))}",
        f"ending = {json.dumps(ending)}",
        f"started = {recipe.started.isoformat()}",
        f"meter = {json.dumps(recipe.meter)}",
        f"voice = {json.dumps(recipe.voice)}",
    ]
    if recipe.unit:
        lines.append(f"unit = {json.dumps(recipe.unit)}")
    if recipe.air_fahrenheit is not None:
        lines.append(f"air_fahrenheit = {recipe.air_fahrenheit}")
    for number, one in enumerate(said, 1):
        answer = one.answer
        lines += ["", "[[answers]]", f"prompt = {json.dumps(answer.prompt)}", f"typed = {json.dumps(answer.typed)}"]
        lines += [f"after = {answer.after:g}"]
        lines += [f"voice = {json.dumps(answer.voice)}"] if answer.voice else []
        lines += [f"noise_db = {answer.noise_db}"] if answer.noise_db is not None else []
        lines += ['only = "sound"'] if number in only_sound else []
        soundfile.write(folder / f"{number:02d}.flac", one.levels, RATE, subtype="PCM_16")
    (folder / "scene.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{recipe.name}: {len(said)} answers, {len(only_sound)} for the sound only, ending '{ending}'")


def main() -> None:
    """Write the scenes that are named, or all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--talk", action="store_true", help="print the talk")
    arguments = parser.parse_args()
    with Recognizer(model_folder(), catalog.load_vocabulary()) as recognizer:
        for name in arguments.names or list(RECIPES):
            talk = write(RECIPES[name], recognizer)
            if arguments.talk:
                print(talk)


if __name__ == "__main__":
    main()
