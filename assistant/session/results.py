"""What a session amounts to, as values: causes, corrections, readings, what is left open, how it ended.

Everything that tells a session reads these: speech, screens, transcript, report, index, export. Names are the
procedure's; titles and sentences are made from them elsewhere.

A fix is **verified** in one of two ways:

* *measured*: a reading that was not good before it is good after it, at the place of the fix;
* *proven*: a proof passed after it, and no proof failed between. A proof that failed says that something is still
  wrong: a fix before it that no reading speaks for may have been done for nothing.

It is **in vain** when such a reading is still not good after it, and none of them became good. A good reading counts
for the last fix that it speaks of, unless that had not helped and work on the whole unit came behind it; one that is
not good counts for each of them; one of the whole unit for a fix at a place only where it was taken again for that
fix and did not move. A reading too close to call that is more
likely good than not says nothing; readings that were taken back count for nothing. A **cause** is a fault whose fix
is verified.

A known good part that was plugged in to test (``Fix.as_test``) is a **test** and no correction where it did not help:
it was in vain, a proof failed after it, or other work followed on a mere suspicion, and no reading speaks for it.
"""

from __future__ import annotations

import re
from bisect import bisect
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from assistant.messages import Detail, Grade, HistoryWeight, Reason
from assistant.messages.decisions import Ended, FixChosen, FixDone, Observed, ProofFinished
from assistant.phrasing.verdicts import graded, look_word, mark_of
from assistant.phrasing.wording import at_place, one_of
from assistant.session.ledger import Key, Ledger, Numbered, TakenBack

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure
_WAITS = re.compile(
    r"\b(?:parts?|stock|order(?:ed)?|back ?order|supplier|deliver(?:y|ed)|wait(?:ing|s)?|tomorrow|later|"
    r"foreman|boss|mechanic|dealer|approv(?:al|ed?)|permission|authoriz(?:ation|ed?)|trained|qualified|help)\b"
)
"""Words of a reason that put a repair off and do not doubt it."""


class Verified(StrEnum):
    """How a fix was shown to have helped."""

    NOT = ""
    MEASURED = "measured"
    PROVEN = "proven"


class Shows(StrEnum):
    """What an observation says about the unit."""

    GOOD = "good"
    BAD = "bad"
    NOTHING = "nothing"
    """Too close to call, and more likely good than not."""


@dataclass(frozen=True, slots=True)
class Checks:
    """What of a procedure the results are told with; empty where the procedure is lost."""

    sound: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Check to the outcomes that a sound unit shows; ``good`` where none is named."""
    places: frozenset[str] = frozenset()
    """Names of places, which some checks give as their answer."""
    tools: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Check to the outcomes that speak of the meter or another tool, and not of the unit."""
    sums: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Check of a survey to those whose answers it only sums up."""
    tried: Mapping[str, str] = field(default_factory=dict)
    """Fix that plugs in a known good part to what a record calls it where that did not help."""

    def mark(self, seen: Observed) -> str:
        """The color and shape of an observation: ``good``, ``bad``, ``close``, or '' where it says nothing.

        A reading has its verdict. A look is as good or as bad as what it shows: 'corroded' is as bad as 'too low'.
        """
        if seen.verdict is not None:
            return mark_of(seen)
        if seen.choice is None or seen.choice in self.tools.get(seen.check, ()):
            return ""
        return {Shows.GOOD: "good", Shows.BAD: "bad"}.get(self.shows(seen), "")

    def graded(self, seen: Observed) -> str:
        """The same in a word: the verdict's, or for a look the word that a display without a number has."""
        return graded(seen) if seen.verdict is not None else look_word(self.mark(seen), seen.choice or "")

    def counted(self, standing: Iterable[Observed]) -> tuple[Observed, ...]:
        """What counts by itself of a survey's answers: not one that sums up others, unless it alone is bad."""
        seen = tuple(standing)
        bad = {(one.check, one.place) for one in seen if self.shows(one) is Shows.BAD}

        def counts(one: Observed) -> bool:
            summed = self.sums.get(one.check, ())
            if not summed or ((one.check, one.place) not in bad and one.place is not None):
                return True
            if (one.check, one.place) not in bad:
                return False
            return not any(check in summed and one.place in (None, place) for check, place in bad)

        return tuple(one for one in seen if counts(one))

    def shows(self, seen: Observed) -> Shows:
        """What an observation says about the unit: its verdict, or without one its likeliest outcome."""
        verdict = seen.verdict
        if verdict is not None and verdict.grade is not Grade.TOO_CLOSE:
            return Shows.GOOD if verdict.grade is Grade.GOOD else Shows.BAD
        likeliest = max(seen.weights, key=seen.weights.__getitem__) if seen.weights else ""
        if likeliest not in ("good", *self.sound.get(seen.check, ())):
            return Shows.BAD
        return Shows.GOOD if verdict is None else Shows.NOTHING


