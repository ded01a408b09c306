"""Readers of what the proof of a cure hears: a test drive, what is left to put back, a code."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Command, Outcome, Understanding
from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from assistant.session.hearing.reader import Told
from assistant.session.turn import Turn
from assistant.session.unprompted.all_but import left_of
from assistant.session.unprompted.codes import code_read
from assistant.session.unprompted.road_test import rolled


def drive_reported(turn: Turn, _: Mode, words: str) -> Told | None:
    """A test drive, told where the prompt itself understands nothing, or only part of it."""
    free = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT, Outcome.CHOOSE)
    if turn.meant.outcome not in free and turn.meant.command not in _PARTLY:
        return None
    drive = rolled(turn.context, turn.state, words)
    return None if drive is None else (replace(turn, rolled=drive), Event.SKIP if drive.refused else Event.YES)


_PARTLY = (Command.YES, Command.NEXT, Command.NO, Command.SKIP)


def rest_of_the_list(turn: Turn, _: Mode, words: str) -> Told | None:
    """What alone is left of the put-back list."""
    left = left_of(turn.context, turn.state, words)
    return None if left is None else (replace(turn, left=left), Event.NOT_UNDERSTOOD)


def code_reported(turn: Turn, _: Mode, words: str) -> Told | None:
    """A code, told where the proof reads them; not where the prompt itself is answered."""
    meant = turn.meant
    # 'left rear open again' sounds like a command, and 'none' like a no
    if meant.outcome is Outcome.COMMAND and not (meant.confirm or meant.command is Command.NO):
        return None
    told = code_read(turn.context, turn.state, words)
    return (replace(turn, understood=nothing(turn, words), code_read=told), Event.SEVERAL) if told else None


def nothing(turn: Turn, words: str) -> Understanding:
    """What the prompt itself has of words that are taken apart otherwise."""
    return Understanding(turn.meant.outcome, words)
