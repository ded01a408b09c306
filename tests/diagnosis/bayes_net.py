"""The same unit as a Bayesian network of an outside library (pyAgrum), from the same numbers and nothing of ours.

The root is what is wrong in the beginning. Each fix has a variable for every fault that it cures (it takes, or it
does not); after each fix stands what is left, and that the proof failed. What a check could see is a variable of its
own: it stays as it was unless the fix worked on a fault that is there and that the check names. Each look is a child
of it; a look in two minds is soft evidence.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from importlib import import_module
from itertools import combinations
from math import prod
from typing import Any

WHY_NOT = ""
"""Why the library is not here, '' where it is."""
gum: Any
with warnings.catch_warnings():
    warnings.simplefilter("ignore", DeprecationWarning)  # its wrapper's own; as an error it crashes the interpreter
    try:
        gum = import_module("pyagrum")
    except ImportError as error:  # it is installed, and wants a library of the system
        gum, WHY_NOT = None, f"pyAgrum cannot be loaded ({error}): apt-get install libgomp1"

Shares = Mapping[str, float]


@dataclass(frozen=True)
class Told:
    """A small unit in plain numbers."""

    priors: Mapping[str, float]
    """Fault to its weight."""
    fix_of: Mapping[str, str]
    """Fault to its fix."""
    checks: Mapping[str, Mapping[str, Shares]]
    """Check to what each fault that it names shows."""
    outcomes: tuple[str, ...]
    """Outcomes of every check; the first is what the others show."""
    misread: float
    repeatable: frozenset[str] = frozenset()
    also: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Fix to the faults that it takes away beside its own."""

    misses: Mapping[str, float] = field(default_factory=dict)
    """Fault to the chance that a proof passes while it is there."""

    def cured_by(self, fix: str) -> list[str]:
        """Every fault that a fix takes away."""
        return [name for name, own in self.fix_of.items() if own == fix or name in self.also.get(fix, ())]


