"""How a check is asked: what changed in the meter's connection and the conditions, then the question."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from assistant.messages import PromptKind, Say, Why
from assistant.messages.decisions import (
    AccessOpened,
    CheckChosen,
    FixDone,
    Observed,
    ProofFinished,
    PutBackDone,
    Skipped,
)
from assistant.messages.effects import Slot
from assistant.phrasing.conditions import (
    asks,
    condition_text,
    in_words,
    mentions,
    says_engine_off,
    says_load,
    says_pins,
    says_plugged,
    says_unplugged,
)
from assistant.phrasing.lengths import KNOWN
from assistant.phrasing.phrase import BRIEF, OTHER_PIN
from assistant.phrasing.sentences import (
    ENGINE_OFF_FIRST,
    LOAD_FIRST,
    LOAD_ON_FIRST,
    PARKED_FIRST,
    PLUG_FIRST,
    UNPLUG_FIRST,
)
from assistant.phrasing.wording import at_place, first_up
from assistant.procedure.hands import Hands, Load
from assistant.procedure.model import Check
from assistant.session.agenda.next_action import at
from assistant.session.agenda.outcomes import bad_tool
from assistant.session.agenda.prompts import Asked
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.session.observing.standing import Standing, standing, to_close, to_load, to_open, to_stop

PARTS = ("dial", "hole", "red", "black")
TIPS = ("red", "black")
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
    """The question of a check; ``full`` repeats the meter's connection and the conditions.

    What was just asked, here or at another place, is not asked in full again: only what changed, and the question.
    """
    check = context.check(asked.name)
    whole = at(check.ask, asked.place)
    tool = None if state.dialog.revisit else bad_tool(context, state)
    if tool is not None and (tool[0].check, tool[0].place) == (asked.name, asked.place):
        says, question = [Say("ask", {"text": tool[1]})], Say("ask", {"text": whole})
    else:
        *says, question = _question(state, check, asked, whole, full=full)
    leads = _leads(context, check, asked.place)
    was = {} if full or _taken_back(state, asked) else _leads_before(context, state)
    changed = {name: text for name, text in leads.items() if text and text != was.get(name)}
    if not full and _moved(context, state, check, asked.place, changed):
        changed |= {name: leads[name] for name in ("red", "black") if leads.get(name)}
    ask = whole if question.key == "ask" else asks(whole)
    if changed:
        said = not full and says_pins(ask) and leads.get("black") == OTHER_PIN
        slots: dict[str, Slot] = {name: changed.get(name, "") for name in PARTS}
        says.append(Say("leads", {**slots, **({"told": TIPS} if said else {})}))
    held = {} if full else _held(state, asked.place)
    first = _first(context, state, check, asked.place, ask)
    new = [
        condition_text(name, value)
        for name, value in check.conditions.items()
        if held.get(name) != value and not mentions(ask, name, value) and (name != "plugged" or check.hands is None)
    ]
    if first or new:
        says.append(Say("conditions", {"text": " ".join([*first, *new])}))
    return (*says, question)


def _question(state: State, check: Check, asked: Asked, whole: str, *, full: bool) -> tuple[Say, ...]:
    """The question, last: in short where it was just asked, unless ``full`` or that would take as many words."""
    alone, place = asks(whole), asked.place
    if _taken_already(state, asked):
        last = state.work[-1]
        if not full and isinstance(last, Observed) and (last.check, last.place) == (asked.name, place):
            return (Say("once_more", {"text": whole, "ask": _behind_a_colon(alone), KNOWN: 1}),)
        what = at_place(check.title, place)
        if full or not _shorter(f"{what} {alone}", whole):
            return Say("once_more_first"), Say("ask", {"text": whole})
        return (Say("once_more", {"text": whole, "what": what, "ask": alone}),)
    if not full and place is not None and _just_read_elsewhere(state, asked) and _shorter(alone, whole):
        return (Say("ask_same", {"text": whole, "place": place, "ask": alone}),)
    return (Say("ask", placed(state, whole, place, full=full)),)


def _behind_a_colon(sentence: str) -> str:
    """A sentence to go on with: without its capital letter, unless its first word is all capitals."""
    return sentence if sentence[1:2].isupper() else f"{sentence[:1].lower()}{sentence[1:]}"


def placed(state: State, text: str, place: str | None, *, full: bool) -> dict[str, Slot]:
    """The slots of what a procedure says of a place, named again only where something else was done since."""
    named = f"{place}: "
    if full or place is None or not text.startswith(named) or not _last_here(state, place):
        return {"text": text}
    return {"text": text, BRIEF: first_up(text.removeprefix(named))}


def _last_here(state: State, place: str) -> bool:
    """True when the last thing done was done at this place, and no other place was asked about since."""
    last = state.ledger.standing[-1] if state.ledger.standing else None
    if last is None or state.dialog.revisit or getattr(last.decision, "place", None) != place:
        return False
    return all(one.decision.place == place for one in state.ledger.path if one.number > last.number)


def _taken_back(state: State, asked: Asked) -> bool:
    """True after an answer here was taken back: the leads may be where the next question wanted them by then."""
    action = state.action
    here = isinstance(action, CheckChosen) and (action.check, action.place) == (asked.name, asked.place)
    back = here and action is not None and action.because.why is Why.TAKEN_BACK
    return back and not _taken_already(state, asked)


def _shorter(some: str, whole: str) -> bool:
    """Whether it takes fewer words; a question of one sentence is not said any shorter by a name put before it."""
    return len(some.split()) < len(whole.split())


def _just_read_elsewhere(state: State, asked: Asked) -> bool:
    """True when the last thing done was this same check, at another place."""
    if state.dialog.revisit or not state.work:
        return False
    last = state.work[-1]
    return isinstance(last, Observed) and last.check == asked.name and last.place not in (None, asked.place)


def _first(context: Context, state: State, check: Check, place: str | None, ask: str) -> list[str]:
    """What must be plugged, unplugged or loaded first: what the data need and the unit, as it stands, lacks."""
    now, procedure = standing(context, state), context.procedure
    said = stopped_first(now, check.hands, ask, work=False)
    close = [name for name in to_close(procedure, now, check.hands, place) if not says_plugged(ask, name)]
    if close:
        said.append(PLUG_FIRST.format(plugs=in_words(close)))
    unplug = to_open(procedure, now, check.hands, place)
    if unplug and not says_unplugged(ask):
        said.append(UNPLUG_FIRST.format(plugs=in_words(unplug)))
    load = to_load(now, check.hands, place)
    if load is not None and not says_load(ask):
        said.append(load_between(check, load, place))
    return said


def stopped_first(now: Standing, hands: Hands | None, said: str, *, work: bool) -> list[str]:
    """What must stand still before hands go to it: after a drive the unit, else the engine unless it is said."""
    if now.rolled:
        return [PARKED_FIRST]
    return [ENGINE_OFF_FIRST] if to_stop(now, hands, work=work) and not says_engine_off(said) else []


def load_between(check: Check, load: Load, place: str | None) -> str:
    """Where the load goes, in the words that the leads have for the same points: those of the data may name none."""
    words: dict[str | tuple[str, ...], str] = {}
    if check.probe is not None and check.leads is not None:
        words = {check.probe.red: at(check.leads.red, place), check.probe.black: at(check.leads.black, place)}
    plus, minus = (words.get(node, node) for node in (load.plus, load.minus))
    return LOAD_FIRST.format(plus=plus, minus=minus) if "{" not in plus + minus else LOAD_ON_FIRST


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


def _last_with_leads(context: Context, state: State) -> Observed | None:
    """The last reading whose check names the meter's connection."""
    return next((seen for seen in reversed(state.observations) if context.check(seen.check).leads is not None), None)


def _leads_before(context: Context, state: State) -> Mapping[str, str]:
    """Where the leads were at the last reading that named them; what was passed by since may have moved them."""
    seen = _last_with_leads(context, state)
    for entry in reversed(state.work):
        if isinstance(entry, Skipped) and entry.prompt.kind is PromptKind.CHECK:
            return {}
        if entry is seen:
            break
    return {} if seen is None else _leads(context, context.check(seen.check), seen.place)


def _moved(context: Context, state: State, check: Check, place: str | None, changed: Mapping[str, str]) -> bool:
    """Whether a tip goes elsewhere than at the last reading: by its words, or, at another check, by its node."""
    if "red" in changed or "black" in changed:
        return True
    last = _last_with_leads(context, state)
    if last is None or last.check == check.name:
        return False  # the same question at another place names it
    return _nodes(context.check(last.check), last.place) != _nodes(check, place)


def _nodes(check: Check, place: str | None) -> tuple[tuple[str, ...], ...]:
    tips = (check.probe.red, check.probe.black) if check.probe is not None else ()
    return tuple(tuple(at(node, place) for node in ((tip,) if isinstance(tip, str) else tip)) for tip in tips)


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
