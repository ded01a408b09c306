"""The procedure for a trailer's ABS light that never lights: sound, and every fault led to its cure."""

from __future__ import annotations

import tomllib

import pytest

from assistant import library
from assistant.diagnosis.fault_model import Suspect
from assistant.inspection import find_faults
from assistant.procedure.load import load_procedure
from tests.dialogs.simulated import run

LOADED = load_procedure("trailer-abs-light-never-lights")
PROCEDURE = LOADED.procedure


def test_it_has_no_findings() -> None:
    units = set(tomllib.loads(library.find("grammars", "units.toml").read_text(encoding="utf-8")))
    assert find_faults(PROCEDURE, LOADED.text, units) == []


@pytest.mark.parametrize("fault", [fault.name for fault in PROCEDURE.faults])
def test_each_fault_is_found_and_nothing_else_is_replaced(fault: str) -> None:
    wakes = fault in ("no blue power", "no supply")
    facts = {
        "powered by": "tractor",
        "other lights": "all work",
        "when braking": "wakes up" if wakes else "stays dark",
        "load": "ten amps",
    }
    done = run(PROCEDURE, facts, Suspect(fault))
    assert done.found, done
    assert done.wrong_parts == []


def test_a_dark_light_passes_no_proof() -> None:
    passes = {step.name: step.passes for step in PROCEDURE.proof.steps if step.kind == "choice"}
    assert passes == {"blue alone": ("lights",), "stop lamps alone": ("lights",), "light out": ("out",)}
