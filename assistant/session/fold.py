"""Where a session stands, and how each decision changes it.

``apply`` is the only way to change the recorded part. What the decisions add up to is the ledger's business
(``session.ledger``), and the same for a record on disk; what is asked next needs a little more, which stands here.
Resuming a session is folding its written decisions; the transient part (``dialog``) is left out of every record and
starts empty.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, get_args

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
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofStepDone,
    Skipped,
)
from assistant.session.context import Context
from assistant.session.ledger import UNIT_NUMBER, Ledger, identity
from assistant.session.openings import cautions_behind, left_to_open
from assistant.session.results import Results, checks_of, results_of
from assistant.session.state import (
    AIR_TEMPERATURE,
    COIL_TEMPERATURE,
    LEAD_OHMS,
    NOT_SURE,
    Answered,
    State,
    action_prompt,
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
    "results",
]
_DECISIONS = frozenset(get_args(Decision))


def begin(context: Context) -> State:
    """The state of a session that has not begun."""
    facts: dict[str, str] = {}
    if context.unit_number:
        facts[UNIT_NUMBER] = context.unit_number
    if context.air_fahrenheit is not None:
        facts[AIR_TEMPERATURE] = format(context.air_fahrenheit, "f")
    return State(Ledger(known=facts, history_of=context.unit_number))


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
    if type(decision) not in _DECISIONS:
        raise DefectError(f"{type(decision).__name__} is no decision; the state stays as it was.")
    change = _CHANGES.get(type(decision))
    after = state if change is None else change(context, state, decision)
    return replace(after, ledger=state.ledger.after(decision))


def results(context: Context, state: State) -> Results:
    """What the session amounts to so far."""
    return results_of(state.ledger, checks_of(context.procedure))


def apply_all(context: Context, state: State, decisions: Iterable[Decision]) -> State:
    """The state after several decisions."""
    for decision in decisions:
        state = apply(context, state, decision)
    return state


def _phase_entered(context: Context, state: State, decision: PhaseEntered) -> State:
    if decision.phase is Phase.CAUTIONS:
        return replace(state, ready=True)
    if decision.phase is Phase.PROVING:
        again = {name for step in context.procedure.proof.steps for name in step.cautions}
        return replace(state, action=None, acknowledged=state.acknowledged - again)
    keeps = decision.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING)
    return replace(state, action=state.action if keeps else None)


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
    return replace(state, trail=_trail(state, done, again=False))


def _fact_withdrawn(_: Context, state: State, decision: FactWithdrawn) -> State:
    of_proof = decision.fact.startswith("proof:")
    prompt = decision.fact if of_proof else identity("fact", decision.fact)
    trail = tuple(done for done in state.trail if done.prompt != prompt)
    return replace(state, trail=trail, action=state.action if of_proof else None)


def _opened(_: Context, state: State, decision: AccessOpened) -> State:
    return replace(
        state, trail=_trail(state, Answered("access", identity("access", decision.access, decision.place)))
    )


def _chosen(context: Context, state: State, decision: CheckChosen | FixChosen) -> State:
    again = cautions_behind(context, left_to_open(context, state.facts, state.opened, decision))
    if isinstance(decision, FixChosen):
        again |= set(context.fix(decision.fix).cautions)
    else:
        here = decision.place or ""
        again |= {name for name in context.check(decision.check).cautions if state.warned.get(name, here) != here}
    return replace(state, action=decision, acknowledged=state.acknowledged - again)


def _observed(_: Context, state: State, decision: Observed) -> State:
    prompt = identity("check", decision.check, decision.place)
    return replace(
        state,
        count=max(state.count, decision.number),
        action=_unless(state, prompt),
        trail=_trail(state, Answered("check", prompt, decision.check, decision.number)),
    )


def _withdrawn(_: Context, state: State, decision: ObservationWithdrawn) -> State:
    trail = tuple(done for done in state.trail if done.kind != "check" or done.number != decision.number)
    return replace(state, trail=trail, action=None)


def _skipped(_: Context, state: State, decision: Skipped) -> State:
    if decision.prompt.startswith("proof:"):
        return state
    if decision.prompt.startswith("access:"):
        return replace(state, action=None)
    return replace(state, action=_unless(state, decision.prompt))


def _fix_done(_: Context, state: State, decision: FixDone) -> State:
    prompt = identity("fix", decision.fix, decision.place)
    return replace(state, action=_unless(state, prompt), trail=_trail(state, Answered("fix", prompt)))


def _declined(_: Context, state: State, decision: FixDeclined) -> State:
    return replace(state, action=_unless(state, identity("fix", decision.fix, decision.place)))


def _proof_step(_: Context, state: State, decision: ProofStepDone) -> State:
    done = Answered("proof", identity("proof", decision.step), decision.step)
    return replace(state, trail=_trail(state, done, again=False))


def _ended(_: Context, state: State, __: Ended) -> State:
    return replace(state, action=None)


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
    Ended: _ended,
}
"""What decisions change beside the ledger."""
