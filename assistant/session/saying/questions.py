"""How each prompt is asked: what is said, what could be answered, and when silence brings a reminder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.messages import (
    Choice,
    Expectation,
    Expects,
    Listen,
    LookUp,
    Prompt,
    PromptKind,
    Say,
    Wait,
    check_prompt,
)
from assistant.messages.decisions import AccessOpened, FixChosen, FixDone, Phase
from assistant.messages.effects import Slot
from assistant.numerals.readback import show_unit
from assistant.phrasing.conditions import asks_itself
from assistant.phrasing.lengths import KNOWN
from assistant.phrasing.reasons import reason_text
from assistant.phrasing.sentences import HINTS, LAST_SEEN_UNKNOWN
from assistant.phrasing.speech_chunks import chunks_of, words_around
from assistant.phrasing.wording import limits as limits_shown
from assistant.phrasing.wording import one_of, placed_once
from assistant.procedure.hands import Hands
from assistant.procedure.model import Check, Fix, Option
from assistant.session.agenda.facts_to_ask import AS_LAST_TIME, as_it_was, as_told
from assistant.session.agenda.next_action import at, view_of
from assistant.session.agenda.prompts import (
    Asked,
    asked_now,
    mode_of,
    prompt_now,
    question_named,
    unit_to_look_up,
)
from assistant.session.agenda.put_back import put_back_items
from assistant.session.agenda.surveying import jumps
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State
from assistant.session.ledger import AS_TOLD, NOT_SURE
from assistant.session.observing.comparing import limits_now
from assistant.session.observing.conditions import ask_check, placed, resolution_at, stopped_first
from assistant.session.observing.standing import standing

ANSWER_SECONDS = 45.0
"""Silence before the one reminder where an answer takes a moment; common practice, no source."""
WORK_SECONDS = 180.0
"""The same where work is done first (an opening, a fix, a drive)."""
BOTH = 2
"""Cautions of which nobody says 'all'."""
ITEMS = 3
"""Items of a list in one sentence; from memory of what can be kept in mind with both hands busy, no source."""
ONE_PART = words_around("put_back_first", "put_back_more", "put_back")
FIRST_PART = words_around("put_back_first", "put_back_more", "put_back_part")
NEXT_PART = words_around("put_back_more", "put_back_more", "put_back_done")
"""Words around a put-back list, around its first part and around each other one, for the time that they take."""
UNSURE = Choice(NOT_SURE, ("don't know", "do not know", "no idea", "unsure", "can't tell", "can not tell"))


def listening(context: Context, state: State, *, reminders: bool = True) -> tuple[Listen | LookUp | Wait, ...]:
    """Wait for the answer to what is asked now, with one reminder where silence is not required."""
    if mode_of(context, state) is Mode.LOOK_UP:
        return (LookUp(unit_to_look_up(context, state)),)
    listen = Listen(expectation(context, state))
    seconds = _silence(context, state)
    if not reminders or state.dialog.reminded or seconds is None:
        return (listen,)
    return (listen, Wait(seconds))


def _silence(context: Context, state: State) -> float | None:
    """Seconds of silence before a reminder, None where none may come."""
    if mode_of(context, state) in (Mode.HELD, Mode.ENDED):
        return None
    asked = asked_now(context, state)
    if asked.mode is Mode.PROOF:
        step = context.proof_step(asked.name)
        return None if step.quiet else max(WORK_SECONDS, step.minutes * 60)
    if asked.mode in (Mode.ACCESS, Mode.FIX):
        return WORK_SECONDS
    return ANSWER_SECONDS


def expectation(context: Context, state: State) -> Expectation:
    """What could be said now."""
    mode = mode_of(context, state)
    prompt = prompt_now(context, state)
    if mode in (Mode.REASON, Mode.NOTE):
        return Expectation(Expects.NOTE, prompt, hint=HINTS["own_words"])
    if mode is Mode.STOP:
        return Expectation(Expects.COMMAND, prompt, hint=HINTS["yes_or_no"])
    if mode in (Mode.HELD, Mode.ENDED):
        return Expectation(Expects.COMMAND, prompt, hint=HINTS["resume"])
    below = replace(
        _expected(context, state, asked_now(context, state)),
        prompt=prompt,
        jumps=jumps(context, state),
        places=places_now(context, state),
    )
    overlay = state.dialog.overlay
    if mode is Mode.CHOOSE and overlay is not None:
        return replace(below, values=overlay.values)
    if mode is Mode.CONFIRM:
        return replace(below, hint=HINTS["confirm"])
    return below


def places_now(context: Context, state: State) -> tuple[Choice, ...]:
    """Places of the unit that a question, a report or a reading can name; none before the search begins."""
    if state.phase in (Phase.CAUTIONS, Phase.FACTS):
        return ()
    standing = {name for group in view_of(context, state).places.values() for name in group}
    return tuple(place for place in context.places_named() if place.name in standing)


def _expected(context: Context, state: State, asked: Asked) -> Expectation:
    match asked.mode:
        case Mode.FACT:
            return _fact(context, asked)
        case Mode.CHECK:
            return _check(context, state, asked)
        case Mode.PROOF:
            step = context.proof_step(asked.name)
            if step.kind == "choice":
                return Expectation(Expects.CHOICE, choices=_choices(step.choices), hint=_hint(step.choices))
            return Expectation(Expects.COMMAND, told=step.say, hint=HINTS["next"])
        case Mode.CAUTION:
            return Expectation(Expects.COMMAND, told=_cautions(context, asked), hint=HINTS["yes"])
        case Mode.FIX:
            return _fix(context.fix(asked.name))
        case Mode.ACCESS:
            access = context.access(asked.name)
            nothing = () if access.absent is None else (Choice(access.absent.name, access.absent.also),)
            return Expectation(Expects.COMMAND, choices=nothing, told=access.say, hint=HINTS["next"])
        case Mode.READY:
            return Expectation(Expects.COMMAND, hint=HINTS["ready"])
        case Mode.PUT_BACK if put_back_items(context, state):
            return Expectation(Expects.COMMAND, hint=HINTS["put_back"])
        case Mode.OFFER:
            return Expectation(Expects.COMMAND, hint=HINTS["yes_or_no"])
        case _:
            return Expectation(Expects.COMMAND, hint=HINTS["next"])


def _fix(fix: Fix) -> Expectation:
    """Done or not; the ways to do it are listened for beside."""
    ways = tuple(Choice(way.name, way.also) for way in fix.ways)
    hint = f"{', '.join(way.name for way in ways)}, {HINTS['fix_way']}" if ways else HINTS["fix"]
    return Expectation(Expects.COMMAND, choices=ways, told=fix.say, hint=hint)


def _cautions(context: Context, asked: Asked) -> str:
    """What the cautions that are asked together say, a line each."""
    return "\n".join(context.caution(name).say for name in asked.names or (asked.name,))


def _fact(context: Context, asked: Asked) -> Expectation:
    question = question_named(context, asked.name)
    if question.kind == "choice":
        choices = _choices(question.choices)
        if question.unsure and NOT_SURE not in {choice.name for choice in choices}:
            choices = (*choices, UNSURE)
        return Expectation(Expects.CHOICE, choices=choices, hint=_hint(question.choices))
    if question.kind == "reading":
        return Expectation(Expects.READING, unit=question.unit, span=question.span, hint=question.unit or "")
    if question.kind == "identifier":
        return Expectation(Expects.IDENTIFIER, hint=HINTS["identifier"])
    return Expectation(Expects.NOTE, hint=HINTS["own_words"])


def fact_expectation(context: Context, name: str) -> Expectation:
    """What a fact takes, whether it is asked now or not."""
    return _fact(context, Asked(Mode.FACT, Prompt(PromptKind.FACT, name), name))


def check_expectation(context: Context, state: State, check: Check, place: str | None) -> Expectation:
    """What a check takes at a place."""
    prompt = check_prompt(check.name, place)
    return replace(_check(context, state, Asked(Mode.CHECK, prompt, check.name, place)), prompt=prompt)


def _check(context: Context, state: State, asked: Asked) -> Expectation:
    check = context.check(asked.name)
    if check.kind == "choice":
        return Expectation(Expects.CHOICE, choices=_choices(check.choices), hint=_hint(check.choices))
    if check.kind == "place":
        standing = view_of(context, state).places.get(check.each or "", ())
        # a wheel that the facts exclude is understood too: then the facts were wrong, and not the code
        group = [place for place in context.procedure.places if place.group == check.each]
        group.sort(key=lambda place: place.name not in standing)
        choices = (*(Choice(place.name, place.also) for place in group), *_choices(check.choices))
        hint = ", ".join((*standing, *(choice.name for choice in check.choices)))
        return Expectation(Expects.CHOICE, choices=choices, hint=hint)
    limits = limits_now(state, check, asked.place)
    return Expectation(
        Expects.READING,
        unit=check.unit,
        span=check.span,
        low=limits.low,
        high=limits.high,
        over_range=limits.over_range,
        resolution=resolution_at(context, check),
        hint=limits_shown(limits.low, limits.high, check.unit, context.vocabulary)
        or show_unit(check.unit, context.vocabulary),
    )


def _choices(options: tuple[Option, ...]) -> tuple[Choice, ...]:
    return tuple(Choice(option.name, option.also) for option in options)


def _hint(options: tuple[Option, ...]) -> str:
    return ", ".join(option.name for option in options)


def question(context: Context, state: State, *, full: bool = False) -> tuple[Say, ...]:
    """What is said to ask the prompt; ``full`` repeats the meter's connection and the conditions."""
    overlay = state.dialog.overlay
    mode = mode_of(context, state)
    if mode is Mode.HELD:
        return (Say("held"),)
    if overlay is not None and mode is overlay.mode and overlay.question is not None:
        return (overlay.question,)
    return asking(context, state, asked_now(context, state), full=full)


