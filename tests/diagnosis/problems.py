"""Small procedures for the tests of the planner, made from a few numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random
from typing import Any

import numpy as np

from assistant.diagnosis.fault_model import FaultModel, fault_model
from assistant.diagnosis.problem import Belief, Problem
from assistant.diagnosis.problem_layout import lay_out
from assistant.diagnosis.progress import Progress
from assistant.messages.decisions import Observed
from assistant.procedure.model import Procedure

NO_SLIP = 1e-12
"""As good as none: the file format asks for more than 0."""


def procedure(**tables: Any) -> Procedure:
    """A procedure with what every one needs, and these tables."""
    base: dict[str, Any] = {
        "format": 1,
        "name": "small",
        "title": "small",
        "summary": "A small problem.",
        "complaint": "It does not work.",
        "slip": NO_SLIP,
        "proof": {"steps": [{"name": "try", "say": "Try it.", "minutes": 0}], "source": "a test"},
    }
    return Procedure.model_validate({**base, **tables})


def fault(name: str, weight: float, **more: Any) -> dict[str, Any]:
    return {"name": name, "title": f"bad {name}", "weight": weight, "fix": f"mend {name}", **more}


def fix(name: str, minutes: float, **more: Any) -> dict[str, Any]:
    return {"name": f"mend {name}", "title": f"{name} mended", "say": "Mend it.", "minutes": minutes, **more}


def check(name: str, minutes: float, finds: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    """A choice check with the answers good and bad, unless told otherwise."""
    base = {"kind": "choice", "choices": [{"name": "good"}, {"name": "bad"}]}
    return {"name": name, "title": f"{name} test", "ask": "What?", "minutes": minutes, "finds": finds, **base, **more}


def observed(number: int, name: str, outcome: str | Mapping[str, float], place: str | None = None) -> Observed:
    weights = {outcome: 1.0} if isinstance(outcome, str) else dict(outcome)
    return Observed(number, name, place, name, weights, "heard")


def laid_out(small: Procedure) -> tuple[Problem, Belief]:
    seen = fault_model(small, {})
    return lay_out(seen, seen.priors, Progress())


def trials_only(chances: Sequence[float], minutes: Sequence[float]) -> Procedure:
    """Fixes that may be tried at once, and a check that tells nothing."""
    names = "ABCDEFGH"[: len(chances)]
    return procedure(
        faults=[fault(name, chance) for name, chance in zip(names, chances, strict=True)],
        fixes=[fix(name, cost, trial=True) for name, cost in zip(names, minutes, strict=True)],
        checks=[check("idle", 1, {})],
    )


def random_small(seed: int, faults: int = 4, checks: int = 4) -> Procedure:
    """A problem that the exact recursion can work out: sharp checks, shared openings, parts and trials."""
    rng = Random(seed)
    names = [f"f{number}" for number in range(faults)]
    return procedure(
        slip=NO_SLIP,
        access=[{"name": "cover", "say": "Open it.", "minutes": rng.choice([5, 15, 30])}],
        faults=[fault(name, rng.uniform(0.5, 4)) for name in names],
        fixes=[
            fix(
                name,
                rng.choice([2, 10, 25]),
                trial=rng.random() < 0.3,
                part="part" if rng.random() < 0.5 else None,
                needs=["cover"] if rng.random() < 0.4 else [],
            )
            for name in names
        ],
        checks=[
            check(
                f"c{number}",
                rng.choice([1, 3, 6]),
                dict.fromkeys(rng.sample(names, rng.randint(1, faults - 1)), "bad"),
                condemns=["bad"],
                needs=["cover"] if rng.random() < 0.3 else [],
            )
            for number in range(checks)
        ],
        proof={"steps": [{"name": "try", "say": "Try it.", "minutes": rng.choice([2, 10])}], "source": "a test"},
    )


def random_large(seed: int = 1, wheels: int = 6, faults: int = 50, checks: int = 25) -> Procedure:
    """Faults and checks at each of several wheels with four openings each: 300 suspects and 150 checks by default."""
    rng = Random(seed)
    names = [f"f{number}" for number in range(faults)]
    readings: list[dict[str, Any]] = [
        check(
            f"c{number}",
            rng.uniform(1, 6),
            {name: rng.choice(["low", "high", "over_range"]) for name in rng.sample(names, faults // 4)},
            kind="reading",
            choices=[],
            unit="ohm",
            each="wheel",
            condemns=["low"],
            needs=[f"a{number % 4}"] if number % 3 == 0 else [],
        )
        for number in range(checks)
    ]
    return procedure(
        slip=0.02,
        places=[{"name": f"wheel {number}", "group": "wheel"} for number in range(wheels)],
        access=[{"name": f"a{n}", "say": "Open.", "minutes": 5 * n + 2, "each": "wheel"} for n in range(4)],
        faults=[fault(name, rng.uniform(0.5, 3), each="wheel") for name in names],
        fixes=[
            fix(name, 10, each="wheel", part="part" if number % 2 else None, needs=[f"a{number % 4}"])
            for number, name in enumerate(names)
        ],
        checks=readings,
        proof={"steps": [{"name": "roll", "say": "Roll.", "minutes": 10}], "source": "a benchmark"},
    )


def shares_of(seen: FaultModel, weights: Mapping[Any, float]) -> np.ndarray[Any, Any]:
    return np.array([weights[suspect] for suspect in seen.suspects])


def after_check(problem: Problem, belief: Belief, row: int) -> Belief:
    """The branch in which a candidate shows the outcome of this row."""
    return next(problem.branches(belief, int(problem.row_task[row]), [row]))
