"""Where a session stands, and how each decision changes it.

``apply`` is the only way to change the recorded part. What the decisions add up to is the ledger's business
(``session.ledger``), and the same for a record on disk; what is asked next needs a little more, which stands here.
Resuming a session is folding its written decisions; the transient part (``dialog``) is left out of every record and
starts empty.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Any, get_args

from assistant.errors import DefectError
from assistant.messages import Prompt, PromptKind, check_prompt
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
    ProofStepWithdrawn,
    QuestionChosen,
    SaidTogether,
    Skipped,
)
from assistant.session.context import Context
from assistant.session.ledger import UNIT_NUMBER, Ledger
from assistant.session.openings import cautions_behind, left_to_open
from assistant.session.results.results import Results, results_of
from assistant.session.results.signs import checks_of
from assistant.session.state import (
    AIR_TEMPERATURE,
    COIL_TEMPERATURE,
    LEAD_OHMS,
    LOWEST_AC,
    Answered,
    State,
    action_prompt,
)

__all__ = [
    "AIR_TEMPERATURE",
    "COIL_TEMPERATURE",
    "LEAD_OHMS",
    "UNIT_NUMBER",
    "Answered",
    "State",
    "action_prompt",
    "apply",
    "apply_all",
    "begin",
    "fold",
    "results",
]
_AC_RANGES = ((Decimal(6), "two volts"), (Decimal(60), "twenty volts"), (Decimal(600), "two hundred volts"))
"""Highest full scale of a lowest AC range, in volts, that counts as each answer; 6,000 counts show 6 where 2,000
show 2."""
_DECISIONS = frozenset(get_args(Decision))


def begin(context: Context) -> State:
    """The state of a session that has not begun."""
    facts: dict[str, str] = {}
    if context.unit_number:
        facts[UNIT_NUMBER] = context.unit_number
    if context.air_fahrenheit is not None:
        facts[AIR_TEMPERATURE] = format(context.air_fahrenheit, "f")
    facts.update(told_by_meter(context))
    return State(
        Ledger(
            given=facts,
            history_of=context.unit_number,
            last_facts=context.last_facts,
            last_seen=context.last_seen,
            talk=context.talk,
            found=context.found_before,
        )
    )


def told_by_meter(context: Context) -> dict[str, str]:
    """What the table of the meter in hand answers, so that it is not asked: its lowest AC range."""
    question = next((one for one in context.procedure.facts if one.name == LOWEST_AC), None)
    lowest = context.meter.lowest_range("V", ac=True) if context.meter is not None else None
    if question is None or lowest is None:
        return {}
    name = next((name for top, name in _AC_RANGES if lowest.top <= top), "")
    return {LOWEST_AC: name} if name in {option.name for option in question.choices} else {}


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
        return replace(state, action=None, wanted="", acknowledged=state.acknowledged - again)
    keeps = decision.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING)
    return replace(state, action=state.action if keeps else None, wanted=state.wanted if keeps else "")


def _caution(_: Context, state: State, decision: CautionAcknowledged) -> State:
    done = Answered(Prompt(PromptKind.CAUTION, decision.caution))
    return replace(
        state,
        acknowledged=state.acknowledged | {decision.caution},
        warned={**state.warned, decision.caution: decision.place or ""},
        answer_history=(*_without(state, done.prompt), done),
    )


def _fact(_: Context, state: State, decision: FactAnswered) -> State:
    """An answer while the fault is looked for may change what comes next, so that is chosen anew."""
    searching = state.phase in (Phase.FINDING, Phase.REPAIRING)
    after = replace(state, wanted="", action=None if searching else state.action)
    return _answered_once(after, Prompt(PromptKind.FACT, decision.fact))


def _question(_: Context, state: State, decision: QuestionChosen) -> State:
    return replace(state, wanted=decision.fact, action=None)


def _fact_withdrawn(_: Context, state: State, decision: FactWithdrawn) -> State:
    history = _without(state, Prompt(PromptKind.FACT, decision.fact))
    return replace(state, answer_history=history, action=None, wanted="")


def _proof_step_withdrawn(_: Context, state: State, decision: ProofStepWithdrawn) -> State:
    return replace(state, answer_history=_without(state, Prompt(PromptKind.PROOF, decision.step)))


def _opened(context: Context, state: State, decision: AccessOpened) -> State:
    again = set(context.access(decision.access).put_back_cautions)
    state = replace(state, acknowledged=state.acknowledged - again)
    return _answered(state, Prompt(PromptKind.ACCESS, decision.access, decision.place))


def _chosen(context: Context, state: State, decision: CheckChosen | FixChosen) -> State:
    again = cautions_behind(context, left_to_open(context, state.facts, state.opened, decision))
    if not state.work:  # what was said at the beginning was said a moment ago, and nothing was touched since
        again -= {one.name for one in context.procedure.cautions if one.first}
    if isinstance(decision, FixChosen):
        again |= set(context.fix(decision.fix).cautions)
    else:
        here = decision.place or ""
        again |= {name for name in context.check(decision.check).cautions if state.warned.get(name, here) != here}
    return replace(state, action=decision, wanted="", acknowledged=state.acknowledged - again)


def _observed(_: Context, state: State, decision: Observed) -> State:
    prompt = check_prompt(decision.check, decision.place)
    counted = replace(state, count=max(state.count, decision.number), action=_unless(state, prompt))
    return _answered(counted, prompt, decision.number)


def _withdrawn(_: Context, state: State, decision: ObservationWithdrawn) -> State:
    stands = (done for done in state.answer_history if not done.is_observation(decision.number))
    return replace(state, answer_history=tuple(stands), action=None)


def _skipped(_: Context, state: State, decision: Skipped) -> State:
    if decision.prompt.kind is PromptKind.PROOF:
        return state
    if decision.prompt.kind is PromptKind.ACCESS:
        return replace(state, action=None)
    passed = replace(state, action=_unless(state, decision.prompt))
    return _answered(passed, decision.prompt) if decision.prompt.kind is PromptKind.CHECK else passed


def _fix_done(context: Context, state: State, decision: FixDone) -> State:
    again = set(context.fix(decision.fix).put_back_cautions)
    state = replace(state, acknowledged=state.acknowledged - again)
    prompt = Prompt(PromptKind.FIX, decision.fix, decision.place)
    return _answered(replace(state, action=_unless(state, prompt)), prompt)


def _declined(_: Context, state: State, decision: FixDeclined) -> State:
    return replace(state, action=_unless(state, Prompt(PromptKind.FIX, decision.fix, decision.place)))


def _proof_step(_: Context, state: State, decision: ProofStepDone) -> State:
    return _answered_once(state, Prompt(PromptKind.PROOF, decision.step))


def _ended(_: Context, state: State, __: Ended) -> State:
    return replace(state, action=None)


def _together(_: Context, state: State, decision: SaidTogether) -> State:
    told = [done for done in state.answer_history if done.prompt.kind in (PromptKind.FACT, PromptKind.CHECK)]
    said = tuple(told[-decision.count :]) if decision.count > 0 else ()
    return replace(state, together=(*state.together, said))


def _answered(state: State, prompt: Prompt, number: int = 0) -> State:
    return replace(state, answer_history=(*state.answer_history, Answered(prompt, number)))


def _answered_once(state: State, prompt: Prompt) -> State:
    """A prompt that was answered before stands in the history where it was answered last."""
    return replace(state, answer_history=(*_without(state, prompt), Answered(prompt)))


def _without(state: State, prompt: Prompt) -> tuple[Answered, ...]:
    return tuple(done for done in state.answer_history if done.prompt != prompt)


def _unless(state: State, prompt: Prompt) -> CheckChosen | FixChosen | None:
    """The chosen action, None when it is the one that this prompt stands for."""
    return None if state.action is not None and action_prompt(state.action) == prompt else state.action


_CHANGES: dict[type, Callable[[Context, State, Any], State]] = {
    PhaseEntered: _phase_entered,
    CautionAcknowledged: _caution,
    FactAnswered: _fact,
    FactWithdrawn: _fact_withdrawn,
    AccessOpened: _opened,
    CheckChosen: _chosen,
    QuestionChosen: _question,
    FixChosen: _chosen,
    Observed: _observed,
    ObservationWithdrawn: _withdrawn,
    Skipped: _skipped,
    FixDone: _fix_done,
    FixDeclined: _declined,
    ProofStepDone: _proof_step,
    ProofStepWithdrawn: _proof_step_withdrawn,
    SaidTogether: _together,
    Ended: _ended,
}
"""What decisions change beside the ledger."""
