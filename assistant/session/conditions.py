"""How a check is asked: what changed in the meter's connection and the conditions, then the question."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from assistant.messages import Say
from assistant.messages.decisions import AccessOpened, FixDone, Observed, ProofFinished, PutBackDone
from assistant.phrasing.conditions import (
    condition_text,
    in_words,
    mentions,
    says_load,
    says_plugged,
    says_unplugged,
)
from assistant.phrasing.sentences import LOAD_FIRST, PLUG_FIRST, UNPLUG_FIRST
from assistant.procedure.model import Check
from assistant.session.agenda.next_action import at
from assistant.session.agenda.outcomes import bad_tool
from assistant.session.agenda.prompts import Asked
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.session.standing import standing, to_close, to_load, to_open

PARTS = ("dial", "hole", "red", "black")
_AT_PLACE = frozenset({"plugged", "pace", "wire", "load", "wheel", "drum"})
"""Conditions of one place; all others (key, engine, pressure) hold for the whole unit."""


def is_ac(check: Check) -> bool:
    """True when this check is read with the dial on AC."""
    return check.leads is not None and re.search(r"\bAC\b", check.leads.dial) is not None


def resolution_at(context: Context, check: Check) -> Decimal | None:
    """Value of the last digit in the meter's finest range, in the check's unit; None where it is not known.

    The finest, not the one that fits the limits: a bad part reads in another range than a good one, and what the
    meter could show there must stay possible.
    """
    if context.meter is None or check.unit is None:
        return None
    lowest = context.meter.lowest_range(check.unit, ac=is_ac(check))
    return None if lowest is None else lowest.resolution


def ask_check(context: Context, state: State, asked: Asked, *, full: bool) -> tuple[Say, ...]:
    """The question of a check; ``full`` repeats the meter's connection and the conditions."""
    check = context.check(asked.name)
    says = [Say("once_more")] if _taken_already(state, asked) else []
    tool = None if state.dialog.revisit else bad_tool(context, state)
    if tool is not None and (tool[0].check, tool[0].place) == (asked.name, asked.place):
        says = [Say("ask", {"text": tool[1]})]
    leads = _leads(context, check, asked.place)
    was = {} if full else _leads_before(context, state)
    changed = {name: text for name, text in leads.items() if text and text != was.get(name)}
    if changed:
        says.append(Say("leads", {name: changed.get(name, "") for name in PARTS}))
    ask = at(check.ask, asked.place)
    held = {} if full else _held(state, asked.place)
    first = _first(context, state, check, asked.place, ask)
    new = [
        condition_text(name, value)
        for name, value in check.conditions.items()
        if held.get(name) != value and not mentions(ask, name, value) and (name != "plugged" or check.hands is None)
    ]
    if first or new:
        says.append(Say("conditions", {"text": " ".join([*first, *new])}))
    says.append(Say("ask", {"text": ask}))
    return tuple(says)


def _first(context: Context, state: State, check: Check, place: str | None, ask: str) -> list[str]:
    """What must be plugged, unplugged or loaded first: what the data need and the unit, as it stands, lacks."""
    now, procedure = standing(context, state), context.procedure
    said = []
    close = [name for name in to_close(procedure, now, check.hands, place) if not says_plugged(ask, name)]
    if close:
        said.append(PLUG_FIRST.format(plugs=in_words(close)))
    unplug = to_open(procedure, now, check.hands, place)
    if unplug and not says_unplugged(ask):
        said.append(UNPLUG_FIRST.format(plugs=in_words(unplug)))
    load = to_load(now, check.hands, place)
    if load is not None and not says_load(ask):
        said.append(LOAD_FIRST.format(plus=load.plus, minus=load.minus))
    return said


def _taken_already(state: State, asked: Asked) -> bool:
    """True when this check was read here before: asked word for word again, it would sound like an error."""
    if state.dialog.revisit:
        return False
    for entry in reversed(state.work):
        if isinstance(entry, FixDone):
            return False
        if isinstance(entry, Observed) and (entry.check, entry.place) == (asked.name, asked.place):
            return True
    return False


def _held(state: State, place: str | None) -> dict[str, str]:
    """Conditions of the readings since something was last opened, repaired or put back."""
    held: dict[str, str] = {}
    where: str | None = None
    for entry in state.work:
        if isinstance(entry, AccessOpened | FixDone | PutBackDone | ProofFinished):
            held = {}
        elif isinstance(entry, Observed):
            kept = held if entry.place == where else _unit_wide(held)
            held, where = {**kept, **(entry.conditions or {})}, entry.place
    return held if place == where else _unit_wide(held)


def _unit_wide(held: dict[str, str]) -> dict[str, str]:
    return {name: value for name, value in held.items() if name not in _AT_PLACE}


def _leads_before(context: Context, state: State) -> Mapping[str, str]:
    """Where the leads were at the last reading that named them."""
    for seen in reversed(state.observations):
        check = context.check(seen.check)
        if check.leads is not None:
            return _leads(context, check, seen.place)
    return {}


def _leads(context: Context, check: Check, place: str | None) -> dict[str, str]:
    leads = check.leads
    if leads is None:
        return {}
    hole = _jack(context, check) if leads.hole in ("volts", "ohms") else leads.hole
    found = {"dial": leads.dial, "hole": hole, "red": leads.red, "black": leads.black}
    return {name: at(text, place) for name, text in found.items()}


def _jack(context: Context, check: Check) -> str:
    """The jack of volts or ohms: what the meter's own table says, else the procedure's word."""
    known = context.meter.hole_of(check.unit or "", ac=is_ac(check)) if context.meter is not None else ""
    return known or (check.leads.hole if check.leads is not None else "")
