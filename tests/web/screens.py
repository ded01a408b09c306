"""Every prompt of every procedure as a screen gets it: taken from whole sessions on simulated units."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from playwright.sync_api import Page

from assistant import catalog
from assistant.clock import ScriptedClock
from assistant.diagnosis.fault_model import fault_model
from assistant.display.view import standing
from assistant.loop import Loop
from assistant.messages import Expectation
from assistant.procedure.load import list_procedures, load_procedure
from assistant.session.fold import begin
from assistant.simulator.technician import Technician, UnitRecord
from assistant.simulator.trial import context_of
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts, draw_survey
from tests.records.units import STARTED

Standing = dict[str, Any]
LINE = (Path(__file__).parent / "line.js").read_text(encoding="utf-8")


@cache
def prompts_of(name: str, sessions: int) -> tuple[Standing, ...]:
    """The prompts of so many sessions with one procedure, each once: the one with the most to show."""
    procedure = load_procedure(next(path for path in list_procedures() if path.stem == name)).procedure
    context = context_of(procedure, catalog.load_vocabulary(), 0.005)
    found: dict[tuple[str, str], Standing] = {}
    suspects = fault_model(procedure, {}).suspects
    for number in range(sessions):
        rng = Random(number)
        if suspects:
            suspect = suspects[number * max(1, len(suspects) // sessions) % len(suspects)]
            unit = SimulatedUnit(procedure, draw_facts(procedure, suspect, rng), (suspect,), seed=number)
        else:
            facts, task, shows = draw_survey(procedure, rng)
            unit = SimulatedUnit(procedure, facts, (), seed=number, odd={task: shows})
        clock, record = ScriptedClock(STARTED), UnitRecord(unit)
        loop = Loop(context, begin(context), record, Technician(unit, clock, seed=number), None, clock)

        def keep(expectation: Expectation, loop: Loop[Any, Any] = loop) -> None:
            made = standing(context, loop.state, expectation)
            key = (made["prompt"], made["mode"])
            if len(str(made)) > len(str(found.get(key, ""))):
                found[key] = made

        loop.on_listen = keep
        loop.run()
    return tuple(found.values())


class Shown:
    """A session screen without a session: what it shows is put in front of it, message by message."""

    def __init__(self, page: Page, base: str) -> None:
        self._page, self._number = page, 0
        page.add_init_script(LINE)
        page.goto(f"{base}/session/20260302-080000-aaa")
        page.wait_for_function("() => document.getElementById('line').dataset.state === 'here'")

    def show(self, one: Standing) -> None:
        """Have one prompt shown, and wait until it is."""
        self._page.evaluate("(one) => window.shown(one)", self._numbered(one))

    def measured(self, prompts: tuple[Standing, ...], measure: str) -> list[str]:
        """Have each shown in turn; what the measure, a function of the page, finds wrong with each, by its name."""
        return list(
            self._page.evaluate(
                f"""async (prompts) => {{
              const wrong = [], measure = {measure};
              for (const one of prompts) {{
                await window.shown(one);
                wrong.push(...measure().map((found) => `${{one.prompt}}: ${{found}}`));
              }}
              return wrong;
            }}""",
                [self._numbered(one) for one in prompts],
            )
        )

    def _numbered(self, one: Standing) -> Standing:
        self._number += 1
        return {**one, "turn": self._number}
