"""Every tuned constant of the planner on whole sessions: the same units led with another value, and what that costs.

    python -m tests.tools.constants_on_sessions --units 60 --procedures battery-and-charging BEAM NAT_MINUTES

Each value is tried alone, the others as they are. Units, slips and the hand's luck are the same for every value, so
what is printed is the mean of differences between sessions on the same unit, with its standard error.

The rule: a constant keeps its value unless another one is faster by two standard errors on some procedure, no slower
by a quarter of a minute on any, finds no fewer units and replaces no more good parts. A value that is the same in
speech and record only (what is named, what is told) is not tried.
"""

from __future__ import annotations

import argparse
import ast
import inspect
import statistics
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from assistant.diagnosis import constants
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure
from assistant.session.agenda import choice_memory
from assistant.simulator.prove import prove
from assistant.simulator.trial import Trial

VALUES: Mapping[str, tuple[Any, ...]] = {
    "NOT_CURED": (0.01, 0.15),
    "SECOND_FAULT": (0.01, 0.15),
    "CONDEMNS": (0.75, 0.97),
    "POINTS": (0.3, 0.8),
    "CONDEMN_FLOOR": (0.1, 0.6),
    "TRY_FLOOR": (0.005, 0.08),
    "DOUBTFUL": (0.005, 0.08),
    "UNLIKELY": (0.03, 0.3),
    "WORTH_ASKING": (0.05, 1.0),
    "OFFERS": (1, 3),
    "WORTH_OFFERING": (1.0, 9.0),
    "TRIES": (1, 3),
    "LOOKS": (2, 4),
    "ASKED": (1, 3),
    "LAST_RESORT": (0.2, 0.6),
    "ANOTHER": (0.1, 0.6),
    "ANOTHER_MINUTES": (0.25, 1.0),
    "THOROUGH": (1e-3, 1e-5),
    "AGAIN": (0.001, 0.05),
    "GIVE_UP": (60.0, 240.0),
    "NOTHING_THERE": (0.03, 0.3),
    "COMES_BACK": (120.0, 1000.0),
    "DEARER": (1.0, 3.0),
    "NAT_MINUTES": ((4.0, 15.0), (4.0, 60.0), (1.0, 30.0), (8.0, 30.0)),
    "GAIN_FLOOR": (0.005, 0.08),
    "TELLING": (0.0005, 0.008),
    "GROUND_NATS": (0.0, 0.75),
    "WIDTH": (8, 72),
    "NARROW": (3, 24),
    "WORK": (100_000, 10_000_000),
    "BEAM": (1, 3, 12),
    "TINY": (0, 1500),
    "SMALL": (400, 40_000),
    "DEEP_BEAM": (1, 6),
    "HOPELESS": ((1.1, 1.03), (3.0, 1.5)),
    "LIKELY": (0.001, 0.05),
    "TAIL": (1e-5, 1e-3),
    "NEGLIGIBLE": (1e-9, 1e-5),
}
"""Each constant and values well to either side of its own."""
SLOWER = 0.25
"""Minutes that a better value may cost on another procedure."""


@dataclass(frozen=True)
class Difference:
    """What another value of a constant changes on one procedure."""

    minutes: float
    """Mean of minutes with the other value less those with its own, over units found with both."""
    error: float
    """Its standard error."""
    found: int
    """Units more that were found and verified."""
    parts: int
    """Good parts more that were replaced."""

    @property
    def better(self) -> bool:
        """Faster by two standard errors, and no worse in what it finds and replaces."""
        return self.minutes < -2 * self.error and self.harmless

    @property
    def harmless(self) -> bool:
        """No slower by a quarter of a minute, and no worse in what it finds and replaces."""
        return self.minutes <= SLOWER and self.found >= 0 and self.parts <= 0


@contextmanager
def changed(name: str, value: Any) -> Iterator[None]:
    """The constant has this value in every module that uses it; what was worked out with the old one is forgotten.

    Raises:
        AttributeError: there is no such constant.
    """
    own = getattr(constants, name)
    users = [constants, *(module for key, module in sorted(sys.modules.items()) if _takes(key, module, name))]
    try:
        for module in users:
            setattr(module, name, value)
        vars(choice_memory)["_choices"].clear()
        yield
    finally:
        for module in users:
            setattr(module, name, own)
        vars(choice_memory)["_choices"].clear()


def _takes(key: str, module: ModuleType, name: str) -> bool:
    """True for a module that takes this constant from their file: another one's may have the same name."""
    if not key.startswith("assistant.") or not hasattr(module, name):
        return False
    taken = (
        {alias.name for alias in one.names}
        for one in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(one, ast.ImportFrom) and one.module == constants.__name__
    )
    return any(name in names for names in taken)


def difference(own: Sequence[Trial], other: Sequence[Trial]) -> Difference:
    """What changed from the one to the other, trial by trial on the same units."""
    both = [then.minutes - now.minutes for now, then in zip(own, other, strict=True) if now.found and then.found] or [
        0.0
    ]
    error = statistics.stdev(both) / len(both) ** 0.5 if len(both) > 1 else 0.0
    return Difference(
        statistics.fmean(both),
        error,
        sum(one.found for one in other) - sum(one.found for one in own),
        sum(len(one.good_parts) for one in other) - sum(len(one.good_parts) for one in own),
    )


def measured(
    procedures: Sequence[Procedure], names: Sequence[str], units: int, slip: float, seed: int
) -> Iterator[tuple[str, Any, list[Difference]]]:
    """Each constant with each other value, and what that changes on each procedure."""

    def led(procedure: Procedure) -> tuple[Trial, ...]:
        return prove(procedure, units=units, slip=slip, seed=seed).trials

    own = [led(procedure) for procedure in procedures]
    for name in names:
        for value in VALUES[name]:
            with changed(name, value):
                other = [led(procedure) for procedure in procedures]
            yield name, value, [difference(*pair) for pair in zip(own, other, strict=True)]


def verdict(differences: Sequence[Difference]) -> str:
    """What the rule says of a value."""
    better = any(one.better for one in differences) and all(one.harmless for one in differences)
    return "better by the rule" if better else "kept"


def main(arguments: Sequence[str]) -> int:
    """Print a table of all constants, or of those that are named."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("names", nargs="*", help="constants; all of them where none is named")
    parser.add_argument("--procedures", nargs="+", default=["trailer-abs-light-never-lights"])
    parser.add_argument("--units", type=int, default=20)
    parser.add_argument("--slip", type=float, default=0.02)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    unknown = [name for name in asked.names if name not in VALUES]
    if unknown:
        parser.error(f"no values to try for {', '.join(unknown)}; known: {', '.join(VALUES)}")
    procedures = [load_procedure(name).procedure for name in asked.procedures]
    print("constant | own | tried | minutes more, with standard error; found; good parts, for each procedure | rule")
    for name, value, differences in measured(
        procedures, asked.names or tuple(VALUES), asked.units, asked.slip, asked.seed
    ):
        told = "; ".join(
            f"{one.minutes:+.2f} ± {one.error:.2f}, {one.found:+d}, {one.parts:+d}" for one in differences
        )
        print(f"{name} | {getattr(constants, name)} | {value} | {told} | {verdict(differences)}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
