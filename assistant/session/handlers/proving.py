"""The proof of the repair, step by step; a failed step sends the session back to finding."""

from __future__ import annotations

from assistant.messages import Heard, Outcome, Reason, Say, Understanding, Why
from assistant.messages.decisions import Decision, NoteTaken, ProofStepDone, Remarked
from assistant.procedure.model import ProofStep
from assistant.session.agenda.prompts import asked_now
from assistant.session.dialog_state import DialogState, Mode, Overlay
from assistant.session.fold import apply_all
from assistant.session.handlers.finding import confirm, remark_of_yes
from assistant.session.handlers.halves import half
from assistant.session.turn import Result, Turn, reask, record
from assistant.understanding.commanding.wishes import only_onward

TOO_SLOW = "slow"
"""Why a drive is asked about that is told as done after one that was too slow."""
TOO_QUICK = "quick"
"""Why work is asked about that was answered sooner than it can be done."""


def step_done(turn: Turn) -> Result:
    """Yes or next at a step that has only to be done."""
    step = turn.context.proof_step(turn.asked.name)
    if step.kind != "do":
        return reask(turn) if only_onward(turn.meant.heard, turn.context.vocabulary) else half(turn)
    told = turn.rolled
    if told is not None and told.too_slow:
        slow = Say("too_slow", {"value": told.speed, "limit": step.faster_than, "unit": "mph"})
        return record(turn.with_dialog(slow=True), (NoteTaken(turn.meant.heard),), slow, keep=True)
    if told is None and turn.state.dialog.slow and not turn.state.dialog.quick:
        # 'next' after a drive that was too slow says nothing of another one
        question = Say("faster_now", {"limit": step.faster_than, "unit": "mph"})
        return confirm(turn.with_dialog(quick=True), turn.meant, question, TOO_SLOW)
    if told is not None and told.light is not None:
        return _road_told(turn, step, told.light)
    quick = _too_quick(turn, step) if told is None else ()
    if quick and not turn.state.dialog.quick and step.too_quick is not None:
        question = Say("too_quick", {"text": step.too_quick.ask})
        return confirm(turn.with_dialog(quick=True), turn.meant, question, TOO_QUICK)
    made = (*quick, *((NoteTaken(turn.meant.heard),) if told is not None else ()))
    return record(
        turn, (*made, ProofStepDone(step.name, "done", passed=True)), *_slow(turn, step), Say("step_logged")
    )


def _slow(turn: Turn, step: ProofStep) -> tuple[Say, ...]:
    """That a drive counts which would have shown more at a higher speed."""
    told = turn.rolled
    if told is None or not told.slow:
        return ()
    return (Say("slow_counts", {"value": told.speed, "limit": step.better_from, "unit": "mph"}),)


def _road_told(turn: Turn, step: ProofStep, light: str) -> Result:
    """The drive is done, and what the light did is asked about before it counts."""
    context = turn.context
    made = (NoteTaken(turn.meant.heard), ProofStepDone(step.name, "done", passed=True))
    after = apply_all(context, turn.state, made)
    asked = asked_now(context, after)
    if asked.mode is not Mode.PROOF:
        return record(turn, made, *_slow(turn, step), Say("step_logged"))
    passed = light in context.proof_step(asked.name).passes
    question = Say("is_it" if passed else "fails", {"text": light})
    heard = turn.fact if isinstance(turn.fact, Heard) else None
    meant = Understanding(Outcome.CHOICE, turn.meant.heard, choice=light, confirm=True)
    overlay = Overlay(Mode.CONFIRM, question, meant, heard, asked_for="told_together" if passed else "fails")
    says = (*_slow(turn, step), Say("step_logged"))
    return record(turn, made, *says, dialog=DialogState(live=True, overlay=overlay))


def _too_quick(turn: Turn, step: ProofStep) -> tuple[Decision, ...]:
    """A remark that a step was answered sooner than it can be done; none where it was not, or nobody works."""
    since = turn.state.dialog.asked_at
    if step.too_quick is None or since is None or turn.context.simulated:
        return ()
    seconds = max(0.0, turn.fact.at - since)
    if seconds >= step.too_quick.seconds:
        return ()
    return (Remarked(Reason(Why.TOO_QUICK, {"step": step.name, "seconds": round(seconds)})),)


def answer_proof(turn: Turn, meant: Understanding, *, confirmed: bool) -> Result:
    """An answer in the proof. One that fails it needs an explicit yes: a slip must not start a second search."""
    step = turn.context.proof_step(turn.asked.name)
    if meant.outcome is not Outcome.CHOICE or meant.choice is None:
        return reask(turn, Say("again"))
    passed = meant.choice in step.passes
    if not passed and not confirmed:
        return confirm(turn, meant, Say("fails", {"text": meant.choice}), "fails")
    leaves = step.leaves.get(meant.choice) if passed else None
    told = (Remarked(Reason(Why.PROOF_LEAVES, {"text": leaves})),) if leaves else ()
    step_made = ProofStepDone(step.name, meant.choice, passed=passed)
    made = (*remark_of_yes(turn, confirmed=confirmed), *told, step_made)
    # a yes answered a question that named it: it is not read back twice
    return record(turn, made, *(() if confirmed else (Say("choice_logged", {"text": meant.choice}),)))
