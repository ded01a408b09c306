"""One decision in words: for the transcript and for the search, the same each time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from assistant.messages import Detail
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    Decision,
    DetailTold,
    Ended,
    FactAnswered,
    FactWithdrawn,
    FixDeclined,
    FixDone,
    Held,
    HistoryTaken,
    NotAsNeeded,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    OfferAnswered,
    Offered,
    PhotoErased,
    PhotoKept,
    ProofFinished,
    ProofStepWithdrawn,
    PutBackDone,
    Released,
    Remarked,
    Skipped,
    TalkSet,
)
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.reasons import deleted, given, reason_text
from assistant.phrasing.wording import at_place, ending_words, limits_of, miles, placed_once, read
from assistant.records.summary.collect import photo_words
from assistant.records.summary.labels import Titles, prompt_words
from assistant.records.summary.summary import DETAILS, history_lines


def _history(one: HistoryTaken, titles: Titles) -> str:
    """What earlier records of the unit change, each with its reason."""
    changed = "; ".join(history_lines(one.weights, titles.faults))
    return f"history of unit {one.unit}: {changed or 'changes nothing'}"


def _offer(one: Offered) -> str:
    """What was offered and why, with what was read in the session that it goes back to."""
    read_then = one.because.slots.get("readings", ())
    more = f" Read then: {'; '.join(read_then)}." if isinstance(read_then, tuple) and read_then else ""
    return f"offered ({one.prompt.name}): {reason_text(one.because)}{more}"


def _detail(one: DetailTold) -> str:
    return miles(one.value) if one.detail is Detail.ODOMETER else one.value


def _back_together(one: PutBackDone, titles: Titles) -> str:
    items = placed_once(one.items, titles.places)
    return f"back together: {'; '.join(items)}" if items else "nothing to close"


def _verified(one: ProofFinished) -> str:
    return "repair verified" if one.passed else "repair not verified"


_Teller = Callable[[Any, Titles], str]
_TOLD: dict[type, _Teller] = {
    CautionAcknowledged: lambda one, _: f"caution acknowledged: {one.caution}",
    FactAnswered: lambda one, _: f"{one.fact}: {one.value}",
    FactWithdrawn: lambda one, _: f"{one.fact}: deleted",
    ProofStepWithdrawn: lambda one, _: f"{one.step}: deleted",
    AccessOpened: lambda one, _: at_place(one.absent or f"opened: {one.access}", one.place),
    ObservationWithdrawn: lambda one, _: f"reading {one.number} {deleted(one.because)}",
    Skipped: lambda one, titles: f"skipped: {prompt_words(one.prompt, titles)} ({given(one.reason)})",
    FixDone: lambda one, _: f"done: {at_place(one.title, one.place)}",
    FixDeclined: lambda one, titles: f"not done: {at_place(titles.fix(one.fix), one.place)} ({given(one.reason)})",
    PutBackDone: _back_together,
    ProofFinished: lambda one, _: f"{_verified(one)}: {reason_text(one.because)}",
    NotAsNeeded: lambda one, _: f"not as it must be: {one.item} ('{one.heard}'); needs {one.needs}",
    NoteTaken: lambda one, _: f"note: {one.text}",
    PhotoKept: lambda one, titles: f"photo kept: {photo_words(one.photo, titles)}",
    PhotoErased: lambda _one, _: "photo erased",
    DetailTold: lambda one, _: f"{DETAILS[one.detail]}: {_detail(one)}",
    HistoryTaken: _history,
    Offered: lambda one, _: _offer(one),
    OfferAnswered: lambda one, _: f"offer ({one.prompt.name}) {'taken' if one.taken else 'not taken'}",
    Held: lambda _one, _: "on hold",
    Released: lambda _one, _: "hold over",
    TalkSet: lambda one, _: f"talk: {one.talk}",
    Ended: lambda one, _: f"ended: {ending_words(one.ending)}",
    Remarked: lambda one, _: reason_text(one.what),
}


def decided(decision: Decision, titles: Titles, vocabulary: Vocabulary | None) -> str:
    """One decision in words; '' for those that the talk itself shows."""
    if isinstance(decision, Observed):
        against = limits_of(decision, vocabulary)
        verdict = titles.rules.graded(decision)
        parts = [read(decision, vocabulary), f"against {against}" if against else "", verdict]
        head = at_place(decision.title, decision.place)
        return f"reading {decision.number}, {head}: {', '.join(part for part in parts if part)}"
    teller = _TOLD.get(type(decision))
    return teller(decision, titles) if teller else ""
