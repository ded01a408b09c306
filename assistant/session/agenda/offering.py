"""What only a person can decide: to hand a long hunt over, and to mend at once what an earlier session found."""

from __future__ import annotations

from assistant.diagnosis.planner import Choice, NextCheck, NextFix
from assistant.messages import Reason, Why
from assistant.messages.decisions import (
    AccessOpened,
    Decision,
    FixChosen,
    FixDeclined,
    FixDone,
    Observed,
    Offered,
    Phase,
    PhaseEntered,
    ProofFinished,
    Skipped,
)
from assistant.messages.prompts import FOUND_BEFORE, HAND_OVER
from assistant.messages.reasons import ReasonSlot
from assistant.session.agenda.next_action import view_of, whats_left
from assistant.session.context import Context
from assistant.session.state import State

ONCE_MORE = 0.5
"""Share of the declared minutes after which a hunt that goes on is offered to be handed over again. Chosen; not
measured."""
SUSPECTS = 2
"""Suspects that are named when a hunt is handed over; the record tells all that was read."""


def spent_minutes(context: Context, state: State) -> float:
    """Working minutes of what was opened, read, mended and proven so far, by the procedure's own figures."""
    total = 0.0
    for entry in state.work:
        match entry:
            case AccessOpened():
                total += entry.minutes
            case Observed():
                total += context.check(entry.check).minutes
            case FixDone():
                total += context.fix(entry.fix).minutes
            case ProofFinished():
                total += view_of(context, state).proof_minutes
            case _:
                pass
    return total


def hand_over(context: Context, state: State, choice: Choice) -> tuple[Decision, ...]:
    """The offer to hand over, when the hunt takes longer than nine in ten do and goes on; none before a repair that a
    reading calls for."""
    figures = context.procedure.figures
    hunts = isinstance(choice, NextCheck) or (isinstance(choice, NextFix) and not choice.condemned)
    if figures is None or not hunts:
        return ()
    spent = spent_minutes(context, state)
    usual = figures.minutes[1]
    before = [int(str(offered.because.slots["minutes"])) for offered, _ in state.offers(HAND_OVER)]
    if spent <= (before[-1] + ONCE_MORE * usual if before else usual):
        return ()
    return (Offered(HAND_OVER, Reason(Why.LONG_HUNT, {"minutes": round(spent)})),)


def handed_over(context: Context, state: State) -> Reason | None:
    """That the hunt was handed over, with what is likeliest; None while it was not."""
    if not any(taken for _, taken in state.offers(HAND_OVER)):
        return None
    suspects = tuple(title for title, _ in whats_left(context, state, SUSPECTS))
    return Reason(Why.HANDED_OVER, {"minutes": round(spent_minutes(context, state)), "suspects": suspects})


def carried_over(state: State) -> tuple[Decision, ...]:
    """The repair that an earlier session left, chosen again when a fact it depends on was told; nothing otherwise."""
    begun = any(isinstance(one, Observed | FixDone | FixDeclined | Skipped) for one in state.work)
    return () if begun or not state.offers(FOUND_BEFORE) else found_before(state)


def found_before(state: State) -> tuple[Decision, ...]:
    """The offer to mend what an earlier session found, once; the repair when it was taken; nothing otherwise."""
    found = state.found_before
    if found is None:
        return ()
    slots: dict[str, ReasonSlot] = {"day": found.day, "suspect": found.suspect, "reason": found.reason}
    slots["readings"] = found.readings
    because = Reason(Why.FOUND_BEFORE, slots)
    answers = state.offers(FOUND_BEFORE)
    if not answers:
        return (Offered(FOUND_BEFORE, because),)
    if not answers[-1][1]:
        return ()
    chosen = FixChosen(found.fix, found.place, found.fault, 1.0, True, because)
    return (chosen,) if state.phase is Phase.REPAIRING else (PhaseEntered(Phase.REPAIRING), chosen)