def checks_of(procedure: Procedure) -> Checks:
    """The same of a procedure that was read and found sound."""
    return Checks(
        {check.name: check.sound for check in procedure.checks},
        frozenset(place.name for place in procedure.places),
        {check.name: tuple(check.tools) for check in procedure.checks if check.tools},
        {check.name: check.sums_up for check in procedure.checks if check.sums_up},
        {fix.name: fix.as_test for fix in procedure.fixes if fix.as_test},
    )


class Reading(NamedTuple):
    """One observation of the session."""

    number: int
    """Its place among the session's decisions."""
    observed: Observed
    """The observation."""
    withdrawn: Reason | None = None
    """Why it was taken back, None when it stands."""
    repairs_before: int = 0
    """Fixes done before it: readings of one check with different counts are 'before' and 'after'."""


class Correction(NamedTuple):
    """A fix that was done, and what followed."""

    number: int
    """Its place among the session's decisions."""
    done: FixDone
    """The work."""
    chosen: FixChosen | None
    """The proposal that it answers: the fault, and whether a check had condemned it. None: nobody proposed it."""
    verified: Verified = Verified.NOT
    """How it was shown to have helped."""
    by: int | None = None
    """Place of the reading or the proof that showed it, None when nothing did."""
    in_vain: bool = False
    """True when what was not good before it was still not good afterwards."""
    found_by: tuple[int, ...] = ()
    """Numbers of the observations that were not good before it and speak of what it repaired, in order."""
    again: tuple[tuple[int, int], ...] = ()
    """Numbers of observations before it, each with the one after it that was taken anew at the same place."""
    test: str = ""
    """What it was where a known good part was only tried and did not help, '' for a repair."""

    @property
    def fault(self) -> str:
        """Name of the fault that it answers, '' when nobody proposed it."""
        return self.chosen.fault if self.chosen is not None else ""

    @property
    def or_else(self) -> tuple[str, ...]:
        """Names of other faults that it took away and that may have been the one."""
        return self.chosen.or_else if self.chosen is not None else ()

    @property
    def condemned(self) -> bool:
        """True when a check had condemned what it repaired."""
        return self.chosen is not None and self.chosen.condemned

    @property
    def title(self) -> str:
        """The work, such as ``sensor replaced``."""
        return self.test or self.done.title or self.done.fix

    def words(self) -> str:
        """The work with its place."""
        return at_place(self.title, self.done.place)


class Cause(NamedTuple):
    """A fault that was found, repaired and verified."""

    fault: str
    """Name of the fault, '' when nobody proposed the fix."""
    place: str | None
    """Where, None for the whole unit."""
    fix: FixDone
    """The fix that repaired it."""
    condemned: bool
    """True when a check had condemned it, False when it was suspected."""
    verified: Verified
    """How its fix was verified."""
    by: int | None
    """Place of the reading or the proof that verified it."""
    or_else: tuple[str, ...] = ()
    """Other faults that the same fix took away and that may have been the one."""

    def words(self, titles: Mapping[str, str]) -> str:
        """The fault's title, by its name in ``titles``, and the place; the work where nobody proposed it.

        Where the fix took away several that may have been the one, all of them: nobody looked which it was.
        """
        title = titles.get(self.fault, self.fault) or self.fix.title or self.fix.fix
        return at_place(one_of((title, *(titles.get(name, name) for name in self.or_else))), self.place)


