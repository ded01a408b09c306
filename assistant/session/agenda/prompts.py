"""What is asked next. It follows from the recorded state alone, so resuming asks what was asked before.

The put-back list is asked before the proof, and at the end for what was opened after it.
"""

from __future__ import annotations

import contextlib
from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass, fields
from operator import attrgetter

from assistant.diagnosis.conditions import assumed_facts, may_hold
from assistant.messages import Overlaid, Prompt, PromptKind
from assistant.messages.decisions import FixChosen, Phase
from assistant.procedure.model import ProofStep, Question, When
from assistant.session.agenda.facts_to_ask import (
    AS_LAST_TIME,
    AS_TOLD_QUESTION,
    LAST_TIME_QUESTION,
    as_it_was,
    as_told,
    at_first,
    needed,
    needed_to_prove,
    questions,
)
from assistant.session.agenda.put_back import put_back_cautions, put_back_items
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import UNIT_NUMBER, State, action_prompt
from assistant.session.ledger import AS_TOLD, NOT_SURE
from assistant.session.openings import left_to_open

CLOSE = Prompt(PromptKind.CLOSE, "put back")
END = Prompt(PromptKind.CLOSE, "end")
AS_BEFORE = "as before"
"""Stands for the name of a caution where all that are asked were acknowledged before."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The main prompt: what is asked, and about what."""

    mode: Mode
    """READY, CAUTION, FACT, ACCESS, CHECK, FIX, PROOF, OFFER, PUT_BACK, HELD or ENDED."""
    prompt: Prompt
    """Its identity."""
    name: str = ""
    """Name of the caution, fact, access, check, fix or step."""
    place: str | None = None
    """Where, for an access, a check or a fix, or for the work that a caution stands before."""
    names: tuple[str, ...] = ()
    """Cautions that are asked all at once, new ones and those that were acknowledged before at another place."""
    before: Prompt | None = None
    """The prompt that a caution stands before."""


ENDED = Asked(Mode.ENDED, Prompt(PromptKind.ENDED))
_OVERLAID = {
    Mode.CONFIRM: Overlaid.CONFIRM,
    Mode.CHOOSE: Overlaid.CHOOSE,
    Mode.SPREAD: Overlaid.CHOOSE,
    Mode.REASON: Overlaid.SKIP,
}
_ALONE = {
    Mode.NOTE: PromptKind.NOTE,
    Mode.STOP: PromptKind.STOP,
    Mode.HELD: PromptKind.HELD,
    Mode.ENDED: PromptKind.ENDED,
}


KEPT = 64
"""Prompts kept, of all sessions together."""
_RECORDED = attrgetter(*(one.name for one in fields(State) if one.name not in ("dialog", "pending")))
_kept: OrderedDict[tuple[int, ...], tuple[tuple[object, ...], Asked | None]] = OrderedDict()


def main(context: Context, state: State) -> Asked | None:
    """The main prompt, None when the phase has nothing left to ask and a decision must come first.

    It follows from what is recorded, and one step asks for it a dozen times: the last ones are kept, by the identity
    of what they follow from (which is kept with them, so that no identity is used again). Safe for sessions in
    several threads: each touch of the memory is one operation.
    """
    recorded = (context, *_RECORDED(state))
    key = tuple(map(id, recorded))
    with contextlib.suppress(KeyError):
        return _kept[key][1]
    asked = _main(context, state)
    _kept[key] = recorded, asked
    while len(_kept) > KEPT:
        with contextlib.suppress(KeyError):  # another thread took the last one out
            _kept.popitem(last=False)
    return asked


def _main(context: Context, state: State) -> Asked | None:
    if state.ended is not None:
        return ENDED
    if unit_to_look_up(context, state):
        return Asked(Mode.LOOK_UP, Prompt(PromptKind.HISTORY))
    if state.offered is not None:
        return Asked(Mode.OFFER, state.offered.prompt, state.offered.prompt.name)
    asked = {
        Phase.CAUTIONS: _beginning,
        Phase.FACTS: _facts,
        Phase.FINDING: _action,
        Phase.REPAIRING: _action,
        Phase.SURVEYING: _action,
        Phase.PROVING: _proof,
        Phase.CLOSING: _closing,
    }[state.phase]
    return asked(context, state)


def unit_to_look_up(context: Context, state: State) -> str:
    """Number of the unit whose history is still to be asked for; '' when there is none."""
    unit = state.facts.get(UNIT_NUMBER, "")
    known = unit in ("", NOT_SURE, state.history_of)
    return unit if context.asks_history and not known else ""


def holds(context: Context, state: State, when: When) -> bool:
    """True unless a known fact rules the condition out."""
    return may_hold(when, assumed_facts(context.procedure, state.facts))


def question_named(context: Context, name: str) -> Question:
    """The fact asked under that name."""
    if name == AS_LAST_TIME:
        return LAST_TIME_QUESTION
    if name == AS_TOLD:
        return AS_TOLD_QUESTION
    return next(question for question in questions(context) if question.name == name)


