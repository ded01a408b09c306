"""Commands that work at every prompt and change no step by themselves: repeat, help, why, what's left, note, stop."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.messages import Command, Heard, Reason, Report, Say, Talk, Why
from assistant.messages.decisions import (
    CheckChosen,
    FactAnswered,
    FixChosen,
    FixDeclined,
    NoteTaken,
    Phase,
    Remarked,
    Skipped,
    TalkSet,
)
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.phrasing.reasons import reason_text
from assistant.phrasing.speech_chunks import opening, say_list
from assistant.phrasing.wording import at_place
from assistant.session.agenda.advance import ending
from assistant.session.agenda.next_action import at
from assistant.session.agenda.prompts import Asked, question_named
from assistant.session.dialog_state import Mode, Overlay
from assistant.session.handlers.answering import not_asked
from assistant.session.ledger import NOT_SURE
from assistant.session.openings import left_to_open
from assistant.session.saying.announcements import left
from assistant.session.saying.questions import expectation, question
from assistant.session.turn import Result, Turn, lay, lift, reask, record, spoken, stay
from assistant.understanding.choosing.choices import normal
from assistant.understanding.hazards import asks_how
from assistant.understanding.talk import report_of


def say_again(turn: Turn) -> Result:
    """The question again, in full."""
    return reask(turn, full=True)


def explain(turn: Turn) -> Result:
    """Help: how to do what is asked, where the leads go, and what can be said; 'how do I do that?' only how."""
    how = _longer(turn)
    says = [Say("help", {"text": how})] if how else []
    asked = turn.understood.heard if turn.understood is not None else ""
    if _HOW.search(asked.lower().replace("’", "'")) or asks_how(asked, turn.context.vocabulary):
        return reask(turn, *says, full=True)
    answers = answers_left(turn)
    says += opening(answers)
    says.append(Say("commands"))
    return reask(turn.with_dialog(rest=answers[1:]), *says, full=True)


_HOW = re.compile(
    r"\bhow\b.*\b(?:do|does|is|am|works?|done)\b|\bhow's\b"
    r"|\b(?:walk|talk) me through\b|\bshow me\b|\bthe trick\b"
)
"""Words that ask how something is done, and not what can be said."""


def _longer(turn: Turn) -> str:
    """The longer instruction of what is asked, '' for none."""
    asked, context = turn.asked, turn.context
    match asked.mode:
        case Mode.CHECK:
            return at(context.check(asked.name).help, asked.place)
        case Mode.FACT:
            return question_named(context, asked.name).help
        case Mode.ACCESS:
            return at(context.access(asked.name).help, asked.place)
        case Mode.FIX:
            return at(context.fix(asked.name).help, asked.place)
        case Mode.PROOF:
            return context.proof_step(asked.name).help
        case _:
            return ""


def answers_left(turn: Turn) -> tuple[Say, ...]:
    """The answers that the prompt takes, in chunks; none where the question names them all itself."""
    wanted = expectation(turn.context, turn.state)
    asked = " ".join(str(say.slots.get("text", "")) for say in question(turn.context, turn.state)[-1:]).lower()
    names = [choice.name for choice in wanted.choices]
    if all(name.lower() in asked for name in names if name != NOT_SURE):
        return ()
    return say_list("answers", "and_then", names)


def rest(turn: Turn) -> Result:
    """'Go on': the next chunk of a list, or the prompt again when no list is waiting."""
    left_over = turn.state.dialog.rest
    if not left_over:
        return reask(turn, Say("not_held"))
    return stay(turn.with_dialog(rest=left_over[1:]), *opening(left_over))


def why(turn: Turn) -> Result:
    """Why this is asked: the planner's reason, the source of a caution, or what a step of the proof is for."""
    asked, context, action = turn.asked, turn.context, turn.state.action
    if asked.mode is Mode.CAUTION:
        sources = "; ".join(context.caution(name).source for name in asked.names or (asked.name,))
        return _in_turn(turn, _asked_why(asked), (), _sources("why_caution", sources))
    if asked.mode is Mode.PROOF:
        step = context.proof_step(asked.name)
        told = Say("ask", {"text": step.why}) if step.why else Say("why_proof")
        return _in_turn(turn, _asked_why(asked), (told,), _sources("why_source", step.source) if step.source else ())
    if action is not None and asked.mode in (Mode.ACCESS, Mode.CHECK, Mode.FIX):
        says = [Say("because", {"text": reason_text(action.because)})]
        says += _effort(turn)
        if isinstance(action, FixChosen):
            says.append(Say("chance", {"percent": round(100 * action.probability)}))
    elif asked.mode is Mode.OFFER and turn.state.offered is not None:
        says = [Say("because", {"text": reason_text(turn.state.offered.because)})]
    else:
        says = [Say({Mode.FACT: "why_fact", Mode.PUT_BACK: "why_put_back"}.get(asked.mode, "why"))]
    return record(turn, (Remarked(_asked_why(asked)),), *says, keep=True)


