"""Everything a session says is heard in one breath: every procedure walked, every question asked at every prompt."""

from __future__ import annotations

from datetime import UTC, datetime
from random import Random

import pytest

from assistant import catalog
from assistant.clock import ScriptedClock
from assistant.diagnosis.fault_model import fault_model
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Prompt, Say, Source
from assistant.messages.decisions import Effect
from assistant.phrasing.phrase import phrase
from assistant.phrasing.speech_chunks import LONGEST, seconds_of
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Access, Fix, Procedure
from assistant.session.agenda.next_action import at
from assistant.session.context import Context
from assistant.session.fold import State, begin
from assistant.session.saying.questions import FIRST_PART, NEXT_PART, ONE_PART, put_back_parts
from assistant.session.step import step
from assistant.simulator.technician import UnitRecord
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts, draw_survey

PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}
VOCABULARY = catalog.load_vocabulary()
ASIDE = ("say again", "help", "why", "what's left", "where are we", "sort of purple")
"""Said at every prompt before it is answered; the last is understood nowhere."""
SLOW = {"trailer-abs-light-on", "tractor-abs-light-on"}
"""Procedures whose sessions take too long for the small suite."""
PROMPTS = {"ready", "caution", "fact", "access", "check", "fix", "proof", "close"}
"""Kinds of prompts at which everything is asked about once."""
STEPS = 4000
"""Answers after which a session that does not end is given up."""
STARTED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def a_unit(procedure: Procedure, seed: int) -> SimulatedUnit:
    """A unit with one hidden fault, or for a survey with one reading that is not good."""
    rng = Random(seed)
    if not procedure.faults:
        facts, task, outcome = draw_survey(procedure, rng)
        return SimulatedUnit(procedure, facts, set(), seed=seed, odd={task: outcome})
    seen = fault_model(procedure, {})
    hidden = rng.choices(seen.suspects, seen.priors.tolist())[0]
    return SimulatedUnit(procedure, draw_facts(procedure, hidden, rng), {hidden}, seed=seed)


class Walk:
    """A session on a simulated unit in which everything is asked about at every prompt, and every list heard out."""

    def __init__(self, procedure: Procedure, seed: int) -> None:
        self.context = Context(procedure, VOCABULARY, unit_number="4019")
        self.unit = a_unit(procedure, seed)
        self.record = UnitRecord(self.unit)
        self.turns: list[tuple[str, list[Say]]] = []
        """What was said after each answer, with that answer's prompt."""
        self.rests = 0
        self._asked: set[Prompt] = set()
        self._aside: list[str] = []
        self._said: list[Say] = []

    def run(self) -> str:
        """Lead it to its end; the ending, '' when it does not end."""
        self.loop = Loop(
            self.context, begin(self.context), self.record, self, None, ScriptedClock(STARTED), step=self._step
        )
        ending = self.loop.run()
        self.turns.append(("end", self._said))
        return "" if ending == "left" else ending

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """The rest of a list, something aside, or the answer."""
        if len(self.turns) >= STEPS:
            return InputEnded(0.0)
        said, self._said = self._said, []
        self.turns.append((str(expectation.prompt), said))
        return self._heard_out(said) or self._answer(expectation)

    def close(self) -> None:
        """Nothing to let go of."""

    def _step(self, context: Context, state: State, fact: Fact) -> tuple[State, tuple[Effect, ...]]:
        state, effects = step(context, state, fact)
        self._said += [effect for effect in effects if isinstance(effect, Say)]
        return state, effects

    def _heard_out(self, said: list[Say]) -> Fact | None:
        """'Go on' while there is more of a list, 'more' every other time."""
        if not said or not any(one.key == "rest" or "go on" in str(one.slots.get("text")) for one in said):
            return None
        assert self.loop.state.dialog.rest, "more was promised"
        self.rests += 1
        return heard("go on" if self.rests % 2 else "more")

    def _answer(self, wanted: Expectation) -> Fact:
        kind = str(wanted.prompt.overlaid or wanted.prompt.kind)
        if wanted.prompt not in self._asked and kind in PROMPTS:
            self._asked.add(wanted.prompt)
            self._aside = list(ASIDE)
        if self._aside:
            return heard(self._aside.pop(0))
        return heard("next" if kind == "fix" else self.unit.answer(wanted))


def heard(words: str) -> Heard:
    return Heard(0.0, (Hypothesis(words),), Source.TYPED)


def seconds(say: Say) -> float:
    """The longer of what is shown and what it takes with its own words around it."""
    return seconds_of(phrase(say, VOCABULARY).shown)


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.sweep] if name in SLOW else []) for name in PACK]
)
def test_nothing_that_is_said_takes_longer_than_a_breath(name: str) -> None:
    walk = Walk(PACK[name], seed=1)
    assert walk.run(), "it came to its end"
    for prompt, said in walk.turns:
        for say in said:
            assert seconds(say) <= LONGEST, (prompt, say.key, phrase(say, VOCABULARY).shown)
        together = [say for say in said if say.key.startswith("put_back_") or say.key == "put_back"]
        if prompt == "close:put back":
            assert sum(seconds(say) for say in together) <= LONGEST, [
                phrase(one, VOCABULARY).shown for one in together
            ]
    assert walk.rests or name not in ("tire-tread-depth", "pushrod-stroke", "doubles-and-triples")


@pytest.mark.parametrize("name", PACK)
def test_a_put_back_list_of_everything_is_taken_in_parts_and_misses_nothing(name: str) -> None:
    """As long as it can ever be: every opening and every fix at every place."""
    procedure = PACK[name]
    rows: list[Access | Fix] = [*procedure.access, *procedure.fixes]
    items = [
        at(text, place)
        for row in rows
        for text in row.put_back
        for place in ([one.name for one in procedure.places if one.group == row.each] if row.each else [None])
    ]
    items = list(dict.fromkeys([*items, *procedure.put_back]))
    parts = put_back_parts(tuple(items))
    assert [item for part in parts for item in part] == items
    for number, part in enumerate(parts):
        around = ONE_PART if len(parts) == 1 else NEXT_PART if number else FIRST_PART
        assert seconds_of(f"{around} {'; '.join(part)}.") <= LONGEST, part
