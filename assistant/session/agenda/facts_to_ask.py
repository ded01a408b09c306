"""Which facts about the unit are asked, and when.

Before the finding begins: the unit's number, what is told in the person's own words, what may decline the procedure,
what the file marks as ``first``, and, in one question, whether what lasts is as it was last time. Every other one is
asked when the step that was chosen depends on it (``needed``), or when its answer is worth more working minutes than
it takes to ask (``diagnosis.asking``). A survey reads every position, so that it asks for everything at first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from itertools import product

from assistant.diagnosis.conditions import assumed_facts, may_hold, surely_holds
from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade, Limits
from assistant.messages.decisions import CheckChosen, FactAnswered, FixChosen
from assistant.phrasing import sentences
from assistant.procedure.model import Check, Option, ProofStep, Question, When
from assistant.session.context import Context
from assistant.session.fold import COIL_TEMPERATURE, LEAD_OHMS, UNIT_NUMBER, State, apply_all
from assistant.session.ledger import AS_TOLD, OWN_COMPLAINT
from assistant.session.openings import left_to_open

UNIT_QUESTION = Question(name=UNIT_NUMBER, ask=sentences.UNIT_QUESTION, kind="identifier", help=sentences.UNIT_HELP)
"""Asked first when the number is neither in the context nor among the procedure's facts."""
AS_LAST_TIME = "as last time"
"""Name of the question whether the unit is as it was."""
LAST_TIME_QUESTION = Question(
    name=AS_LAST_TIME,
    ask=sentences.SAME_QUESTION,
    kind="choice",
    choices=(
        Option(name="yes", also=("same", "the same", "still the same", "no change")),
        Option(name="no", also=("not the same", "different", "changed")),
    ),
    unsure=False,
)
"""Asked once, in one sentence with what was known."""
AS_TOLD_QUESTION = Question(
    name=AS_TOLD,
    ask=sentences.TOLD_QUESTION,
    kind="choice",
    choices=(
        Option(name="yes", also=("right", "that's right", "correct")),
        Option(name="no", also=("wrong", "that's wrong", "not right")),
    ),
    unsure=False,
)
"""Asked once, in one sentence with the facts that were told in own words at the start."""
WORDS_QUESTION = Question(name=OWN_COMPLAINT, ask=sentences.WORDS_QUESTION, kind="note", help=sentences.WORDS_HELP)
"""Asked once, after the unit's number, where a fault is looked for and nobody has told what it does."""
NARROW = Decimal(2)
"""A copper winding's temperature is asked for where the highest good reading is less than so many times the lowest:
within what is wider, no temperature in a shop turns the verdict (80 degrees Celsius add 24 percent)."""


def questions(context: Context) -> tuple[Question, ...]:
    """The facts to ask, in order."""
    facts = context.procedure.facts
    named = {question.name for question in facts}
    if not context.unit_number and UNIT_NUMBER not in named:
        facts = (UNIT_QUESTION, *facts)
    if not context.asks_words or context.procedure.kind != "find":
        return facts
    first = 1 if facts and facts[0].name == UNIT_NUMBER else 0
    return (*facts[:first], WORDS_QUESTION, *facts[first:])


def at_first(context: Context, state: State) -> Question | None:
    """The next fact to ask before the finding begins, None when they are all answered."""
    return next(iter(first_left(context, state)), None)


def first_left(context: Context, state: State) -> tuple[Question, ...]:
    """Facts that are still to be asked before the finding begins, in order."""
    known = assumed_facts(context.procedure, state.facts)
    return tuple(
        question
        for question in questions(context)
        if question.name not in state.facts and may_hold(question.when, known) and is_first(context, question)
    )


def is_first(context: Context, question: Question) -> bool:
    """True for a fact that is asked before the finding begins."""
    survey = context.procedure.kind == "survey"
    return survey or question.first or bool(question.declines) or question.kind in ("identifier", "note")


def as_it_was(context: Context, state: State) -> dict[str, str]:
    """What the unit's last session knew of what lasts, as far as it is not told yet and can still be an answer."""
    asked = {one.name: one for one in context.procedure.facts if one.lasts and one.name not in state.facts}
    return {
        name: value
        for name, value in state.ledger.last_facts.items()
        if name in asked and value in {option.name for option in asked[name].choices}
    }


