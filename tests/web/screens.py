"""Every prompt of every procedure as a screen gets it: taken from whole sessions on simulated units."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from random import Random
from typing import Any

from playwright.sync_api import Page, WebSocketRoute

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
PROCEDURES = sorted(path.stem for path in list_procedures())


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
        self._routes: list[WebSocketRoute] = []
        page.route_web_socket("**/api/session/*", self._take)
        page.goto(f"{base}/session/20260302-080000-aaa")
        page.wait_for_function("() => document.getElementById('line').dataset.state === 'here'")

    def _take(self, route: WebSocketRoute) -> None:
        self._routes.append(route)

        def answer(message: str | bytes) -> None:
            if isinstance(message, str) and json.loads(message)["kind"] == "hello":
                welcome = {"kind": "welcome", "epoch": "a", "last": self._number, "hears": True, "deaf_because": "",
                           "keeps_sound": False}  # fmt: skip
                route.send(json.dumps(welcome))

        route.on_message(answer)

    def show(self, one: Standing) -> None:
        """Have one prompt shown, and wait until it is."""
        self._number += 1
        self._routes[-1].send(json.dumps({"kind": "standing", "seq": self._number, "turn": self._number, **one}))
        self._page.wait_for_function(
            "turn => Number(document.getElementById('ask').dataset.turn) === turn", arg=self._number
        )


def every_prompt(sessions: int) -> Iterator[tuple[str, Standing]]:
    """Procedure and prompt."""
    for name in PROCEDURES:
        for one in prompts_of(name, sessions):
            yield name, one
