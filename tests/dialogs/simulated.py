"""Whole sessions on a unit with one hidden fault that shows the likeliest outcome of every check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect, Task
from assistant.messages.decisions import AccessOpened, FixDone, Observed
from assistant.procedure.model import Check, Procedure
from assistant.simulator.trial import context_of, run_trial
from assistant.simulator.unit import SimulatedUnit


@dataclass
class Run:
    """What happened until the cure, or until nothing was left to do."""

    found: bool = False
    minutes: float = 0.0
    """Of the whole session, with its proof."""
    checks: list[tuple[str, str | None]] = field(default_factory=list)
    openings: list[tuple[str, int]] = field(default_factory=list)
    """Access and how many checks had been asked before it."""
    fixes: list[tuple[str, str | None]] = field(default_factory=list)
    wrong_parts: list[str] = field(default_factory=list)


def shown(check: Check, place: str | None, hidden: Suspect) -> str:
    """The likeliest outcome that the hidden fault makes a check show."""
    apart = place is not None and hidden.place is not None and hidden.place != place
    entry = (check.elsewhere if apart else check.finds).get(hidden.fault)
    if entry is None:
        return check.otherwise
    outcome = entry if isinstance(entry, str) else max(entry, key=lambda name: entry[name])
    return hidden.place if outcome == "here" and hidden.place is not None else outcome


class CertainUnit(SimulatedUnit):
    """A unit on which every check shows the likeliest outcome of what is hidden, and a sound one once it is cured."""

    def outcome(self, task: Task) -> str:
        """What the check shows now."""
        hidden = next(iter(self.faults), None)
        check = self.fault_model.checks[task.check]
        return check.sound[0] if hidden is None else shown(check, task.place, hidden)


def run(procedure: Procedure, facts: Mapping[str, str], hidden: Suspect) -> Run:
    """Lead a session with perfect answers; what counts ends with the hidden fault's own fix."""
    unit = CertainUnit(procedure, facts, [hidden])
    cure = unit.fault_model.cure(hidden)
    trial = run_trial(context_of(procedure, catalog.load_vocabulary()), unit)
    done = Run(trial.found, trial.minutes)
    for decision in trial.decisions:
        match decision:
            case AccessOpened():
                done.openings.append((decision.access, len(done.checks)))
            case Observed():
                done.checks.append((decision.check, decision.place))
            case FixDone():
                done.fixes.append((decision.fix, decision.place))
                if (decision.fix, decision.place) == (cure.fix, cure.place):
                    break
                if decision.part is not None:
                    done.wrong_parts.append(decision.part)
            case _:
                pass
    return done
