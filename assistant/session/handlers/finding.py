"""Answers at a check: questioned where in doubt, judged, read back and recorded."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.messages import (
    Grade,
    Heard,
    Outcome,
    Prompt,
    PromptKind,
    Reason,
    RemarkKind,
    Say,
    Understanding,
    Verdict,
    Why,
)
from assistant.messages.decisions import (
    AccessOpened,
    CheckChosen,
    Decision,
    FactAnswered,
    FactWithdrawn,
    FixChosen,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    Remarked,
)
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.verdicts import remarked
from assistant.phrasing.wording import at_place, first_up
from assistant.procedure.model import Check
from assistant.session.agenda.advance import searching
from assistant.session.agenda.next_action import at, view_of
from assistant.session.agenda.surveying import contradicted, put_right_first
from assistant.session.context import Context
from assistant.session.dialog_state import Mode, Overlay
from assistant.session.fold import State, apply_all
from assistant.session.handlers.early import kept_for
from assistant.session.holding import read_anew
from assistant.session.ledger import NOT_SURE
from assistant.session.observing.comparing import limits_now
from assistant.session.observing.observations import near_limit, observed, read_back, say_value, verdict_of
from assistant.session.observing.stakes import condemns, worth_asking
from assistant.session.openings import left_to_open, opening_minutes
from assistant.session.turn import Result, Turn, lay, reask, record, stay
from assistant.session.unprompted.elsewhere import last_seen
from assistant.understanding.clarifications import SHOWN_EXACTLY
from assistant.understanding.patterns import words_of

OTHER_NAMED = "other_named"
"""Why a yes is wanted for a reading in whose words something else was named."""
NOTHING = Decimal("0.02")
"""Below this a display counts as showing nothing; common practice, no source."""
_REPLACING = {
    Why.TOO_CLOSE: Why.READ_ONCE_MORE,
    Why.ASKED_FOR_AGAIN: Why.READ_AGAIN,
    Why.PUT_RIGHT: Why.READ_AGAIN,
}
"""Why a check is asked whose standing reading the next one replaces, to why that reading is withdrawn then."""


def answer_check(turn: Turn, meant: Understanding, *, confirmed: bool) -> Result:
    """An answer at a check. ``confirmed`` after an explicit yes."""
    check = turn.context.check(turn.asked.name)
    if meant.outcome is Outcome.CHOICE:
        against = contradicted(turn.context, turn.state, check, meant.choice or "") if not confirmed else None
        if against is not None:
            counted = {"count": against[0], "all": against[1], "text": meant.choice}
            return confirm(turn, meant, Say("counted", counted), "counted")
        return _take(turn, check, meant, None, confirmed=confirmed)
    verdict = verdict_of(turn.context, put_right(turn.state)[0], check, turn.asked.place, meant)
    waits = kept_for(turn, check, meant)
    if waits is not None:
        return waits
    action = turn.state.action
    again = turn.state.dialog.second or (_replaces(action) is Why.READ_ONCE_MORE) or _unclear_before(turn)
    unjudged = remarked(verdict, RemarkKind.NOT_UNDER)
    if verdict.grade is Grade.TOO_CLOSE and not again and not unjudged and _worth_again(check, meant):
        return _once_more(turn, check, meant, verdict)
    return _take(turn, check, meant, verdict, confirmed=confirmed)


def doubt(turn: Turn, check: Check, meant: Understanding) -> Result | None:
    """A question that must come before the reading is judged, None when there is none."""
    value, dialog = meant.value, turn.state.dialog
    if value is None:
        return None
    if value < 0 and not dialog.swapped and not _negative_before(turn.state):
        question = Say("negative", {"value": value, "unit": check.unit})
        return confirm(turn.with_dialog(swapped=True), meant, question, "negative")
    if check.zero and abs(value) < NOTHING and not dialog.zero:
        question = Say("zero", {"text": at(check.zero, turn.asked.place)})
        return confirm(turn.with_dialog(zero=True), meant, question, "zero")
    if check.beyond is not None and value > check.beyond.above and not dialog.zero and not meant.confirm:
        question = Say("zero", {"text": at(check.beyond.ask, turn.asked.place)})
        return confirm(turn.with_dialog(zero=True), meant, question, "beyond")
    if meant.approximate and not dialog.exact and near_limit(limits_now(turn.state, check, turn.asked.place), value):
        return reask(turn.with_dialog(exact=True, overlay=None), Say("exact", {"value": value, "unit": check.unit}))
    return None


def _negative_before(state: State) -> bool:
    return any(seen.value is not None and seen.value < 0 for seen in state.observations)


def _worth_again(check: Check, meant: Understanding) -> bool:
    """Whether a second reading may tell more: not of what is shaken or warmed to see whether it moves."""
    if meant.outcome is Outcome.UNSTEADY and (check.repeatable or (check.hands is not None and check.hands.move)):
        return False
    return meant.outcome in (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY)


def _unclear_before(turn: Turn) -> bool:
    """Whether it was read twice already, unsteady or too close to call, and nothing was mended since."""
    seen = turn.state.observed_at(turn.asked.name, turn.asked.place)
    unclear = seen is not None and seen.verdict is not None and seen.verdict.grade is Grade.TOO_CLOSE
    fixes = turn.state.ledger.of("fix_done")
    return unclear and seen is not None and all(entry.number < seen.number for entry in fixes)


def _first_reading(turn: Turn) -> int | None:
    """Number of the reading that this one replaces, None when it replaces none."""
    asked = turn.asked
    if turn.state.dialog.revisit or _replaces(turn.state.action) is None:
        return None
    seen = turn.state.observed_at(asked.name, asked.place)
    return None if seen is None else seen.number


def _replaces(action: CheckChosen | FixChosen | None) -> Why | None:
    """Why the next reading of a chosen check withdraws the one that stands, None when that stays."""
    return _REPLACING.get(action.because.why) if isinstance(action, CheckChosen) else None


def _once_more(turn: Turn, check: Check, meant: Understanding, verdict: Verdict) -> Result:
    """Too close to call: it is recorded, and asked once more on a better range; the second replaces it.

    While an earlier answer is being asked again, that one stands and the first try is only a remark.
    """
    place = turn.asked.place
    display = _NO_NUMBER.get(meant.outcome, "")
    shown = display.replace("_", " ") if meant.value is None else f"{meant.value:f} {check.unit or ''}".strip()
    says = (
        say_value(meant.value, check.unit, display, meant.low_end, meant.high_end),
        Say(_again_because(meant)),
    )
    dialog = replace(turn.state.dialog, second=True, overlay=None, misses=0, reminded=False)
    if not turn.state.dialog.revisit:
        seen = replace(observed(turn.context, turn.state, check, place, meant, verdict), proof=False)
        chosen = CheckChosen(check.name, place, check.minutes, Reason(Why.TOO_CLOSE))
        return record(turn, (seen, chosen), *says, keep=True, dialog=dialog)
    what = Reason(Why.SAYS_NOTHING, {"check": check.title, "shown": shown})
    return record(turn, (Remarked(what),), *says, keep=True, dialog=dialog)


_NO_NUMBER = {Outcome.OVER_RANGE: "over_range", Outcome.UNSTEADY: "unsteady"}


def _again_because(meant: Understanding) -> str:
    if meant.outcome is Outcome.UNSTEADY:
        return "hold_still"
    if meant.value is None:
        return "other_range"
    return "swap_leads" if meant.value < 0 else "too_close"


def _take(turn: Turn, check: Check, meant: Understanding, judged: Verdict | None, *, confirmed: bool) -> Result:
    """Record the observation, after a yes when a mistake would cost more than asking."""
    context, state = turn.context, turn.state
    then, wrong = put_right(state)
    seen = observed(context, then, check, turn.asked.place, meant, judged)
    seen = seen if wrong is None else replace(seen, instead_of=wrong.number)
    first, replaced = _first_reading(turn), _replaces(state.action)
    before = _withdrawals(context, state)
    if first is not None and replaced is not None:
        before = (*before, ObservationWithdrawn(first, Reason(replaced)))
    again = apply_all(context, state, before)
    opened = _excluded(context, state, check, seen)
    before = (*before, *opened)
    seen = replace(seen, proof=seen.proof or _was_proof(state))
    spoken = tuple(one for one in state.observations if one.number != first)
    if not confirmed and worth_asking(context, again, check, seen, meant):
        if condemns(context, again, seen):
            return confirm(turn, meant, _would_condemn(seen), "condemns")
        return confirm(turn, meant, is_it(turn, meant), meant.reason or "unsure")
    told = (Say("facts_opened", {"text": seen.choice}),) if opened else ()
    overlay = turn.state.dialog.overlay
    named = overlay.question.key if confirmed and overlay is not None and overlay.question is not None else ""
    says = read_back(spoken, seen, closer=limits_now(then, check, seen.place).closer, named=named)
    after = read_anew(context, again, seen)
    if after or put_right_first(context, apply_all(context, again, (seen,))) is not None:
        told = (*told, Say("remark", {"text": check.help}))
    return record(turn, (*before, *remark_of_yes(turn, confirmed=confirmed), seen, *after), *says, *told)


def put_right(state: State) -> tuple[State, Observed | None]:
    """The state in which a reading is judged, and the one that it puts right by words.

    What was read before some work is no reading after it: it is judged, and stands, as it was then. Without work in
    between it is a reading like any other.
    """
    dialog = state.dialog
    if dialog.revisit is None or dialog.revisit_because is not Why.CORRECTED:
        return state, None
    number = next((done.number for done in reversed(state.answer_history) if done.prompt == dialog.revisit), 0)
    wrong = next((entry for entry in state.ledger.of("observed") if entry.decision.number == number), None)
    work = (*state.ledger.of("fix_done"), *state.ledger.of("proof_finished"))
    if wrong is None or not any(entry.number > wrong.number for entry in work):
        return state, None
    return replace(state, ledger=state.ledger.until(wrong.number)), wrong.decision


def _excluded(context: Context, state: State, check: Check, seen: Observed) -> tuple[Decision, ...]:
    """Decisions that take back the facts by which the unit would lack the place that a check names."""
    places = (one for one in context.procedure.places if one.group == check.each and one.name == seen.choice)
    place = next(places, None) if check.kind == "place" else None
    if place is None or place.name in view_of(context, state).places.get(check.each or "", ()):
        return ()
    taken_back: list[Decision] = []
    for name in place.when:
        if name in state.facts:
            taken_back += [FactWithdrawn(name), FactAnswered(name, NOT_SURE, "")]
    return tuple(taken_back)


def _would_condemn(seen: Observed) -> Say:
    shown = say_value(seen.value, seen.unit, seen.display, seen.low_end, seen.high_end)
    if seen.choice is not None:
        shown = Say("choice", {"text": seen.choice})
    key = {"read_back": "condemns_value", "over_range": "condemns_over_range", "choice": "condemns_choice"}
    return Say(key.get(shown.key, "condemns_unsteady"), shown.slots)


def is_it(turn: Turn, meant: Understanding) -> Say:
    """The question whether this is what was said, or, where something else was named, whether it is of this."""
    if meant.reason == OTHER_NAMED and meant.value is not None:
        check = turn.context.check(turn.asked.name)
        named = first_up(at_place(check.title, turn.asked.place))
        return Say("is_it_here", {"title": named, "value": meant.value, "unit": check.unit})
    if meant.value is not None:
        unit = turn.expectation.unit if turn.expectation is not None else meant.unit
        return Say("is_it_value", {"value": meant.value, "unit": unit})
    text = meant.choice or meant.identifier or meant.heard
    return Say("is_it_identifier" if meant.identifier else "is_it", {"text": text})


def remark_of_yes(turn: Turn, *, confirmed: bool) -> tuple[Decision, ...]:
    """A remark for the record that the answer was asked about and a yes was given."""
    overlay = turn.state.dialog.overlay
    if not confirmed or overlay is None:
        return ()
    said_yes = Remarked(Reason(Why.CONFIRMED, {"doubt": overlay.asked_for}))
    first = overlay.heard.hypotheses[0].words if overlay.heard is not None and overlay.heard.hypotheses else ""
    if not first or first == turn.meant.heard:
        return (said_yes,)
    return (said_yes, Remarked(Reason(Why.FIRST_HEARD, {"words": first})))


def _withdrawals(context: Context, state: State) -> tuple[Decision, ...]:
    """Decisions that withdraw the observation whose prompt is being asked again, if any."""
    for done in reversed(state.answer_history):
        if done.prompt == state.dialog.revisit and done.prompt.kind is PromptKind.CHECK:
            back = searching(context)
            if done.number and put_right(state)[1] is not None:
                return (ObservationWithdrawn(done.number, Reason(state.dialog.revisit_because)),)
            if not done.number:
                return () if state.phase not in (Phase.PROVING, Phase.CLOSING) else (PhaseEntered(back),)
            withdrawn: Decision = ObservationWithdrawn(done.number, Reason(state.dialog.revisit_because))
            if state.phase in (Phase.PROVING, Phase.CLOSING):
                return (withdrawn, PhaseEntered(back))
            return (withdrawn,)
    return ()


def _was_proof(state: State) -> bool:
    """True when the observation that is being asked again was made after a fix."""
    for done in reversed(state.answer_history):
        if done.prompt == state.dialog.revisit and done.prompt.kind is PromptKind.CHECK:
            return any(seen.number == done.number and seen.proof for seen in state.observations)
    return False


def confirm(turn: Turn, meant: Understanding, question: Say, asked_for: str, prompt: Prompt | None = None) -> Result:
    """Ask for an explicit yes before an answer counts; ``prompt`` is what it answers, None for what is asked."""
    fact = turn.fact if isinstance(turn.fact, Heard) else None
    return lay(turn, Overlay(Mode.CONFIRM, question, meant, fact, asked_for=asked_for, prompt=prompt))


def seen_elsewhere(turn: Turn, prompt: Prompt) -> Result:
    """A finding that was told without being asked and got its yes."""
    context, state = turn.context, turn.state
    seen = observed(context, state, context.check(prompt.name), prompt.place, turn.meant, None)
    return record(turn, (*remark_of_yes(turn, confirmed=True), seen), *read_back(state.observations, seen))


def named_here(turn: Turn, meant: Understanding) -> Say | None:
    """The question whether a choice is of the place that is asked, where the words name a side; None elsewhere."""
    asked, sides = turn.asked, {"left", "right", "front", "rear", "side"}
    if asked.mode is not Mode.CHECK or asked.place is None or meant.choice is None:
        return None
    if sides.isdisjoint(words_of(meant.heard)):
        return None
    named = first_up(at_place(turn.context.check(asked.name).title, asked.place))
    return Say("is_it_there", {"title": named, "text": meant.choice})


def moved(turn: Turn, right: Prompt) -> Result:
    """Yes: the last answer was of another place, where it is judged anew; where it stood is open again."""
    context, state = turn.context, turn.state
    wrong = last_seen(state)
    if wrong is None:
        return reask(turn)
    check = context.check(right.name)
    back = ObservationWithdrawn(wrong.number, Reason(Why.CORRECTED))
    chosen = CheckChosen(check.name, right.place, check.minutes, Reason(Why.ASKED_FOR))
    opened = tuple(
        AccessOpened(one.access, one.place, opening_minutes(context, state.facts, one))
        for one in left_to_open(context, state.facts, state.opened, chosen)
    )
    before: tuple[Decision, ...] = (back, *opened)
    there = apply_all(context, state, before)
    outcome = {"over_range": Outcome.OVER_RANGE, "unsteady": Outcome.UNSTEADY}.get(wrong.display, Outcome.READING)
    meant = Understanding(
        Outcome.CHOICE if wrong.choice is not None else outcome, wrong.heard, choice=wrong.choice, value=wrong.value,
        unit=wrong.unit, low_end=wrong.low_end, high_end=wrong.high_end, approximate=wrong.approximate,
    )  # fmt: skip
    judged = None if wrong.choice is not None else verdict_of(context, there, check, right.place, meant)
    seen = replace(observed(context, there, check, right.place, meant, judged), proof=wrong.proof)
    phase = (PhaseEntered(searching(context)),) if state.phase in (Phase.PROVING, Phase.CLOSING) else ()
    made = (*remark_of_yes(turn, confirmed=True), *before, *phase, seen)
    return record(turn, made, *read_back(there.observations, seen))


def blank(turn: Turn) -> Result:
    """A blank display: check the leads and the dial. It is never an observation."""
    times = turn.state.dialog.blank + 1
    key = "blank" if times == 1 else "blank_again"
    return reask(turn.with_dialog(blank=times, overlay=None, misses=0), Say(key), full=True)


def spread(turn: Turn) -> Result:
    """A range was said where one number was asked: is it moving, and between which ends?"""
    meant = turn.meant
    if meant.low_end is not None and meant.high_end is not None:
        moving = replace(meant, outcome=Outcome.UNSTEADY, value=None)
        unit = meant.unit or (turn.expectation.unit if turn.expectation is not None else None)
        question = Say("moving", {"low": meant.low_end, "high": meant.high_end, "unit": unit})
        return confirm(turn, moving, question, "range")
    if meant.low_end is not None or meant.high_end is not None:
        return stay(turn.with_dialog(overlay=None), clarified(meant.ask or SHOWN_EXACTLY))
    return lay(turn, Overlay(Mode.SPREAD, Say("lowest_highest"), asked_for="range"))


def end_of_spread(turn: Turn) -> Result:
    """The lowest, then the highest, of a reading that moves."""
    overlay, meant = turn.state.dialog.overlay, turn.meant
    if overlay is None or meant.value is None:
        return reask(turn)
    if not overlay.values:
        return lay(turn, replace(overlay, question=Say("highest"), values=(meant.value,)))
    low, high = sorted((overlay.values[0], meant.value))
    moving = replace(meant, outcome=Outcome.UNSTEADY, value=None, low_end=low, high_end=high)
    return answer_check(turn.with_dialog(overlay=None), moving, confirmed=False)
