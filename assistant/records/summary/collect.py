"""A session's entries to its summary, in one walk."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import fields
from typing import Any, get_args

from assistant.messages import Grade, HistoryWeight
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    Ended,
    Ending,
    FactAnswered,
    FactWithdrawn,
    FixChosen,
    FixDeclined,
    FixDone,
    Held,
    HistoryTaken,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
    Released,
    Skipped,
)
from assistant.records.journal.reader import Session
from assistant.records.summary.labels import Titles, titles_of
from assistant.records.summary.summary import LEFT, Reading, Repair, SessionSummary, Timed, at_place


class _Collector:
    """Walks the entries once: a decision of kind ``fix_done`` goes to ``_fix_done``; some need no method."""

    def __init__(self, titles: Titles) -> None:
        self.titles = titles
        self.readings: list[Reading] = []
        self.repairs: list[Repair] = []
        self.facts: dict[str, Timed] = {}
        self.declined: list[Timed] = []
        self.skipped: list[Timed] = []
        self.notes: list[Timed] = []
        self.cautions: list[Timed] = []
        self.opened: list[Timed] = []
        self.path: list[Timed] = []
        self.proof: list[Timed] = []
        self.failed_steps: list[str] = []
        self.proof_finished: ProofFinished | None = None
        self.since_failed = 0
        self.proposed: dict[tuple[str, str | None], FixChosen] = {}
        self.ending: Ended | None = None
        self.weights: tuple[HistoryWeight, ...] | None = None
        self.seconds: dict[str, float] = {}
        self.held = 0.0
        self.phase = ""
        self.on_hold = False
        self.before = 0.0

    def pass_time(self, at: float) -> None:
        """Book the seconds since the entry before."""
        spent = at - self.before
        if spent < 0:
            spent = 0.0
        else:
            self.before = at
        if self.on_hold:
            self.held += spent
        elif self.phase:
            self.seconds[self.phase] = self.seconds.get(self.phase, 0.0) + spent

    def take(self, at: float, decisions: Iterable[Decision]) -> None:
        """Take in what one entry decided."""
        for decision in decisions:
            taker = _TAKERS.get(decision.kind)
            if taker is not None:
                taker(self, at, decision)

    def _history_taken(self, _at: float, one: HistoryTaken) -> None:
        self.weights = one.weights

    def _phase_entered(self, _at: float, one: PhaseEntered) -> None:
        self.phase = "" if one.phase is Phase.ENDED else str(one.phase)
        if one.phase is Phase.PROVING:
            self.proof, self.failed_steps, self.proof_finished = [], [], None

    def _caution_acknowledged(self, at: float, one: CautionAcknowledged) -> None:
        self.cautions.append(Timed(at, one.caution, self.titles.cautions.get(one.caution, "")))

    def _fact_answered(self, at: float, one: FactAnswered) -> None:
        self.facts[one.fact] = Timed(at, one.fact, one.value)

    def _fact_withdrawn(self, _at: float, one: FactWithdrawn) -> None:
        self.facts.pop(one.fact, None)

    def _access_opened(self, at: float, one: AccessOpened) -> None:
        self.opened.append(Timed(at, one.access, one.place or ""))

    def _check_chosen(self, at: float, one: CheckChosen) -> None:
        self.path.append(Timed(at, at_place(self.titles.check(one.check), one.place), one.because))

    def _observed(self, at: float, one: Observed) -> None:
        self.readings.append(Reading(at, one, "", len(self.repairs)))
        if one.proof and is_good(one, self.titles):
            self._measured(one.place)
        elif one.proof:
            self._still_bad(one)

    def _observation_withdrawn(self, _at: float, one: ObservationWithdrawn) -> None:
        for number, reading in enumerate(self.readings):
            if reading.observed.number == one.number and not reading.withdrawn:
                why = one.because or "taken back"
                self.readings[number] = Reading(reading.at, reading.observed, why, reading.repairs_before)

    def _skipped(self, at: float, one: Skipped) -> None:
        self.skipped.append(Timed(at, prompt_words(one.prompt, self.titles), one.reason))

    def _fix_chosen(self, _at: float, one: FixChosen) -> None:
        self.proposed[(one.fix, one.place)] = one

    def _fix_done(self, at: float, one: FixDone) -> None:
        chosen = self.proposed.pop((one.fix, one.place), None)
        name = chosen.fault if chosen else ""
        condemned, because = (chosen.condemned, chosen.because) if chosen else (False, "")
        title = one.title or self.titles.fix(one.fix)
        fault = self.titles.fault(name) if name else title
        repair = Repair(at, title, one.place, one.part, fault, condemned, because, "", one.fix, name)
        self.repairs.append(repair)

    def _fix_declined(self, at: float, one: FixDeclined) -> None:
        self.declined.append(Timed(at, at_place(self.titles.fix(one.fix), one.place), one.reason))

    def _proof_step_done(self, at: float, one: ProofStepDone) -> None:
        self.proof.append(Timed(at, self.titles.proof_steps.get(one.step, one.step), one.answer))
        if not one.passed:
            self.failed_steps.append(one.step)

    def _proof_finished(self, _at: float, one: ProofFinished) -> None:
        self.proof_finished = one
        if one.passed:
            self._proven()
        self.since_failed = len(self.repairs)

    def _note_taken(self, at: float, one: NoteTaken) -> None:
        self.notes.append(Timed(at, one.text))

    def _held(self, _at: float, _one: Held) -> None:
        self.on_hold = True

    def _released(self, _at: float, _one: Released) -> None:
        self.on_hold = False

    def _ended(self, _at: float, one: Ended) -> None:
        self.ending = one

    def _measured(self, place: str | None) -> None:
        """Mark the last repair at this place as confirmed by a measurement."""
        for number in range(len(self.repairs) - 1, -1, -1):
            repair = self.repairs[number]
            if place is None or repair.place in (None, place):
                self._confirm(number, "measured", in_vain=False)
                return

    def _still_bad(self, one: Observed) -> None:
        """A repair whose own place is bad afterwards did not help; a code that names another wheel says nothing."""
        for number, repair in enumerate(self.repairs):
            if repair.place is not None and repair.place in (one.place, one.choice):
                self._confirm(number, "", in_vain=True)

    def _proven(self) -> None:
        """A passed proof speaks for every repair since the last failed one that did not turn out to be in vain."""
        for number in range(self.since_failed, len(self.repairs)):
            if not self.repairs[number].in_vain:
                self._confirm(number, "proven", in_vain=False)

    def _confirm(self, number: int, confirmed: str, *, in_vain: bool) -> None:
        one = self.repairs[number]
        self.repairs[number] = Repair(
            one.at, one.title, one.place, one.part, one.fault, one.condemned, one.because, confirmed, one.fix,
            one.fault_name, in_vain,
        )  # fmt: skip


_TAKERS: dict[str, Callable[[_Collector, float, Any], None]] = {
    kind: getattr(_Collector, f"_{kind}")
    for kind in (next(str(one.default) for one in fields(each) if one.name == "kind") for each in get_args(Decision))
    if hasattr(_Collector, f"_{kind}")
}


def prompt_words(identity: str, titles: Titles) -> str:
    """A prompt's identity in words: ``check:sensor ohms:left rear`` is its title and place."""
    kind, _, rest = identity.partition(":")
    name, _, place = rest.partition(":")
    title = {"check": titles.check, "fix": titles.fix}.get(kind, str)(name)
    return at_place(title or identity, place or None)


