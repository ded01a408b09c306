"""What is said to a question whether something is safe: stop, and the cautions that speak of it. Never an answer."""

from __future__ import annotations

from assistant.messages import Say
from assistant.messages.decisions import CheckChosen, FixChosen
from assistant.phrasing.conditions import condition_text
from assistant.procedure.model import Caution
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.state import State
from assistant.understanding.hazards import about, engine_named, lifted_named

_MOST = 2
"""Cautions that are said: more are not listened to."""


def safe_words(context: Context, state: State, text: str) -> tuple[Say, ...]:
    """What is said to a safety question.

    The cautions of the step that is asked come first, then those of the whole procedure that speak of what is named,
    then what the step says of the engine.
    """
    own = _of_the_step(context, state)
    named = [one for one in context.procedure.cautions if about(text, one.say, context.vocabulary)]
    told = [one for one in own if one in named] + [one for one in named if one not in own]
    first = (
        Say("safe_engine")
        if engine_named(text, context.vocabulary)
        else Say("safe_under")
        if lifted_named(text, context.vocabulary)
        else Say("safe_stop")
    )
    told = told or own or [one for one in context.procedure.cautions if one.first]
    if first.key != "safe_stop":
        told = [one for one in told if one in named]
    says = (first, *(Say("caution_told", {"text": one.say}) for one in told[:_MOST]))
    return (*says, *_engine(context, state)) if first.key == "safe_engine" else says


def _of_the_step(context: Context, state: State) -> list[Caution]:
    """The cautions of the check, repair or step of the proof that is asked or comes next."""
    asked, action = asked_now(context, state), state.action
    if asked.mode is Mode.PROOF:
        names = context.proof_step(asked.name).cautions
    elif isinstance(action, CheckChosen):
        names = context.check(action.check).cautions
    elif isinstance(action, FixChosen):
        names = context.fix(action.fix).cautions
    else:
        names = asked.names or ((asked.name,) if asked.mode is Mode.CAUTION else ())
    return [context.caution(name) for name in names]


def _engine(context: Context, state: State) -> tuple[Say, ...]:
    """Whether the reading is taken with the engine off or running, where the check says so."""
    action = state.action
    if not isinstance(action, CheckChosen):
        return ()
    value = context.check(action.check).conditions.get("engine")
    return () if value is None else (Say("condition_is", {"text": condition_text("engine", value)}),)
