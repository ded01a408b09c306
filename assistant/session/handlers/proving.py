"""The proof of the repair, step by step; a failed step sends the session back to finding."""

from __future__ import annotations

from assistant.messages import Outcome, Say, Understanding
from assistant.messages.decisions import ProofStepDone
from assistant.session.handlers.finding import confirm, remark_of_yes
from assistant.session.turn import Result, Turn, reask, record


def step_done(turn: Turn) -> Result:
    """Yes or next at a step that has only to be done."""
    step = turn.context.proof_step(turn.asked.name)
    if step.kind != "do":
        return reask(turn, Say("not_asked"))
    return record(turn, (ProofStepDone(step.name, "done", passed=True),), Say("step_logged"))


def answer_proof(turn: Turn, meant: Understanding, *, confirmed: bool) -> Result:
    """An answer in the proof. One that fails it needs an explicit yes: a slip must not start a second search."""
    step = turn.context.proof_step(turn.asked.name)
    if meant.outcome is not Outcome.CHOICE or meant.choice is None:
        return reask(turn, Say("again"))
    passed = meant.choice in step.passes
    if not passed and not confirmed:
        return confirm(turn, meant, Say("fails", {"text": meant.choice}), "fails")
    made = (*remark_of_yes(turn, confirmed=confirmed), ProofStepDone(step.name, meant.choice, passed=passed))
    # a yes answered a question that named it: it is not read back twice
    return record(turn, made, *(() if confirmed else (Say("choice_logged", {"text": meant.choice}),)))
