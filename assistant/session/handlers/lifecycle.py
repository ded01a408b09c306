"""The frame of a session: begin, resume, hold, silence, the record and the microphone."""

from __future__ import annotations

from dataclasses import replace

from assistant.errors import DefectError
from assistant.messages import Finish, Heard, HistoryTold, MicrophoneLost, Recorded, RecordFailed, Say, Wait
from assistant.messages.decisions import Effect, FixChosen, Held, HistoryTaken, NoteTaken, Phase, Released
from assistant.phrasing.reasons import reason_text
from assistant.phrasing.wording import at_place, ending_words
from assistant.session.agenda.prompts import asked_now, unit_to_look_up
from assistant.session.dialog_state import Mode
from assistant.session.fold import State, apply_all
from assistant.session.observing.observations import say_value
from assistant.session.saying.questions import listening, question
from assistant.session.turn import Result, Turn, record, stay

RETRY_SECONDS = 15.0
"""Silence after which a record that could not be written is tried again."""


def began(turn: Turn) -> Result:
    """The session began: greet, and say what to have in hand."""
    procedure = turn.context.procedure
    key = "greeting_survey" if procedure.kind == "survey" else "greeting"
    says = (Say(key, {"text": procedure.title}), Say("summary", {"text": procedure.summary}))
    words = turn.context.own_words
    return record(turn.with_dialog(live=True), (NoteTaken(words),) if words else (), *says)


def resumed(turn: Turn) -> Result:
    """A session that was left is resumed: where it stands, then its prompt in full."""
    state = turn.state
    if state.ended is not None:
        return state, (
            Say("already_ended", {"ending": ending_words(state.ended.ending)}),
            Finish(state.ended.ending.value),
        )
    says = [Say("welcome_back", {"text": turn.context.procedure.title}), Say(_where(state.phase))]
    if isinstance(state.action, FixChosen):
        says.append(Say("because", {"text": reason_text(state.action.because)}))
    last = state.observations[-1] if state.observations else None
    if last is not None and state.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING):
        says.append(Say("last_was", {"text": at_place(last.title, last.place)}))
        if last.choice is None:
            says.append(say_value(last.value, last.unit, last.display, last.low_end, last.high_end))
        else:
            says.append(Say("choice", {"text": last.choice}))
        says.append(Say("if_changed"))
    decisions = (Released(),) if state.held else ()
    awake = turn.with_dialog(live=True)
    after = apply_all(turn.context, awake.state, decisions)
    says += question(turn.context, after, full=True)
    return record(awake, decisions, *says, ask=False)


def _where(phase: Phase) -> str:
    return f"at_{phase.value}"


def held(turn: Turn) -> Result:
    """Ignore everything but 'resume' from here."""
    return record(turn, (Held(),), keep=True)


def released(turn: Turn) -> Result:
    """The hold is over: the prompt again, in full."""
    return record(turn, (Released(),), Say("released"), keep=True, full=True)


def ignored(turn: Turn) -> Result:
    """On hold: nothing is answered or kept. Who types is told so each time, who speaks once: others talk as well."""
    said = isinstance(turn.fact, Heard) and turn.understood is not None and turn.understood.reason != "silence"
    if not said or (turn.state.dialog.reminded and not turn.typed):
        return turn.state, listening(turn.context, turn.state)
    told = turn.with_dialog(reminded=True)
    return told.state, (Say("on_hold"), *listening(turn.context, told.state))


def quiet(turn: Turn) -> Result:
    """Silence: one reminder, then none; never in a quiet step."""
    asked = turn.asked
    silent = asked.mode is Mode.PROOF and turn.context.proof_step(asked.name).quiet
    if silent or turn.state.dialog.reminded:
        return stay(turn.with_dialog(reminded=True))
    after = turn.with_dialog(reminded=True)
    return stay(after, Say("reminder"), *question(turn.context, after.state)[-1:])


def history_told(turn: Turn) -> Result:
    """What earlier records say about the unit: one sentence, and it counts from here."""
    told = turn.fact
    if not isinstance(told, HistoryTold):
        raise DefectError(f"The fact '{told.kind}' holds no history; the state stays as it was.")
    unit = unit_to_look_up(turn.context, turn.state)
    taken = HistoryTaken(unit, told.weights, told.found, told.facts, told.seen)
    return record(turn, (taken,), *((Say("history", {"text": told.text}),) if told.text else ()))


def microphone_lost(turn: Turn) -> Result:
    """The microphone was lost: say so and what to do; the prompt stays."""
    reason = turn.fact.reason if isinstance(turn.fact, MicrophoneLost) else ""
    return stay(turn, Say("microphone_lost", {"text": reason}))


def written(turn: Turn) -> Result:
    """The entry is on disk: the state advances, and what waited is said."""
    pending = turn.state.pending
    if pending is None:
        raise DefectError("Recorded came although no record was sent; the state stays as it was.")
    after = _asked_since(turn, pending.following)
    moved = turn.fact.moved if isinstance(turn.fact, Recorded) else ""
    told = (Say("record_moved_here" if moved == "here" else "record_back"),) if moved else ()
    replies: tuple[Effect, ...] = (*told, *pending.record.replies)
    if after.ended is not None:
        return after, (*replies, Finish(after.ended.ending.value))
    return after, (*replies, *listening(turn.context, after))


def _asked_since(turn: Turn, after: State) -> State:
    """The state with when its main prompt was asked: now, unless it is the one that was asked before."""
    before = turn.state.dialog
    same = before.live and asked_now(turn.context, after).prompt == asked_now(turn.context, turn.state).prompt
    at = before.asked_at if same else turn.fact.at
    return replace(after, dialog=replace(after.dialog, asked_at=at))


def not_written(turn: Turn) -> Result:
    """The entry is not on disk: say so with its reason, claim nothing, keep it for the next try."""
    reason = turn.fact.reason if isinstance(turn.fact, RecordFailed) else ""
    after = turn.with_pending(failed=True, leaving=_leaving(turn))
    heard = listening(turn.context, after.state, reminders=False)
    return after.state, (Say("record_failed", {"text": reason}), *heard, Wait(RETRY_SECONDS))


def _leaving(turn: Turn) -> bool:
    return turn.state.pending is not None and turn.state.pending.leaving


def retry(turn: Turn) -> Result:
    """Try the same record again."""
    pending = turn.state.pending
    if pending is None:
        raise DefectError("There is no record to try again; the state stays as it was.")
    return turn.with_pending(failed=False).state, (pending.record,)


def leave_unwritten(turn: Turn) -> Result:
    """'Stop' while a record waits: asked once, and the second time the session is left as it stands on disk."""
    if _leaving(turn):
        return turn.state.settled(), (Finish("left"),)
    after = turn.with_pending(failed=True, leaving=True)
    heard = listening(turn.context, after.state, reminders=False)
    return after.state, (Say("leave_unwritten"), *heard, Wait(RETRY_SECONDS))


def unwritten_microphone(turn: Turn) -> Result:
    """The microphone was lost while a record waits."""
    reason = turn.fact.reason if isinstance(turn.fact, MicrophoneLost) else ""
    heard = listening(turn.context, turn.state, reminders=False)
    return turn.state, (Say("microphone_lost", {"text": reason}), *heard, Wait(RETRY_SECONDS))


def over(turn: Turn) -> Result:
    """The session is over: say so again."""
    ended = turn.state.ended
    return turn.state, (Finish(ended.ending.value if ended is not None else "left"),)