class Results(NamedTuple):
    """What a session amounts to."""

    causes: tuple[Cause, ...]
    """Faults whose fix was verified, each once, in the order of the fixes."""
    corrections: tuple[Correction, ...]
    """Fixes done, in order."""
    tests: tuple[Correction, ...]
    """Known good parts that were tried and did not help, in order."""
    readings: tuple[Reading, ...]
    """Every observation, those taken back too, in order."""
    suspected: tuple[FixChosen, ...]
    """Proposals that a check had condemned and that were not done."""
    opened: tuple[Numbered, ...]
    """Everything that was opened."""
    declined: tuple[Numbered, ...]
    """Fixes that the person would not do."""
    not_as_needed: tuple[Numbered, ...]
    """What the put-back list found other than it must be, in order."""
    skipped: tuple[Numbered, ...]
    """Prompts passed by and not answered later."""
    notes: tuple[Numbered, ...]
    """Free speech kept."""
    photos: tuple[Numbered, ...]
    """Photos kept, in order; those that were erased among them."""
    erased: frozenset[str]
    """Names of photos that were erased in the session."""
    details: Mapping[Detail, str]
    """Numbers that papers go by, told in the session."""
    cautions: tuple[Numbered, ...]
    """Cautions acknowledged."""
    path: tuple[Numbered, ...]
    """Checks in the order chosen."""
    facts: tuple[Numbered, ...]
    """Facts about the unit as they stand."""
    proof: tuple[Numbered, ...]
    """Steps of the running proof, else of the last one."""
    last_proof: ProofFinished | None
    """How the last proof came out; None when none did, or another one is running."""
    history: tuple[HistoryWeight, ...] | None
    """What the history of the unit told in the session changes, None when none was looked up in it."""
    ending: Ended | None
    """How it ended, None when it was left."""

    @property
    def standing(self) -> tuple[Observed, ...]:
        """The last observation of each check and place that was not taken back."""
        last: dict[Key, Observed] = {}
        for reading in self.readings:
            if not reading.withdrawn:
                last[(reading.observed.check, reading.observed.place)] = reading.observed
        return tuple(last.values())


def is_wait(reason: str) -> bool:
    """True for a reason that names a part or a person to wait for."""
    return _WAITS.search(reason.lower()) is not None


def results_of(ledger: Ledger, checks: Checks) -> Results:
    """What the decisions so far amount to."""
    standing: dict[str, list[Numbered]] = {}
    for entry in ledger.standing:
        standing.setdefault(entry.decision.kind, []).append(entry)
    done = _corrections(ledger, checks) if "fix_done" in standing else ()
    corrections = tuple(one for one in done if not one.test)
    return Results(
        causes=_causes(corrections),
        corrections=corrections,
        tests=tuple(one for one in done if one.test),
        readings=_readings(standing.get("observed", ()), ledger.taken_back, done),
        suspected=tuple(chosen for chosen in ledger.proposed.values() if chosen.condemned),
        opened=tuple(standing.get("access_opened", ())),
        declined=tuple(standing.get("fix_declined", ())),
        not_as_needed=tuple(standing.get("not_as_needed", ())),
        skipped=tuple(standing.get("skipped", ())),
        notes=ledger.notes,
        photos=tuple(ledger.photos.values()),
        erased=ledger.erased,
        details=ledger.details,
        cautions=ledger.cautions,
        path=ledger.path,
        facts=tuple(ledger.facts.values()),
        proof=ledger.proof or ledger.last_proof,
        last_proof=ledger.proof_end,
        history=ledger.history,
        ending=ledger.ended,
    )


def _readings(
    standing: Iterable[Numbered], taken_back: Sequence[TakenBack], corrections: Sequence[Correction]
) -> tuple[Reading, ...]:
    fixes = [fix.number for fix in corrections]
    if not taken_back:
        return tuple(Reading(number, seen, None, bisect(fixes, number)) for number, seen in standing)
    # one that puts an earlier reading right was made where that one was
    made = {one.observed.number: one.number for one in taken_back}
    found = [
        Reading(number, seen, None, bisect(fixes, made.get(seen.instead_of, number))) for number, seen in standing
    ]
    found += [Reading(one.number, one.observed, one.because, bisect(fixes, one.number)) for one in taken_back]
    return tuple(sorted(found, key=lambda reading: reading.number))


class _Judged:
    """A fix while the readings and the proofs after it are gone through."""

    def __init__(self, entry: Numbered, chosen: FixChosen | None, before: Mapping[Key, Observed]) -> None:
        self.number, self.chosen = entry.number, chosen
        self.done: FixDone = entry.decision
        self.before = dict(before)
        """The last reading of each check and place before it."""
        self.good: dict[Key, int] = {}
        """Checks that are good after it, and the place of that reading."""
        self.bad: set[Key] = set()
        """Checks that are still not good after it."""
        self.last: dict[Key, Observed] = {}
        """The last reading after it of each check that speaks of it."""
        self.lost = False
        """True when a proof failed after it."""
        self.proof: int | None = None
        """Place of the passed proof that speaks for it."""

    @property
    def in_vain(self) -> bool:
        return bool(self.bad) and not self.good

    def correction(self, checks: Checks, *, last: bool) -> Correction:
        """What came of it; ``last`` when no other work followed."""
        made = self._made(checks)
        tried = checks.tried.get(self.done.fix, "")
        if not tried or made.verified is Verified.MEASURED:
            return made
        if self.in_vain or self.lost or not (last or made.condemned):
            return made._replace(verified=Verified.NOT, by=None, test=tried)
        return made

    def _made(self, checks: Checks) -> Correction:
        found_by = tuple(seen.number for seen in self.before.values() if _points_at(self.done, seen, checks))
        again = tuple((self.before[key].number, seen.number) for key, seen in self.last.items() if key in self.before)
        made = Correction(self.number, self.done, self.chosen, found_by=tuple(sorted(found_by)), again=again)
        if self.proof is not None and not self.in_vain:
            return made._replace(verified=Verified.PROVEN, by=self.proof)
        if self.good:
            return made._replace(verified=Verified.MEASURED, by=max(self.good.values()))
        return made._replace(in_vain=self.in_vain)


