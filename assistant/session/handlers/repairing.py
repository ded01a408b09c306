"""Work in the real world: cautions acknowledged, things opened, fixes done or declined."""

from __future__ import annotations

from assistant.diagnosis.fault_model import Opening
from assistant.messages import NO_PROMPT, Say
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    FixDone,
    Phase,
    PhaseEntered,
)
from assistant.session.agenda.next_action import to_measure_again
from assistant.session.agenda.prompts import main
from assistant.session.dialog_state import Mode
from assistant.session.fold import apply_all
from assistant.session.openings import opening_minutes
from assistant.session.turn import Result, Turn, record


def ready(turn: Turn) -> Result:
    """Everything is in hand: the cautions begin."""
    return record(turn, (PhaseEntered(Phase.CAUTIONS),))


def acknowledge(turn: Turn) -> Result:
    """Yes to a caution, or to all that are due again; acknowledged aloud once, after the last."""
    asked = turn.asked
    names = asked.names or (asked.name,)
    made = tuple(CautionAcknowledged(name, asked.place, asked.before or NO_PROMPT) for name in names)
    following = main(turn.context, apply_all(turn.context, turn.state, made))
    more = following is not None and following.mode is Mode.CAUTION
    return record(turn, made, *(() if more else (Say("acknowledged"),)))


def opened(turn: Turn) -> Result:
    """Something was opened."""
    asked = turn.asked
    minutes = opening_minutes(turn.context, turn.state.facts, Opening(asked.name, asked.place))
    return record(turn, (AccessOpened(asked.name, asked.place, minutes),), Say("step_logged"))


def fix_done(turn: Turn) -> Result:
    """A fix was done."""
    asked, context = turn.asked, turn.context
    fix = context.fix(asked.name)
    done = FixDone(fix.name, asked.place, fix.title, fix.part)
    again = to_measure_again(context, apply_all(context, turn.state, (done,)))
    says = (Say("fix_logged", {"text": fix.title}), *((Say("measure_again"),) if again else ()))
    return record(turn, (done,), *says)
