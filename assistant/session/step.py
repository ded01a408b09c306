"""One step of a session: a fact goes in, the new state and the effects come out.

What was heard becomes an event (``session.heard``), and ``step`` looks the mode and the event up in
``session.dispatch``. It is pure: same inputs, same outputs.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.errors import DefectError
from assistant.messages import (
    About,
    Command,
    Expectation,
    Expects,
    Fact,
    Heard,
    Outcome,
    Say,
    Talk,
)
from assistant.messages.decisions import Effect, Record
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import Event, event_of_fact, event_of_speech
from assistant.session.fold import State
from assistant.session.handlers import asking
from assistant.session.heard import heard
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
        turn, event = heard(turn, mode, fact)
        mode = mode_of(context, turn.state)  # a skip that is taken back leaves the prompt below
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


def _with_reply(turn: Turn, result: Result) -> Result:
    """The answer to a question that came with the turn's answer; what the read-back tells is left to it."""
    meant = turn.understood
    if meant is None or meant.about is None or meant.outcome is Outcome.QUESTION:
        return result
    state, effects = result
    says = () if meant.about in _TOLD_ANYWAY else asking.replied(turn)
    if effects and isinstance(effects[0], Record):
        first = replace(
            effects[0],
            decisions=(asking.question_asked(turn), *effects[0].decisions),
            replies=(*says, *effects[0].replies),
        )
        pending = replace(state.pending, record=first) if state.pending is not None else None
        return replace(state, pending=pending), (first, *effects[1:])
    return state, (*says, *effects)


_TOLD_ANYWAY = (About.GOOD, About.LAST, About.NEXT)
"""Questions beside an answer that its read-back, and the next prompt, answer."""


def handle(turn: Turn, mode: Mode, event: Event) -> Result:
    """Answer one event by its row of the table. A yes to a mistyped command is that command, in the mode below.

    Raises:
        DefectError: the table has no such row, or the answer leads where the row does not say.
    """
    overlay = turn.state.dialog.overlay
    if mode is Mode.CONFIRM and event is Event.YES and overlay is not None and overlay.candidate is not None:
        candidate = overlay.candidate
        if candidate.outcome in (Outcome.COMMAND, Outcome.REPORT):
            plain, first = turn.with_dialog(overlay=None), overlay.heard or turn.fact
            obeyed = replace(plain, fact=first, understood=replace(candidate, confirm=False))
            return handle(obeyed, mode_of(turn.context, obeyed.state), event_of_speech(obeyed.meant))
    row = TABLE[mode].get(event)
    if row is None:
        raise DefectError(
            f"The fact '{turn.fact.kind}' ({event}) cannot come in the mode '{mode}' of the phase "
            f"'{turn.state.phase}'; the state stays as it was."
        )
    result = _with_reply(turn, row.handler(turn))
    row.check(turn, mode, event, result)
    return result
