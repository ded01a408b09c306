"""What of a procedure applies on this unit: suspects, tasks, cures, openings and the numbers between them.

A fault model is built from a procedure and the facts answered so far, and holds no history. Minutes are floats;
arrays are indexed by the position of the suspect, task, cure or opening in its tuple, which is file order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from assistant.diagnosis.conditions import assumed_facts, known_facts, may_hold, minutes_of
from assistant.diagnosis.likelihood import Flags, Floats, Table, misread_rate, table_of
from assistant.diagnosis.prior import prior_weight
from assistant.errors import DefectError
from assistant.phrasing.wording import at_place
from assistant.procedure.base import PLACE
from assistant.procedure.model import Access, Check, Fault, Fix, Procedure

Indexes = npt.NDArray[np.int64]
Precedence = tuple[tuple[int, ...], ...]
"""Tasks that come first: one of each inner tuple must be answered, or all of it skipped."""


@dataclass(frozen=True, slots=True, order=True)
class Suspect:
    """One fault at one position."""

    fault: str
    """Name of the fault."""
    place: str | None = None
    """Where it sits, None for a fault that has no position."""


@dataclass(frozen=True, slots=True)
class Task:
    """One check at one position."""

    check: str
    """Name of the check."""
    place: str | None = None
    """Where it is done, None for a check done once (of kind ``place``, too)."""


@dataclass(frozen=True, slots=True)
class Cure:
    """One fix at one position."""

    fix: str
    """Name of the fix."""
    place: str | None = None
    """Where it is done."""


@dataclass(frozen=True, slots=True)
class Opening:
    """One access at one position."""

    access: str
    """Name of the access."""
    place: str | None = None
    """Where it is opened."""


@dataclass(frozen=True, eq=False)
class FaultModel:
    """What applies on this unit. Compared by identity; ``fault_model`` returns the same object for the same input."""

    procedure: Procedure
    """Where it comes from."""
    facts: Mapping[str, str]
    """The facts it was made with."""
    places: Mapping[str, tuple[str, ...]]
    """Group to the places that apply, in file order."""
    suspects: tuple[Suspect, ...]
    """Every fault at every position it can have."""
    titles: tuple[str, ...]
    """Title of each suspect with its place."""
    priors: Floats
    """Weight of each suspect after factors; sums to 1."""
    cures: tuple[Cure, ...]
    """Every fix that cures a suspect here; suspects with the same cure need not be told apart."""
    cure_of: Indexes
    """Cure of each suspect: the one that is proposed for it."""
    cured_by: Flags
    """Suspects that each cure takes away, those among them that have a cure of their own, shape (cures, suspects)."""
    cure_minutes: Floats
    """Minutes of each fix, without access and proof."""
    cure_openings: Flags
    """Openings that each cure needs, shape (cures, openings)."""
    cure_precedence: tuple[Precedence, ...]
    """What comes before each cure."""
    tasks: tuple[Task, ...]
    """Every check at every position it applies to."""
    task_minutes: Floats
    """Minutes of each check, without access."""
    task_openings: Flags
    """Openings that each task needs, shape (tasks, openings)."""
    task_precedence: tuple[Precedence, ...]
    """What comes before each task."""
    openings: tuple[Opening, ...]
    """Every opening that a task or a cure needs, those needed by others first."""
    opening_minutes: Floats
    """Minutes of each opening alone."""
    tables: tuple[Table, ...]
    """Likelihoods of each task."""
    proof_minutes: float
    """Minutes of the whole proof of cure."""
    proof_misses: Floats
    """Chance that the proof passes although a suspect is still there, shape (suspects,)."""
    suspect_index: Mapping[Suspect, int] = field(default_factory=dict)
    """Position of each suspect."""
    task_index: Mapping[Task, int] = field(default_factory=dict)
    """Position of each task."""
    cure_index: Mapping[Cure, int] = field(default_factory=dict)
    """Position of each cure."""
    opening_index: Mapping[Opening, int] = field(default_factory=dict)
    """Position of each opening."""
    checks: Mapping[str, Check] = field(default_factory=dict)
    """Checks that apply, by name."""
    fixes: Mapping[str, Fix] = field(default_factory=dict)
    """Fixes, by name."""
    faults: Mapping[str, Fault] = field(default_factory=dict)
    """Faults that apply, by name."""

    def outcomes(self, task: Task) -> tuple[str, ...]:
        """Outcome names of a task, in the order of its table."""
        return self.tables[self.task_index[task]].outcomes

    def likelihood(self, task: Task, outcome: str, suspect: Suspect) -> float:
        """P(outcome | suspect, task); 0 for an outcome that the check does not have."""
        table = self.tables[self.task_index[task]]
        row = table.row(outcome)
        return 0.0 if row is None else float(table.chance[row, self.suspect_index[suspect]])

    def cure(self, suspect: Suspect) -> Cure:
        """What cures a suspect."""
        return self.cures[int(self.cure_of[self.suspect_index[suspect]])]

    def title(self, suspect: Suspect) -> str:
        """Title of a suspect with its place, such as ``open sensor, left rear``."""
        return self.titles[self.suspect_index[suspect]]

    def unopened(self, needed: Flags, opened: Iterable[Opening]) -> tuple[Opening, ...]:
        """The openings of one row of ``task_openings`` or ``cure_openings`` still to be made, in order."""
        done = set(opened)
        return tuple(
            self.openings[int(number)] for number in np.flatnonzero(needed) if self.openings[number] not in done
        )


def fault_model(procedure: Procedure, facts: Mapping[str, str], gone: frozenset[str] = frozenset()) -> FaultModel:
    """What of a procedure applies on a unit with these facts. Kept for the last few inputs.

    Args:
        procedure: what is led.
        facts: what is known of the unit.
        gone: places that the facts allow and that turned out not to be there.

    Raises:
        DefectError: a fault names a fix that the procedure lacks; ``procedure.check`` reports that to an editor.
    """
    return _kept(_Key(procedure, tuple(sorted(facts.items())), gone))


class _Key:
    """A procedure by identity and facts by value: pydantic tables that hold mappings cannot be hashed."""

    def __init__(self, procedure: Procedure, facts: tuple[tuple[str, str], ...], gone: frozenset[str]) -> None:
        self.procedure = procedure
        self.facts = facts
        self.gone = gone

    def __hash__(self) -> int:
        return hash((id(self.procedure), self.facts, self.gone))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Key)
            and self.procedure is other.procedure
            and (self.facts, self.gone) == (other.facts, other.gone)
        )


@lru_cache(maxsize=32)
def _kept(key: _Key) -> FaultModel:
    return _Builder(key.procedure, dict(key.facts), key.gone).build()


class _Builder:
    """Gathers the parts of one fault model."""

    def __init__(self, procedure: Procedure, facts: dict[str, str], gone: frozenset[str]) -> None:
        self.procedure = procedure
        self.facts = facts
        self.known = known_facts(facts)
        self.assumed = assumed_facts(procedure, facts)
        groups: dict[str, list[str]] = {}
        for place in procedure.places:
            groups.setdefault(place.group, [])
            if place.name not in gone and may_hold(place.when, self.assumed):
                groups[place.group].append(place.name)
        self.places = {group: tuple(names) for group, names in groups.items()}
        self.accesses = {access.name: access for access in procedure.access if may_hold(access.when, self.assumed)}
        self.fixes = {fix.name: fix for fix in procedure.fixes}
        self.openings: dict[Opening, float] = {}

    def build(self) -> FaultModel:
        faults = [fault for fault in self.procedure.faults if may_hold(fault.when, self.assumed)]
        checks = [check for check in self.procedure.checks if may_hold(check.when, self.assumed)]
        pairs = tuple((fault, place) for fault in faults for place in self.positions(fault.each))
        suspects = tuple(Suspect(fault.name, place) for fault, place in pairs)
        priors = np.array([prior_weight(self.procedure, fault, self.known) for fault, _ in pairs], dtype=np.float64)
        total = priors.sum()
        cures, cure_of = self.cures(pairs)
        cured_by = np.arange(len(cures))[:, None] == cure_of
        for number, cure in enumerate(cures):
            cured_by[number] |= [_takes_away(self.fixes[cure.fix], cure.place, *pair) for pair in pairs]
        tasks = tuple(
            Task(check.name, place)
            for check in checks
            for place in (self.positions(check.each) if check.kind != "place" else (None,))
        )
        by_name = {check.name: check for check in checks}
        fixes = [self.fixes[cure.fix] for cure in cures]
        task_sets = [self.closure(by_name[task.check].needs, task.place) for task in tasks]
        cure_sets = [self.closure(fix.needs, cure.place) for fix, cure in zip(fixes, cures, strict=True)]
        openings = tuple(self.openings)
        return FaultModel(
            procedure=self.procedure,
            facts=self.facts,
            places=self.places,
            suspects=suspects,
            titles=tuple(at_place(fault.title, place) for fault, place in pairs),
            priors=priors / total if total > 0 else priors,
            cures=cures,
            cure_of=cure_of,
            cured_by=cured_by,
            cure_minutes=np.array([fix.minutes for fix in fixes], dtype=np.float64),
            cure_openings=_flags(cure_sets, openings),
            cure_precedence=tuple(
                _after(fix.after, cure.place, tasks) for fix, cure in zip(fixes, cures, strict=True)
            ),
            tasks=tasks,
            task_minutes=np.array([by_name[task.check].minutes for task in tasks], dtype=np.float64),
            task_openings=_flags(task_sets, openings),
            task_precedence=tuple(_after(by_name[task.check].after, task.place, tasks) for task in tasks),
            openings=openings,
            opening_minutes=np.array(list(self.openings.values()), dtype=np.float64),
            tables=tuple(self.table(by_name[task.check], task.place, pairs) for task in tasks),
            proof_minutes=float(
                sum(step.minutes for step in self.procedure.proof.steps if may_hold(step.when, self.assumed))
            ),
            proof_misses=np.array([self.procedure.proof.misses.get(fault.name, 0.0) for fault, _ in pairs]),
            suspect_index={suspect: number for number, suspect in enumerate(suspects)},
            task_index={task: number for number, task in enumerate(tasks)},
            cure_index={cure: number for number, cure in enumerate(cures)},
            opening_index={opening: number for number, opening in enumerate(openings)},
            checks=by_name,
            fixes=self.fixes,
            faults={fault.name: fault for fault in faults},
        )

    def positions(self, each: str | None) -> tuple[str | None, ...]:
        return (None,) if each is None else self.places.get(each, ())

    def table(self, check: Check, place: str | None, pairs: tuple[tuple[Fault, str | None], ...]) -> Table:
        places = self.places.get(check.each, ()) if check.each is not None else ()
        return table_of(check, place, places, pairs, misread_rate(self.procedure, check))

    def cures(self, pairs: tuple[tuple[Fault, str | None], ...]) -> tuple[tuple[Cure, ...], Indexes]:
        numbers: dict[Cure, int] = {}
        cure_of = np.zeros(len(pairs), dtype=np.int64)
        for column, (fault, place) in enumerate(pairs):
            if fault.fix not in self.fixes:
                raise DefectError(f"Fault '{fault.name}' names the fix '{fault.fix}', which the procedure lacks.")
            cure = Cure(fault.fix, place if self.fixes[fault.fix].each is not None else None)
            cure_of[column] = numbers.setdefault(cure, len(numbers))
        return tuple(numbers), cure_of

    def closure(self, needs: tuple[str, ...], place: str | None) -> frozenset[Opening]:
        """All openings behind ``needs``; each one registered after those that it needs."""
        found: dict[Opening, None] = {}
        self._gather(needs, place, found, ())
        return frozenset(found)

    def _gather(
        self, needs: tuple[str, ...], place: str | None, found: dict[Opening, None], path: tuple[str, ...]
    ) -> None:
        for name in needs:
            access = self.accesses.get(name)
            if access is None or name in path:
                continue
            for where in self._where(access, place):
                self._gather(access.needs, where if where is not None else place, found, (*path, name))
                opening = Opening(name, where)
                found[opening] = None
                self.openings.setdefault(opening, minutes_of(access.minutes, access.minutes_when, self.assumed))

    def _where(self, access: Access, place: str | None) -> tuple[str | None, ...]:
        """Places at which an access is opened for work at ``place``: there, or at all of them when it has none."""
        if access.each is None:
            return (None,)
        group = self.places.get(access.each, ())
        if place in group and not may_hold(access.when, {PLACE: place}):
            return ()
        group = tuple(one for one in group if may_hold(access.when, {PLACE: one}))
        return (place,) if place in group else group


def _takes_away(fix: Fix, place: str | None, fault: Fault, where: str | None) -> bool:
    return fault.name in fix.also_cures and (place is None or where is None or place == where)


def _flags(sets: list[frozenset[Opening]], openings: tuple[Opening, ...]) -> Flags:
    flags = np.zeros((len(sets), len(openings)), dtype=np.bool_)
    for row, needed in enumerate(sets):
        for column, opening in enumerate(openings):
            flags[row, column] = opening in needed
    return flags


def _after(names: tuple[str, ...], place: str | None, tasks: tuple[Task, ...]) -> Precedence:
    """For each check that comes first, its task at the same place, or all of its tasks when one side has no place."""
    groups = (
        tuple(
            number
            for number, task in enumerate(tasks)
            if task.check == name and (task.place is None or place is None or task.place == place)
        )
        for name in names
    )
    return tuple(group for group in groups if group)
