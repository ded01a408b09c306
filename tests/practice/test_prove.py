"""Proving a procedure: what it finds, what it cannot, and that the same seed gives the same report."""

from __future__ import annotations

from assistant.practice.prove import prove
from assistant.procedure.model import Procedure
from tests.engine.problems import check, fault, fix, procedure


def trailer() -> Procedure:
    """Two wheels with sensors and wires, a module that needs its swap test, a gap that may be tried."""
    return procedure(
        slip=0.02,
        places=[{"name": "left", "group": "wheel"}, {"name": "right", "group": "wheel"}],
        access=[{"name": "drum", "say": "Pull it.", "minutes": 40, "each": "wheel"}],
        faults=[
            fault("sensor", 5, each="wheel"),
            fault("wire", 4, each="wheel"),
            fault("gap", 3, each="wheel"),
            fault("module", 1),
        ],
        fixes=[
            fix("sensor", 15, each="wheel", part="sensor", needs=["drum"]),
            fix("wire", 10, each="wheel"),
            fix("gap", 2, each="wheel", trial=True),
            fix("module", 15, part="module", after=["swap"]),
        ],
        checks=[
            check("ohms", 2, {"sensor": "bad", "wire": "bad"}, each="wheel"),
            check("sensor ohms", 4, {"sensor": "bad"}, each="wheel", condemns=["bad"]),
            check("swap", 3, {"module": "bad"}, condemns=["bad"]),
            check("output", 5, {"gap": "bad", "sensor": "bad", "wire": "bad"}, each="wheel"),
        ],
        proof={"steps": [{"name": "roll", "say": "Roll.", "minutes": 10}], "source": "a test"},
    )


def test_every_fault_is_found_without_slips_and_nothing_is_condemned_wrongly() -> None:
    report = prove(trailer(), runs=2, seed=3)
    assert report.found == 1.0
    assert report.condemned_wrongly == 0
    assert report.isolated[1] > 0.8
    assert report.isolated[2] == 1.0
    assert report.undeclared == ()
    assert report.detected == 1.0
    assert [one.fault for one in report.faults] == ["sensor", "wire", "gap", "module"]
    assert all(trial.minutes < 120 for trial in report.trials)


def test_two_faults_are_cured_one_after_the_other() -> None:
    report = prove(trailer(), pairs=20, seed=5)
    assert report.found_pairs is not None
    assert report.found_pairs >= 0.9


def test_slips_are_caught_by_the_proof() -> None:
    report = prove(trailer(), runs=8, slip=0.02, seed=7)
    assert report.found >= 0.95


def test_the_same_seed_gives_the_same_report() -> None:
    first, again = (prove(trailer(), pairs=3, slip=0.1, skips=0.1, seed=11) for _ in range(2))
    assert [trial.path for trial in first.trials] == [trial.path for trial in again.trials]
    assert first.trials[0].path != []


def test_what_cannot_be_found_is_reported_with_its_reason() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1)],
        fixes=[fix("a", 5, part="a"), fix("b", 5, part="b")],
        checks=[check("idle", 1, {})],
    )
    report = prove(small)
    assert report.found == 0.0
    assert report.faults[0].lost == (
        "It may be bad a or bad b, and no check is left that tells, or condemns the part.",
    )
    assert len(report.undeclared) == 1


def test_progress_is_told() -> None:
    told: list[tuple[int, int]] = []
    prove(trailer(), progress=lambda done, whole: told.append((done, whole)))
    assert told == [(number, 7) for number in range(1, 8)]
