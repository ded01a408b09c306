"""Recorded choices of the planner: what it chose, in order, on units drawn here and nowhere else.

Each walk draws a unit (one or two faults of a procedure, some facts), answers every check as the procedure declares
it, now and then wrong, in two minds or not at all, and follows what the planner chooses. Nothing but the file of the
procedure, the seed and the planner decides a walk, so a changed line of its hash is a changed choice.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from random import Random

from assistant.diagnosis.fault_model import Cure, FaultModel, Suspect, Task, fault_model
from assistant.diagnosis.planner import Choice, NextCheck, NextFix, choose
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.progress import progress_of
from assistant.messages import Prompt, PromptKind, Reason, Why
from assistant.messages.decisions import (
    AccessOpened,
    Decision,
    FixDeclined,
    FixDone,
    ObservationWithdrawn,
    Observed,
    ProofFinished,
    Skipped,
)
from assistant.procedure.model import Procedure

STEPS = 40
"""Choices after which a walk ends by itself."""
WRONG, CLOSE, SKIP, DECLINE, BACK, PAIR, UNSURE = 0.06, 0.08, 0.05, 0.04, 0.03, 0.2, 0.2
"""Chances of a wrong answer, of one in two minds, of a check passed by, of a fix declined, of an answer taken back,
of two faults, of a fact that is not known."""
WHY = Reason(Why.WRITTEN, {"text": "as it was recorded"})


def walk(procedure: Procedure, seed: int) -> Iterator[str]:
    """What the planner chose, one line a choice: the action, its place, its minutes to 1e-9 and a fix's chance."""
    rng = Random(f"{procedure.name} {seed}")
    seen = fault_model(procedure, _facts(procedure, rng))
    broken = set(rng.choices(seen.suspects, seen.priors.tolist(), k=2 if rng.random() < PAIR else 1))
    events: list[Decision] = []
    number = 0
    for _ in range(STEPS):
        choice = choose(seen, posterior(seen, events), progress_of(seen, events))
        yield line_of(choice)
        if not isinstance(choice, NextCheck | NextFix):
            return
        if isinstance(choice, NextFix) and rng.random() < DECLINE:
            events.append(FixDeclined(choice.cure.fix, choice.cure.place, "not now"))
            continue
        events += [AccessOpened(opening.access, opening.place, 0.0) for opening in choice.accesses]
        if isinstance(choice, NextFix):
            broken -= _cured(seen, choice.cure, broken)
            events += [FixDone(choice.cure.fix, choice.cure.place, "", None), ProofFinished(not broken, WHY)]
            if not broken:
                return
            continue
        if rng.random() < SKIP:
            events.append(Skipped(prompt_of(choice.task), "not now"))
            continue
        number += 1
        events.append(_observed(seen, choice, broken, number, rng))
        if rng.random() < BACK:
            events.append(ObservationWithdrawn(number, WHY))


def line_of(choice: Choice) -> str:
    """One choice as a line."""
    match choice:
        case NextCheck():
            return f"{prompt_of(choice.task)} {choice.minutes:.9f} {len(choice.accesses)}"
        case NextFix():
            chance = f"{choice.probability:.6f} {'condemned' if choice.condemned else 'suspected'}"
            return f"{prompt_of(choice.cure)} {choice.minutes:.9f} {chance} {choice.suspect.fault}"
    return "give up"


def digest(procedure: Procedure, seed: int) -> str:
    """A walk in twelve hexadecimal digits."""
    return hashlib.sha256("\n".join(walk(procedure, seed)).encode()).hexdigest()[:12]


def _facts(procedure: Procedure, rng: Random) -> dict[str, str]:
    facts = {}
    for question in procedure.facts:
        if question.choices:
            value = rng.choice([option.name for option in question.choices])
            if rng.random() >= UNSURE:
                facts[question.name] = value
    return facts


def _cured(seen: FaultModel, cure: Cure, broken: set[Suspect]) -> set[Suspect]:
    return {suspect for suspect in broken if seen.cure(suspect) == cure}


def _observed(seen: FaultModel, choice: NextCheck, broken: set[Suspect], number: int, rng: Random) -> Observed:
    check = seen.checks[choice.task.check]
    outcomes = seen.outcomes(choice.task)
    of_one = rng.choice(sorted(broken, key=lambda one: (one.fault, one.place or "")))
    chances = [seen.likelihood(choice.task, outcome, of_one) for outcome in outcomes]
    shown = rng.choices(outcomes, chances)[0]
    if rng.random() < WRONG:
        shown = rng.choice(outcomes)
    other = rng.choice(outcomes)
    weights = {shown: 1.0}
    if rng.random() < CLOSE and other != shown:
        share = rng.randint(1, 19) / 20
        weights = {shown: share, other: 1.0 - share}
    return Observed(number, check.name, choice.task.place, check.title, weights, shown)


def prompt_of(item: Task | Cure) -> Prompt:
    """The prompt of a task or a cure."""
    match item:
        case Task(check=name):
            kind = PromptKind.CHECK
        case Cure(fix=name):
            kind = PromptKind.FIX
    return Prompt(kind, name, item.place)
