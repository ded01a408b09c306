"""One step of a session: a fact goes in, the new state and the effects come out.

``step`` looks the mode and the event up in ``session.dispatch``. It is pure: same inputs, same outputs.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.errors import DefectError
from assistant.messages import Command, Expectation, Expects, Fact, Heard, Outcome, Say, Talk
from assistant.messages.decisions import Effect, Record
from assistant.phrasing.speech_chunks import go_on
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import Event, as_choice, event_of_fact, event_of_speech
from assistant.session.fold import State
from assistant.session.handlers.facts import unsure
from assistant.session.handlers.survey_jumps import place_named
from assistant.session.questions import expectation
from assistant.session.turn import Result, Turn
from assistant.understanding.interpret import interpret

_DEAF = (Mode.NEW, Mode.LOOK_UP, Mode.RECORDING, Mode.UNWRITTEN, Mode.ENDED)
"""Modes in which what was said is not understood, but for 'stop' while a record waits."""


def step(context: Context, state: State, fact: Fact) -> tuple[State, tuple[Effect, ...]]:
    """The state and the effects that a fact leads to.

    Raises:
        DefectError: the fact cannot come in this state; nothing is changed.
    """
    mode = mode_of(context, state)
    turn = Turn(context, state, fact)
    event = event_of_fact(fact)
    if isinstance(fact, Heard) and mode not in _DEAF:
        turn = _understood(turn, fact)
        named = place_named(turn, mode, fact)
        if named is not None:
            turn, event = replace(turn, understood=named), Event.PLACE
        else:
            event = event_of_speech(turn.meant)
    elif isinstance(fact, Heard) and mode is Mode.UNWRITTEN and _is_stop(turn, fact):
        event = Event.STOP
    return _worded(*handle(turn, mode, event))


def _worded(state: State, effects: tuple[Effect, ...]) -> Result:
    """Everything that is said, in the length that the person wants; a record counts with what it changes."""
    talk = state.talk if state.pending is None else state.pending.following.talk
    if talk is Talk.USUAL:
        return state, effects
    return state, tuple(_in_length(one, talk) for one in effects)


def _in_length(effect: Effect, talk: Talk) -> Effect:
    if isinstance(effect, Say):
        return replace(effect, talk=talk)
    if isinstance(effect, Record):
        return replace(effect, replies=tuple(replace(say, talk=talk) for say in effect.replies))
    return effect


def _is_stop(turn: Turn, fact: Heard) -> bool:
    meant = interpret(fact.hypotheses, Expectation(Expects.COMMAND), turn.context.vocabulary, snr_db=fact.snr_db)
    return meant.command is Command.STOP and not meant.confirm


def _understood(turn: Turn, fact: Heard) -> Turn:
    wanted = expectation(turn.context, turn.state)
    meant = interpret(fact.hypotheses, wanted, turn.context.vocabulary, snr_db=fact.snr_db)
    meant = go_on(meant, fact.hypotheses[0].words if fact.hypotheses else "", turn.state.dialog.rest)
    understood = unsure(turn, fact) or as_choice(meant, wanted)
    return replace(turn, understood=understood, expectation=wanted)


def handle(turn: Turn, mode: Mode, event: Event) -> Result:
    """Answer one event by its row of the table. A yes to a mistyped command is that command, in the mode below.

    Raises:
        DefectError: the table has no such row, or the answer leads where the row does not say.
    """
    overlay = turn.state.dialog.overlay
    if mode is Mode.CONFIRM and event is Event.YES and overlay is not None and overlay.candidate is not None:
        candidate = overlay.candidate
        if candidate.outcome is Outcome.COMMAND:
            obeyed = replace(turn.with_dialog(overlay=None), understood=replace(candidate, confirm=False))
            return handle(obeyed, mode_of(turn.context, obeyed.state), event_of_speech(obeyed.meant))
    row = TABLE[mode].get(event)
    if row is None:
        raise DefectError(
            f"The fact '{turn.fact.kind}' ({event}) cannot come in the mode '{mode}' of the phase "
            f"'{turn.state.phase}'; the state stays as it was."
        )
    result = row.handler(turn)
    row.check(turn, mode, event, result)
    return result
