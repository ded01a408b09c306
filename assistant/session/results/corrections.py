"""What came of the fixes of a session: each held against the readings and the proofs after it.

A fix is **verified** in one of two ways:

* *measured*: a reading that was not good before it is good after it, at the place of the fix; *seen* where that was a
  look alone, which speaks for it only until a proof fails: what was cleaned looks clean, and the fault may stand;
* *proven*: a proof passed after it, and no proof failed between. A proof that failed says that something is still
  wrong: a fix before it that no reading speaks for may have been done for nothing.

It is **in vain** when such a reading is still not good after it, and none of them became good. A good reading counts
for the last fix that it speaks of, unless that had not helped and work on the whole unit came behind it; one that is
not good counts for each of them; one of the whole unit for a fix at a place only where it was taken again for that
fix and did not move. A reading too close to call that is more
likely good than not says nothing; readings that were taken back count for nothing, and so does one that a fix changes
by its own work, as a charge does rest volts (``Fix.also_changes``).

A known good part that was plugged in to test (``Fix.as_test``) is a **test** and no correction where it did not help:
it was in vain, a proof failed after it, or other work followed on a mere suspicion, and no reading speaks for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from assistant.messages.decisions import FixChosen, FixDone, Observed
from assistant.phrasing.wording import at_place
from assistant.session.ledger import Key, Ledger, Numbered
from assistant.session.results.signs import Checks, Shows


class Verified(StrEnum):
    """How a fix was shown to have helped."""

    NOT = ""
    MEASURED = "measured"
    SEEN = "seen"
    PROVEN = "proven"


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
    stood: bool = False
    """True when the proof failed after it and no reading speaks for it: the fault may have stood as before."""
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


class _Judged:
    """A fix while the readings and the proofs after it are gone through."""

    def __init__(self, entry: Numbered, chosen: FixChosen | None, before: Mapping[Key, Observed]) -> None:
        self.number, self.chosen = entry.number, chosen
        self.done: FixDone = entry.decision
        self.before = dict(before)
        """The last reading of each check and place before it."""
        self.good: dict[Key, int] = {}
        """Checks that are good after it, and the place of that reading."""
        self.read: set[Key] = set()
        """Those of them that are readings, by a meter or a gauge."""
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
        if not tried or made.verified in (Verified.MEASURED, Verified.SEEN):
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
        read = [number for key, number in self.good.items() if key in self.read]
        if read:
            return made._replace(verified=Verified.MEASURED, by=max(read))
        if self.good and not self.lost:
            return made._replace(verified=Verified.SEEN, by=max(self.good.values()))
        return made._replace(in_vain=self.in_vain, stood=self.lost and not self.in_vain)


def corrections_of(ledger: Ledger, checks: Checks) -> tuple[Correction, ...]:
    """Every fix that was done, in order, and what followed."""
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
            moved = checks.changed_by.get(one.fix, ())
            last = {key: seen for key, seen in last.items() if key[0] not in moved}
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
        if key[0] in checks.changed_by.get(fix.done.fix, ()):
            return  # its own work moved it, whatever was wrong: it speaks neither of it nor of one before it
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
            fix.read = fix.read | {key} if seen.verdict is not None else fix.read - {key}
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
