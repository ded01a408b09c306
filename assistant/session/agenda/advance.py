"""What follows without an answer: the next phase, the next action, the end.

``move_on`` adds the decisions that need no answer, until there is something to ask again.
"""

from __future__ import annotations

import numpy as np

from assistant.diagnosis.asking import NextQuestion, bears_on
from assistant.diagnosis.constants import EVEN, MISSED, THOROUGH
from assistant.diagnosis.planner import Choice, GiveUp, NextCheck, NextFix
from assistant.diagnosis.worth_looking import could_show
from assistant.errors import DefectError
from assistant.messages import Reason, Why
from assistant.messages.decisions import (
    CheckChosen,
    Decision,
    Ended,
    Ending,
    FixChosen,
    FixDone,
    Phase,
    PhaseEntered,
    ProofFinished,
    QuestionChosen,
)
from assistant.phrasing.wording import at_place
from assistant.session.agenda.facts_to_ask import open_questions
from assistant.session.agenda.next_action import (
    missed_by_proof,
    next_choice,
    next_work,
    shares,
    to_measure_again,
    to_prove,
    to_see_first,
    view_of,
)
from assistant.session.agenda.not_there import places_not_there
from assistant.session.agenda.offering import carried_over, found_before, hand_over, handed_over
from assistant.session.agenda.outcomes import bad_tool
from assistant.session.agenda.presence import absent, must_be_seen, unseen
from assistant.session.agenda.prompts import main
from assistant.session.agenda.surveying import left_out, next_task, remarks
from assistant.session.agenda.waiting import waiting
from assistant.session.context import Context
from assistant.session.fold import State, apply_all

_MOST = 20
"""More decisions in a row than any session needs: a guard against an endless loop."""


def move_on(context: Context, state: State) -> tuple[Decision, ...]:
    """The decisions that follow without an answer, up to the next prompt.

    Raises:
        DefectError: the decisions never lead to a prompt.
    """
    why = declined(context, state)
    if why and state.phase is Phase.FACTS:
        return (Ended(Ending.DOES_NOT_FIT, Reason(Why.DOES_NOT_FIT, {"text": why})),)
    made: tuple[Decision, ...] = ()
    for _ in range(_MOST):
        if main(context, state) is not None:
            return made
        more = _next(context, state)
        made += more
        state = apply_all(context, state, more)
    raise DefectError(f"The session goes round in circles in the phase '{state.phase}'.")


def _next(context: Context, state: State) -> tuple[Decision, ...]:
    match state.phase:
        case Phase.CAUTIONS:
            return (PhaseEntered(Phase.FACTS),)
        case Phase.FACTS:
            return (not state.work and found_before(state)) or (PhaseEntered(searching(context)),)
        case Phase.SURVEYING:
            task = next_task(context, state)
            return (task,) if task is not None else (*remarks(state), PhaseEntered(Phase.CLOSING))
        case Phase.PROVING:
            return _end_of_proof(context, state)
        case Phase.CLOSING:
            return (ending(context, state),)
        case _:
            return _choose(context, state)


def declined(context: Context, state: State) -> str:
    """Why the procedure does not fit the unit, given the answers to its facts; '' when it fits."""
    told = (question.declines.get(state.facts.get(question.name, "")) for question in context.procedure.facts)
    return next((why for why in told if why), "")


def searching(context: Context) -> Phase:
    """The phase in which checks are asked."""
    return Phase.SURVEYING if context.procedure.kind == "survey" else Phase.FINDING


def _settled(context: Context, state: State) -> tuple[Decision, ...]:
    """What comes next whatever is suspected: a bad tool read again, a hunt handed over, a repair carried over."""
    tool = bad_tool(context, state)
    if tool is not None:
        seen, what = tool
        because = Reason(Why.WRITTEN, {"text": what})
        return (CheckChosen(seen.check, seen.place, context.check(seen.check).minutes, because),)
    return (PhaseEntered(Phase.CLOSING),) if handed_over(context, state) is not None else carried_over(state)


def _choose(context: Context, state: State) -> tuple[Decision, ...]:
    """The next action while finding or repairing: measure again, then prove, else what the planner chooses."""
    settled = _settled(context, state)
    if settled:
        return settled
    fixes = to_prove(context, state)
    if _proven(state) or (fixes and state.unproven):
        return (PhaseEntered(Phase.CLOSING),)
    if fixes:
        for task in to_measure_again(context, state):
            because = Reason(Why.AFTER_WORK, {"work": fixes[-1].title})
            return (CheckChosen(task.check, task.place, context.check(task.check).minutes, because),)
        return (PhaseEntered(Phase.PROVING),)
    choice = next_choice(context, state)
    if isinstance(choice, NextQuestion):
        because = Reason(Why.SAVES, {"minutes": max(1, round(choice.minutes))})
        return _in_phase(state, Phase.FINDING, QuestionChosen(choice.fact, choice.minutes, because))
    if waiting(context, state) is not None:
        return (PhaseEntered(Phase.CLOSING),)
    first = _look_first(context, state) if isinstance(choice, GiveUp | NextFix) else None
    if first is not None:
        return _in_phase(state, Phase.FINDING, first)
    if isinstance(choice, GiveUp) or _for_nothing(context, state, choice):
        return _given_up(context, state)
    offer = hand_over(context, state, choice)
    if offer:
        return offer
    if isinstance(choice, NextCheck):
        chosen: Decision = CheckChosen(choice.task.check, choice.task.place, choice.minutes, choice.because)
        phase = Phase.FINDING
    else:
        cure = choice.cure
        chosen = FixChosen(
            cure.fix,
            cure.place,
            choice.suspect.fault,
            choice.probability,
            choice.condemned,
            choice.because,
            choice.or_else,
        )
        phase = Phase.REPAIRING
    return _in_phase(state, phase, chosen)


