"""Whole sessions played by a simulated unit, so that they fit whatever the procedure asks today. All invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path
from random import Random

from assistant.clock import ScriptedClock
from assistant.composition import new_session
from assistant.diagnosis.fault_model import Suspect
from assistant.display.terminal import Screen
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded
from assistant.records.journal.reader import Session
from assistant.simulator.unit import SimulatedUnit
from tests.records.samples import session_in

FACTS = {
    "light": "trailer light", "comes on": "at once", "lately": "nothing", "powered by": "tractor",
    "tractors": "every tractor", "trailers": "single", "sensors wired": "four", "modulators": "one valve",
    "brakes": "drum", "shields": "fixed", "codes": "active", "active codes": "one", "stored codes": "zero",
    "lowest AC range": "automatic", "lead ohms": "0.2", "coil temperature": "75",
}  # fmt: skip
STARTED = datetime(2026, 3, 2, 13, 40, tzinfo=UTC)


class Technician:
    """Answers as the simulated unit is, or what it was told to say at a prompt, and takes its time."""

    def __init__(
        self, unit: SimulatedUnit, clock: ScriptedClock, says: Mapping[str, Sequence[str]], number: str
    ) -> None:
        self._unit, self._clock = unit, clock
        same = ["yes", "yes"]  # a unit that was here before is as it was
        self._says = {
            "fact:unit number": [number],
            "fact:as last time": same,
            **{prompt: list(words) for prompt, words in says.items()},
        }
        self.count = 0

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """The answer to one prompt."""
        self.count += 1
        if self.count > 200:
            return InputEnded(self._clock.now())
        told = self._says.get(str(expectation.prompt))
        self._clock.advance(40.0)
        words = told.pop(0) if told else self._unit.answer(expectation)
        return InputEnded(self._clock.now()) if words == "leave" else Heard(self._clock.now(), (Hypothesis(words),))

    def close(self) -> None:
        """Nothing to let go of."""


def play_unit(
    folder: Path,
    *faults: tuple[str, str | None],
    facts: Mapping[str, str] = {},
    says: Mapping[str, Sequence[str]] = {},
    number: str = "4019",
    started: datetime = STARTED,
    invented: bool = True,
    **options: object,
) -> Session:
    """Play one session to its end and read its record."""
    clock = ScriptedClock(started)
    work = new_session(
        "trailer-abs-light-on", folder, clock, meter="shop", invented=invented, random=Random(started.isoformat()),
        **options,  # type: ignore[arg-type]
    )  # fmt: skip
    unit = SimulatedUnit(
        work.context.procedure, {**FACTS, **facts}, [Suspect(fault, place) for fault, place in faults], seed=3
    )
    try:
        listener = Technician(unit, clock, says, number)
        screen = Screen(out=StringIO())
        Loop(work.context, work.state, work.journal, listener, screen, clock, history=work.history).run()
    finally:
        work.journal.close()
    return session_in(folder, work.header.session_id)
