"""The rules by which decisions add up: what stands, what was taken back, what is open. One set for every reader.

A running session, a session taken up again and a record on disk are all folded by ``Ledger.take``. What a word can
take back (a reading, a fact, a step of the proof) is taken back here; what was done to the unit (something opened, a
fix, what was put back) stays, whatever is said later.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from assistant.messages import Detail, FoundBefore, HistoryWeight, Prompt, PromptKind, Reason, Talk, Why
from assistant.messages.decisions import (
    CautionAcknowledged,
    CheckChosen,
    Decision,
    DetailTold,
    Ended,
    FactAnswered,
    FactWithdrawn,
    FixChosen,
    FixDone,
    HistoryTaken,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    OfferAnswered,
    Offered,
    Phase,
    PhaseEntered,
    PhotoErased,
    PhotoKept,
    ProofFinished,
    ProofStepDone,
    ProofStepWithdrawn,
    Skipped,
    TalkSet,
)


class Numbered(NamedTuple):
    """A decision and its place in the session."""

    number: int
    """Counts every decision of the session from 0."""
    decision: Any
    """The decision."""


class TakenBack(NamedTuple):
    """An observation that was taken back."""

    number: int
    """Place of the observation in the session."""
    observed: Observed
    """The observation."""
    because: Reason
    """Why."""


UNIT_NUMBER = "unit number"
"""Name of the fact that holds the number of the truck or trailer."""
AS_TOLD = "own words"
"""Name of the fact whether what the person's own words told was understood."""
OWN_COMPLAINT = "own complaint"
"""Name of the fact that holds the complaint in the person's own words."""
NOT_SURE = "not sure"
"""Value of a fact that nobody could tell."""
Key = tuple[str, str | None]
"""A name with its place."""


@dataclass(slots=True)
class Ledger:
    """What was decided so far, as it stands now.

    Values in it are replaced and never changed in place, so that a shallow copy (``after``) is a snapshot; ``take``
    changes the ledger itself, for a reader that needs no snapshots.
    """

    count: int = 0
    """Decisions taken in."""
    phase: Phase = Phase.CAUTIONS
    """Which part of the session it entered last."""
    entered: bool = False
    """True once a part was entered."""
    held: bool = False
    """True while everything but 'resume' is ignored."""
    facts: Mapping[str, Numbered] = field(default_factory=dict)
    """Fact to the decision that answered it; 'not sure' is an answer."""
    given: Mapping[str, str] = field(default_factory=dict)
    """Facts known before the session began, and their values."""
    standing: tuple[Numbered, ...] = ()
    """What counts for finding the fault, in order: observations that stand, openings, work done and declined,
    prompts passed by, what was put back, proofs."""
    passed_by: bool = False
    """True once a prompt was passed by."""
    taken_back: tuple[TakenBack, ...] = ()
    """Observations that were taken back, in the order of the taking back."""
    proposed: Mapping[Key, FixChosen] = field(default_factory=dict)
    """(fix, place) to the proposal that was not yet done."""
    answers: tuple[FixChosen | None, ...] = ()
    """For each fix done the proposal that it answers; None when nobody proposed it."""
    path: tuple[Numbered, ...] = ()
    """Checks in the order chosen."""
    cautions: tuple[Numbered, ...] = ()
    """Cautions acknowledged, in order."""
    notes: tuple[Numbered, ...] = ()
    """Free speech kept."""
    photos: Mapping[str, Numbered] = field(default_factory=dict)
    """Name to the decision by which a photo was kept, in order."""
    erased: frozenset[str] = frozenset()
    """Names of photos whose picture was erased in the session."""
    proof: tuple[Numbered, ...] = ()
    """Steps of the running proof."""
    last_proof: tuple[Numbered, ...] = ()
    """Steps of the proof that came to its end last, until the next one begins."""
    proofs_failed: tuple[tuple[Numbered, ...], ...] = ()
    """Steps of each proof that failed, in order."""
    proof_end: ProofFinished | None = None
    """How the last proof came out, until the next one begins."""
    unproven: Reason | None = None
    """Why the repair could not be proven, None while it still can."""
    history: tuple[HistoryWeight, ...] | None = None
    """What the history of the unit told in the session changes; None when none was looked up in it."""
    found: FoundBefore | None = None
    """What an earlier session on the unit found and left to be mended; None when it left nothing."""
    offered: Offered | None = None
    """An offer that waits for its answer."""
    offers: tuple[tuple[Offered, bool], ...] = ()
    """Offers answered, in order, and whether they were taken."""
    last_facts: Mapping[str, str] = field(default_factory=dict)
    """What the unit's last sessions knew of it."""
    last_seen: str = ""
    """When that was, as it is said."""
    details: Mapping[Detail, str] = field(default_factory=dict)
    """Numbers that papers go by, as told last."""
    history_of: str = ""
    """Number of the unit whose history was looked up, '' before."""
    talk: Talk = Talk.USUAL
    """How much is said."""
    ended: Ended | None = None
    """How it ended."""
    _known: Mapping[str, str] | None = field(default=None, compare=False, repr=False)

    def take(self, decision: Decision) -> None:
        """Take in one decision."""
        rule = _RULES.get(decision.kind)
        if rule is not None:
            rule(self, decision)
        self.count += 1

    def after(self, decision: Decision) -> Ledger:
        """The ledger after one decision; this one stays as it is."""
        later = copy(self)
        later.take(decision)
        return later

    @property
    def known(self) -> Mapping[str, str]:
        """Facts and their values, those known before the session began among them."""
        if self._known is None:
            self._known = {**self.given, **{name: entry.decision.value for name, entry in self.facts.items()}}
        return self._known

    @property
    def work(self) -> tuple[Decision, ...]:
        """``standing`` without the numbers."""
        return tuple(entry.decision for entry in self.standing)

    def of(self, kind: str) -> tuple[Numbered, ...]:
        """What stands of one kind, in order."""
        return tuple(entry for entry in self.standing if entry.decision.kind == kind)

    @property
    def open_now(self) -> tuple[Numbered, ...]:
        """Openings made since everything was closed last."""
        return tuple(entry for entry in self.since_closed if entry.decision.kind == "access_opened")

    def until(self, number: int) -> Ledger:
        """The ledger as it stood before a decision, but for what was told of the unit since."""
        then = copy(self)
        then.standing = tuple(entry for entry in self.standing if entry.number < number)
        return then

    @property
    def since_closed(self) -> tuple[Numbered, ...]:
        """What stands since everything was closed last: by the put-back list, or by a proof, which moves the unit."""
        for index in range(len(self.standing) - 1, -1, -1):
            if self.standing[index].decision.kind in ("put_back_done", "proof_finished"):
                return self.standing[index + 1 :]
        return self.standing

    def forget_known(self) -> None:
        """Put the known facts together anew when they are asked for."""
        self._known = None

    def add(self, decision: Decision) -> None:
        """Let a decision stand."""
        self.standing = (*self.standing, Numbered(self.count, decision))

    def answered(self, kind: PromptKind, name: str, place: str | None = None) -> None:
        """A prompt that is answered after all was not passed by."""
        if self.passed_by:
            prompt = Prompt(kind, name, place)
            self.drop(lambda one: one.kind == "skipped" and one.prompt == prompt)

    def drop(self, goes: Callable[[Any], bool]) -> None:
        """Keep only the decisions that do not go."""
        self.standing = tuple(entry for entry in self.standing if not goes(entry.decision))