def _in_phase(state: State, phase: Phase, chosen: Decision) -> tuple[Decision, ...]:
    return (chosen,) if state.phase is phase else (PhaseEntered(phase), chosen)


def _given_up(context: Context, state: State) -> tuple[Decision, ...]:
    """The close, after what is left untold and may still lead on was asked."""
    unasked = _telling(context, state)
    if unasked is None:
        return (PhaseEntered(Phase.CLOSING),)
    return _in_phase(state, Phase.FINDING, QuestionChosen(unasked, 0.0, Reason(Why.MUST_KNOW)))


def _telling(context: Context, state: State) -> str | None:
    """A fact that was not asked and may still lead on, or show that the fault is there; None when all are told."""
    seen = view_of(context, state)
    asked = open_questions(context, state)
    return next((one.name for one in asked if one.complaint or bears_on(seen, one)), None)


def _for_nothing(context: Context, state: State, choice: NextCheck | NextFix) -> bool:
    """True for a repair of a fault that was never seen."""
    return isinstance(choice, NextFix) and must_be_seen(context.procedure) and absent(context, state)


def _look_first(context: Context, state: State) -> CheckChosen | None:
    """The complaint itself, before a repair of what was never seen and before giving up; None where it was asked."""
    if not must_be_seen(context.procedure) or not unseen(context, state):
        return None
    task = to_see_first(context, state)
    if task is None:
        return None
    return CheckChosen(task.check, task.place, context.check(task.check).minutes, Reason(Why.SEEN_FIRST))


def _passed_by(context: Context, state: State) -> bool:
    """True when something that the unit has was passed by."""
    gone = places_not_there(context, state)
    return any(skip.prompt.place not in gone for skip in state.skipped)


def _enough_seen(context: Context, state: State, choice: Choice) -> bool:
    """True when a unit that showed nothing wrong may go as it is: all that is worth its minutes was looked at, or
    the person ends it."""
    if not isinstance(choice, GiveUp):
        return must_be_seen(context.procedure)
    return choice.because.why is Why.LITTLE_TO_SEE or not _passed_by(context, state)


def _not_checked(context: Context, state: State) -> tuple[str, ...]:
    """What the unit calls for and was not looked at, what could tell the most first: titles of checks, with the place
    where the check was made at others."""
    seen, posterior = view_of(context, state), shares(context, state)
    weights = np.array([posterior[suspect] for suspect in seen.suspects])
    made = {(one.check, one.place) for one in state.observations}
    checked = {check for check, _ in made}
    telling: dict[str, float] = {}
    for number, task in enumerate(seen.tasks):
        tells = could_show(seen, number, weights)
        if (task.check, task.place) in made or (task.check in checked and tells < THOROUGH):
            continue
        title = seen.checks[task.check].title
        name = at_place(title, task.place) if task.check in checked else title
        telling[name] = max(telling.get(name, 0.0), round(tells, EVEN))
    return tuple(sorted(telling, key=lambda name: -telling[name]))


def _proven(state: State) -> bool:
    """True when the last work done was proven."""
    since = any(isinstance(entry, FixDone) for entry in state.since_proof())
    return bool(state.proofs and state.proofs[-1].passed and not since)


def _end_of_proof(context: Context, state: State) -> tuple[Decision, ...]:
    failed = [step for step in state.proof if not step.passed]
    if failed:
        because = Reason(Why.STEP_FAILED, {"step": failed[0].step, "answer": failed[0].answer})
        return (ProofFinished(passed=False, because=because), PhaseEntered(Phase.FINDING))
    if state.unproven:
        return (PhaseEntered(Phase.CLOSING),)
    doubt = missed_by_proof(context, state)
    because = Reason(Why.ALL_PASSED)
    if doubt >= MISSED:
        because = Reason(Why.PASSED_MAY_MISS, {"percent": round(100 * doubt)})
    return (ProofFinished(passed=True, because=because), PhaseEntered(Phase.CLOSING))


def ending(context: Context, state: State) -> Ended:
    """How the session ends when nothing is left to do."""
    if context.procedure.kind == "survey":
        missing = left_out(context, state)
        if missing:
            return Ended(Ending.SURVEYED_IN_PART, Reason(Why.NOT_READ, {"items": missing}))
        return Ended(Ending.SURVEYED, Reason(Why.ALL_READ))
    if _proven(state):
        return Ended(Ending.CURED_AND_PROVEN, state.proofs[-1].because)
    if state.unproven and to_prove(context, state):
        return Ended(Ending.CURED_NOT_PROVEN, state.unproven)
    waits = waiting(context, state)
    if waits is not None:
        return Ended(Ending.WAITING, waits)
    over = handed_over(context, state)
    if over is not None:
        return Ended(Ending.NOT_FOUND, over)
    choice = next_work(context, state)
    if absent(context, state) and _enough_seen(context, state, choice):
        missing = _not_checked(context, state)
        return Ended(Ending.NOT_PRESENT, Reason(Why.NOT_SEEN, {"items": missing} if missing else {}))
    because = choice.because if isinstance(choice, GiveUp) else Reason(Why.UNFINISHED)
    return Ended(Ending.NOT_FOUND, because)
