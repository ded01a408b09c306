"""A simulated unit for procedures: one hidden fault, answers as the procedure itself says that it would show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.diagnosis.fault_model import FaultModel, Suspect, fault_model
from assistant.diagnosis.planner import GiveUp, NextCheck, choose, progress_of
from assistant.diagnosis.posterior import posterior
from assistant.messages import Reason, Why
from assistant.messages.decisions import AccessOpened, Decision, FixDone, Observed, ProofFinished
from assistant.procedure.model import Check, Procedure


@dataclass
class Run:
    """What happened until the cure, or until nothing was left to do."""

    found: bool = False
    minutes: float = 0.0
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


def run(procedure: Procedure, facts: Mapping[str, str], hidden: Suspect, longest: int = 90) -> Run:
    """Follow the planner with perfect answers until the hidden fault's own fix is done."""
    seen: FaultModel = fault_model(procedure, facts)
    done, events, number = Run(), list[Decision](), 0
    for _ in range(longest):
        choice = choose(seen, posterior(seen, events), progress_of(seen, events))
        if isinstance(choice, GiveUp):
            return done
        done.minutes += choice.minutes
        for opening in choice.accesses:
            events.append(AccessOpened(opening.access, opening.place, 0.0))
            done.openings.append((opening.access, len(done.checks)))
        if isinstance(choice, NextCheck):
            check = seen.checks[choice.task.check]
            outcome = shown(check, choice.task.place, hidden)
            number += 1
            done.checks.append((check.name, choice.task.place))
            events.append(
                Observed(number, check.name, choice.task.place, check.title, {outcome: 1.0}, outcome,
                         conditions=dict(check.conditions))
            )  # fmt: skip
            continue
        fix = seen.fixes[choice.cure.fix]
        done.fixes.append((fix.name, choice.cure.place))
        done.minutes += seen.proof_minutes
        if seen.cure(hidden) == choice.cure:
            done.found = True
            return done
        if fix.part is not None:
            done.wrong_parts.append(fix.part)
        events += [
            FixDone(fix.name, choice.cure.place, fix.title, fix.part),
            ProofFinished(False, Reason(Why.UNFINISHED)),
        ]
    return done