@dataclass
class Net:
    """A network with its evidence."""

    told: Told
    pair: float
    """Share of units with two faults."""
    stays: float
    """Chance that a fix does not take."""
    bn: Any = field(default_factory=lambda: gum.BayesNet())  # noqa: PLW0108 - the library may be missing
    seen: dict[str, object] = field(default_factory=dict)
    fixes: int = 0

    def __post_init__(self) -> None:
        names = tuple(self.told.priors)
        total = sum(self.told.priors.values())
        share = {name: weight / total for name, weight in self.told.priors.items()}
        self.sets: list[frozenset[str]] = [frozenset()]
        chance = [0.0]
        for name in names:
            self.sets.append(frozenset((name,)))
            chance.append((1 - self.pair) * share[name])
        unlike = sum(share[one] * share[other] for one, other in combinations(names, 2))
        for one, other in combinations(names, 2):
            self.sets.append(frozenset((one, other)))
            chance.append(self.pair * share[one] * share[other] / unlike if self.pair else 0.0)
        self._add("left 0", [str(number) for number in range(len(self.sets))])
        self.bn.cpt("left 0").fillWith(chance)
        for check in self.told.checks:
            if check not in self.told.repeatable:
                self._there(f"{check} 0", check, "left 0")

    def _add(self, name: str, labels: Sequence[str]) -> None:
        self.bn.add(gum.LabelizedVariable(name, name, list(labels)))

    def _there(self, name: str, check: str, left: str) -> None:
        self._add(name, self.told.outcomes)
        self.bn.addArc(left, name)
        self._fill(name, (self.shown(check, present) for present in self.sets))

    def _fill(self, name: str, rows: Iterable[Sequence[float]]) -> None:
        """A table at once, row by row: the parent whose arc came first changes fastest. One by one takes minutes."""
        self.bn.cpt(name).fillWith([share for row in rows for share in row])

    def shown(self, check: str, present: frozenset[str]) -> list[float]:
        """What a check would show if nobody misread it."""
        plain = [1.0, *[0.0] * (len(self.told.outcomes) - 1)]
        telling = [
            [shares.get(outcome, 0.0) for outcome in self.told.outcomes]
            for name, shares in self.told.checks[check].items()
            if name in present
        ]
        telling = [shares for shares in telling if shares != plain]
        if not telling:
            return plain
        return [sum(each) / len(telling) for each in zip(*telling, strict=True)]

    def look(self, check: str, shown: Shares) -> None:
        """One look at a check."""
        number = len(self.seen)
        there = f"{check} {self.fixes}"
        if check in self.told.repeatable:
            there = f"{check} anew {number}"
            self._there(there, check, f"left {self.fixes}")
        name = f"look {number}"
        self._add(name, self.told.outcomes)
        self.bn.addArc(there, name)
        count = len(self.told.outcomes)
        misread = self.told.misread / (count - 1)
        self._fill(
            name,
            ([1 - self.told.misread if row == at else misread for at in range(count)] for row in range(count)),
        )
        self.seen[name] = [shown.get(outcome, 0.0) for outcome in self.told.outcomes]

    def proof(self, *, failed: bool) -> None:
        """One proof: it passes where nothing is left, and where it misses all that is."""
        name = f"proof told {len(self.seen)}"
        self._add(name, ["passed", "failed"])
        self.bn.addArc(f"left {self.fixes}", name)
        passes = [prod(self.told.misses.get(fault, 0.0) for fault in present) for present in self.sets]
        self._fill(name, ([share, 1 - share] for share in passes))
        self.seen[name] = "failed" if failed else "passed"

    def fix(self, fix: str, *, in_vain: bool = True) -> None:
        """One fix, after which something is left, unless it is open whether it was in vain."""
        before, now = f"left {self.fixes}", f"left {self.fixes + 1}"
        cured = self.told.cured_by(fix)
        takes = []
        for name in cured:
            variable = f"{fix} {self.fixes + 1} takes on {name}"
            self._add(variable, ["no", "yes"])
            self.bn.cpt(variable).fillWith([self.stays, 1 - self.stays])
            takes.append(variable)
        self._add(now, [str(number) for number in range(len(self.sets))])
        for parent in (before, *takes):
            self.bn.addArc(parent, now)
        left_over: list[list[float]] = []
        for bits in range(2 ** len(takes)):
            gone = {name for place, name in enumerate(cured) if bits >> place & 1}
            left_over += [[float(present - gone == one) for one in self.sets] for present in self.sets]
        self._fill(now, left_over)
        for check, names in self.told.checks.items():
            if check in self.told.repeatable:
                continue
            there, was = f"{check} {self.fixes + 1}", f"{check} {self.fixes}"
            self._add(there, self.told.outcomes)
            for parent in (before, now, was):
                self.bn.addArc(parent, there)
            plain = self.shown(check, frozenset())
            telling = {name for name in names if self.shown(check, frozenset((name,))) != plain}
            count = len(self.told.outcomes)
            same = [[float(row == column) for column in range(count)] for row in range(count)]
            shown = [self.shown(check, left) for left in self.sets]
            anew = [bool(telling & present & set(cured)) for present in self.sets]
            self._fill(there, (seen if new else as_was for as_was in same for seen in shown for new in anew))
        proof = f"proof {self.fixes + 1}"
        self._add(proof, ["passed", "failed"])
        self.bn.addArc(now, proof)
        self._fill(proof, ([0.0, 1.0] if present else [1.0, 0.0] for present in self.sets))
        self.seen |= {proof: "failed"} if in_vain else {}
        self.fixes += 1

    def missed(self) -> float:
        """Probability that anything is there now."""
        inference = gum.LazyPropagation(self.bn)
        inference.setEvidence(self.seen)
        inference.makeInference()
        return 1.0 - float(inference.posterior(f"left {self.fixes}").toarray()[0])

    def present(self) -> dict[str, float]:
        """Probability that each fault is there now."""
        inference = gum.LazyPropagation(self.bn)
        inference.setEvidence(self.seen)
        inference.makeInference()
        left = inference.posterior(f"left {self.fixes}").toarray()
        return {
            name: float(sum(left[number] for number, present in enumerate(self.sets) if name in present))
            for name in self.told.priors
        }
