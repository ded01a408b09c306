"""'Right rear outer next': a place named at any prompt of a survey comes next."""

from __future__ import annotations

from assistant.diagnosis.fault_model import Task
from assistant.messages import Heard, Outcome, Say, Understanding, Why
from assistant.messages.decisions import CheckChosen, Phase
from assistant.session.agenda.surveying import chosen, jumps, next_at, tasks_of
from assistant.session.dialog_state import Mode
from assistant.session.turn import Result, Turn, reask, record

_BEFORE = ("go to the ", "go to ", "now the ", "now ", "next is ", "take the ", "take ")
_AFTER = (" next", " now", " please")
_MODES = (Mode.CHECK, Mode.ACCESS, Mode.CAUTION)


def place_named(turn: Turn, mode: Mode, fact: Heard) -> Understanding | None:
    """The place that the whole utterance names, None when it names something else."""
    if turn.state.phase is not Phase.SURVEYING or mode not in _MODES or not fact.hypotheses:
        return None
    words = fact.hypotheses[0].words
    said = " ".join(words.lower().replace(",", " ").split()).strip(" .!?")
    plain = said
    for head in _BEFORE:
        if plain.startswith(head):
            plain = plain.removeprefix(head)
            break
    for tail in _AFTER:
        plain = plain.removesuffix(tail)
    for jump in jumps(turn.context, turn.state):
        if plain in (jump.name.lower(), *(form.lower() for form in jump.also)):
            return Understanding(Outcome.CHOICE, words, choice=jump.name)
    return None


def go_to(turn: Turn) -> Result:
    """A place was named: it is read next; the position that was asked stays open."""
    action = turn.state.action
    place = turn.meant.choice or ""
    if action is not None and action.place == place:
        return reask(turn, Say("already_there"))
    there = _same_check(turn, place) if isinstance(action, CheckChosen) else None
    following = there or next_at(turn.context, turn.state, place)
    if following is None:
        return reask(turn, Say("not_asked"))
    return record(turn, (following,))


def _same_check(turn: Turn, place: str) -> CheckChosen | None:
    """The check that is being asked, at the named place, if that is still unread."""
    action = turn.state.action
    if not isinstance(action, CheckChosen):
        return None
    task = Task(action.check, place)
    done = {Task(seen.check, seen.place) for seen in turn.state.observations}
    if task in done or task not in tasks_of(turn.context, turn.state):
        return None
    return chosen(turn.context, task, Why.ASKED_FOR)
