"""Bayes' rule spelled out for a few suspects: every single fault and every pair of faults is summed, in plain floats.

The formulas are those of ``assistant/diagnosis/README.md``; nothing of the code under test is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import exp, isclose, log, prod

Shares = Mapping[str, float]


@dataclass(frozen=True)
class Look:
    """What one check showed."""

    check: str
    shares: Shares
    """Outcome to its share, summing to 1."""
    times: int = 1
    """How often in a row."""


@dataclass(frozen=True)
class Unit:
    """A unit with faults without a place, each with a fix of its own."""

    weights: Mapping[str, float]
    """Fault to its prior weight."""
    checks: Mapping[str, Mapping[str, Shares]]
    """Check to fault to what it makes the check show; a fault that is not named shows 'good'."""
    outcomes: Sequence[str]
    slip: float
    """Rate of misreading."""
    not_cured: float
    second: float
    """Prior share of units with two faults."""
    surprise: float
    """Nats from which pairs are weighed."""

    def posterior(self, looks: Sequence[Look], fixes: Sequence[str] = ()) -> dict[str, float]:
        """Shares of the suspects when all of these looks count."""
        return self._given(looks, fixes)[0]

    def after_fixes(
        self, looks: Sequence[Look], gone: Sequence[tuple[Look, Sequence[int]]], fixes: Sequence[str]
    ) -> dict[str, float]:
        """Shares after fixes: ``gone`` are the looks that fixes touched, each with the numbers of those fixes."""
        shares, chance = self._given([*(look for look, _ in gone), *looks], fixes)
        parts = [(shares, chance * (1 - self.second))]
        for number, fault in enumerate(fixes):
            own = [look for look, touched in gone if number in touched]
            if not own:
                continue
            prior = self._priors(fixes[:number])
            first = prior[fault] * prod(self.chance(look, (fault,)) for look in own)
            others = [look for look, touched in gone if number not in touched]
            shares, chance = self._given([*others, *looks], fixes)
            parts.append((shares, chance * first * self.second))
        whole = sum(chance for _, chance in parts)
        return {name: sum(shares[name] * chance for shares, chance in parts) / whole for name in self.weights}

    def chance(self, look: Look, faults: Sequence[str]) -> float:
        """P(look | these faults are there, and no others)."""
        others = len(self.outcomes) - 1
        total = 0.0
        for there in self.outcomes:
            read = sum(
                share * (1 - self.slip if seen == there else self.slip / others)
                for seen, share in look.shares.items()
            )
            total += read**look.times * self._shown(look.check, faults).get(there, 0.0)
        return total

    def _shown(self, check: str, faults: Sequence[str]) -> Shares:
        """What is there to be seen: of two that differ from a sound unit, either."""
        telling = [self.checks[check][fault] for fault in faults if fault in self.checks[check]]
        telling = [shares for shares in telling if not isclose(shares.get("good", 0.0), 1.0)]
        if not telling:
            return {"good": 1.0}
        return {name: sum(one.get(name, 0.0) for one in telling) / len(telling) for name in self.outcomes}

    def _priors(self, fixes: Sequence[str]) -> dict[str, float]:
        left = {name: weight * self.not_cured ** fixes.count(name) for name, weight in self.weights.items()}
        return {name: weight / sum(left.values()) for name, weight in left.items()}

    def _given(self, looks: Sequence[Look], fixes: Sequence[str]) -> tuple[dict[str, float], float]:
        """Shares, and the chance of all of it."""
        priors = self._priors(fixes)
        if not looks:
            return priors, 1.0
        single = {name: priors[name] * prod(self.chance(look, (name,)) for look in looks) for name in priors}
        one = sum(single.values())
        best = max(sum(log(self.chance(look, (name,))) for look in looks) for name in priors)
        apart = sum(max(log(self.chance(look, (name,))) for name in priors) for look in looks)
        if exp(best - apart) > exp(-self.surprise):
            return {name: share / one for name, share in single.items()}, one
        couples = list(combinations(priors, 2))
        ways = sum(priors[a] * priors[b] for a, b in couples)
        double = dict.fromkeys(priors, 0.0)
        two = 0.0
        for a, b in couples:
            joint = priors[a] * priors[b] / ways * prod(self.chance(look, (a, b)) for look in looks) * self.second
            two += joint
            double[a] += joint / 2
            double[b] += joint / 2
        self._divide_among_equals(double, priors, looks)
        whole = one * (1 - self.second) + two
        return {name: (single[name] * (1 - self.second) + double[name]) / whole for name in priors}, whole

    def _divide_among_equals(self, double: dict[str, float], priors: dict[str, float], looks: Sequence[Look]) -> None:
        """What pairs give to suspects that no look tells apart is divided among them by their priors."""
        alike: dict[tuple[object, ...], list[str]] = {}
        for name in priors:
            alike.setdefault(
                tuple(tuple(self.checks[look.check].get(name, {}).items()) for look in looks), []
            ).append(name)
        for names in alike.values():
            share, prior = sum(double[name] for name in names), sum(priors[name] for name in names)
            double.update({name: share * priors[name] / prior for name in names})
