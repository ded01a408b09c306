"""Reports and wishes: what is told without being asked. What changes the session is asked about or said aloud."""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.fault_model import Task
from assistant.errors import DefectError
from assistant.messages import (
    Command,
    Detail,
    Heard,
    Outcome,
    Prompt,
    PromptKind,
    Reason,
    Report,
    Say,
    Understanding,
    Why,
)
from assistant.messages.decisions import (
    CheckChosen,
    DetailTold,
    FixChosen,
    FixDeclined,
    NoteTaken,
    Phase,
    PhaseEntered,
    Skipped,
)
from assistant.numerals.vin import check_digit_fits, well_formed
from assistant.phrasing.wording import at_place, first_up
from assistant.session.agenda.advance import move_on
from assistant.session.agenda.next_action import to_see_first, view_of
from assistant.session.agenda.presence import absent, must_be_seen, unseen
from assistant.session.agenda.surveying import chosen
from assistant.session.dialog_state import Mode, Overlay
from assistant.session.fold import apply_all
from assistant.session.handlers import commands
from assistant.session.handlers.closing import HAND_OVER, NOT_NOW
from assistant.session.handlers.finding import confirm
from assistant.session.handlers.repairing import fix_done, way_told
from assistant.session.turn import Result, Turn, lay, reask, record, spoken, stay
from assistant.understanding.hazards import hazard_of
from assistant.understanding.patterns import words_of
from assistant.understanding.place_names import place_meant

START_OVER, CAUSE = "start_over", "cause"
"""Why it is asked whether to end, or whether to go to a repair."""
_NOTED = {
    Report.DANGER: "danger",
    Report.LIGHT_OUT: "light_out_noted",
    Report.LIGHT_ON: "light_on_noted",
    Report.REPLACED: "replaced_noted",
    Report.PARTS: "parts_noted",
}
_DANGERS = {
    "battery": "danger_battery",
    "lifted": "danger_lifted",
    "air": "danger_air",
    "wheel": "danger_wheel",
    "fumes": "danger_fumes",
}
"""What is said first to a danger of a kind that is known."""
_DETAILS = {Detail.WORK_ORDER: "work_order", Detail.VIN: "vin", Detail.ODOMETER: "odometer"}
_SAID = {Report.FOUND: "what_found", Report.STUCK: "stuck", Report.WORKING: "take_time"}
_ASKED = {Report.HANDOVER: HAND_OVER, Report.START_OVER: START_OVER}
_DONE_AT = (Mode.ACCESS, Mode.FIX, Mode.CAUTION, Mode.PROOF, Mode.PUT_BACK)


def reported(turn: Turn) -> Result:
    """Something was told that answers nothing."""
    report, words = turn.meant.report, turn.meant.heard
    if report is None:
        raise DefectError("A report says nothing.")
    if report is Report.DETAIL:
        return _detail(turn)
    if report is Report.ORDER:
        return _other_place(turn)
    if report is Report.NOT_NOW:
        return _not_now(turn)
    if report in _ASKED:
        question = Say(_ASKED[report])
        return lay(turn, Overlay(Mode.STOP, question, asked_for=_ASKED[report], under=turn.state.dialog.overlay))
    if report in (Report.OUT_OF_REACH, Report.NO_TOOL):
        return _cannot(turn, report)
    if report is Report.PARTS and isinstance(turn.state.action, FixChosen) and turn.state.dialog.overlay is None:
        action = turn.state.action
        return record(turn, (FixDeclined(action.fix, action.place, words),), Say("parts_wait"))
    if report is Report.REPLACED and _done_so(turn, words):
        return fix_done(turn)
    if report is Report.ALREADY:
        done = turn.asked.mode in _DONE_AT
        twice = turn.asked.mode is Mode.CHECK and read_before(turn)
        return stay(turn, Say("already_done" if done else "measure_anew" if twice else "already_read"))
    if report in _NOTED:
        key = _NOTED[report]
        if report is Report.DANGER:
            kind, alarmed = hazard_of(words, turn.context.vocabulary), replace(turn.state.dialog, alarmed=True)
            told = Say(_DANGERS.get(kind, key))
            return record(turn, (NoteTaken(words),), told, keep=True, ask=False, dialog=alarmed)
        return record(turn, (NoteTaken(words),), Say(key), keep=True, ask=False)
    return stay(turn, Say(_SAID[report]))


