"""Several things said in one breath: what is sure is logged part by part and read back in one sentence.

Taking it back takes back all of it (``SaidTogether``).
"""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.fault_model import Task
from assistant.messages import Grade, Heard, Hypothesis, Outcome, Reason, Say, Understanding, Why, check_prompt
from assistant.messages.decisions import (
    AccessOpened,
    CheckChosen,
    Decision,
    FactAnswered,
    ObservationWithdrawn,
    Observed,
    Phase,
    SaidTogether,
)
from assistant.phrasing.verdicts import graded
from assistant.phrasing.wording import at_place, one_of, read
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.prompts import Asked, asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Mode
from assistant.session.fold import State, apply_all
from assistant.session.handlers import answering
from assistant.session.handlers.facts import withdrawn_fact
from assistant.session.handlers.finding import doubt
from assistant.session.observing.observations import observed, verdict_of
from assistant.session.observing.stakes import worth_asking
from assistant.session.openings import left_to_open, opening_minutes
from assistant.session.saying.questions import check_expectation
from assistant.session.turn import Result, Turn, record
from assistant.session.unprompted.breath import code_told
from assistant.understanding.interpret import BY_SOUND
from assistant.understanding.utterance import answer_of

_READ = (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.CHOICE)
_DOUBTED = (*_READ, Outcome.CHOOSE, Outcome.RANGE)


def facts(turn: Turn) -> Result:
    """Facts that were told together."""
    made: list[Decision] = []
    for question, meant in turn.facts_told:
        value = meant.choice or meant.identifier or meant.heard
        made += [*withdrawn_fact(turn.state, question.name), FactAnswered(question.name, value, meant.heard)]
    values = tuple(meant.choice or meant.identifier or "" for _, meant in turn.facts_told)
    told = {question.name for question, _ in turn.facts_told}
    named = (
        _of_a_code(turn, apply_all(turn.context, turn.state, made)) if told & _facts_of_codes(turn.context) else []
    )
    made += named
    values = (*values, *(seen.choice or "" for seen in named))
    if len(made) > 1:
        made.append(SaidTogether(len(turn.facts_told) + len(named)))
    return record(turn, made, Say("facts_logged", {"items": values}))


def code(turn: Turn) -> Result:
    """The wheel and the kind of a code, told together."""
    seen = _of_a_code(turn, turn.state)
    made: tuple[Decision, ...] = (*seen, SaidTogether(len(seen)))
    return record(turn, made, Say("facts_logged", {"items": tuple(one.choice or "" for one in seen)}))


def _of_a_code(turn: Turn, state: State) -> list[Observed]:
    """The wheel and the kind that were told with a code, as the answers of the checks that ask for them.

    Only while the codes still mean what they say: nothing is open that spoils them, and they were not read before.
    """
    context = turn.context
    words = turn.understood.heard if turn.understood is not None else ""
    place, kinds = code_told(context, words)
    group = next((one.group for one in context.procedure.places if one.name == place), None)
    if state.phase is not Phase.FINDING:
        return []
    found: list[Observed] = []
    for check in context.procedure.checks:
        names_it = check.kind == "place" and check.each == group and place is not None
        choice = place if names_it else kinds.get(check.name)
        if choice is None or not check.reads_codes:
            continue
        read_before = any(seen.check == check.name for seen in state.observations)
        spoiled = any(access in check.spoiled_by for access, _ in state.opened)
        if not read_before and not spoiled and Task(check.name, None) in view_of(context, state).task_index:
            meant = Understanding(Outcome.CHOICE, words, choice=choice)
            found.append(observed(context, state, check, None, meant, None))
            state = apply_all(context, state, found[-1:])
    return found


def _facts_of_codes(context: Context) -> set[str]:
    """Facts on which the checks that read codes hang: those that tell what codes there are."""
    return {name for check in context.procedure.checks if check.reads_codes for name in check.when}