def steps_left(context: Context, state: State) -> tuple[ProofStep, ...]:
    """Steps of the proof that are neither done nor skipped."""
    done = {step.step for step in state.proof}
    skipped = {skip.prompt for skip in state.skipped}
    owed = bool(put_back_items(context, state))
    return tuple(
        step
        for step in context.procedure.proof.steps
        if step.name not in done
        and Prompt(PromptKind.PROOF, step.name) not in skipped
        and holds(context, state, step.when)
        and (owed or not step.put_back)
    )


def _beginning(context: Context, state: State) -> Asked | None:
    if not state.ready:
        return Asked(Mode.READY, Prompt(PromptKind.READY))
    first = (caution.name for caution in context.procedure.cautions if caution.first)
    return _caution(context, state, first, None, None)


def _caution(
    context: Context, state: State, names: Iterable[str], place: str | None, before: Prompt | None
) -> Asked | None:
    """The cautions that are due, all in one prompt, so that one yes answers them."""
    due = tuple(
        name for name in names if name not in state.acknowledged and holds(context, state, context.caution(name).when)
    )
    new = [name for name in due if name not in state.warned]
    if not due:
        return None
    if not new:
        return Asked(Mode.CAUTION, Prompt(PromptKind.CAUTION, AS_BEFORE, place), due[0], place, due, before)
    together = due if len(due) > 1 else ()
    return Asked(Mode.CAUTION, Prompt(PromptKind.CAUTION, new[0]), new[0], place, together, before)


def _facts(context: Context, state: State) -> Asked | None:
    question = at_first(context, state)
    unit = question is not None and question.name == UNIT_NUMBER
    if not unit and AS_TOLD not in state.facts and as_told(context, state):
        return _fact(AS_TOLD)
    if not unit and AS_LAST_TIME not in state.facts and as_it_was(context, state):
        return _fact(AS_LAST_TIME)
    return None if question is None else _fact(question.name)


def _fact(name: str) -> Asked:
    return Asked(Mode.FACT, Prompt(PromptKind.FACT, name), name)


def _action(context: Context, state: State) -> Asked | None:
    if state.wanted:
        return _fact(state.wanted)
    action = state.action
    if action is None:
        return None
    fact = needed(context, state, action)
    if fact is not None:
        return _fact(fact.name)
    for opening in left_to_open(context, state.facts, state.opened, action):
        prompt = Prompt(PromptKind.ACCESS, opening.access, opening.place)
        caution = _caution(context, state, context.access(opening.access).cautions, opening.place, prompt)
        return caution or Asked(Mode.ACCESS, prompt, opening.access, opening.place)
    prompt = action_prompt(action)
    if isinstance(action, FixChosen):
        caution = _caution(context, state, context.fix(action.fix).cautions, action.place, prompt)
        return caution or Asked(Mode.FIX, prompt, action.fix, action.place)
    caution = _caution(context, state, context.check(action.check).cautions, action.place, prompt)
    return caution or Asked(Mode.CHECK, prompt, action.check, action.place)


def _proof(context: Context, state: State) -> Asked | None:
    if not all(step.passed for step in state.proof):
        return None
    steps = steps_left(context, state)
    if not steps:
        return None
    step = steps[0]
    own = any(one.put_back for one in context.procedure.proof.steps)
    if step.put_back or (not own and put_back_items(context, state)):
        return _put_back(context, state)
    fact = needed_to_prove(context, state, step)
    if fact is not None:
        return _fact(fact.name)
    prompt = Prompt(PromptKind.PROOF, step.name)
    return _caution(context, state, step.cautions, None, prompt) or Asked(Mode.PROOF, prompt, step.name)


def _closing(context: Context, state: State) -> Asked | None:
    """The put-back list; after a passed proof one last prompt, so that a slip can still be taken back."""
    if put_back_items(context, state):
        return _put_back(context, state)
    proven = bool(state.proofs) and state.proofs[-1].passed
    return Asked(Mode.PUT_BACK, END) if proven or state.unproven else None


def _put_back(context: Context, state: State) -> Asked:
    """The put-back list, after the cautions of letting down and of testing what was worked on."""
    caution = _caution(context, state, put_back_cautions(context, state), None, CLOSE)
    return caution or Asked(Mode.PUT_BACK, CLOSE)


def asked_now(context: Context, state: State) -> Asked:
    """The prompt that is asked: an earlier one that is being asked again, else the main one."""
    revisit = state.dialog.revisit
    if revisit is not None and any(done.prompt == revisit for done in state.answer_history):
        return Asked(Mode(revisit.kind.value), revisit, revisit.name, revisit.place)
    return main(context, state) or ENDED


def mode_of(context: Context, state: State) -> Mode:
    """What the session waits for; with an event it names one row of the table."""
    dialog = state.dialog
    if state.pending is not None:
        return Mode.UNWRITTEN if state.pending.failed else Mode.RECORDING
    if not dialog.live:
        return Mode.NEW
    if state.ended is not None:
        return Mode.ENDED
    if state.held:
        return Mode.HELD
    if dialog.overlay is not None:
        return dialog.overlay.mode
    return asked_now(context, state).mode


def prompt_now(context: Context, state: State) -> Prompt:
    """What is asked now, with the question laid over it."""
    mode = mode_of(context, state)
    if mode in _ALONE:
        return Prompt(_ALONE[mode])
    asked = asked_now(context, state).prompt
    return asked.under(_OVERLAID[mode]) if mode in _OVERLAID else asked
