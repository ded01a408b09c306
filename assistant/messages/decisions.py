"""Decisions: the only things that change a session's state, written beside the fact that led to them.

``session.fold.apply`` folds them; resuming a session is folding the written decisions, and replay compares them with
what today's session would decide. They hold no sentence: why something was decided is a ``Reason``, what was asked a
``Prompt``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Literal

from assistant.messages import (
    Detail,
    Fact,
    Finish,
    FoundBefore,
    HistoryWeight,
    Listen,
    LookUp,
    Say,
    Talk,
    Verdict,
    Wait,
)
from assistant.messages.photos import Photo
from assistant.messages.prompts import NO_PROMPT, Prompt
from assistant.messages.reasons import Reason


class Phase(StrEnum):
    """Where a session stands."""

    CAUTIONS = "cautions"
    FACTS = "facts"
    FINDING = "finding"
    REPAIRING = "repairing"
    PROVING = "proving"
    SURVEYING = "surveying"
    """Reading every position of a survey."""
    CLOSING = "closing"
    ENDED = "ended"


class Ending(StrEnum):
    """The ends a session can come to."""

    CURED_AND_PROVEN = "cured and proven"
    CURED_NOT_PROVEN = "cured, not proven"
    NOT_FOUND = "not found"
    NOT_PRESENT = "not present today"
    """The complaint was not seen, and whatever was read is good: nothing was repaired."""
    WAITING = "found, waiting"
    """A check found the fault, and its repair waits for a part or a person."""
    DOES_NOT_FIT = "does not fit this unit"
    STOPPED = "stopped"
    SURVEYED = "survey complete"
    SURVEYED_IN_PART = "survey, not complete"


@dataclass(frozen=True, slots=True)
class PhaseEntered:
    """The session moved to another phase."""

    phase: Phase
    kind: Literal["phase_entered"] = "phase_entered"


@dataclass(frozen=True, slots=True)
class CautionAcknowledged:
    """The person said yes to a caution."""

    caution: str
    place: str | None = None
    """Where the work is that it stands before, None for the whole unit."""
    before: Prompt = NO_PROMPT
    """The prompt that it stands before, such as ``access:wheel up:left rear``."""
    kind: Literal["caution_acknowledged"] = "caution_acknowledged"


@dataclass(frozen=True, slots=True)
class FactAnswered:
    """A fact asked once was answered. ``value`` is 'not sure' when unsure."""

    fact: str
    value: str
    heard: str
    kind: Literal["fact_answered"] = "fact_answered"


@dataclass(frozen=True, slots=True)
class AccessOpened:
    """Something was opened in the real world; taking back a word never closes it."""

    access: str
    place: str | None
    minutes: float
    absent: str = ""
    """What was told where there was nothing to open, as ``no spring brake``; '' where it was opened."""
    kind: Literal["access_opened"] = "access_opened"


@dataclass(frozen=True, slots=True)
class CheckChosen:
    """The next check was chosen."""

    check: str
    place: str | None
    minutes: float
    """Expected minutes with the access that it still needs."""
    because: Reason
    """For 'why?', and for what the answer is taken as."""
    kind: Literal["check_chosen"] = "check_chosen"


@dataclass(frozen=True, slots=True)
class QuestionChosen:
    """A fact is asked for next, because its answer is worth it."""

    fact: str
    minutes: float
    """Working minutes that the answer is expected to save."""
    because: Reason
    """For 'why?'."""
    kind: Literal["question_chosen"] = "question_chosen"


@dataclass(frozen=True, slots=True)
class Observed:
    """A check was answered: a reading with its verdict, a special display, or a choice."""

    number: int
    """Counts observations from 1; never used again after a withdrawal."""
    check: str
    place: str | None
    title: str
    weights: dict[str, float]
    """Outcome name to probability: one entry of 1.0, or two when too close to call."""
    heard: str
    value: Decimal | None = None
    unit: str | None = None
    display: str = ""
    """``over_range``, ``unsteady``, ``nothing``, or '' for a plain value."""
    low_end: Decimal | None = None
    high_end: Decimal | None = None
    choice: str | None = None
    approximate: bool = False
    verdict: Verdict | None = None
    limit_low: Decimal | None = None
    limit_high: Decimal | None = None
    limit_source: str = ""
    conditions: dict[str, str] | None = None
    meter: str = ""
    proof: bool = False
    """True when it was measured again after a fix."""
    instead_of: int = 0
    """Number of the reading that it puts right although work was done since, 0 for none: it stands where that one
    stood."""
    kind: Literal["observed"] = "observed"


@dataclass(frozen=True, slots=True)
class ObservationWithdrawn:
    """An observation was taken back ('scratch that', or a correction)."""

    number: int
    because: Reason
    kind: Literal["observation_withdrawn"] = "observation_withdrawn"


@dataclass(frozen=True, slots=True)
class FactWithdrawn:
    """A fact's answer was taken back."""

    fact: str
    kind: Literal["fact_withdrawn"] = "fact_withdrawn"