def asking(context: Context, state: State, asked: Asked, *, full: bool = False) -> tuple[Say, ...]:
    """What is said to ask a main prompt."""
    procedure = context.procedure
    match asked.mode:
        case Mode.READY:
            in_hand = (Say("in_hand", {"items": procedure.in_hand}),) if procedure.in_hand else ()
            return (*in_hand, Say("ready"))
        case Mode.CAUTION:
            return _ask_caution(context, state, asked, full=full)
        case Mode.FACT if asked.name == AS_LAST_TIME and as_it_was(context, state):
            return (_as_last_time(context, state),)
        case Mode.FACT if asked.name == AS_TOLD and as_told(context, state):
            return (Say("as_told", {"items": tuple(_taken(*one) for one in as_told(context, state).items())}),)
        case Mode.FACT:
            return (Say("ask", {"text": question_named(context, asked.name).ask}),)
        case Mode.ACCESS:
            access = next(access for access in procedure.access if access.name == asked.name)
            said = placed(state, at(access.say, asked.place), asked.place, full=full)
            first = _stopped(context, state, access.hands, access.say)
            return (*first, _told("do", access.say, {**said, **_by_now(state, full=full)}))
        case Mode.CHECK:
            return ask_check(context, state, asked, full=full)
        case Mode.FIX:
            return _ask_fix(context, state, asked, full=full)
        case Mode.PROOF:
            step = context.proof_step(asked.name)
            key = "ask" if step.kind == "choice" else "quiet" if step.quiet else "do"
            return (_told(key, step.say, {"text": step.say, **_by_now(state, full=full)}),)
        case Mode.OFFER if state.offered is not None:
            key = f"offer_{asked.name.replace(' ', '_')}"
            return (Say(key, {"text": reason_text(state.offered.because)}),)
        case Mode.PUT_BACK:
            return _ask_put_back(context, state, full=full)
        case _:
            return ()