def read_before(turn: Turn) -> bool:
    """Whether what is asked was answered before, and is asked once more."""
    asked = turn.asked
    return turn.state.dialog.revisit is None and turn.state.observed_at(asked.name, asked.place) is not None


def _cannot(turn: Turn, report: Report) -> Result:
    """No tool for it, or no way in: what would come instead is said, and it is passed by after a yes.

    A look that takes no tool is not passed by for the want of one.
    """
    asked, context, state = turn.asked, turn.context, turn.state
    if report is Report.NO_TOOL and asked.mode in (Mode.READY, Mode.CAUTION, Mode.FACT):
        return stay(turn, Say("tool_missing"))
    if state.dialog.overlay is not None or state.dialog.revisit or asked.mode not in (Mode.CHECK, Mode.ACCESS):
        return commands.skip(turn)
    if report is Report.NO_TOOL and asked.mode is Mode.CHECK and not _takes_a_tool(turn):
        return reask(turn, Say("no_tool_needed"))
    after = apply_all(context, state, (Skipped(asked.prompt, turn.meant.heard),))
    action = apply_all(context, after, move_on(context, after)).action
    if isinstance(action, CheckChosen):
        instead = at_place(context.check(action.check).title, action.place)
    elif isinstance(action, FixChosen):
        instead = at_place(context.fix(action.fix).title, action.place)
    else:
        return commands.skip(turn)
    pass_by = Understanding(Outcome.COMMAND, turn.meant.heard, command=Command.SKIP)
    return confirm(turn, pass_by, Say("skip_then", {"text": instead}), "skip")


def _takes_a_tool(turn: Turn) -> bool:
    """Whether the check that is asked is done with a meter, a code reader or what was named."""
    check = turn.context.check(turn.asked.name)
    named = {word for word in words_of(turn.meant.heard) if len(word) > _SHORTEST}
    return check.leads is not None or check.reads_codes or bool(named & {*words_of(f"{check.ask} {check.help}")})


_SHORTEST = 3
"""Letters of words that name no tool."""


def _not_now(turn: Turn) -> Result:
    """The complaint is not there now: the look that decides it comes first, and after that the end is offered."""
    context, state, words = turn.context, turn.state, turn.meant.heard
    noted = NoteTaken(words)
    if state.phase not in (Phase.FINDING, Phase.REPAIRING) or not must_be_seen(context.procedure):
        return record(turn, (noted,), Say("not_now_noted"), keep=True, ask=False)
    if not unseen(context, state):
        return record(turn, (noted,), Say("not_now_seen"), keep=True, ask=False)
    task = to_see_first(context, state)
    if task is None and absent(context, state):
        heard = turn.fact if isinstance(turn.fact, Heard) else None
        under = turn.state.dialog.overlay
        return lay(turn, Overlay(Mode.STOP, Say("not_now_end"), heard=heard, asked_for=NOT_NOW, under=under))
    if task is None or (turn.asked.mode is Mode.CHECK and turn.asked.name == task.check):
        return record(turn, (noted,), Say("not_now_look"), keep=True)
    look = CheckChosen(task.check, task.place, context.check(task.check).minutes, Reason(Why.SEEN_FIRST))
    made = (noted, look) if state.phase is Phase.FINDING else (noted, PhaseEntered(Phase.FINDING), look)
    return record(turn, made, Say("not_now_look"))


def _done_so(turn: Turn, words: str) -> bool:
    """Whether it tells in which way the work was done that is asked for."""
    asked = turn.asked
    if asked.mode is not Mode.FIX or turn.state.dialog.overlay is not None:
        return False
    return way_told(turn.context.fix(asked.name), words, turn.context.vocabulary) is not None


def _detail(turn: Turn) -> Result:
    """A number of the papers: kept, and read back. A VIN that cannot be one is asked for again."""
    detail, value = turn.meant.detail, turn.meant.identifier or ""
    if detail is None:
        raise DefectError("A detail has no name.")
    if detail is Detail.VIN and not (well_formed(value) if not spoken(turn) else check_digit_fits(value)):
        return stay(turn, Say("vin_again", {"text": value}))
    told = DetailTold(detail, value, turn.meant.heard)
    return record(turn, (told,), Say(_DETAILS[detail], {"text": value}), keep=True, ask=False)


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
    return named if named in known else place_meant(named, here, known)


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
