"""What no order of these checks and fixes can beat: honest lower bounds on the expected minutes to a proven cure.

Relaxed in every way that a planner cannot use: it knows how the benchmark draws its units, no hand slips, no reading
is too close to call, and any part may be replaced without a check that condemns it. Kept is only what the file says
must come before a check or a fix. What is left is the choice of the next check or fix, each check once, worked out by
branch and bound (Land and Doig 1960; from memory). Where that takes too long, a lower bound of it is given instead.
"""

from __future__ import annotations

from math import prod

import numpy as np

from assistant.diagnosis.conditions import may_hold, surely_holds
from assistant.diagnosis.fault_model import FaultModel, Precedence, Suspect
from assistant.diagnosis.likelihood import Flags, Floats
from assistant.procedure.model import Fault, Procedure

POSSIBLE = 1e-12
"""Branches below this share are left out."""


class TooLongError(Exception):
    """More situations than were allowed."""


def chances_of_facts(procedure: Procedure, suspect: Suspect) -> dict[tuple[tuple[str, str], ...], float]:
    """Every set of facts that ``draw_facts`` can draw for a suspect, with its chance."""
    fault = next(fault for fault in procedure.faults if fault.name == suspect.fault)
    place = next((place for place in procedure.places if place.name == suspect.place), None)
    drawn: list[tuple[dict[str, str], float]] = [({}, 1.0)]
    for question in procedure.facts:
        if not question.choices:
            continue
        longer: list[tuple[dict[str, str], float]] = []
        for facts, chance in drawn:
            if not may_hold(question.when, facts):
                longer.append((facts, chance))
                continue
            tried = [{**facts, question.name: option.name} for option in question.choices]
            times = [_times(fault, question.name, one) for one in tried]
            longer += [(one, chance * weight / sum(times)) for one, weight in zip(tried, times, strict=True)]
        drawn = longer
    real = {
        tuple(sorted(facts.items())): chance
        for facts, chance in drawn
        if may_hold(fault.when, facts) and (place is None or may_hold(place.when, facts))
    }
    whole = sum(real.values())
    return {facts: chance / whole for facts, chance in real.items()}


def _times(fault: Fault, name: str, facts: dict[str, str]) -> float:
    return prod(factor.times for factor in fault.factors if name in factor.when and surely_holds(factor.when, facts))


def _closure(seen: FaultModel, before: Precedence) -> Flags:
    """Checks that must come first, with those before them; of alternatives none counts, which is the less."""
    found = np.zeros(len(seen.tasks), dtype=np.bool_)
    waiting = [group[0] for group in before if len(group) == 1]
    while waiting:
        task = waiting.pop()
        if not found[task]:
            found[task] = True
            waiting += [group[0] for group in seen.task_precedence[task] if len(group) == 1]
    return found


