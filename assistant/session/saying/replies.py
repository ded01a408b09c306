"""Answers to questions, from the session and its procedure: one short sentence first. Nothing is made up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from assistant.messages import About, Limits, Say, Understanding
from assistant.messages.decisions import CheckChosen, FixChosen, Observed, Phase
from assistant.messages.effects import Slot
from assistant.phrasing.conditions import condition_text
from assistant.phrasing.speech_chunks import say_list
from assistant.phrasing.verdicts import look_word, verdict_word
from assistant.phrasing.wording import at_place, first_up, read
from assistant.procedure.model import Check
from assistant.session.agenda.facts_to_ask import first_left
from assistant.session.agenda.next_action import at, shares, view_of, whats_left
from assistant.session.agenda.outcomes import is_fine
from assistant.session.agenda.prompts import asked_now, steps_left
from assistant.session.agenda.surveying import left_out
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State
from assistant.session.observing.comparing import limits_now
from assistant.session.openings import left_to_open
from assistant.session.saying.announcements import awaiting, left

LIKELY = 0.05
"""Share from which a suspect is counted as one that is left."""
_SECONDS = 60

Says = tuple[Say, ...]


def reply(context: Context, state: State, meant: Understanding, seconds: float) -> Says:
    """What is said to a question.

    Args:
        context: what the session works with.
        state: where it stands.
        meant: what is asked, in ``about`` and ``place``.
        seconds: since the session began.
    """
    if meant.about is About.TIME_SO_FAR:
        minutes = round(seconds / _SECONDS)
        return (Say("time_so_far", {"minutes": minutes}) if minutes > 1 else Say("time_so_far_one"),)
    if meant.about is About.AT_PLACE:
        return _at(context, state, meant.place or "")
    if meant.about is About.MEANING:
        return _meaning(context, meant)
    if meant.about is About.PART:
        return _part(context, state, meant)
    return _REPLIES[meant.about](context, state) if meant.about in _REPLIES else (Say("meaning_unknown"),)


def _check(context: Context, state: State) -> tuple[Check | None, str | None]:
    """The check that is asked or comes next, else the one that was read last; with its place."""
    asked = asked_now(context, state)
    if asked.mode is Mode.CHECK:
        return context.check(asked.name), asked.place
    if isinstance(state.action, CheckChosen) and asked.mode in (Mode.ACCESS, Mode.CAUTION):
        return context.check(state.action.check), state.action.place
    if state.observations:
        last = state.observations[-1]
        return context.check(last.check), last.place
    return None, None


def _limits(context: Context, state: State) -> tuple[Check | None, Limits]:
    """The check that is asked, comes next or was read last, and the limits that judge it, or that judged it."""
    check, place = _check(context, state)
    if check is None:
        return None, Limits()
    limits = limits_now(state, check, place)
    if asked_now(context, state).mode in (Mode.CHECK, Mode.ACCESS, Mode.CAUTION) or not state.observations:
        return check, limits
    last = state.observations[-1]
    return check, replace(limits, low=last.limit_low, high=last.limit_high, source=last.limit_source or limits.source)


def _limit(context: Context, state: State) -> Says:
    """The limits of what is asked; where nothing is read now, those of the check that is named with them."""
    check, limits = _limits(context, state)
    here = asked_now(context, state).mode is Mode.CHECK
    if check is None or (not here and (check.kind != "reading" or limits.low is limits.high is None)):
        return (Say("not_measured"),)
    if check.kind != "reading":
        return (Say("good_is", {"items": tuple(check.sound)}),) if check.kind == "choice" else (Say("no_limit"),)
    opened = (Say("open_is", {"text": limits.over_range}),) if limits.over_range == "good" else ()
    if limits.low is None and limits.high is None:
        return opened or (Say("no_limit"),)
    slots: dict[str, Slot] = {"low": limits.low, "high": limits.high, "unit": check.unit}
    title = first_up(at_place(check.title, _check(context, state)[1]))
    said = Say("limit_is", slots) if here else Say("limit_of", {**slots, "title": title})
    if limits.closer:
        return (said, Say("tighter_because", {"text": limits.source}), *opened)
    return (said, *_window(check, limits), *opened)


def _window(check: Check, limits: Limits) -> Says:
    if limits.usual_low is None and limits.usual_high is None:
        return ()
    return (Say("usual_is", {"low": limits.usual_low, "high": limits.usual_high, "unit": check.unit}),)


def _usual(context: Context, state: State) -> Says:
    check, limits = _limits(context, state)
    here = asked_now(context, state).mode is Mode.CHECK
    window = _window(check, limits) if check is not None and here else ()
    return window or _limit(context, state)


def _good(context: Context, state: State) -> Says:
    if not state.observations:
        return (Say("nothing_read"), *_limit(context, state))
    return _told(context, state.observations[-1])


def _last(context: Context, state: State) -> Says:
    return _told(context, state.observations[-1]) if state.observations else (Say("nothing_read"),)


def _told(context: Context, seen: Observed) -> Says:
    """A reading with its verdict."""
    title = first_up(at_place(seen.title, seen.place))
    if seen.verdict is not None:
        word = verdict_word(seen.verdict.grade, display=bool(seen.display))
    else:
        word = look_word("good" if is_fine(context, seen) else "bad")
    slots: dict[str, Slot] = {"title": title, "word": word, "unit": seen.unit}
    if seen.choice is not None:
        return (Say("last_choice", {**slots, "text": seen.choice}),)
    if seen.value is None:
        return (Say("last_display", {**slots, "text": read(seen, context.vocabulary)}),)
    return (Say("last_value", {**slots, "value": seen.value}),)


def _at(context: Context, state: State, place: str) -> Says:
    """What was read at a place: by the check that is asked where it was read there, else what was read last."""
    there = [seen for seen in state.observations if seen.place == place]
    check, _ = _check(context, state)
    same = [seen for seen in there if check is not None and seen.check == check.name]
    if not there:
        return (Say("nothing_read_at", {"place": place}),)
    return _told(context, (same or there)[-1])


def _extreme(key: str, pick: Callable[[list[tuple[Decimal, str]]], tuple[Decimal, str]]) -> Callable[..., Says]:
    def told(context: Context, state: State) -> Says:
        check, _ = _check(context, state)
        unit = check.unit if check is not None else None
        if check is None or not any(
            seen.check == check.name and seen.value is not None for seen in state.observations
        ):
            units = [seen.unit for seen in state.observations if seen.value is not None]
            unit, check = (units[-1], None) if units else (None, None)
        rows = [
            (seen.value, at_place(seen.title, seen.place) if check is None else seen.place or seen.title)
            for seen in state.observations
            if seen.value is not None and seen.unit == unit and (check is None or seen.check == check.name)
        ]
        if not rows:
            return (Say("nothing_read"),)
        value, place = pick(rows)
        return (Say(key, {"value": value, "unit": unit, "place": place}),)

    return told


def _leads(*names: str) -> Callable[[Context, State], Says]:
    def told(context: Context, state: State) -> Says:
        check, place = _check(context, state)
        if check is None or check.leads is None:
            return _step_with_meter(context, state) or (Say("no_leads"),)
        tips = {"red": at(check.leads.red, place), "black": at(check.leads.black, place)}
        dial = (Say("dial_goes", {"dial": check.leads.dial}),) if check.leads.dial else ()
        if len(names) > 1:
            both = (Say("both_go", tips),) if all(tips.values()) else ()
            return (*both, *dial) if "dial" in names else both or dial
        tip = tips[names[0]]
        return (Say(f"{names[0]}_goes", {names[0]: tip}),) if tip else dial or (Say("no_leads"),)

    return told


def _step_with_meter(context: Context, state: State) -> Says:
    """What the step itself says of the meter where it names no leads: 'load across the posts'; empty for no meter."""
    asked = asked_now(context, state)
    if asked.mode is not Mode.CHECK:
        return ()
    told = at(context.check(asked.name).ask, asked.place).partition("?")[0].partition(":")[0]
    return (Say("part_is", {"text": f"{told}."}),) if "meter" in told.lower().split() else ()


def _condition(context: Context, state: State) -> Says:
    check, _ = _check(context, state)
    held = check.conditions if check is not None else {}
    text = " ".join(condition_text(name, value) for name, value in held.items())
    return (Say("condition_is", {"text": text}),) if text else (Say("no_condition"),)


def _part(context: Context, state: State, meant: Understanding) -> Says:
    """A sentence of the procedure that says where the part is; the help of what is asked first."""
    asked = asked_now(context, state)
    words = set(meant.heard.lower().replace("?", " ").replace("'s", " ").split())
    texts = []
    if asked.mode is Mode.CHECK:
        check = context.check(asked.name)
        texts = [at(check.help, asked.place), at(check.ask, asked.place)]
    texts += [at(access.say, asked.place) for access in context.procedure.access if access.name == asked.name]
    for text in texts:
        for sentence in text.split(". "):
            named = words & {word.strip(".,:;").removesuffix("s") for word in sentence.lower().split()} - _DULL
            if named and any(mark in f" {sentence.lower()} " for mark in _WHERE):
                return (Say("part_is", {"text": first_up(sentence.strip().rstrip(".")) + "."}),)
    return (Say("part_unknown"),)


_DULL = frozenset(
    {"where", "the", "is", "a", "i", "do", "find", "at", "on", "this", "would", "thing", "to", "of", "it"}
)
_WHERE = (
    " at ",
    " behind ",
    " under ",
    " near ",
    " along ",
    " between ",
    " inside ",
    " by the ",
    " in the ",
    " on the ",
)


def _wheel(context: Context, state: State) -> Says:
    asked = asked_now(context, state)
    check, place = _check(context, state)
    if asked.mode in (Mode.CHECK, Mode.ACCESS, Mode.CAUTION) and check is not None:
        if place:
            return (Say("wheel_is", {"place": place, "title": check.title}),)
        return (Say("no_wheel", {"title": check.title}),)
    if isinstance(state.action, FixChosen):
        title = context.fix(state.action.fix).title
        if state.action.place:
            return (Say("wheel_is", {"place": state.action.place, "title": title}),)
        return (Say("no_wheel", {"title": title}),)
    return (Say(f"now_{state.phase.value}"),)


def _unit(context: Context, state: State) -> Says:
    number = state.facts.get("unit number", "") or context.unit_number
    return (Say("unit_is", {"text": number}),) if number else (Say("no_unit"),)


def _next(context: Context, state: State) -> Says:
    asked, action = asked_now(context, state), state.action
    if state.phase is Phase.PROVING and asked.mode is Mode.PROOF:
        steps = steps_left(context, state)[1:]
        return (Say("next_is", {"text": steps[0].say}),) if steps else (Say("left_step"),)
    if state.phase is Phase.SURVEYING:
        missing = left_out(context, state)
        return (Say("next_check", {"text": missing[1]}),) if len(missing) > 1 else (Say("left_step"),)
    if asked.mode in (Mode.ACCESS, Mode.CAUTION) and isinstance(action, CheckChosen):
        check = context.check(action.check)
        return (Say("next_check", {"text": at_place(check.title, action.place)}),)
    if isinstance(action, CheckChosen):
        first, second = action.because.slots.get("first"), action.because.slots.get("second")
        if first and second:
            return (Say("next_splits", {"first": str(first), "second": str(second)}),)
        return (Say("next_depends"),)
    if isinstance(action, FixChosen):
        return (Say("measure_again"),) if state.observations else (Say("next_depends"),)
    return (Say("next_depends"),) if state.phase is not Phase.FACTS else _left(context, state)


def _bring(context: Context, state: State) -> Says:
    action = state.action
    items = tuple(context.procedure.in_hand)
    says: list[Say] = []
    if isinstance(action, FixChosen):
        part = context.fix(action.fix).part
        says += [Say("bring_part", {"text": part})] if part else []
    elif isinstance(action, CheckChosen):
        leads = context.check(action.check).leads
        says += [Say("dial_goes", {"dial": leads.dial})] if leads is not None and leads.dial else []
    if action is not None:
        shut = left_to_open(context, state.facts, state.opened, action)
        names = tuple(at_place(one.access, one.place) for one in shut)
        says += [Say("bring_opens", {"items": names})] if names else []
    return (*says, *(say_list("bring", "and_then", items)[:1] if items else ()))


def _left(context: Context, state: State) -> Says:
    asked = asked_now(context, state)
    if state.phase is Phase.FACTS:
        count = len(first_left(context, state))
        return (Say("left_facts", {"count": count}) if count > 1 else Say("left_fact"),)
    if state.phase is Phase.SURVEYING:
        return (Say("left_positions", {"count": len(left_out(context, state))}),)
    if state.phase is Phase.PROVING or asked.mode is Mode.PROOF:
        count = len(steps_left(context, state))
        return (Say("left_steps", {"count": count}) if count > 1 else Say("left_step"),)
    likely = [title for title, share in whats_left(context, state, 99) if share >= LIKELY]
    if not likely:
        return left(context, state) or (Say("nothing_left"),)
    if len(likely) == 1:
        return (Say("left_suspect", {"text": likely[0]}),)
    return (Say("left_suspects", {"count": len(likely), "text": likely[0]}),)


def _time_left(context: Context, state: State) -> Says:
    """Minutes of what is asked now, of the likeliest repair and of the proof."""
    steps = steps_left(context, state) if state.phase is Phase.PROVING else context.procedure.proof.steps
    proof = sum(step.minutes for step in steps)
    if state.phase in (Phase.PROVING, Phase.CLOSING):
        return (Say("time_left_steps", {"minutes": max(1, round(proof))}),)
    chances = shares(context, state) if context.procedure.kind == "find" else {}
    if not chances:
        return (Say("time_unknown"),)
    suspect = max(chances, key=lambda one: chances[one])
    fault = next((one for one in context.procedure.faults if one.name == suspect.fault), None)
    if fault is None:
        return (Say("time_unknown"),)
    seen = view_of(context, state)
    action = state.action
    work = FixChosen(fault.fix, suspect.place, fault.name, 1.0, True, action.because) if action is not None else None
    opening, waits = 0.0, [context.fix(fault.fix).waits]
    if work is not None:
        shut = left_to_open(context, state.facts, state.opened, work)
        opening = sum(float(seen.opening_minutes[seen.opening_index[one]]) for one in shut)
        waits += [context.access(one.access).waits for one in shut]
    now = action.minutes if isinstance(action, CheckChosen) else 0.0
    minutes = round(now + opening + context.fix(fault.fix).minutes + proof)
    told = Say("time_left", {"minutes": max(1, minutes), "text": at_place(fault.title, suspect.place)})
    wait = next((one for one in waits if one), "")
    return (told, Say("time_waits", {"text": wait})) if wait else (told,)


def _suspects(context: Context, state: State) -> Says:
    if context.procedure.kind != "find" or awaiting(context, state):
        return left(context, state) or (Say("no_suspect"),)
    found = [(title, share) for title, share in whats_left(context, state, 2) if share >= LIKELY]
    keys = ("suspect_is", "suspect_next")
    says = tuple(
        Say(key, {"text": title, "percent": round(100 * share)})
        for key, (title, share) in zip(keys, found, strict=False)
    )
    return says or (Say("no_suspect"),)


def _history(_: Context, state: State) -> Says:
    told = tuple(dict.fromkeys(one.because for one in state.history if one.because))
    return (Say("history_is", {"text": " ".join(told)}),) if told else (Say("no_history"),)


def _meaning(context: Context, meant: Understanding) -> Says:
    words = meant.heard.lower()
    if "code" in words or "blink" in words or "flash" in words:
        return (Say("code_means"),)
    if "ABS" in context.procedure.title and ("light" in words or "lamp" in words):
        return (Say("light_means"),)
    return (Say("meaning_unknown"),)


def _caging(_: Context, __: State) -> Says:
    return (Say("caging"),)


def _service(_: Context, __: State) -> Says:
    return (Say("service"),)


_REPLIES: dict[About | None, Callable[[Context, State], Says]] = {
    About.GOOD: _good,
    About.LIMIT: _limit,
    About.USUAL: _usual,
    About.LAST: _last,
    About.HIGHEST: _extreme("highest_is", max),
    About.LOWEST: _extreme("lowest_is", min),
    About.RED: _leads("red"),
    About.BLACK: _leads("black"),
    About.LEADS: _leads("red", "black", "dial"),
    About.PIN: _leads("red", "black"),
    About.CONDITION: _condition,
    About.WHEEL: _wheel,
    About.UNIT: _unit,
    About.NEXT: _next,
    About.BRING: _bring,
    About.LEFT: _left,
    About.TIME_LEFT: _time_left,
    About.SUSPECTS: _suspects,
    About.HISTORY: _history,
    About.CAGING: _caging,
    About.SERVICE: _service,
}
