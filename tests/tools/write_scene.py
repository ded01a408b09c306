"""Developer's tool: writes a demo scene's answers by playing a simulated unit through the real session.

Usage: python tests/tools/write_scene.py NAME [NAME ...]

The recipe in ``tests/tools/recipes.py`` gives the facts, the hidden faults and what the technician says in his own
way; every other answer comes from the simulated unit. Render the answers afterwards with ``render_answers.py``.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections import deque
from contextlib import ExitStack
from decimal import Decimal, InvalidOperation
from pathlib import Path
from random import Random

from assistant import library
from assistant.app import Loop
from assistant.clock import ScriptedClock
from assistant.engine.view import Suspect
from assistant.messages import Expectation, Expects, Fact, Heard, Hypothesis
from assistant.practice.unit import SimulatedUnit
from assistant.screen import Screen
from assistant.wiring import new_session
from assistant.words.sayings import sayings
from recipes import RECIPES, Recipe

ROOT = Path(__file__).parent.parent.parent


class Technician:
    """An ear that answers from the recipe first and from the simulated unit otherwise, and keeps what it said."""

    def __init__(self, unit: SimulatedUnit, recipe: Recipe, clock: ScriptedClock) -> None:
        self._unit = unit
        self.script = {prompt: deque(lines) for prompt, lines in recipe.says.items()}
        self._clock = clock
        self._rng = Random(recipe.name)
        self._lexicon = library.load_lexicon()
        self.said: list[tuple[str, str, float]] = []

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002
        prompt = expectation.prompt
        if len(self.said) > 150:
            raise SystemExit(f"the session does not end; it asks {prompt}")
        truth = self._unit.answer(expectation) if not self._scripted(prompt) else ""
        words = self.script[prompt].popleft() if self._scripted(prompt) else self._words(truth, expectation)
        if words == "=":
            words = self._words(self._unit.answer(expectation), expectation)
        after = self._pace(prompt)
        self._clock.advance(after)
        self.said.append((prompt, words, after))
        return Heard(self._clock.now(), (Hypothesis(words),))

    def close(self) -> None:
        """Nothing to let go of."""

    def _scripted(self, prompt: str) -> bool:
        return bool(self.script.get(prompt))

    def _words(self, truth: str, expectation: Expectation) -> str:
        """A number as somebody would say it; anything else as it is."""
        if expectation.expects is not Expects.READING or expectation.unit is None:
            return truth
        try:
            value = Decimal(truth)
        except InvalidOperation:
            return {"over range": "O L"}.get(truth, truth)
        said = sayings(value, expectation.unit, self._lexicon)
        best = max(one.weight for one in said)
        return self._rng.choice([one.words for one in said if one.weight > best / 3])

    def _pace(self, prompt: str) -> float:
        kind, _, rest = prompt.partition(":")
        checks = {check.name: check.minutes for check in self._unit.procedure.checks}
        fixes = {fix.name: fix.minutes for fix in self._unit.procedure.fixes}
        steps = {step.name: step.minutes for step in self._unit.procedure.proof.steps}
        minutes = {"check": checks, "fix": fixes, "proof": steps}.get(kind, {})
        for name, value in minutes.items():
            if rest == name or rest.startswith(name + ":"):
                return max(15.0, value * 60)
        return {"ready": 60.0, "caution": 6.0, "access": 120.0}.get(kind, 9.0)


def play(recipe: Recipe) -> tuple[list[tuple[str, str, float]], str]:
    """The answers of one recipe and how the session ended."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        clock = ScriptedClock(recipe.started)
        work = new_session(
            recipe.procedure,
            folder,
            clock,
            meter=recipe.meter,
            unit=recipe.unit,
            air_fahrenheit=recipe.air_fahrenheit,
            invented=True,
            random=Random(recipe.name),
        )
        stack.callback(work.journal.close)
        faults = [
            Suspect(fault, place or None) for fault, _, place in (one.partition(" @ ") for one in recipe.faults)
        ]
        unit = SimulatedUnit(work.setting.procedure, recipe.facts, faults, seed=recipe.seed)
        technician = Technician(unit, recipe, clock)
        ending = Loop(work.setting, work.state, work.journal, technician, Screen(), clock).run()
        unused = {prompt: list(lines) for prompt, lines in technician.script.items() if lines}
        if unused:
            print(f"never asked, so never said: {unused}")
        return technician.said, ending


def write(recipe: Recipe) -> None:
    """Play a recipe and write its scene file."""
    said, ending = play(recipe)
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
    for prompt, words, after in said:
        lines += ["", "[[answers]]", f"prompt = {json.dumps(prompt)}", f"typed = {json.dumps(words)}"]
        lines.append(f"after = {after:g}")
        if prompt.startswith("check:") and recipe.noise_db is not None:
            lines.append(f"noise_db = {recipe.noise_db}")
    folder = ROOT / "demo_sessions" / recipe.name
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "scene.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{recipe.name}: {len(said)} answers, ending '{ending}'")


def main() -> None:
    """Write the scenes that are named, or all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*")
    for name in parser.parse_args().names or list(RECIPES):
        write(RECIPES[name])


if __name__ == "__main__":
    main()
