"""Fractions of faults detected and isolated, and groups that nothing tells apart."""

from __future__ import annotations

import pytest

from assistant.diagnosis.fault_model import fault_model
from assistant.procedure.model import Procedure
from assistant.simulator.testability import alike, detected, fraction_detected
from tests.diagnosis.problems import check, fault, fix, procedure

# Definition: IEEE 1522 and the appendix of MIL-STD-2165, from memory. Constructed: rates 30, 20, 15, 10, 8, 7
# detected and 10 undetected; worked out by hand.
RATES = (30, 20, 15, 10, 8, 7, 10)


def test_fraction_of_faults_detected() -> None:
    assert fraction_detected(RATES, [True] * 6 + [False]) == pytest.approx(0.90)


def test_nothing_to_detect_is_no_division_by_zero() -> None:
    assert fraction_detected([], []) == 0.0


def twins(**more: list[str]) -> Procedure:
    return procedure(
        faults=[fault("a", 1, **more), fault("b", 1), fault("c", 1), fault("hidden", 1)],
        fixes=[fix(name, 1) for name in ("a", "b", "c", "hidden")],
        checks=[check("one", 1, {"a": "bad", "b": "bad"}), check("two", 1, {"c": "bad"})],
    )


def test_suspects_that_every_check_shows_alike_form_a_group() -> None:
    groups = alike(fault_model(twins(), {}))
    assert [[one.fault for one in group.suspects] for group in groups] == [["a", "b"]]
    assert not groups[0].declared
    assert alike(fault_model(twins(same_as=["b"]), {}))[0].declared


def test_one_cure_makes_no_group() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1, fix="mend a")],
        fixes=[fix("a", 1)],
        checks=[check("one", 1, {"a": "bad", "b": "bad"})],
    )
    assert alike(fault_model(small, {})) == ()


def test_a_fault_that_no_check_shows_is_not_detected() -> None:
    assert detected(fault_model(twins(), {})) == (True, True, True, False)
