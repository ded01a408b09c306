"""The shape of a session's state: what is recorded, and the transient part beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.messages import FoundBefore, HistoryWeight, Prompt, PromptKind, Reason, Talk, check_prompt
from assistant.messages.decisions import (
    CheckChosen,
    Decision,
    Ended,
    FixChosen,
    FixDone,
    Observed,
    Offered,
    Phase,
    ProofFinished,
    ProofStepDone,
    Record,
    Skipped,
)
from assistant.session.dialog_state import DialogState
from assistant.session.ledger import Ledger

AIR_TEMPERATURE = "air temperature"
LEAD_OHMS = "lead ohms"
COIL_TEMPERATURE = "coil temperature"
LOWEST_AC = "lowest AC range"
"""Names of facts with a meaning of their own; temperatures are degrees Fahrenheit."""


@dataclass(frozen=True, slots=True)
class Answered:
    """One prompt that was answered, for 'go back' and 'scratch that'."""

    prompt: Prompt
    """Of a caution, fact, access, check, fix or step of the proof."""
    number: int = 0
    """Number of the observation."""

    def is_observation(self, number: int) -> bool:
        """True for the answer that made the observation of this number."""
        return self.prompt.kind is PromptKind.CHECK and self.number == number


@dataclass(frozen=True, slots=True)
class Pending:
    """A record that was sent and is not yet on disk."""

    record: Record
    """What was sent."""
    following: State
    """The state once it is on disk."""
    failed: bool = False
    """True when it could not be written."""
    leaving: bool = False
    """True when 'stop' was said since."""


@dataclass(frozen=True, slots=True)
class State:
    """A session. All but ``dialog`` and ``pending`` follows from the recorded decisions."""

    ledger: Ledger = field(default_factory=Ledger)
    """What was decided, as it stands."""
    ready: bool = False
    """True once the person has everything in hand."""
    acknowledged: frozenset[str] = frozenset()
    """Cautions acknowledged; those of an opening are dropped when the next action needs another opening."""
    warned: Mapping[str, str] = field(default_factory=dict)
    """Cautions acknowledged in this session, and the place ('' for the unit) where that was last."""
    wanted: str = ""
    """Name of the fact that is asked for next, '' when none is."""
    action: CheckChosen | FixChosen | None = None
    """What was chosen and is not yet answered."""
    answer_history: tuple[Answered, ...] = ()
    """Prompts answered, in order."""
    together: tuple[tuple[Answered, ...], ...] = ()
    """Answers that were said in one breath."""
    count: int = 0
    """Highest number given to an observation."""
    dialog: DialogState = field(default_factory=DialogState)
    """The transient part: what is being asked right now."""
    pending: Pending | None = None
    """The record that must be on disk before anything else happens."""

    @property
    def phase(self) -> Phase:
        """Which part of the session it is in."""
        return self.ledger.phase if self.ledger.ended is None else Phase.ENDED

    @property
    def held(self) -> bool:
        """True while everything but 'resume' is ignored."""
        return self.ledger.held

    @property
    def facts(self) -> Mapping[str, str]:
        """Answers to the facts, 'not sure' among them, and what was known before the session."""
        return self.ledger.known

    @property
    def work(self) -> tuple[Decision, ...]:
        """What counts for finding the fault, in order: observations that stand, openings, work done and declined,
        prompts passed by, proofs."""
        return self.ledger.work

    @property
    def proof(self) -> tuple[ProofStepDone, ...]:
        """Steps of the running proof."""
        return tuple(entry.decision for entry in self.ledger.proof)

    @property
    def unproven(self) -> Reason | None:
        """Why the repair could not be proven, None while it still can."""
        return self.ledger.unproven

    @property
    def talk(self) -> Talk:
        """How much is said."""
        return self.ledger.talk

    @property
    def ended(self) -> Ended | None:
        """How it ended."""
        return self.ledger.ended

    @property
    def history_of(self) -> str:
        """Number of the unit whose history was looked up, '' before."""
        return self.ledger.history_of

    @property
    def history(self) -> tuple[HistoryWeight, ...]:
        """What that history changes; it stands in place of what the context has."""
        return self.ledger.history or ()

    @property
    def found_before(self) -> FoundBefore | None:
        """What an earlier session on the unit found and left to be mended."""
        return self.ledger.found

    @property
    def offered(self) -> Offered | None:
        """An offer that waits for its answer."""
        return self.ledger.offered

    def offers(self, prompt: Prompt) -> tuple[tuple[Offered, bool], ...]:
        """Offers of one kind that were answered, in order, and whether they were taken."""
        return tuple(pair for pair in self.ledger.offers if pair[0].prompt == prompt)

    @property
    def observations(self) -> tuple[Observed, ...]:
        """Observations that stand, in order."""
        return tuple(entry.decision for entry in self.ledger.of("observed"))

    def observed_at(self, check: str, place: str | None) -> Observed | None:
        """What stands of a check at a place, the last of it; None for nothing."""
        here = (one for one in reversed(self.observations) if (one.check, one.place) == (check, place))
        return next(here, None)

    @property
    def fixes(self) -> tuple[FixDone, ...]:
        """Work done, in order."""
        return tuple(entry.decision for entry in self.ledger.of("fix_done"))

    @property
    def skipped(self) -> tuple[Skipped, ...]:
        """Prompts passed by, in order."""
        return tuple(entry.decision for entry in self.ledger.of("skipped"))

    @property
    def opened(self) -> tuple[tuple[str, str | None], ...]:
        """Access and place of what is open now."""
        return tuple((entry.decision.access, entry.decision.place) for entry in self.ledger.open_now)

    @property
    def proofs(self) -> tuple[ProofFinished, ...]:
        """Proofs that came to their end, in order."""
        return tuple(entry.decision for entry in self.ledger.of("proof_finished"))

    def since_proof(self) -> tuple[Decision, ...]:
        """``work`` since the last proof came to its end."""
        ends = [index for index, entry in enumerate(self.work) if isinstance(entry, ProofFinished)]
        return self.work[ends[-1] + 1 :] if ends else self.work

    def settled(self) -> State:
        """This state without its transient part."""
        return replace(self, dialog=DialogState(), pending=None)


def action_prompt(action: CheckChosen | FixChosen) -> Prompt:
    """The prompt of a chosen action."""
    if isinstance(action, CheckChosen):
        return check_prompt(action.check, action.place)
    return Prompt(PromptKind.FIX, action.fix, action.place)