def is_good(observed: Observed, titles: Titles) -> bool:
    """True when an observation shows what a sound unit would."""
    if observed.verdict is not None:
        return observed.verdict.grade is Grade.GOOD
    sound = {"good", titles.sound.get(observed.check, "good")}
    return sum(share for name, share in observed.weights.items() if name in sound) > 0.5


def summarize(session: Session) -> SessionSummary:
    """Work out what a session came to."""
    header = session.header
    titles = titles_of(header)
    found = _Collector(titles)
    last, attempts = 0.0, 1
    for line in session.lines:
        body, last = line.body, max(last, line.mono)
        if body.kind == "entry":
            found.pass_time(line.mono)
            found.take(line.mono, body.decisions)
        else:
            attempts += 1
    found.pass_time(last)
    told = next((found.facts[name].detail for name in sorted(titles.unit_facts) if name in found.facts), "")
    open_fixes = dict.fromkeys(
        at_place(titles.fault(one.fault), one.place) for one in found.proposed.values() if one.condemned
    )
    return SessionSummary(
        header.session_id,
        header.started,
        header.procedure,
        titles.procedure,
        titles.complaint,
        header.unit or told,
        header.invented,
        header.meter.title if header.meter else "",
        "" if header.air_fahrenheit is None else f"{header.air_fahrenheit:f}",
        header.model,
        found.weights if found.weights is not None else header.weights,
        str(found.ending.ending) if found.ending else LEFT,
        found.ending.because if found.ending else "",
        last / 60,
        {phase: seconds / 60 for phase, seconds in found.seconds.items()},
        found.held / 60,
        tuple(found.facts.values()),
        tuple(found.readings),
        tuple(found.repairs),
        tuple(open_fixes),
        tuple(found.declined),
        tuple(found.skipped),
        tuple(found.notes),
        tuple(found.cautions),
        tuple(found.opened),
        tuple(found.path),
        tuple(found.proof),
        _not_proven(found, tuple(open_fixes)),
        attempts,
        tuple(str(finding) for finding in session.damage),
        titles.faults,
        titles.survey,
        tuple(titles.checks),
        titles.places,
        titles.sound,
    )