def _taken(name: str, value: str) -> str:
    """A fact as it was taken from somebody's own words: a name that asks ('what it does') is none of it."""
    return value if name.startswith(("what ", "how ")) else f"{name} {value}"


def _as_last_time(context: Context, state: State) -> Say:
    """What the unit was last time, each with its name, and the question whether it is the same."""
    items = tuple(f"{name} {value}" for name, value in as_it_was(context, state).items())
    return Say("as_last_time", {"items": items, "when": state.ledger.last_seen or LAST_SEEN_UNKNOWN})


def _yes_to(count: int) -> Say:
    return Say("cautions_yes", {"count": count}) if count > BOTH else Say("cautions_both")


def _ask_caution(context: Context, state: State, asked: Asked, *, full: bool) -> tuple[Say, ...]:
    """New cautions in full, those that are due again in a few words, and one yes for all of them."""
    if not asked.names:
        return (_told("caution", context.caution(asked.name).say),)
    known = [context.caution(name) for name in asked.names if name in state.warned]
    new = [context.caution(name) for name in asked.names if name not in state.warned]
    told = (*known, *new) if full else new
    each = tuple(Say("caution_told", {"text": one.say, **({KNOWN: 1} if at else {})}) for at, one in enumerate(told))
    if not known:
        return (*each, _yes_to(len(new)))
    text = ", ".join(caution.short or caution.name for caution in known)
    if asked.place is None:
        return (*each, Say("same_cautions", {"text": text}))
    return (*each, Say("same_cautions_at", {"place": asked.place, "text": text}))