def _names_minutes(action: CheckChosen) -> bool:
    return "minutes" in action.because.slots


def _asked_why(asked: Asked) -> Reason:
    return Reason(Why.ASKED_WHY, {"prompt": str(asked.prompt)})


def _effort(turn: Turn) -> list[Say]:
    """Minutes and what must be opened, unless the reason names them."""
    action = turn.state.action
    if not isinstance(action, CheckChosen) or _names_minutes(action):
        return []
    shut = left_to_open(turn.context, turn.state.facts, turn.state.opened, action)
    names = tuple(at_place(one.access, one.place) for one in shut)
    minutes = max(1, round(action.minutes))
    if not names:
        return [Say("effort_one" if minutes == 1 else "effort", {"minutes": minutes})]
    return [Say("effort_open", {"minutes": minutes, "items": names})]


def where(turn: Turn) -> Result:
    """Where the session stands: the phase, how many readings count, and what is suspected."""
    state = turn.state
    count = len(state.observations)
    says = [Say(f"now_{state.phase.value}")]
    says.append(Say(("readings_none", "readings_one")[count] if count <= 1 else "readings_so_far", {"count": count}))
    follow = left(turn.context, state) if state.phase in (Phase.FINDING, Phase.REPAIRING, Phase.SURVEYING) else ()
    return _in_turn(turn, Reason(Why.ASKED_WHERE), tuple(says), follow)


def whats_left_now(turn: Turn) -> Result:
    """What is still suspected, with probabilities."""
    return _in_turn(turn, Reason(Why.ASKED_WHATS_LEFT), (), left(turn.context, turn.state) or (Say("nothing_left"),))


def _in_turn(turn: Turn, what: Reason, says: tuple[Say, ...], parts: tuple[Say, ...]) -> Result:
    """A remark for the record, something to say, and the first chunk of a list; the others wait for 'go on'."""
    dialog = replace(turn.state.dialog, rest=parts[1:])
    return record(turn, (Remarked(what),), *says, *opening(parts), keep=True, dialog=dialog)


def _sources(key: str, text: str) -> tuple[Say, ...]:
    """Sources, each named once, in chunks."""
    each = tuple(dict.fromkeys(part.strip() for part in text.split(";")))
    return say_list(key, "and_then", each)


_TALK = {Command.SAY_LESS: Talk.SHORT, Command.SAY_MORE: Talk.FIRST, Command.SAY_USUAL: Talk.USUAL}
"""What a command about the talk asks for."""


def talk(turn: Turn) -> Result:
    """'Keep it short', 'tell me more': it holds from here, and the question comes again in that length."""
    wanted = next((length for command, length in _TALK.items() if command is turn.meant.command), Talk.USUAL)
    more = wanted is Talk.FIRST
    return record(turn, (TalkSet(wanted),), Say("talk_set"), keep=True, full=more)


def note(turn: Turn) -> Result:
    """A note that came with the command, else free speech next. What was spoken is read back before it is kept."""
    text = _without_unknown(turn.meant.note)
    under = turn.state.dialog.overlay
    if not text:
        return lay(turn, Overlay(Mode.NOTE, Say("note"), under=under))
    if spoken(turn):
        return lay(turn, _read_back(turn, text, under))
    return record(turn, (NoteTaken(text),), Say("noted"), keep=True)


def noted(turn: Turn) -> Result:
    """Free speech for the record; the prompt below comes again. What was spoken is read back before it is kept."""
    overlay = turn.state.dialog.overlay
    under = overlay.under if overlay is not None else None
    text = _without_unknown(turn.meant.note or turn.meant.heard)
    if overlay is not None and overlay.candidate is not None and normal(text) in _KEEP:
        return note_kept(turn)
    if not text:
        return lay(turn, Overlay(Mode.NOTE, Say("note"), under=under))
    if spoken(turn):
        return lay(turn, _read_back(turn, text, under))
    return _keep(turn, text, under)


def note_kept(turn: Turn) -> Result:
    """Yes to the note that was read back."""
    overlay = turn.state.dialog.overlay
    if overlay is None or overlay.candidate is None:
        return not_asked(turn)
    said = Turn(turn.context, turn.state, overlay.heard or turn.fact, overlay.candidate, turn.expectation)
    return _keep(said, overlay.candidate.note or "", overlay.under)


def note_refused(turn: Turn) -> Result:
    """No to the note that was read back: it is said again. Without one, the prompt below comes again."""
    overlay = turn.state.dialog.overlay
    if overlay is None or overlay.candidate is None:
        return go_on(turn)
    return lay(turn, Overlay(Mode.NOTE, Say("note_again"), under=overlay.under))


def note_over(turn: Turn) -> Result:
    """'Next' keeps a note that was read back; without one, the prompt below comes again."""
    overlay = turn.state.dialog.overlay
    return go_on(turn) if overlay is None or overlay.candidate is None else note_kept(turn)