def _corrections(ledger: Ledger, checks: Checks) -> tuple[Correction, ...]:
    judged: list[_Judged] = []
    last: dict[Key, Observed] = {}
    for entry in ledger.standing:
        one = entry.decision
        if one.kind == "observed":
            if judged:
                _measured(judged, entry, checks)
            last[(one.check, one.place)] = one
        elif one.kind == "fix_done":
            judged.append(_Judged(entry, ledger.answers[len(judged)], last))
        elif one.kind == "proof_finished":
            _proved(judged, entry)
    return tuple(fix.correction(checks, last=fix is judged[-1]) for fix in judged)


def _points_at(done: FixDone, seen: Observed, checks: Checks) -> bool:
    """True for an observation that was not good and is about the place of a fix; one of the whole unit that names a
    place is about that place."""
    if checks.shows(seen) is not Shows.BAD:
        return False
    where = seen.choice if seen.place is None and seen.choice in checks.places else seen.place
    return where == done.place


def _measured(judged: list[_Judged], entry: Numbered, checks: Checks) -> None:
    """Book a reading after a fix: good for the last fix that it speaks of, not good for each of them."""
    seen, key = entry.decision, (entry.decision.check, entry.decision.place)
    shows, after, whole = checks.shows(seen), False, False
    for fix in reversed(judged):
        if not _speaks_of(fix, seen, shows, checks):
            whole = whole or fix.done.place is None
            continue
        if shows is Shows.GOOD and whole and (key in fix.bad or key not in fix.before):
            return  # it did not help; what did was the work on the whole unit, for which no reading at a place speaks
        if not after:  # what came after a later fix that it speaks of is that one's evidence
            fix.last[key], after = seen, True
        if shows is Shows.GOOD:
            fix.good[key] = entry.number
            fix.bad.discard(key)
            return
        if shows is Shows.BAD:
            fix.good.pop(key, None)
            fix.bad.add(key)


def _speaks_of(fix: _Judged, seen: Observed, shows: Shows, checks: Checks) -> bool:
    """True when a reading shows whether a fix before it helped."""
    before = fix.before.get((seen.check, seen.place))
    if before is None:
        # The reading before it was taken back or is lost; one that was asked because of the fix was not good then.
        return seen.proof and fix.done.place in (seen.place, seen.choice)
    if checks.shows(before) is not Shows.BAD:
        return False
    if seen.place is not None or fix.done.place is None:
        return fix.done.place == seen.place
    # Asked once for the whole unit, and the fix has a place: the answer may name a place, as a code does.
    if shows is Shows.BAD:
        return seen.choice == fix.done.place or (seen.proof and _unchanged(before, seen))
    return before.choice == fix.done.place or before.choice not in checks.places


def _unchanged(before: Observed, seen: Observed) -> bool:
    """True for a reading that a fix did not move: within a tenth of what it was, or over range as before."""
    if before.value is None or seen.value is None:
        return bool(seen.display) and seen.display == before.display
    return abs(seen.value - before.value) <= abs(before.value) / 10


def _proved(judged: list[_Judged], entry: Numbered) -> None:
    for fix in judged:
        if not entry.decision.passed:
            fix.lost = True
        elif not fix.lost and fix.proof is None:
            fix.proof = entry.number


def _causes(corrections: Iterable[Correction]) -> tuple[Cause, ...]:
    found: dict[tuple[str, str | None], Cause] = {}
    for one in corrections:
        if one.verified is not Verified.NOT:
            cause = Cause(one.fault, one.done.place, one.done, one.condemned, one.verified, one.by, one.or_else)
            found.setdefault((one.fault or one.done.fix, one.done.place), cause)
    return tuple(found.values())