def put_back_parts(items: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The put-back list in parts of one breath; each waits for its own yes."""
    whole = chunks_of(items, ONE_PART)
    if len(whole) == 1:
        return whole
    first = chunks_of(items, FIRST_PART)[:1]
    return (*first, *chunks_of(items[sum(len(part) for part in first) :], NEXT_PART))


def _ask_put_back(context: Context, state: State, *, full: bool) -> tuple[Say, ...]:
    """A part of the put-back list, one item of it, or the last prompt when there is nothing to put back."""
    items, number, item = put_back_items(context, state), state.dialog.part, state.dialog.item
    places = [place.name for place in context.procedure.places]
    if not items:
        return (Say("close"),)
    if item is not None:
        return (Say("put_back_item", {"text": items[min(item, len(items) - 1)]}),)
    stopped = () if number else _stopped(context, state, None, "")
    parts = put_back_parts(items)
    number = min(number, len(parts) - 1)
    part = parts[number]
    says = [
        Say(
            "put_back_last" if 0 < number == len(parts) - 1 and not at else _list_of(number, at),
            {"items": placed_once(part[at : at + ITEMS], places)},
        )
        for at in range(0, len(part), ITEMS)
    ]
    if len(parts) == 1:
        return (*stopped, *says, Say("put_back"))
    stands = {"number": number + 1, "count": len(parts)}
    if not number:
        return (*stopped, *says, Say("put_back_part", stands))
    return (*says, Say("put_back_done", stands if full else {**stands, KNOWN: 1}))


def _list_of(number: int, at: int) -> str:
    """The phrase of a sentence of the put-back list, by its part and where in that it begins."""
    return "put_back_more" if number or at else "put_back_first"


def _told(key: str, text: str, slots: Mapping[str, Slot] | None = None) -> Say:
    """A sentence with what to say when it is done, unless the procedure says that itself."""
    plain = "caution_told" if key == "caution" else "ask"
    return Say(plain if asks_itself(text) else key, {"text": text} if slots is None else slots)


def _by_now(state: State, *, full: bool) -> dict[str, Slot]:
    """The slot of work that waits for 'next': once some was done, nobody needs to be told how that is said."""
    known = bool(state.proof) or any(isinstance(one, AccessOpened | FixDone) for one in state.work)
    return {KNOWN: 1} if known and not full else {}


def _ask_fix(context: Context, state: State, asked: Asked, *, full: bool) -> tuple[Say, ...]:
    """The repair; why it is done was said when it was chosen, and is said again with ``full``."""
    fix = context.fix(asked.name)
    said = placed(state, at(fix.say, asked.place), asked.place, full=full)
    told = Say("fix", {**said, **_by_now(state, full=full)})
    first = _stopped(context, state, fix.hands, fix.say)
    if fix.ways:
        told = Say("fix_way", {**told.slots, "ways": one_of([way.name for way in fix.ways])})
    if full and isinstance(state.action, FixChosen):
        return (Say("because", {"text": reason_text(state.action.because)}), *first, told)
    return (*first, told)


def _stopped(context: Context, state: State, hands: Hands | None, said: str) -> tuple[Say, ...]:
    """What must stand still before an opening, a repair or the closing up."""
    first = stopped_first(standing(context, state), hands, said, work=True)
    return (Say("conditions", {"text": " ".join(first)}),) if first else ()
