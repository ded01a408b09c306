"""What one row of the table of transitions is made of: who answers, and to which modes the answer may lead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from assistant.errors import DefectError
from assistant.messages.decisions import Released
from assistant.session.agenda.prompts import ENDED, asked_now, main, mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State, apply
from assistant.session.turn import Result, Turn


class Relative(StrEnum):
    """A mode named by where the session stands, not by its own name."""

    STAY = "stay"
    """The same mode again."""
    BELOW = "below"
    """What lies under the question that is being asked, or under a hold; with neither the same as STAY."""
    PROMPT = "prompt"
    """The prompt under every question: an earlier one that was gone back to, or the one that the record asks."""
    WAITING = "waiting"
    """What the record leads to that is being written; the row that sent it was checked then."""


Modes = frozenset[Mode | Relative]
"""Modes to which an answer may lead."""
Handler = Callable[[Turn], Result]


def to(*modes: Mode | Relative) -> Modes:
    """A set of modes."""
    return frozenset(modes)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table."""

    handler: Handler
    """Who answers."""
    at_once: Modes = frozenset()
    """Where the answer leads when nothing is recorded."""
    recorded: Modes = frozenset()
    """Where it leads once the record that it sends is on disk; until then the session is in RECORDING."""

    def check(self, turn: Turn, mode: Mode, name: str, result: Result) -> None:
        """Compare an answer with the row, before anything of it is done.

        Args:
            turn: the turn that was answered.
            mode: the mode in which it was met.
            name: name of the event, for the error.
            result: the answer.

        Raises:
            DefectError: the answer leads to a mode that the row does not name.
        """
        after, named = result[0], self.at_once
        reached = mode_of(turn.context, after)
        if reached is Mode.RECORDING and reached not in named and after.pending is not None:
            reached, named = mode_of(turn.context, after.pending.following), self.recorded
        if reached in named:
            return
        if any(
            reached in _meant_by(one, turn.context, turn.state, mode) for one in named if isinstance(one, Relative)
        ):
            return
        raise DefectError(
            f"'{name}' in the mode '{mode}' led to the mode '{reached}', which its row of the table does not name; "
            "the state stays as it was."
        )


def _meant_by(relative: Relative, context: Context, state: State, mode: Mode) -> tuple[Mode, ...]:
    """The modes that a relative one stands for in this state."""
    dialog = state.dialog
    match relative:
        case Relative.STAY:
            return (mode,)
        case Relative.BELOW if state.held:
            return (mode_of(context, apply(context, state, Released())),)
        case Relative.BELOW:
            under = dialog.overlay.under if dialog.overlay is not None else None
            return (mode_of(context, replace(state, dialog=replace(dialog, overlay=under))),)
        case Relative.PROMPT:
            return asked_now(context, state).mode, (main(context, state) or ENDED).mode
        case Relative.WAITING:
            return () if state.pending is None else (mode_of(context, state.pending.following),)
