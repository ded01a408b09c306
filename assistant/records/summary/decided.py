"""One decision in words: for the transcript and for the search, the same each time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    Decision,
    Ended,
    FactAnswered,
    FactWithdrawn,
    FixDeclined,
    FixDone,
    Held,
    HistoryTaken,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    OfferAnswered,
    Offered,
    ProofFinished,
    ProofStepWithdrawn,
    PutBackDone,
    Released,
    Remarked,
    Skipped,
    TalkSet,
)
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.reasons import given, reason_text
from assistant.phrasing.verdicts import graded
from assistant.phrasing.wording import at_place, limits_of, read
from assistant.records.summary.collect import prompt_words
from assistant.records.summary.labels import Titles
from assistant.records.summary.summary import history_lines


def _history(one: HistoryTaken, titles: Titles) -> str:
    """What earlier records of the unit change, each with its reason."""
    changed = "; ".join(history_lines(one.weights, titles.faults))
    return f"history of unit {one.unit}: {changed or 'changes nothing'}"


def _offer(one: Offered) -> str:
    """What was offered and why, with what was read in the session that it goes back to."""
    read_then = one.because.slots.get("readings", ())
    more = f" Read then: {'; '.join(read_then)}." if isinstance(read_then, tuple) and read_then else ""
    return f"offered ({one.prompt.name}): {reason_text(one.because)}{more}"


_Teller = Callable[[Any, Titles], str]
_TOLD: dict[type, _Teller] = {
    CautionAcknowledged: lambda one, _: f"caution acknowledged: {one.caution}",
    FactAnswered: lambda one, _: f"{one.fact}: {one.value}",
    FactWithdrawn: lambda one, _: f"{one.fact}: taken back",
    ProofStepWithdrawn: lambda one, _: f"{one.step}: taken back",
    AccessOpened: lambda one, _: f"opened: {at_place(one.access, one.place)}",
    ObservationWithdrawn: lambda one, _: f"reading {one.number} withdrawn: {reason_text(one.because)}",
    Skipped: lambda one, titles: f"skipped: {prompt_words(one.prompt, titles)} ({given(one.reason)})",
    FixDone: lambda one, _: f"done: {at_place(one.title, one.place)}",
    FixDeclined: lambda one, titles: f"not done: {at_place(titles.fix(one.fix), one.place)} ({given(one.reason)})",
    PutBackDone: lambda one, _: f"put back: {'; '.join(one.items)}" if one.items else "nothing to put back",
    ProofFinished: lambda one, _: f"proof {'passed' if one.passed else 'not passed'}: {reason_text(one.because)}",
    NoteTaken: lambda one, _: f"note: {one.text}",
    HistoryTaken: _history,
    Offered: lambda one, _: _offer(one),
    OfferAnswered: lambda one, _: f"offer ({one.prompt.name}) {'taken' if one.taken else 'not taken'}",
    Held: lambda _one, _: "on hold",
    Released: lambda _one, _: "hold over",
    TalkSet: lambda one, _: f"talk: {one.talk}",
    Ended: lambda one, _: f"ended: {one.ending}",
    Remarked: lambda one, _: reason_text(one.what),
}


def decided(decision: Decision, titles: Titles, vocabulary: Vocabulary | None) -> str:
    """One decision in words; '' for those that the talk itself shows."""
    if isinstance(decision, Observed):
        against = limits_of(decision, vocabulary)
        verdict = graded(decision)
        parts = [read(decision, vocabulary), f"against {against}" if against else "", verdict]
        head = at_place(decision.title, decision.place)
        return f"reading {decision.number}, {head}: {', '.join(part for part in parts if part)}"
    teller = _TOLD.get(type(decision))
    return teller(decision, titles) if teller else ""
