"""A cause that was told without being asked: after a yes its repair comes next."""

from __future__ import annotations

from assistant.diagnosis.fault_model import Suspect
from assistant.messages import Prompt, Reason, Understanding, Why
from assistant.messages.decisions import FixChosen, NoteTaken, Phase, PhaseEntered
from assistant.session.agenda.next_action import shares
from assistant.session.turn import Result, Turn, record


def cause_confirmed(turn: Turn, candidate: Understanding, prompt: Prompt) -> Result:
    """Yes to a cause that was told: its repair comes next, and the record keeps his words."""
    fault = candidate.choice or ""
    each = next(one.each for one in turn.context.procedure.faults if one.name == fault)
    share = shares(turn.context, turn.state).get(Suspect(fault, prompt.place if each else None), 0.0)
    because = Reason(Why.TOLD, {"words": candidate.heard})
    fix = FixChosen(prompt.name, prompt.place, fault, share, condemned=True, because=because)
    phase = () if turn.state.phase is Phase.REPAIRING else (PhaseEntered(Phase.REPAIRING),)
    return record(turn, (NoteTaken(candidate.heard), *phase, fix))