@dataclass(frozen=True, slots=True)
class Skipped:
    """A prompt was passed by."""

    prompt: Prompt
    reason: str
    """In the person's words, '' when none was given."""
    kind: Literal["skipped"] = "skipped"


@dataclass(frozen=True, slots=True)
class FixChosen:
    """A fix was proposed."""

    fix: str
    place: str | None
    fault: str
    """The suspect it answers, the likeliest of those that share the fix."""
    probability: float
    condemned: bool
    """True when a check condemned it; False on suspicion or as a trial."""
    because: Reason
    """For 'why?'."""
    or_else: tuple[str, ...] = ()
    """Other faults that the same fix takes away and that may be the one, the likeliest first."""
    kind: Literal["fix_chosen"] = "fix_chosen"


@dataclass(frozen=True, slots=True)
class FixDone:
    """Work done in the real world; never undone by taking back a word."""

    fix: str
    place: str | None
    title: str
    part: str | None
    kind: Literal["fix_done"] = "fix_done"


@dataclass(frozen=True, slots=True)
class FixDeclined:
    """The person will not do this fix now."""

    fix: str
    place: str | None
    reason: str
    """In the person's words, '' when none was given."""
    kind: Literal["fix_declined"] = "fix_declined"


@dataclass(frozen=True, slots=True)
class ProofStepDone:
    """One step of the proof was answered."""

    step: str
    answer: str
    passed: bool
    kind: Literal["proof_step_done"] = "proof_step_done"


@dataclass(frozen=True, slots=True)
class ProofStepWithdrawn:
    """The answer of a step of the running proof was taken back."""

    step: str
    kind: Literal["proof_step_withdrawn"] = "proof_step_withdrawn"


@dataclass(frozen=True, slots=True)
class ProofFinished:
    """The proof came to its end; on failure the finding begins again with what is now known."""

    passed: bool
    because: Reason
    kind: Literal["proof_finished"] = "proof_finished"


@dataclass(frozen=True, slots=True)
class PutBackDone:
    """Everything that was open is closed again, said item by item or as a whole."""

    items: tuple[str, ...]
    """The put-back list as it was said."""
    kind: Literal["put_back_done"] = "put_back_done"


@dataclass(frozen=True, slots=True)
class NotAsNeeded:
    """A look on the put-back list that found something else than it must be: it stands in the record as found."""

    item: str
    """The item as it was said."""
    needs: str
    """What it needs before the unit rolls."""
    heard: str
    """In the person's words."""
    kind: Literal["not_as_needed"] = "not_as_needed"


@dataclass(frozen=True, slots=True)
class NoteTaken:
    """Free speech kept in the record."""

    text: str
    kind: Literal["note_taken"] = "note_taken"


@dataclass(frozen=True, slots=True)
class PhotoKept:
    """A photo belongs to the record from here."""

    photo: Photo
    kind: Literal["photo_kept"] = "photo_kept"


