"""Work in the real world: cautions acknowledged, things opened, fixes done or declined."""

from __future__ import annotations

from assistant.engine.decisions import (
    AccessOpened,
    CautionAcknowledged,
    FixDone,
    Phase,
    PhaseEntered,
)
from assistant.engine.opening import opening_minutes
from assistant.engine.setting import Setting
from assistant.engine.turn import Result, Turn, reask, record
from assistant.engine.view import Opening
from assistant.messages import Say


def ready(turn: Turn) -> Result:
    """Everything is in hand: the cautions begin."""
    return record(turn, (PhaseEntered(Phase.CAUTIONS),))


def not_ready(turn: Turn) -> Result:
    """No at ``ready``: there is time."""
    return reask(turn, Say("take_time"))


def acknowledge(turn: Turn) -> Result:
    """Yes to a caution."""
    return record(turn, (CautionAcknowledged(turn.asked.name),), Say("acknowledged"))


def caution_first(turn: Turn) -> Result:
    """No, or skip, at a caution: work waits until it is so."""
    return reask(turn, Say("caution_first"))


def opened(turn: Turn) -> Result:
    """Something was opened."""
    asked = turn.asked
    minutes = opening_minutes(turn.setting, turn.state.facts, Opening(asked.name, asked.place))
    return record(turn, (AccessOpened(asked.name, asked.place, minutes),), Say("step_logged"))


def fix_done(turn: Turn) -> Result:
    """A fix was done."""
    asked, setting = turn.asked, turn.setting
    fix = setting.fix(asked.name)
    return record(turn, (FixDone(fix.name, asked.place, fix.title, fix.part),), _logged(setting, fix.title))


def _logged(_: Setting, title: str) -> Say:
    return Say("fix_logged", {"text": title})
