"""Reports and wishes: what is told without being asked. What changes the session is asked about or said aloud."""

from __future__ import annotations

from assistant.diagnosis.fault_model import Task
from assistant.errors import DefectError
from assistant.messages import Prompt, PromptKind, Report, Say, Why
from assistant.messages.decisions import CheckChosen, FixChosen, FixDeclined, NoteTaken
from assistant.phrasing.wording import first_up
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.surveying import chosen
from assistant.session.dialog_state import Mode, Overlay
from assistant.session.handlers import commands
from assistant.session.handlers.closing import HAND_OVER
from assistant.session.handlers.finding import confirm
from assistant.session.turn import Result, Turn, lay, record, stay

START_OVER, CAUSE = "start_over", "cause"
"""Why it is asked whether to end, or whether to go to a repair."""
_NOTED = {
    Report.DANGER: "danger",
    Report.LIGHT_OUT: "light_out_noted",
    Report.LIGHT_ON: "light_on_noted",
    Report.REPLACED: "replaced_noted",
    Report.PARTS: "parts_noted",
}
_SAID = {Report.FOUND: "what_found", Report.STUCK: "stuck", Report.WORKING: "take_time"}
_ASKED = {Report.HANDOVER: HAND_OVER, Report.START_OVER: START_OVER}
_DONE_AT = (Mode.ACCESS, Mode.FIX, Mode.CAUTION, Mode.PROOF, Mode.PUT_BACK)


def reported(turn: Turn) -> Result:
    """Something was told that answers nothing."""
    report, words = turn.meant.report, turn.meant.heard
    if report is None:
        raise DefectError("A report says nothing.")
    if report is Report.ORDER:
        return _other_place(turn)
    if report in _ASKED:
        question = Say(_ASKED[report])
        return lay(turn, Overlay(Mode.STOP, question, asked_for=_ASKED[report], under=turn.state.dialog.overlay))
    if report in (Report.OUT_OF_REACH, Report.NO_TOOL):
        return commands.skip(turn)
    if report is Report.PARTS and isinstance(turn.state.action, FixChosen) and turn.state.dialog.overlay is None:
        action = turn.state.action
        return record(turn, (FixDeclined(action.fix, action.place, words),), Say("parts_wait"))
    if report is Report.ALREADY:
        done = turn.asked.mode in _DONE_AT
        return stay(turn, Say("already_done" if done else "already_read"))
    if report in _NOTED:
        return record(turn, (NoteTaken(words),), Say(_NOTED[report]), keep=True, ask=False)
    return stay(turn, Say(_SAID[report]))


def _other_place(turn: Turn) -> Result:
    """Another place comes first: the same check there; the place that was asked stays open."""
    action, state = turn.state.action, turn.state
    if not isinstance(action, CheckChosen) or action.place is None or state.dialog.revisit:
        return stay(turn, Say("order_kept"))
    place = _place_meant(turn, action.place)
    if place == action.place:
        return stay(turn, Say("order_same"))
    task = Task(action.check, place)
    if place is None or task not in view_of(turn.context, state).task_index:
        return stay(turn, Say("order_kept"))
    says = Say("order_changed", {"place": first_up(place), "text": first_up(action.place)})
    return record(turn, (chosen(turn.context, task, Why.ASKED_FOR),), says)


def _place_meant(turn: Turn, here: str) -> str | None:
    """The place that is named, or that a side names from where the session stands."""
    named = turn.meant.place or ""
    known = {choice.name for choice in turn.expectation.places} if turn.expectation is not None else set()
    if named in known:
        return named
    turned = {"left": "right", "right": "left"}
    words = here.split()
    if named == "other":
        there = " ".join(turned.get(word, word) for word in words)
    elif named in turned:
        there = " ".join(named if word in turned else word for word in words)
    else:
        there = " ".join(named if word in ("front", "rear") else word for word in words)
    return there if there in known else None


def seen(turn: Turn) -> Result:
    """A finding was told: it is offered as what it is, in his words, and counts after a yes."""
    context, sighting = turn.context, turn.sighting
    if sighting is None:
        raise DefectError("A finding says nothing.")
    if sighting.suspect is None:
        title = next(check.title for check in context.procedure.checks if check.name == sighting.check)
        told = first_up(f"{title}, {sighting.place}" if sighting.place else title)
        question = Say("is_it_seen", {"title": told, "text": sighting.meant.choice})
        prompt = Prompt(PromptKind.CHECK, sighting.check, sighting.place)
        return confirm(turn, sighting.meant, question, "seen", prompt)
    fault = next(one for one in context.procedure.faults if one.name == sighting.suspect.fault)
    where = sighting.place or context.unit_number or turn.state.facts.get("unit number", "")
    slots = {"text": first_up(fault.title), "title": fault.fix, "place": where}
    prompt = Prompt(PromptKind.FIX, fault.fix, sighting.place)
    return confirm(turn, sighting.meant, Say("is_it_cause", slots), CAUSE, prompt)