def _phase_entered(ledger: Ledger, one: PhaseEntered) -> None:
    ledger.phase, ledger.entered, ledger.offered = one.phase, True, None
    if one.phase is Phase.PROVING:
        ledger.proof, ledger.last_proof, ledger.proof_end, ledger.unproven = (), (), None, None
        if ledger.passed_by:
            ledger.drop(lambda entry: entry.kind == "skipped" and entry.prompt.kind is PromptKind.PROOF)


def _caution(ledger: Ledger, one: CautionAcknowledged) -> None:
    ledger.cautions = (*ledger.cautions, Numbered(ledger.count, one))


def _fact(ledger: Ledger, one: FactAnswered) -> None:
    ledger.facts = {**ledger.facts, one.fact: Numbered(ledger.count, one)}
    ledger.forget_known()


def _fact_withdrawn(ledger: Ledger, one: FactWithdrawn) -> None:
    ledger.facts = {name: entry for name, entry in ledger.facts.items() if name != one.fact}
    ledger.offered = None
    ledger.given = {name: value for name, value in ledger.given.items() if name != one.fact}
    ledger.forget_known()
    ledger.answered(PromptKind.FACT, one.fact)
    if one.fact == UNIT_NUMBER:
        ledger.history_of, ledger.history = "", None if ledger.history is None else ()
        ledger.found = None
        ledger.last_facts, ledger.last_seen = {}, ""


def _opened(ledger: Ledger, one: Any) -> None:
    ledger.answered(PromptKind.ACCESS, one.access, one.place)
    ledger.add(one)


def _check_chosen(ledger: Ledger, one: CheckChosen) -> None:
    last = ledger.path[-1] if ledger.path else None
    again = last is not None and (last.decision.check, last.decision.place) == (one.check, one.place)
    if last is not None and again and not any(entry.number > last.number for entry in ledger.standing[-1:]):
        ledger.path = ledger.path[:-1]  # chosen anew after an answer about the unit: nothing was done in between
    ledger.path = (*ledger.path, Numbered(ledger.count, one))
    ledger.offered = None


def _observed(ledger: Ledger, one: Observed) -> None:
    ledger.answered(PromptKind.CHECK, one.check, one.place)
    wrong = next((entry.number for entry in ledger.taken_back if entry.observed.number == one.instead_of), None)
    if wrong is None:
        ledger.add(one)
        return
    before = tuple(entry for entry in ledger.standing if entry.number < wrong)
    ledger.standing = (*before, Numbered(ledger.count, one), *ledger.standing[len(before) :])


