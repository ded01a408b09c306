"""Where a session stands, and how each decision changes it.

``apply`` is the only way to change the recorded part. Resuming a session is folding its written decisions; the
transient part (``talk``) is left out of every record and starts empty.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from assistant.errors import DefectError
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    Ended,
    FactAnswered,
    FactWithdrawn,
    FixChosen,
    FixDeclined,
    FixDone,
    Held,
    HistoryTaken,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
    PutBackDone,
    Released,
    Remarked,
    Skipped,
)
from assistant.session.context import Context
from assistant.session.openings import cautions_behind, left_to_open
from assistant.session.outcomes import is_fine
from assistant.session.state import (
    AIR_TEMPERATURE,
    COIL_TEMPERATURE,
    LEAD_OHMS,
    NOT_SURE,
    UNIT_NUMBER,
    Answered,
    Cause,
    State,
    action_prompt,
    identity,
)

__all__ = [
    "AIR_TEMPERATURE",
    "COIL_TEMPERATURE",
    "LEAD_OHMS",
    "NOT_SURE",
    "UNIT_NUMBER",
    "Answered",
    "State",
    "action_prompt",
    "apply",
    "apply_all",
    "begin",
    "fold",
    "identity",
]


def begin(context: Context) -> State:
    """The state of a session that has not begun."""
    facts: dict[str, str] = {}
    if context.unit_number:
        facts[UNIT_NUMBER] = context.unit_number
    if context.air_fahrenheit is not None:
        facts[AIR_TEMPERATURE] = format(context.air_fahrenheit, "f")
    return State(facts=facts, history_of=context.unit_number)


def fold(context: Context, decisions: Iterable[Decision]) -> State:
    """The state that written decisions lead to."""
    state = begin(context)
    for decision in decisions:
        state = apply(context, state, decision)
    return state


def apply(context: Context, state: State, decision: Decision) -> State:
    """The state after one decision; the transient part is untouched.

    Raises:
        DefectError: this is no decision.
    """
    change = _CHANGES.get(type(decision))
    if change is None:
        raise DefectError(f"{type(decision).__name__} is no decision; the state stays as it was.")
    return change(context, state, decision)


def apply_all(context: Context, state: State, decisions: Iterable[Decision]) -> State:
    """The state after several decisions."""
    for decision in decisions:
        state = apply(context, state, decision)
    return state


def _phase_entered(context: Context, state: State, decision: PhaseEntered) -> State:
    if decision.phase is Phase.CAUTIONS:
        return replace(state, phase=decision.phase, ready=True)
    if decision.phase is Phase.PROVING:
        work = tuple(entry for entry in state.work if not (isinstance(entry, Skipped) and _of_proof(entry)))
        again = {name for step in context.procedure.proof.steps for name in step.cautions}
        heard = state.acknowledged - again
        return replace(state, phase=decision.phase, action=None, proof=(), unproven="", work=work, acknowledged=heard)
    keeps = decision.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING)
    return replace(state, phase=decision.phase, action=state.action if keeps else None)


def _caution(_: Context, state: State, decision: CautionAcknowledged) -> State:
    done = Answered("caution", identity("caution", decision.caution), decision.caution)
    return replace(
        state,
        acknowledged=state.acknowledged | {decision.caution},
        warned={**state.warned, decision.caution: decision.place or ""},
        trail=_trail(state, done, again=False),
    )


def _fact(_: Context, state: State, decision: FactAnswered) -> State:
    done = Answered("fact", identity("fact", decision.fact), decision.fact)
    return replace(
        state, facts={**state.facts, decision.fact: decision.value}, trail=_trail(state, done, again=False)
    )


def _fact_withdrawn(_: Context, state: State, decision: FactWithdrawn) -> State:
    if decision.fact.startswith("proof:"):
        step = decision.fact.removeprefix("proof:")
        return replace(
            state,
            proof=tuple(done for done in state.proof if done.step != step),
            trail=tuple(done for done in state.trail if done.prompt != decision.fact),
        )
    facts = {name: value for name, value in state.facts.items() if name != decision.fact}
    prompt = identity("fact", decision.fact)
    return replace(
        state,
        facts=facts,
        trail=tuple(done for done in state.trail if done.prompt != prompt),
        work=_without_skip(state, prompt),
        action=None,
        history_of="" if decision.fact == UNIT_NUMBER else state.history_of,
        history=() if decision.fact == UNIT_NUMBER else state.history,
    )


def _opened(_: Context, state: State, decision: AccessOpened) -> State:
    done = Answered("access", identity("access", decision.access, decision.place))
    return replace(state, work=(*_without_skip(state, done.prompt), decision), trail=_trail(state, done))


def _chosen(context: Context, state: State, decision: CheckChosen | FixChosen) -> State:
    again = cautions_behind(context, left_to_open(context, state.facts, state.opened, decision))
    if isinstance(decision, FixChosen):
        again |= set(context.fix(decision.fix).cautions)
    else:
        here = decision.place or ""
        again |= {name for name in context.check(decision.check).cautions if state.warned.get(name, here) != here}
    return replace(state, action=decision, acknowledged=state.acknowledged - again)


def _observed(context: Context, state: State, decision: Observed) -> State:
    prompt = identity("check", decision.check, decision.place)
    done = Answered("check", prompt, decision.check, decision.number)
    return replace(
        state,
        work=(*_without_skip(state, prompt), decision),
        causes=_causes(context, state, decision),
        count=max(state.count, decision.number),
        action=_unless(state, prompt),
        trail=_trail(state, done),
    )


def _causes(context: Context, state: State, decision: Observed) -> tuple[Cause, ...]:
    """What the fixes were done for, after a reading: one that was measured again and is not good was no cause."""
    if not decision.proof or not state.causes:
        return state.causes
    *others, last = state.causes
    if not is_fine(context, decision):
        return tuple(others)
    return (*others, replace(last, measured=True)) if last.place in (None, decision.place) else state.causes


def _withdrawn(_: Context, state: State, decision: ObservationWithdrawn) -> State:
    def stands(entry: object) -> bool:
        return not (isinstance(entry, Observed) and entry.number == decision.number)

    return replace(
        state,
        work=tuple(entry for entry in state.work if stands(entry)),
        trail=tuple(done for done in state.trail if done.kind != "check" or done.number != decision.number),
        action=None,
    )


def _skipped(_: Context, state: State, decision: Skipped) -> State:
    state = replace(state, work=(*state.work, decision))
    if decision.prompt.startswith("proof:"):
        step = decision.prompt.removeprefix("proof:")
        return replace(state, unproven=state.unproven or f"{step} was skipped: {decision.reason}")
    if decision.prompt.startswith("access:"):
        return replace(state, action=None)
    return replace(state, action=_unless(state, decision.prompt))


def _fix_done(_: Context, state: State, decision: FixDone) -> State:
    prompt = identity("fix", decision.fix, decision.place)
    action = state.action
    cause = (Cause(action.fault, action.place, action.condemned),) if isinstance(action, FixChosen) else ()
    return replace(
        state,
        work=(*state.work, decision),
        causes=tuple(dict.fromkeys((*state.causes, *cause))),
        action=_unless(state, prompt),
        trail=_trail(state, Answered("fix", prompt)),
        unproven="",
    )


def _declined(_: Context, state: State, decision: FixDeclined) -> State:
    prompt = identity("fix", decision.fix, decision.place)
    return replace(state, work=(*state.work, decision), action=_unless(state, prompt))


def _proof_step(_: Context, state: State, decision: ProofStepDone) -> State:
    others = tuple(done for done in state.proof if done.step != decision.step)
    done = Answered("proof", identity("proof", decision.step), decision.step)
    return replace(state, proof=(*others, decision), trail=_trail(state, done, again=False))


def _proof_finished(_: Context, state: State, decision: ProofFinished) -> State:
    causes = (
        state.causes
        if decision.passed
        else tuple(cause for cause in state.causes if cause.condemned or cause.measured)
    )
    return replace(state, work=(*state.work, decision), proof=(), unproven="", causes=causes)


def _history(_: Context, state: State, decision: HistoryTaken) -> State:
    return replace(state, history_of=decision.unit, history=decision.weights)


def _ended(_: Context, state: State, decision: Ended) -> State:
    return replace(state, phase=Phase.ENDED, ended=decision, action=None)


def _of_proof(skip: Skipped) -> bool:
    return skip.prompt.startswith("proof:")


def _without_skip(state: State, prompt: str) -> tuple[Decision, ...]:
    return tuple(entry for entry in state.work if not (isinstance(entry, Skipped) and entry.prompt == prompt))


def _trail(state: State, done: Answered, *, again: bool = True) -> tuple[Answered, ...]:
    kept = state.trail if again else tuple(entry for entry in state.trail if entry.prompt != done.prompt)
    return (*kept, done)


def _unless(state: State, prompt: str) -> CheckChosen | FixChosen | None:
    """The chosen action, None when it is the one that this prompt stands for."""
    return None if state.action is not None and action_prompt(state.action) == prompt else state.action


_CHANGES: dict[type, Callable[[Context, State, Any], State]] = {
    PhaseEntered: _phase_entered,
    CautionAcknowledged: _caution,
    FactAnswered: _fact,
    FactWithdrawn: _fact_withdrawn,
    AccessOpened: _opened,
    CheckChosen: _chosen,
    FixChosen: _chosen,
    Observed: _observed,
    ObservationWithdrawn: _withdrawn,
    Skipped: _skipped,
    FixDone: _fix_done,
    FixDeclined: _declined,
    ProofStepDone: _proof_step,
    ProofFinished: _proof_finished,
    PutBackDone: lambda _, state, decision: replace(state, work=(*state.work, decision)),
    NoteTaken: lambda _, state, decision: replace(state, notes=(*state.notes, decision.text)),
    Held: lambda _, state, __: replace(state, held=True),
    Released: lambda _, state, __: replace(state, held=False),
    HistoryTaken: _history,
    Ended: _ended,
    Remarked: lambda _, state, __: state,
}
