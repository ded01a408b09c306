"""How well the checks of a procedure tell its faults apart, whatever the order in which they are asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assistant.diagnosis.fault_model import FaultModel, Suspect

ALIKE = 1e-9
"""Greatest difference of outcome probabilities below which two suspects are alike."""


@dataclass(frozen=True, slots=True)
class Group:
    """Suspects that no check tells apart."""

    suspects: tuple[Suspect, ...]
    """The members, in file order; at least two, with more than one cure among them."""
    declared: bool
    """True when their faults name each other in ``same_as``."""


def fraction_detected(rates: Sequence[float], detected: Sequence[bool]) -> float:
    """Sum of the rates of the detected faults over the sum of all rates (IEEE 1522, from memory)."""
    total = sum(rates)
    return sum(rate for rate, found in zip(rates, detected, strict=True) if found) / total if total else 0.0


def detected(fault_model: FaultModel) -> tuple[bool, ...]:
    """Whether any check shows another thing under each suspect than it shows when nothing that it names is there."""
    return tuple(
        any(bool(table.differs[number]) for table in fault_model.tables)
        for number in range(len(fault_model.suspects))
    )


def alike(fault_model: FaultModel) -> tuple[Group, ...]:
    """Groups of suspects that every check shows alike and that need different cures."""
    columns = (
        np.vstack([table.chance for table in fault_model.tables])
        if fault_model.tables
        else np.zeros((0, len(fault_model.suspects)))
    )
    left = list(range(len(fault_model.suspects)))
    groups: list[Group] = []
    while left:
        first = left[0]
        same = [number for number in left if np.abs(columns[:, number] - columns[:, first]).max(initial=0.0) <= ALIKE]
        left = [number for number in left if number not in same]
        if len({int(fault_model.cure_of[number]) for number in same}) > 1:
            members = tuple(fault_model.suspects[number] for number in same)
            groups.append(Group(members, _declared(fault_model, members)))
    return tuple(groups)


def _declared(fault_model: FaultModel, members: tuple[Suspect, ...]) -> bool:
    """True when each pair of different faults is declared by one of the two."""
    names = sorted({member.fault for member in members})
    return (
        all(
            other in fault_model.faults[name].same_as or name in fault_model.faults[other].same_as
            for place, name in enumerate(names)
            for other in names[place + 1 :]
        )
        and len(names) > 1
    )
