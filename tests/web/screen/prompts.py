"""Every prompt of every procedure as a screen gets it: of whole sessions on simulated units, the rest led from there.

A session shows what its unit's fault leads to. What no session came by is chosen in a state that a session was in,
and walked up to: the facts, cautions and openings before it, itself, what goes back after it and the proof. So no
unit has to be found for each repair, and each is asked as the program asks it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from random import Random
from typing import Any

from assistant import catalog
from assistant.clock import ScriptedClock
from assistant.diagnosis.fault_model import fault_model
from assistant.display.view import standing
from assistant.loop import Loop
from assistant.messages import (
    Expectation,
    Expects,
    Fact,
    FoundBefore,
    Heard,
    Hypothesis,
    Prompt,
    PromptKind,
    Recorded,
    RecordFailed,
    Say,
    Source,
)
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    FactAnswered,
    FixChosen,
    FixDone,
    Offered,
    Phase,
    PhaseEntered,
    ProofStepDone,
    PutBackDone,
    Record,
)
from assistant.messages.prompts import FOUND_BEFORE, HAND_OVER
from assistant.messages.reasons import Reason, Why
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Access, Check, Fix
from assistant.session.agenda.next_action import at
from assistant.session.agenda.prompts import Asked, main, question_named
from assistant.session.agenda.put_back import put_back_items
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Mode, Overlay
from assistant.session.fold import UNIT_NUMBER, apply, apply_all, begin
from assistant.session.ledger import NOT_SURE
from assistant.session.saying.questions import expectation, put_back_parts
from assistant.session.state import Answered, State
from assistant.session.step import step
from assistant.simulator.technician import Technician, UnitRecord
from assistant.simulator.trial import context_of
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts, draw_survey
from tests.records.units import STARTED

Standing = dict[str, Any]
PROCEDURES = tuple(path.stem for path in list_procedures())
"""Names of all procedures."""
SESSIONS = 2
"""Led to their end with each procedure before the rest is walked up to."""
ASIDE = ("hold on", "note", "stop", "skip", "four or five", "12", "five to twelve", "minus five", "0", "100000")
"""What is said at a reading in place of a value, so that a question is laid over it."""
MOST = 60
"""Prompts between the choice of an action and itself, after which a walk has gone in a circle."""


@dataclass
class Shelf:
    """The prompts of one procedure, each once: the one with the most to show."""

    context: Context
    found: dict[tuple[str, ...], Standing] = field(default_factory=dict)
    searching: State | None = None
    """A session at a check, with an earlier reading that is shown."""
    reading: State | None = None
    """The same at a reading."""
    begun: State | None = None
    """The same before the search: what was told at the start."""

    def keep(self, state: State, asked: Expectation) -> Standing:
        """Keep what a screen shows in this state."""
        made = standing(self.context, state, asked)
        parts = made["ask"]["parts"] if made["mode"] == Mode.PUT_BACK else ()
        key = (made["prompt"], made["mode"], made["ask"]["text"] if made["mode"] in OVER else "", *parts)
        if len(str(made)) > len(str(self.found.get(key, ""))):
            self.found[key] = made
        return made

    def note(self, state: State, made: Standing) -> None:
        """Remember states from which the rest can be walked up to."""
        if made["mode"] != Mode.CHECK or not made["last"] or state.dialog.overlay or state.phase is Phase.REPAIRING:
            return
        if self.searching is None or len(state.observations) <= 2:
            self.searching = state
        if made["expects"] == Expects.READING:
            self.reading = self.reading or state

    @property
    def prompts(self) -> tuple[Standing, ...]:
        """All of them."""
        return tuple(self.found.values())


OVER = (Mode.CONFIRM, Mode.CHOOSE, Mode.SPREAD, Mode.REASON, Mode.NOTE, Mode.STOP, Mode.HELD, Mode.UNWRITTEN)
"""Questions laid over a prompt."""


def context_named(name: str) -> Context:
    """What a session on a simulated unit works with."""
    procedure = load_procedure(next(path for path in list_procedures() if path.stem == name)).procedure
    return context_of(procedure, catalog.load_vocabulary(), 0.005)


def _lead(shelf: Shelf, sessions: int) -> None:
    """Lead whole sessions on units with different faults."""
    context, procedure = shelf.context, shelf.context.procedure
    suspects = fault_model(procedure, {}).suspects
    for number in range(sessions):
        rng = Random(number)
        if suspects:
            suspect = suspects[number * max(1, len(suspects) // sessions) % len(suspects)]
            unit = SimulatedUnit(procedure, draw_facts(procedure, suspect, rng), (suspect,), seed=number)
        else:
            facts, task, shows = draw_survey(procedure, rng)
            unit = SimulatedUnit(procedure, facts, (), seed=number, odd={task: shows})
        clock, record = ScriptedClock(STARTED), UnitRecord(unit)
        loop = Loop(context, begin(context), record, Technician(unit, clock, seed=number), None, clock)

        def keep(asked: Expectation, loop: Loop[Context, State] = loop) -> None:
            shelf.note(loop.state, shelf.keep(loop.state, asked))

        loop.on_listen = keep
        loop.run()


@cache
def prompts_of(name: str, sessions: int) -> tuple[Standing, ...]:
    """The prompts of so many sessions with one procedure, each once: the one with the most to show."""
    shelf = Shelf(context_named(name))
    _lead(shelf, sessions)
    return shelf.prompts


@cache
def every_prompt_of(name: str) -> tuple[Standing, ...]:
    """Each check, caution, fix, opening, fact, thing that goes back, step of the proof and question laid over a
    reading of a procedure, each at least once, and each as one session could be asked it."""
    shelf = Shelf(context_named(name))
    _lead(shelf, SESSIONS)
    _walk_to_all(shelf)
    _ask_beside(shelf)
    _ask_the_unit(shelf)
    return shelf.prompts


def _walk_to_all(shelf: Shelf) -> None:
    """Walk up to every check, and in a hunt to every repair, with all that comes before and after it."""
    context, procedure = shelf.context, shelf.context.procedure
    assert shelf.searching is not None, "no session came to a second check"
    start = apply(context, replace(shelf.searching, dialog=DialogState(live=True)), PutBackDone(()))
    for question in procedure.facts:
        _show(shelf, replace(start, wanted=question.name))
    for check in procedure.checks:
        _walk(shelf, start, CheckChosen(check.name, _longest(context, check), 1.0, Reason(Why.LAST_LOOK)))
    repairing = apply(context, start, PhaseEntered(Phase.REPAIRING))
    for fix in procedure.fixes:
        state = _walk(shelf, repairing, _chosen(context, fix))
        done = FixDone(fix.name, _longest(context, fix), fix.title, fix.part)
        _prove(shelf, apply_all(context, state, (done, PhaseEntered(Phase.PROVING))))
    proving = apply(context, start, PhaseEntered(Phase.PROVING))
    for access in procedure.access:  # those that no unit so far needed are gone back to
        opened = AccessOpened(access.name, _longest(context, access), 1.0)
        prompt = Prompt(PromptKind.ACCESS, access.name, opened.place)
        if all(one["prompt"] != str(prompt) for one in shelf.prompts):
            back = replace(start, answer_history=(Answered(prompt),), dialog=DialogState(live=True, revisit=prompt))
            _show(shelf, back)
        _prove(shelf, apply(context, proving, opened))
    if not procedure.fixes:
        _prove(shelf, proving)


def _longest(context: Context, row: Access | Check | Fix) -> str | None:
    """The place with the longest name of those that a row is for."""
    if row.each is None or (isinstance(row, Check) and row.kind == "place"):
        return None
    return max((one.name for one in context.procedure.places if one.group == row.each), key=len)


def _chosen(context: Context, fix: Fix) -> FixChosen:
    """A repair after a check that condemns a part: check and fault with the longest names of those it answers."""
    place = _longest(context, fix)
    faults = [fault for fault in context.procedure.faults if fault.fix == fix.name or fault.name in fix.also_cures]
    fault = max(faults, key=lambda one: len(one.title))
    check = max(context.procedure.checks, key=lambda one: (fault.name in str(one.finds), len(one.title)))
    slots = {"check": at(check.title, place), "suspect": at(fault.title, place)}
    return FixChosen(fix.name, place, fault.name, 0.95, True, Reason(Why.CONDEMNED, slots))


def _show(shelf: Shelf, state: State) -> None:
    shelf.keep(state, expectation(shelf.context, state))


def _walk(shelf: Shelf, state: State, action: CheckChosen | FixChosen) -> State:
    """Show all that is asked from the choice of an action to itself; the state in which it is asked."""
    context = shelf.context
    state = apply(context, state, action)
    for _ in range(MOST):
        asked = main(context, state)
        assert asked is not None
        _show(shelf, state)
        if asked.mode in (Mode.CHECK, Mode.FIX):
            return state
        answers_it = _answer(context, state, asked)
        state = replace(apply_all(context, state, answers_it), action=action)
    raise AssertionError(f"{action} is never asked")


def _answer(context: Context, state: State, asked: Asked) -> tuple[Decision, ...]:
    """What is decided where a prompt before an action got its answer."""
    if asked.mode is Mode.CAUTION:
        return tuple(CautionAcknowledged(name, asked.place) for name in asked.names or (asked.name,))
    if asked.mode is Mode.ACCESS:
        return (AccessOpened(asked.name, asked.place, 1.0),)
    question = question_named(context, asked.name)
    value = question.choices[0].name if question.choices else NOT_SURE
    return (FactAnswered(asked.name, value, value),)


def _prove(shelf: Shelf, state: State) -> None:
    """Show what goes back, part by part and one by one, and each step of the proof."""
    context = shelf.context
    for _ in range(MOST):
        asked = main(context, state)
        if asked is None or asked.mode is Mode.ENDED:
            return
        if asked.mode is Mode.PUT_BACK:
            items = put_back_items(context, state)
            for part in range(len(put_back_parts(items))):
                _show(shelf, replace(state, dialog=DialogState(live=True, part=part)))
            _show(shelf, replace(state, dialog=DialogState(live=True, item=0)))
            state = apply(context, state, PutBackDone(items))
        elif asked.mode is Mode.PROOF:
            _show(shelf, state)
            proof_step = context.proof_step(asked.name)
            answer = proof_step.passes[0] if proof_step.passes else "next"
            state = apply(context, state, ProofStepDone(asked.name, answer, True))
        else:
            _show(shelf, state)
            state = apply_all(context, state, _answer(context, state, asked))
    raise AssertionError("the proof has no end")


def _ask_beside(shelf: Shelf) -> None:
    """Questions laid over a reading, as they come of what is said at it; and what is offered."""
    context = shelf.context
    if shelf.reading is not None:
        for words in ASIDE:
            _show(shelf, _after(context, shelf.reading, words))
        moving = Overlay(Mode.SPREAD, Say("lowest_highest"), asked_for="range")
        _show(shelf, replace(shelf.reading, dialog=DialogState(live=True, overlay=moving)))
        _show(shelf, _after(context, shelf.reading, "hold on", written=False))
    if context.procedure.kind == "find" and shelf.searching is not None:
        for offered in _offers(context):
            _show(shelf, apply(context, replace(shelf.searching, dialog=DialogState(live=True)), offered))


def _ask_the_unit(shelf: Shelf) -> None:
    """The number of the unit, where nobody told it before, and what is wrong with it in own words."""
    context = replace(shelf.context, unit_number="", asks_words=True)
    state = replace(begin(context), dialog=DialogState(live=True))
    state = apply_all(context, state, (PhaseEntered(Phase.CAUTIONS), PhaseEntered(Phase.FACTS)))
    bare = Shelf(context, shelf.found)
    _show(bare, state)
    _show(bare, apply(context, state, FactAnswered(UNIT_NUMBER, "4471", "4471")))


def _after(context: Context, state: State, words: str, *, written: bool = True) -> State:
    """The state after something was said, and written, or not."""
    fact: Fact = Heard(1.0, (Hypothesis(words),), Source.TYPED)
    state, effects = step(context, state, fact)
    while any(isinstance(one, Record) for one in effects):
        fact = Recorded(2.0, 1000) if written else RecordFailed(at=2.0, reason="No space is left on the disk.")
        state, effects = step(context, state, fact)
        if not written:
            break
    return state


def _offers(context: Context) -> Iterator[Offered]:
    yield Offered(HAND_OVER, Reason(Why.LONG_HUNT, {"minutes": 140}))
    fault = max(context.procedure.faults, key=lambda one: len(one.title))
    place = max((one.name for one in context.procedure.places if one.group == fault.each), key=len, default="")
    found = FoundBefore("", "March 3", fault.name, place, fault.fix, at(fault.title, place), "waiting for the part")
    slots = {"day": found.day, "suspect": found.suspect, "reason": found.reason}
    yield Offered(FOUND_BEFORE, Reason(Why.FOUND_BEFORE, {**slots, "readings": ("over range, March 3",)}))


def longest_of(prompts: Iterable[Standing]) -> tuple[Standing, ...]:
    """Of prompts that differ in nothing but the length of their words, those that no other outdoes in all of them.

    What stands on a screen is made of the same parts for each of a kind; where one has as many words or more in every
    part, and stands, the other does.
    """
    kinds: dict[tuple[object, ...], list[tuple[tuple[int, ...], Standing]]] = {}
    for one in prompts:
        kinds.setdefault(_kind(one), []).append((_lengths(one), one))
    return tuple(one for all_of_it in kinds.values() for one in _not_outdone(all_of_it))


def _not_outdone(of_a_kind: list[tuple[tuple[int, ...], Standing]]) -> Iterator[Standing]:
    kept: list[tuple[int, ...]] = []
    for lengths, one in sorted(of_a_kind, key=lambda pair: sum(pair[0]), reverse=True):
        if not any(all(mine <= more for mine, more in zip(lengths, longer, strict=True)) for longer in kept):
            kept.append(lengths)
            yield one


def _kind(one: Standing) -> tuple[object, ...]:
    """Which parts a screen of it has: keys, pictures, what stands over the question."""
    asked, drawn = one["ask"], [picture["box"] for picture in one["pictures"] if picture["kind"] != "meter"]
    keyed = (one["expects"] == Expects.READING, one["mode"] in OVER, tuple(one["keys"]), len(one["answers"]))
    said = {answer["say"] for answer in one["answers"]} & {"yes"}
    parts = (bool(one["place"]), bool(one["limits"]), bool(one["last"]), bool(one["found"]), asked["caution"])
    return (*keyed, bool(said), *parts, asked["head"], len(asked["parts"]), drawn[:1] != [])


def _lengths(one: Standing) -> tuple[int, ...]:
    """How long the words of each part are, rounded up to some letters."""
    asked, last, found = one["ask"], one["last"] or {}, one["found"] or {}
    labels = [len(answer["label"]) for answer in one["answers"]]
    last_words = sum(len(str(last.get(name) or "")) for name in ("title", "text", "verdict", "remark"))
    words = (
        len(asked["text"]), sum(map(len, asked["before"])), sum(map(len, asked["parts"])), len(one["place"]),
        len(one["limits"]), last_words, len(found.get("text", "")), max(labels, default=0),
    )  # fmt: skip
    return tuple(-(-one // SAME) for one in words)


SAME = 8
"""Letters by which words are no longer: less than half of the shortest line."""
