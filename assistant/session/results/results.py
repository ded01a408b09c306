"""What a session amounts to, as values: causes, corrections, readings, what is left open, how it ended.

Everything that tells a session reads these: speech, screens, transcript, report, index, export. Names are the
procedure's; titles and sentences are made from them elsewhere. A **cause** is a fault whose fix is verified.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from assistant.messages import Detail, HistoryWeight, Reason
from assistant.messages.decisions import Ended, FixChosen, FixDone, Observed, ProofFinished
from assistant.phrasing.wording import at_place, one_of
from assistant.session.ledger import Key, Ledger, Numbered, TakenBack
from assistant.session.results.corrections import Correction, Verified, corrections_of
from assistant.session.results.signs import Checks


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
    failed_before: tuple[Numbered, ...]
    """Steps that failed in proofs before that one, in order."""
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


def results_of(ledger: Ledger, checks: Checks) -> Results:
    """What the decisions so far amount to."""
    standing: dict[str, list[Numbered]] = {}
    for entry in ledger.standing:
        standing.setdefault(entry.decision.kind, []).append(entry)
    done = corrections_of(ledger, checks) if "fix_done" in standing else ()
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
        failed_before=_failed_before(ledger),
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


def _failed_before(ledger: Ledger) -> tuple[Numbered, ...]:
    """Steps that failed in proofs before the one that is told: the running one, else the last."""
    told_last = not ledger.proof and ledger.proof_end is not None and not ledger.proof_end.passed
    proofs = ledger.proofs_failed[:-1] if told_last else ledger.proofs_failed
    return tuple(step for proof in proofs for step in proof if not step.decision.passed)


def _causes(corrections: Iterable[Correction]) -> tuple[Cause, ...]:
    found: dict[tuple[str, str | None], Cause] = {}
    for one in corrections:
        if one.verified is not Verified.NOT:
            cause = Cause(one.fault, one.done.place, one.done, one.condemned, one.verified, one.by, one.or_else)
            found.setdefault((one.fault or one.done.fix, one.done.place), cause)
    return tuple(found.values())