def readings(turn: Turn) -> Result:
    """Readings of several places: the sure ones are logged, the first that is not sure is asked about."""
    if turn.code_told:
        return code(turn)
    context = turn.context
    check = context.check(turn.asked.name)
    made: list[Decision] = []
    taken: list[Observed] = []
    unsure: list[tuple[str, str, Understanding]] = []
    for place, words in turn.readings_told:
        state = apply_all(context, turn.state, made)
        meant = answer_of(words, check_expectation(context, state, check, place), context.vocabulary)
        opened = _opened(turn, state, place)
        seen = _sure(turn, apply_all(context, state, opened), place, meant)
        if seen is None:
            unsure.append((place, words, meant))
            continue
        made += [*opened, seen]
        taken.append(seen)
    dialog, asked = None, list[Decision]()
    for place, words, meant in unsure:
        asked, seen, dialog = _asked_about(turn, apply_all(context, turn.state, made), place, words, meant)
        if seen is None:
            break
        made += [*asked, seen]  # where it stands a mistake costs nothing: it is read a second time anyway
        taken.append(seen)
        asked = []
    if len(taken) > 1:
        made.append(SaidTogether(len(taken)))
    made += asked
    says = (Say("readings_logged", {"items": tuple(_told(turn, seen) for seen in taken)}),) if taken else ()
    if turn.places_left:
        says = (*says, Say("not_taken_at", {"text": one_of(turn.places_left)}))
    return record(turn, made, *says, dialog=dialog)


def _opened(turn: Turn, state: State, place: str) -> list[Decision]:
    """What must be open where something was read: it goes on the put-back list."""
    chosen = CheckChosen(turn.asked.name, place, 0.0, Reason(Why.ASKED_FOR))
    return [
        AccessOpened(one.access, one.place, opening_minutes(turn.context, state.facts, one))
        for one in left_to_open(turn.context, state.facts, state.opened, chosen)
    ]


def _sure(turn: Turn, state: State, place: str, meant: Understanding) -> Observed | None:
    """The observation of one place, None when it must be asked about first."""
    context = turn.context
    check = context.check(turn.asked.name)
    if meant.outcome not in _READ or (meant.confirm and meant.reason not in BY_SOUND):
        return None
    there = Turn(context, replace(state, dialog=DialogState(live=True)), turn.fact, meant, turn.expectation)
    if meant.outcome is Outcome.READING and doubt(there, check, meant) is not None:
        return None
    verdict = None if meant.outcome is Outcome.CHOICE else verdict_of(context, state, check, place, meant)
    if verdict is not None and verdict.grade is Grade.TOO_CLOSE:
        return None
    seen = observed(context, state, check, place, meant, verdict)
    chosen = CheckChosen(check.name, place, check.minutes, Reason(Why.ASKED_FOR))
    alone = apply_all(context, state, (chosen,))  # what the plan does next on this reading tells what a mistake costs
    return None if worth_asking(context, alone, check, seen, meant) else seen


def _told(turn: Turn, seen: Observed) -> str:
    """One reading of the sentence that reads them back."""
    shown = read(seen, turn.context.vocabulary)
    named = f"{seen.place} {shown}" if seen.place else shown
    return at_place(named, graded(seen) or None)


def _asked_about(
    turn: Turn, state: State, place: str, words: str, meant: Understanding
) -> tuple[list[Decision], Observed | None, DialogState | None]:
    """A reading that is not sure: its place is asked next, with the question about it, or it counts there at once."""
    context = turn.context
    check = context.check(turn.asked.name)
    more: list[Decision] = _opened(turn, state, place)
    if place != turn.asked.place:
        more.append(CheckChosen(check.name, place, check.minutes, Reason(Why.ASKED_FOR)))
    there = replace(apply_all(context, state, more), dialog=DialogState(live=True), pending=None)
    asked: Asked = asked_now(context, there)
    if asked.prompt != check_prompt(check.name, place) or meant.outcome not in _DOUBTED:
        return more, None, None
    at = turn.fact.at if isinstance(turn.fact, Heard) else 0.0
    source = turn.fact if isinstance(turn.fact, Heard) else Heard(at, ())
    heard = replace(source, hypotheses=(Hypothesis(words),))
    wanted = check_expectation(context, there, check, place)
    answerer = answering.choose if meant.outcome is Outcome.CHOOSE else answering.answer
    after, _ = answerer(Turn(context, there, heard, meant, wanted))
    if after.pending is not None:
        made = after.pending.record.decisions
        kept = [one for one in made if isinstance(one, Observed)]
        replaced = any(isinstance(one, ObservationWithdrawn) for one in made)
        return more, kept[0] if len(kept) == 1 and not replaced else None, None
    return more, None, after.dialog if after.dialog.overlay is not None else None


def readable(turn: Turn, mode: Mode, told: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """What was told of places at which the check that is asked can be read, and was not read before."""
    if mode is not Mode.CHECK or turn.asked.place is None:
        return []
    name = turn.asked.name
    tasks = view_of(turn.context, turn.state).task_index
    done = {(seen.check, seen.place) for seen in turn.state.observations}
    if (name, turn.asked.place) in done:
        return []
    return [(place, words) for place, words in told if Task(name, place) in tasks and (name, place) not in done]