def as_told(context: Context, state: State) -> dict[str, str]:
    """What the own words at the start told, as far as it is not known yet and can still be an answer."""
    known = {**assumed_facts(context.procedure, state.facts), **context.told_facts}
    asked = {one.name: one for one in context.procedure.facts if one.name not in state.facts}
    return {
        name: value
        for name, value in context.told_facts.items()
        if name in asked
        and value in {option.name for option in asked[name].choices} - set(asked[name].declines)
        and may_hold(asked[name].when, known)
    }


def open_questions(context: Context, state: State) -> tuple[Question, ...]:
    """Facts that were not asked yet and can be asked now."""
    known = assumed_facts(context.procedure, state.facts)
    return tuple(
        question
        for question in questions(context)
        if question.name not in state.facts and surely_holds(question.when, known)
    )


def needed(context: Context, state: State, action: CheckChosen | FixChosen) -> Question | None:
    """The fact to ask before an action, because what is done, or how it is judged, depends on it."""
    return _left_of(context, state, set(_facts_of(context, state, action)))


def to_judge(context: Context, state: State, check: Check, grade: Callable[[State], Grade]) -> Question | None:
    """The fact to ask once a reading is there, because the verdict on it hangs on the answer; None where all that is
    still unknown leaves the verdict as it is, and for one that may be too close to call.

    Args:
        context: what the session works with.
        state: where it stands.
        check: what was read.
        grade: the verdict on the reading in a state.
    """
    names = {name for row in check.limits_when for name in row.when}
    left = [one for one in questions(context) if one.name in names - set(state.facts) and one.choices]
    if _left_of(context, state, names) is None or not left:
        return None
    answers = product(*([(one.name, option.name) for option in one.choices] for one in left))
    known = (apply_all(context, state, [FactAnswered(name, value, "") for name, value in told]) for told in answers)
    grades = {grade(one) for one in known}
    return None if len(grades) == 1 and Grade.TOO_CLOSE not in grades else _left_of(context, state, names)


def needed_to_prove(context: Context, state: State, step: ProofStep) -> Question | None:
    """The fact to ask before a step of the proof, because the step, or a caution before it, depends on it.

    What the complaint showed by, as codes do, is not asked after the repair: then the step is done.
    """
    late = {fact.name for fact in context.procedure.facts if fact.complaint}
    whens = [step.when, *(context.caution(name).when for name in step.cautions)]
    return _left_of(context, state, set(_names(whens)) - late)


def _left_of(context: Context, state: State, wanted: set[str]) -> Question | None:
    """The first of these facts that was not asked and can be."""
    left = {question.name: question for question in questions(context) if question.name not in state.facts}
    known = assumed_facts(context.procedure, state.facts)
    for name, question in left.items():
        if name in wanted and may_hold(question.when, known):
            return _before(question, left)
    return None


def _before(question: Question, left: Mapping[str, Question]) -> Question:
    """The question itself, or the one on which it hangs whether this one is asked at all."""
    first = next((left[name] for name in question.when if name in left), None)
    return question if first is None else _before(first, left)


def _facts_of(context: Context, state: State, action: CheckChosen | FixChosen) -> Iterator[str]:
    """Names of the facts that an action depends on: of its cautions and openings, its place and its limits."""
    procedure = context.procedure
    row = context.check(action.check) if isinstance(action, CheckChosen) else context.fix(action.fix)
    whens: list[When] = [caution.when for caution in map(context.caution, row.cautions)]
    for opening in left_to_open(context, state.facts, state.opened, action):
        access = context.access(opening.access)
        whens += [access.when, *(context.caution(name).when for name in access.cautions)]
    if isinstance(row, Check):
        whens.append(row.when)  # what only its limits hang on is asked once a reading shows that it matters
        yield from _for_judging(limits_of(row, state.facts, action.place))
    found = state.found_before
    shown = {seen.choice for seen in state.observations} | {found.place if found is not None else None}
    if action.place not in shown:  # what names a place shows that it is there
        places = (one for one in procedure.places if one.name == action.place and one.group == row.each)
        whens += [place.when for place in places]
    yield from _names(whens)


def _names(whens: Iterable[When]) -> Iterator[str]:
    for when in whens:
        yield from when


def _for_judging(limits: Limits) -> Iterator[str]:
    """What a reading must be corrected by."""
    if limits.small_ohms:
        yield LEAD_OHMS
    if limits.copper and (limits.low is None or limits.high is None or limits.high < NARROW * limits.low):
        yield COIL_TEMPERATURE
