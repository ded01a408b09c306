"""The planner chooses as it did when its choices were last recorded.

``tests/data/diagnosis/choices.json`` holds a hash of each walk (see ``recorded``). Where choices are meant to change,
``LEADSMAN_REFRESH=1`` with this file writes them anew; say in the commit what the change is worth.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure
from tests.diagnosis.problems import random_large, random_small
from tests.diagnosis.recorded import digest, walk

RECORD = Path(__file__).parents[1] / "data" / "diagnosis" / "choices.json"
WALKS, FEW = 24, 8
"""Walks of each procedure; the first of them run each time, all of them in the long sweep."""
SHIPPED = (
    "battery-and-charging",
    "doubles-and-triples",
    "seven-way-power-and-grounds",
    "tractor-abs-light-on",
    "trailer-abs-light-never-lights",
    "trailer-abs-light-on",
    "trailer-light-dead-or-faint",
)
MADE = ("random small", "random large")
"""Procedures made from a seed, which no change of a file touches."""


def procedure_of(name: str, seed: int) -> Procedure:
    if name == "random small":
        return random_small(seed, 4 + seed % 3, 5)
    return random_large(seed) if name == "random large" else load_procedure(name).procedure


def walks_of(name: str) -> range:
    return range(2 if name == "random large" else WALKS)


@pytest.mark.parametrize("name", [*SHIPPED, *MADE])
@pytest.mark.parametrize("many", [FEW, pytest.param(WALKS, marks=pytest.mark.sweep)])
def test_choices_are_those_recorded(name: str, many: int) -> None:
    recorded: dict[str, list[str]] = json.loads(RECORD.read_text()) if RECORD.exists() else {}
    if os.environ.get("LEADSMAN_REFRESH"):
        made = [digest(procedure_of(name, seed), seed) for seed in walks_of(name)]
        RECORD.parent.mkdir(parents=True, exist_ok=True)
        RECORD.write_text(json.dumps(dict(sorted({**recorded, name: made}.items())), indent=1) + "\n")
        return
    found = [digest(procedure_of(name, seed), seed) for seed in walks_of(name)[:many]]
    assert len(recorded[name]) == len(walks_of(name))
    changed = [seed for seed, new in enumerate(found) if new != recorded[name][seed]]
    assert not changed, (
        f"{name}: {len(changed)} of {len(found)} walks chose otherwise than recorded; walk {changed[0]} now goes\n"
        + "\n".join(walk(procedure_of(name, changed[0]), changed[0]))
    )


def test_a_walk_is_more_than_its_first_choice() -> None:
    """What is recorded reaches fixes, failed fixes and giving up: else it would guard little."""
    lines = [line for seed in walks_of(SHIPPED[0]) for line in walk(procedure_of(SHIPPED[0], seed), seed)]
    kinds = [line.split(":")[0].split(" ")[0] for line in lines]
    assert kinds.count("check") > 4 * WALKS
    assert kinds.count("fix") > WALKS
