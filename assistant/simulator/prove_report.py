"""What proving a procedure showed: figures over its trials, and fault by fault."""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.diagnosis.fault_model import FaultModel
from assistant.messages.decisions import Ending
from assistant.procedure.model import Procedure
from assistant.simulator.slips import SlipCounts
from assistant.simulator.testability import Group, alike, detected, fraction_detected
from assistant.simulator.trial import Trial


@dataclass(frozen=True, slots=True)
class FaultReport:
    """How the trials of one fault went, over its places."""

    fault: str
    """Name of the fault."""
    runs: int
    """Trials in which it was the fault, alone."""
    found: int
    """Trials in which it was cured and proven."""
    minutes: float
    """Median minutes of those."""
    checks: float
    """Median checks of those."""
    lost: tuple[str, ...]
    """Why the others ended, each reason once."""


@dataclass(frozen=True)
class Report:
    """What proving a procedure showed. Shares are 0 to 1; minutes are working minutes."""

    procedure: str
    """Name of the procedure."""
    runs: int
    """Trials run."""
    found: float
    """Share of trials that ended cured and proven."""
    found_pairs: float | None
    """The same for two faults at once; None when no pairs were tried."""
    isolated: Mapping[int, float]
    """1, 2, 3 to the share of found trials with at most so many cures still in question at the first right fix."""
    minutes_median: float
    """Median minutes of the found trials."""
    minutes_p90: float
    """Their 90th percentile."""
    checks_mean: float
    """Mean number of checks asked, with those that are measured again after a repair."""
    answers_mean: float
    """Mean number of answers in a session, from its first word to its end."""
    minutes_mean: float
    """Their mean."""
    condemned: int
    """Parts replaced because a check condemned them, over all trials."""
    condemned_wrongly: int
    """Good parts among them."""
    caught: int
    """Trials that condemned a good part and yet ended cured and proven: the proof of cure caught it."""
    proven_wrongly: int
    """Sessions that ended in a proven cure although something is still wrong."""
    close: int
    """Readings too close to call, over all trials."""
    skipped: int
    """Checks passed by, over all trials."""
    on_suspicion: int
    """Parts replaced on suspicion alone, right or wrong."""
    idle: int
    """Repairs and trials without a part that cured nothing."""
    detected: float
    """Share of faults, by weight, that some check shows."""
    groups: tuple[Group, ...]
    """Suspects that no check tells apart, on a unit of which nothing is known."""
    faults: tuple[FaultReport, ...]
    """Fault by fault, in file order."""
    good_parts: int = 0
    """Parts replaced for good in which nothing was wrong, over all trials."""
    false_causes: int = 0
    """Fixes that cured nothing and yet stand in a record as the repair of a cause."""
    misheard: int = 0
    """Answers that were heard as something else, over all trials."""
    unrecognized: int = 0
    """Units that were whole again, and the session went on looking or did not end in a proven cure."""
    on_truck: bool = False
    """True when the units were circuits that know nothing of the procedure."""
    sound_runs: int = 0
    """Sessions on units with nothing wrong any more when they came in."""
    sound_parts: int = 0
    """Parts replaced on those."""
    sound_ended_so: int = 0
    """Those of them that ended 'not present today'."""
    tool_runs: int = 0
    """Sessions with a dead meter, or a load that draws nothing, in which one was needed."""
    tool_noticed: int = 0
    """Those of them in which it was noticed."""
    sound_minutes: tuple[float, float] = (0.0, 0.0)
    """Median and most working minutes of sessions with nothing wrong that ended 'not present today'."""
    slips: SlipCounts = SlipCounts()  # noqa: RUF009 - frozen
    """Slips of the hand and how they came out, on units with a fault or with none."""
    trials: tuple[Trial, ...] = ()
    """All trials, singles first, sound units last."""

    @property
    def undeclared(self) -> tuple[Group, ...]:
        """Groups that the procedure does not declare by ``same_as``."""
        return tuple(group for group in self.groups if not group.declared)


def middle_and_most(minutes: Sequence[float]) -> tuple[float, float]:
    """Median and most of these minutes; both 0 for none."""
    return (statistics.median(minutes), max(minutes)) if minutes else (0.0, 0.0)


def report_of(procedure: Procedure, seen: FaultModel, singles: list[Trial], couples: list[Trial]) -> Report:
    """The figures of trials with one fault, and with two.

    Args:
        procedure: what was proven.
        seen: its faults, on facts that were fixed or on none.
        singles: trials with one fault, of which the report tells most.
        couples: trials with two.
    """
    trials = [*singles, *couples]
    found = [trial for trial in singles if trial.found]
    minutes = sorted(trial.minutes for trial in found)
    return Report(
        procedure=procedure.name,
        runs=len(trials),
        found=len(found) / max(1, len(singles)),
        found_pairs=sum(trial.found for trial in couples) / len(couples) if couples else None,
        isolated={size: sum(1 for trial in found if trial.left <= size) / max(1, len(found)) for size in (1, 2, 3)},
        minutes_median=statistics.median(minutes) if minutes else 0.0,
        minutes_p90=minutes[min(len(minutes) - 1, int(0.9 * len(minutes)))] if minutes else 0.0,
        minutes_mean=statistics.fmean(minutes) if minutes else 0.0,
        checks_mean=statistics.fmean(trial.checks for trial in trials) if trials else 0.0,
        answers_mean=statistics.fmean(trial.answers for trial in trials) if trials else 0.0,
        condemned=sum(trial.condemned for trial in trials),
        condemned_wrongly=sum(len(trial.condemned_wrongly) for trial in trials),
        caught=sum(trial.found and bool(trial.condemned_wrongly) for trial in trials),
        proven_wrongly=sum(trial.ending == Ending.CURED_AND_PROVEN and not trial.found for trial in trials),
        close=sum(trial.close for trial in trials),
        skipped=sum(trial.skipped for trial in trials),
        on_suspicion=sum(len(trial.on_suspicion) for trial in trials),
        idle=sum(len(trial.idle) for trial in trials),
        detected=fraction_detected(seen.priors.tolist(), detected(seen)),
        groups=alike(seen),
        good_parts=sum(len(trial.good_parts) for trial in trials),
        false_causes=sum(len(trial.false_causes) for trial in trials),
        unrecognized=sum(trial.unrecognized for trial in trials),
        faults=tuple(_fault(name, singles) for name in dict.fromkeys(one.suspects[0].fault for one in singles)),
        trials=tuple(trials),
    )


def _fault(name: str, singles: list[Trial]) -> FaultReport:
    mine = [trial for trial in singles if trial.suspects and trial.suspects[0].fault == name]
    found = [trial for trial in mine if trial.found]
    return FaultReport(
        fault=name,
        runs=len(mine),
        found=len(found),
        minutes=statistics.median(trial.minutes for trial in found) if found else 0.0,
        checks=statistics.median(trial.checks for trial in found) if found else 0.0,
        lost=tuple(dict.fromkeys(trial.because for trial in mine if not trial.found)),
    )