@dataclass(frozen=True, slots=True)
class PhotoErased:
    """A photo's picture was erased; that there was one stays."""

    name: str
    kind: Literal["photo_erased"] = "photo_erased"


@dataclass(frozen=True, slots=True)
class DetailTold:
    """A number that papers go by was told; told again, the last one counts."""

    detail: Detail
    value: str
    heard: str
    kind: Literal["detail_told"] = "detail_told"


@dataclass(frozen=True, slots=True)
class Held:
    """Everything but 'resume' is ignored from here."""

    kind: Literal["held"] = "held"


@dataclass(frozen=True, slots=True)
class Released:
    """The hold is over."""

    kind: Literal["released"] = "released"


@dataclass(frozen=True, slots=True)
class HistoryTaken:
    """What earlier records say about the unit counts from here, in place of what another number's records said."""

    unit: str
    """Number of the truck or trailer."""
    weights: tuple[HistoryWeight, ...] = ()
    """Multipliers of suspects' weights; none when nothing is known of the unit."""
    found: FoundBefore | None = None
    """A fault found earlier whose repair waits, None when there is none."""
    facts: dict[str, str] = field(default_factory=dict)
    """What its last sessions knew of it, to be offered."""
    seen: str = ""
    """When that was."""
    kind: Literal["history_taken"] = "history_taken"


@dataclass(frozen=True, slots=True)
class TalkSet:
    """The person asked for more or less talk; it holds from here."""

    talk: Talk
    kind: Literal["talk_set"] = "talk_set"


@dataclass(frozen=True, slots=True)
class Offered:
    """Something was offered that only a person can decide: to hand the hunt over, to mend what was found before."""

    prompt: Prompt
    because: Reason
    """Why it is offered, as it is said."""
    kind: Literal["offered"] = "offered"


@dataclass(frozen=True, slots=True)
class OfferAnswered:
    """An offer was taken, or not."""

    prompt: Prompt
    taken: bool
    kind: Literal["offer_answered"] = "offer_answered"


@dataclass(frozen=True, slots=True)
class SaidTogether:
    """So many of the last answers were said in one breath: taking the last one back takes back all of them."""

    count: int
    kind: Literal["said_together"] = "said_together"


@dataclass(frozen=True, slots=True)
class Ended:
    """The session is over."""

    ending: Ending
    because: Reason
    kind: Literal["ended"] = "ended"


@dataclass(frozen=True, slots=True)
class Remarked:
    """Something the record should show that changes no state: a command, a question asked and its answer."""

    what: Reason
    kind: Literal["remarked"] = "remarked"


Decision = (
    PhaseEntered
    | CautionAcknowledged
    | FactAnswered
    | AccessOpened
    | CheckChosen
    | QuestionChosen
    | Observed
    | ObservationWithdrawn
    | FactWithdrawn
    | Skipped
    | FixChosen
    | FixDone
    | FixDeclined
    | ProofStepDone
    | ProofStepWithdrawn
    | ProofFinished
    | PutBackDone
    | NotAsNeeded
    | NoteTaken
    | PhotoKept
    | PhotoErased
    | DetailTold
    | Held
    | Released
    | HistoryTaken
    | TalkSet
    | Offered
    | OfferAnswered
    | SaidTogether
    | Ended
    | Remarked
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """Something said on the way to an entry: a question about an answer, the answer to it, words that led nowhere."""

    at: float
    """Seconds since the session began."""
    who: Literal["us", "you"]
    text: str


@dataclass(frozen=True, slots=True)
class Record:
    """Write one entry. The session's replies wait for ``Recorded``."""

    fact: Fact
    """The fact that led here, reduced to what was accepted: words that were not are left out."""
    decisions: tuple[Decision, ...]
    replies: tuple[Say, ...] = ()
    """What will be said once it is on disk, so that the record shows both sides of the talk."""
    talk: tuple[Spoken, ...] = ()
    """All that both sides said since the entry before, in order, where that is more than the fact's own words; the
    loop fills it in."""


Effect = Say | Listen | LookUp | Wait | Record | Finish