def _not_proven(found: _Collector, suspected: tuple[str, ...]) -> tuple[str, ...]:
    """Sentences on what the record does not show."""
    lines = []
    ending = found.ending.ending if found.ending else None
    if ending is None:
        lines.append("The session was left before its end: nothing after the last entry is known.")
    elif ending is Ending.SURVEYED_IN_PART:
        lines.append(f"The survey is not complete: {found.ending.because if found.ending else ''}.")
    elif ending not in (Ending.CURED_AND_PROVEN, Ending.SURVEYED):
        proven = found.proof_finished
        why = proven.because if proven and not proven.passed else (found.ending.because if found.ending else "")
        lines.append(f"The cure is not proven{': ' + why if why else ''}".rstrip(".") + ".")
    lines += [f"Suspected and not repaired: {one}." for one in suspected]
    lines += [
        f"{at_place(one.title.capitalize(), one.place)}: not measured again afterwards."
        for one in found.repairs
        if not one.confirmed
    ]
    lines += [f"Skipped: {one.what}{' (' + one.detail + ')' if one.detail else ''}." for one in found.skipped]
    lines += [
        f"Too close to call: {at_place(one.observed.title, one.observed.place)}."
        for one in _standing(found.readings)
        if one.observed.verdict is not None and one.observed.verdict.grade is Grade.TOO_CLOSE
    ]
    unsure = [one.what for one in found.facts.values() if one.detail == "not sure"]
    if unsure:
        lines.append(f"Not sure at the start: {', '.join(unsure)}.")
    if found.titles.proof_limits and ending is Ending.CURED_AND_PROVEN:
        lines.append(found.titles.proof_limits)
    return tuple(lines)


def _standing(readings: list[Reading]) -> list[Reading]:
    """The last reading of each check and place that was not taken back."""
    last: dict[tuple[str, str | None], Reading] = {}
    for reading in readings:
        if not reading.withdrawn:
            last[(reading.observed.check, reading.observed.place)] = reading
    return list(last.values())