def _withdrawn(ledger: Ledger, one: ObservationWithdrawn) -> None:
    """Every reading of this number: a journal that was tampered with may hold it twice."""
    gone = [
        TakenBack(entry.number, entry.decision, one.because)
        for entry in ledger.standing
        if entry.decision.kind == "observed" and entry.decision.number == one.number
    ]
    ledger.taken_back = (*ledger.taken_back, *gone)
    ledger.drop(lambda entry: entry.kind == "observed" and entry.number == one.number)


def _skipped(ledger: Ledger, one: Skipped) -> None:
    ledger.add(one)
    ledger.passed_by = True
    if one.prompt.kind is PromptKind.PROOF:
        skipped = Reason(Why.STEP_SKIPPED, {"step": one.prompt.name, "reason": one.reason})
        ledger.unproven = ledger.unproven or skipped


def _fix_chosen(ledger: Ledger, one: FixChosen) -> None:
    ledger.proposed = {**ledger.proposed, (one.fix, one.place): one}


def _fix_done(ledger: Ledger, one: FixDone) -> None:
    key = (one.fix, one.place)
    ledger.add(one)
    ledger.answers = (*ledger.answers, ledger.proposed.get(key))
    ledger.proposed = {name: chosen for name, chosen in ledger.proposed.items() if name != key}
    ledger.unproven = None


def _proof_step(ledger: Ledger, one: ProofStepDone) -> None:
    others = tuple(entry for entry in ledger.proof if entry.decision.step != one.step)
    ledger.proof = (*others, Numbered(ledger.count, one))


def _proof_step_withdrawn(ledger: Ledger, one: ProofStepWithdrawn) -> None:
    ledger.proof = tuple(entry for entry in ledger.proof if entry.decision.step != one.step)


def _proof_finished(ledger: Ledger, one: ProofFinished) -> None:
    ledger.add(one)
    if not one.passed:
        ledger.proofs_failed = (*ledger.proofs_failed, ledger.proof)
    ledger.last_proof, ledger.proof, ledger.proof_end, ledger.unproven = ledger.proof, (), one, None


def _note(ledger: Ledger, one: NoteTaken) -> None:
    ledger.notes = (*ledger.notes, Numbered(ledger.count, one))


def _photo_kept(ledger: Ledger, one: PhotoKept) -> None:
    ledger.photos = {**ledger.photos, one.photo.name: Numbered(ledger.count, one)}


def _photo_erased(ledger: Ledger, one: PhotoErased) -> None:
    ledger.erased |= {one.name}


def _detail(ledger: Ledger, one: DetailTold) -> None:
    ledger.details = {**ledger.details, one.detail: one.value}


def _held(ledger: Ledger, _: Any) -> None:
    ledger.held = True


def _released(ledger: Ledger, _: Any) -> None:
    ledger.held = False


def _history(ledger: Ledger, one: HistoryTaken) -> None:
    ledger.history_of, ledger.history, ledger.found = one.unit, one.weights, one.found
    ledger.last_facts, ledger.last_seen = one.facts, one.seen


def _offered(ledger: Ledger, one: Offered) -> None:
    ledger.offered = one


def _offer_answered(ledger: Ledger, one: OfferAnswered) -> None:
    if ledger.offered is not None:
        ledger.offers = (*ledger.offers, (ledger.offered, one.taken))
    ledger.offered = None


def _talk(ledger: Ledger, one: TalkSet) -> None:
    ledger.talk = one.talk


def _ended(ledger: Ledger, one: Ended) -> None:
    ledger.ended = one


def own_words(before: str, facts: Mapping[str, str]) -> str:
    """What is wrong in the person's own words, told ``before`` the session or at its beginning; '' where neither."""
    told = facts.get(OWN_COMPLAINT, "")
    return before or ("" if told == NOT_SURE else told)


_RULES: Mapping[str, Callable[[Ledger, Any], None]] = {
    "phase_entered": _phase_entered,
    "caution_acknowledged": _caution,
    "fact_answered": _fact,
    "fact_withdrawn": _fact_withdrawn,
    "access_opened": _opened,
    "check_chosen": _check_chosen,
    "observed": _observed,
    "observation_withdrawn": _withdrawn,
    "skipped": _skipped,
    "fix_chosen": _fix_chosen,
    "fix_done": _fix_done,
    "fix_declined": Ledger.add,
    "put_back_done": Ledger.add,
    "not_as_needed": Ledger.add,
    "proof_step_done": _proof_step,
    "proof_step_withdrawn": _proof_step_withdrawn,
    "proof_finished": _proof_finished,
    "note_taken": _note,
    "photo_kept": _photo_kept,
    "photo_erased": _photo_erased,
    "detail_told": _detail,
    "held": _held,
    "released": _released,
    "history_taken": _history,
    "talk_set": _talk,
    "offered": _offered,
    "offer_answered": _offer_answered,
    "ended": _ended,
}
"""Kind of decision to its rule; ``remarked`` changes nothing."""