_KEEP = frozenset({"keep it", "yes keep it", "keep that", "yes keep that", "okay keep it"})
"""What people say to 'Keep it?' beside yes."""


def _read_back(turn: Turn, text: str, under: Overlay | None) -> Overlay:
    """The question whether a note is kept, over what it was said over."""
    question = Say("note_back", {"text": text.rstrip(".")})
    heard = turn.fact if isinstance(turn.fact, Heard) else None
    return Overlay(Mode.NOTE, question, replace(turn.meant, note=text), heard, under=under)


def _keep(turn: Turn, text: str, under: Overlay | None) -> Result:
    dialog = replace(turn.state.dialog, overlay=under, misses=0)
    return record(turn, (NoteTaken(text),), Say("noted"), keep=True, dialog=dialog)


def _without_unknown(text: str | None) -> str:
    """The words of a note; none when one of them was not heard: the mark for it belongs in no record."""
    return "" if text is None or UNKNOWN_WORD in text.split() else text


def stop(turn: Turn) -> Result:
    """Stop speaking, then ask: end the session?"""
    return lay(turn, Overlay(Mode.STOP, Say("stop"), under=turn.state.dialog.overlay))


def go_on(turn: Turn) -> Result:
    """No to the end, to a note or to a skip: the prompt below comes again."""
    return lift(turn, Say("going_on"))


def skip(turn: Turn) -> Result:
    """Pass by, or no to work: the reason is asked for the record. At ``ready`` and at a caution the work waits."""
    asked = turn.asked
    if turn.state.dialog.revisit:
        return reask(turn.with_dialog(revisit=None, overlay=None), Say("left_as_it_was"))
    if asked.mode is Mode.FACT and not question_named(turn.context, asked.name).unsure:
        return reask(turn.with_dialog(overlay=None), Say("needed"))
    if asked.mode is Mode.PUT_BACK and turn.state.phase is Phase.PROVING:
        return reask(turn.with_dialog(overlay=None), Say("put_back_needed"))
    if asked.mode in (Mode.READY, Mode.CAUTION):
        return reask(
            turn.with_dialog(overlay=None), Say("caution_first" if asked.mode is Mode.CAUTION else "take_time")
        )
    if asked.mode is Mode.CHECK and turn.meant.choice == NOT_SURE:
        return _skip(turn, turn.meant.heard)
    told = report_of(turn.meant.heard, turn.expectation, turn.context.vocabulary) if turn.expectation else None
    if told is not None and told.report in (Report.OUT_OF_REACH, Report.NO_TOOL):
        return skip_because(turn, turn.meant.heard)
    return lay(turn, Overlay(Mode.REASON, Say("reason"), asked_for="skip"))


def reason_given(turn: Turn) -> Result:
    """The reason of a skip: it is recorded, and another way is looked for."""
    reason = turn.meant.note or turn.meant.heard
    return _skip(turn, reason)


def skip_because(turn: Turn, reason: str) -> Result:
    """'I can't reach it': passed by with that as the reason, and what that costs; where it is needed, as any skip."""
    asked, dialog = turn.asked, turn.state.dialog
    if dialog.overlay is not None or dialog.revisit or asked.mode not in (Mode.CHECK, Mode.ACCESS, Mode.FIX):
        return lay(turn, Overlay(Mode.REASON, Say("reason"), asked_for="skip"))
    return _skip(turn, reason)


def no_reason(turn: Turn) -> Result:
    """'Skip' once more, or 'next': passed by without a reason."""
    return _skip(turn, "")


def _cost(turn: Turn) -> Say:
    """What passing it by costs: what it would have told apart."""
    action = turn.state.action
    slots = action.because.slots if isinstance(action, CheckChosen) else {}
    if turn.asked.mode in (Mode.CHECK, Mode.ACCESS) and slots.get("first") and slots.get("second"):
        return Say("skipped_cost", {"first": str(slots["first"]), "second": str(slots["second"])})
    return Say("skipped")


def _skip(turn: Turn, reason: str) -> Result:
    asked, context, action = turn.asked, turn.context, turn.state.action
    skipped = Skipped(asked.prompt, reason)
    says = _cost(turn)
    if asked.mode is Mode.FACT:
        return record(turn, (skipped, FactAnswered(asked.name, NOT_SURE, turn.meant.heard)), says)
    if asked.mode is Mode.FIX:
        return record(turn, (FixDeclined(asked.name, asked.place, reason),), says)
    if asked.mode is Mode.ACCESS and isinstance(action, FixChosen):
        return record(turn, (FixDeclined(action.fix, action.place, reason), skipped), says)
    if asked.mode is Mode.PUT_BACK:
        return record(turn, (skipped, ending(context, turn.state)), says)
    return record(turn, (skipped,), says)