class Relaxed:
    """The relaxed problem of one unit of which only the facts are known.

    Args:
        seen: what applies on it.
        weights: chance of each of its suspects; those that show the same at every check and have one cure count as
            one.
    """

    def __init__(self, seen: FaultModel, weights: Floats) -> None:
        self.known: dict[bytes, float] = {}
        self.at_least: dict[bytes, float] = {}
        self.nodes, self.most = 0, 0
        kinds: dict[bytes, list[int]] = {}
        for number in np.flatnonzero(weights > 0).tolist():
            shown = np.concatenate([table.declared[:, number] for table in seen.tables] or [np.zeros(0)])
            kinds.setdefault(np.round(shown, 9).tobytes() + bytes([seen.cure_of[number] % 256]), []).append(number)
        first = np.array([members[0] for members in kinds.values()])
        self.start = np.array([weights[members].sum() for members in kinds.values()])
        self.cure = seen.cure_of[first]
        self.shown = [table.declared[:, first] for table in seen.tables]
        self.shown = [shown[shown.max(axis=1) > 0] for shown in self.shown]
        self.apart = np.array(
            [np.abs(shown[:, :, None] - shown[:, None, :]).max(axis=0) > 1e-9 for shown in self.shown]
        ).reshape(-1, len(first), len(first))
        self.task_minutes, self.task_needs = seen.task_minutes, seen.task_openings.astype(np.float64)
        self.cure_needs = seen.cure_openings[self.cure].astype(np.float64)
        self.cure_minutes = seen.cure_minutes[self.cure] + seen.proof_minutes
        self.opening = seen.opening_minutes
        self.first = np.array([_closure(seen, seen.task_precedence[task]) for task in range(len(seen.tasks))])
        self.first = self.first.reshape(len(seen.tasks), -1)
        self.due = np.array([_closure(seen, seen.cure_precedence[cure]) for cure in self.cure])
        """Checks that must come before each suspect's fix, shape (suspects, checks)."""
        self.same_cure = self.cure[:, None] == self.cure[None, :]

    def minutes(self, most: int) -> tuple[float, bool]:
        """Least expected minutes, and True; or, after ``most`` situations, a lower bound of them, and False."""
        left, opened = np.ones(len(self.shown), dtype=np.bool_), np.zeros(len(self.opening))
        self.nodes, self.most = 0, most
        try:
            return self._least(self.start, left, opened, np.inf)[0], True
        except TooLongError:
            return self._bound(self.start, left, opened), False

    def floor(self) -> float:
        """Minutes of whoever knows the fault: its fix with its openings, and the proof."""
        return float(self.start @ (self.cure_minutes + self.cure_needs @ self.opening))

    def _floor(self, weights: Floats, left: Flags, opened: Floats) -> float:
        return float(weights @ self._own(left, opened))

    def _own(self, left: Flags, opened: Floats) -> Floats:
        """Minutes of each suspect's fix with its openings, the proof, and the checks that must still come before."""
        due = self.due & left
        needs = np.maximum(self.cure_needs, due @ self.task_needs > 0)
        return np.asarray(self.cure_minutes + due @ self.task_minutes + needs @ (self.opening * (1 - opened)))

    def _bound(self, weights: Floats, left: Flags, opened: Floats) -> float:
        """The floor, and what it takes at least to tell the two suspects of each of some pairs apart.

        Whoever is told which pair it is does no worse; and of two suspects, either some check that shows them apart
        is done, or the wrong one of them is fixed first.
        """
        live = np.flatnonzero(weights > 0)
        mass = weights[live]
        tasks = np.flatnonzero(left)
        missing = self.opening * (1 - opened)
        total = float(mass @ self._own(left, opened)[live])
        fix = (self.cure_minutes + self.cure_needs @ missing)[live]
        wrong = np.minimum(fix[:, None] * mass[None, :], fix[None, :] * mass[:, None])
        if len(tasks):
            due = (self.due & left)[live]
            paid = np.maximum(self.cure_needs[live], due @ self.task_needs > 0)
            extra = (self.task_needs[tasks] * missing) @ (1 - paid).T
            cost = (self.task_minutes[tasks][:, None] * ~due[:, tasks].T + extra) * mass
            both = np.where(self.apart[np.ix_(tasks, live, live)], cost[:, :, None] + cost[:, None, :], np.inf)
            wrong = np.minimum(wrong, both.min(axis=0))
        wrong[self.same_cure[np.ix_(live, live)]] = 0.0
        first, second = np.triu_indices(len(live), 1)
        values = wrong[first, second]
        taken: set[int] = set()
        for number in np.argsort(-values, kind="stable").tolist():
            if values[number] <= 0:
                break
            one, other = int(first[number]), int(second[number])
            if one not in taken and other not in taken:
                taken |= {one, other}
                total += float(values[number])
        return total

    def _least(self, weights: Floats, left: Flags, opened: Floats, most: float) -> tuple[float, bool]:
        """Least minutes joint with the weight, and True; or a lower bound no less than ``most``, and False."""
        mass = float(weights.sum())
        live = np.flatnonzero(weights > 0)
        cures = np.unique(self.cure[live])
        if mass < POSSIBLE or len(cures) == 1:
            return self._floor(weights, left, opened), True
        tasks = [task for task in np.flatnonzero(left).tolist() if self.apart[task][live[0], live].any()]
        useful: Flags = np.any(self.due[live], axis=0)
        useful[tasks] = True
        useful |= self.first[tasks].any(axis=0)
        useful &= left
        needed = self.task_needs[useful].any(axis=0) | self.cure_needs[live].any(axis=0)
        key = np.round(weights / mass, 9).tobytes() + useful.tobytes() + (opened * needed).tobytes()
        if key in self.known:
            return self.known[key] * mass, True
        bound = self.at_least.get(key, 0.0) * mass
        if bound < most:
            bound = max(bound, self._bound(weights, useful, opened))
        if bound >= most:
            return bound, False
        self.nodes += 1
        if self.nodes > self.most:
            raise TooLongError
        best, found = most, False
        for _, cost, branches, later in sorted(
            self._actions(weights, useful, opened, tasks, cures), key=lambda a: a[0]
        ):
            total = cost + sum(low for low, _, _ in branches)
            sure = True
            for low, branch, now in branches:
                if total >= best - 1e-12:
                    sure = False
                    break
                value, known = self._least(branch, later, now, best - (total - low))
                total += value - low
                sure = sure and known
            if sure and total < best - 1e-12:
                best, found = total, True
        if found:
            self.known[key] = best / mass
        else:
            self.at_least[key] = max(self.at_least.get(key, 0.0), best / mass)
        return best, found

    def _actions(
        self, weights: Floats, left: Flags, opened: Floats, tasks: list[int], cures: Floats
    ) -> list[tuple[float, float, list[tuple[float, Floats, Floats]], Flags]]:
        """What can be done: a guess of its worth, its minutes, the branches with their bounds, the checks left."""
        mass = float(weights.sum())
        missing = self.opening * (1 - opened)
        found = []
        for cure in cures:
            of_cure = self.cure == cure
            one = int(np.flatnonzero(of_cure)[0])
            cost = float(self._own(left, opened)[one]) * mass
            rest = np.where(of_cure, 0.0, weights)
            shut, later = np.zeros_like(opened), left & ~self.due[one]
            branches = [(self._bound(rest, later, shut), rest, shut)]
            found.append((cost + branches[0][0], cost, branches, later))
        for task in tasks:
            done = self.first[task] & left
            done[task] = True
            needs = self.task_needs[done].any(axis=0).astype(np.float64)
            cost = float(self.task_minutes[done].sum() + needs @ missing) * mass
            now, later = np.maximum(opened, needs), left & ~done
            shown = [row * weights for row in self.shown[task]]
            branches = [(self._bound(one, later, now), one, now) for one in shown if one.sum() > POSSIBLE]
            branches.sort(key=lambda branch: -branch[1].sum())
            found.append((cost + sum(low for low, _, _ in branches), cost, branches, later))
        return found
