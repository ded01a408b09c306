"""The shape of a session's state: what is recorded, and the transient part beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.messages import HistoryWeight
from assistant.messages.decisions import (
    AccessOpened,
    CheckChosen,
    Decision,
    Ended,
    FixChosen,
    FixDone,
    Observed,
    Phase,
    ProofFinished,
    ProofStepDone,
    PutBackDone,
    Skipped,
)
from assistant.session.dialog_state import DialogState

NOT_SURE = "not sure"
"""Value of a fact that nobody could tell."""
UNIT_NUMBER = "unit number"
AIR_TEMPERATURE = "air temperature"
LEAD_OHMS = "lead ohms"
COIL_TEMPERATURE = "coil temperature"
"""Names of facts with a meaning of their own; temperatures are degrees Fahrenheit."""


@dataclass(frozen=True, slots=True)
class Answered:
    """One prompt that was answered, for 'go back' and 'scratch that'."""

    kind: str
    """``caution``, ``fact``, ``access``, ``check``, ``fix`` or ``proof``."""
    prompt: str
    """Identity of the prompt."""
    key: str = ""
    """Name of the fact or step."""
    number: int = 0
    """Number of the observation."""


@dataclass(frozen=True, slots=True)
class Cause:
    """What a fix was done for."""

    fault: str
    """Name of the fault."""
    place: str | None
    """Where."""
    condemned: bool
    """True when a check had condemned it; a trial that is followed by a failed proof was no cause."""
    measured: bool = False
    """True when what failed before was measured good afterwards."""


@dataclass(frozen=True, slots=True)
class State:
    """A session. All but ``dialog`` follows from the recorded decisions."""

    phase: Phase = Phase.CAUTIONS
    """Which part of the session it is in."""
    ready: bool = False
    """True once the person has everything in hand."""
    acknowledged: frozenset[str] = frozenset()
    """Cautions acknowledged; those of an opening are dropped when the next action needs another opening."""
    warned: Mapping[str, str] = field(default_factory=dict)
    """Cautions acknowledged in this session, and the place ('' for the unit) where that was last."""
    facts: Mapping[str, str] = field(default_factory=dict)
    """Answers to the facts, 'not sure' among them."""
    work: tuple[Decision, ...] = ()
    """What counts for finding the fault, in order: observations that stand, openings, work done and declined,
    prompts passed by, proofs."""
    action: CheckChosen | FixChosen | None = None
    """What was chosen and is not yet answered."""
    causes: tuple[Cause, ...] = ()
    """What the fixes were done for, in order, without those that turned out not to help."""
    proof: tuple[ProofStepDone, ...] = ()
    """Steps of the running proof."""
    unproven: str = ""
    """Why the cure could not be proven, '' while it still can."""
    trail: tuple[Answered, ...] = ()
    """Prompts answered, in order."""
    notes: tuple[str, ...] = ()
    """Free speech kept."""
    held: bool = False
    """True while everything but 'resume' is ignored."""
    ended: Ended | None = None
    """How it ended."""
    count: int = 0
    """Highest number given to an observation."""
    history_of: str = ""
    """Number of the unit whose history was looked up, '' before."""
    history: tuple[HistoryWeight, ...] = ()
    """What that history changes; it stands in place of what the setting has."""
    dialog: DialogState = field(default_factory=DialogState)
    """The transient part."""

    @property
    def observations(self) -> tuple[Observed, ...]:
        """Observations that stand, in order."""
        return tuple(entry for entry in self.work if isinstance(entry, Observed))

    @property
    def fixes(self) -> tuple[FixDone, ...]:
        """Work done, in order."""
        return tuple(entry for entry in self.work if isinstance(entry, FixDone))

    @property
    def skipped(self) -> tuple[Skipped, ...]:
        """Prompts passed by, in order."""
        return tuple(entry for entry in self.work if isinstance(entry, Skipped))

    @property
    def opened(self) -> tuple[tuple[str, str | None], ...]:
        """Access and place of what is open now: the put-back list and the end of a proof close everything."""
        found: tuple[tuple[str, str | None], ...] = ()
        for entry in self.work:
            if isinstance(entry, AccessOpened):
                found = (*found, (entry.access, entry.place))
            elif isinstance(entry, PutBackDone | ProofFinished):
                found = ()
        return found

    @property
    def proofs(self) -> tuple[ProofFinished, ...]:
        """Proofs that came to their end, in order."""
        return tuple(entry for entry in self.work if isinstance(entry, ProofFinished))

    def since_proof(self) -> tuple[Decision, ...]:
        """``work`` since the last proof came to its end."""
        ends = [index for index, entry in enumerate(self.work) if isinstance(entry, ProofFinished)]
        return self.work[ends[-1] + 1 :] if ends else self.work

    def settled(self) -> State:
        """This state without its transient part."""
        return replace(self, dialog=DialogState())


def identity(kind: str, name: str, place: str | None = None) -> str:
    """Identity of a prompt, such as ``check:sensor ohms:left rear``."""
    return f"{kind}:{name}:{place}" if place else f"{kind}:{name}"


def action_prompt(action: CheckChosen | FixChosen) -> str:
    """Identity of the prompt of a chosen action."""
    if isinstance(action, CheckChosen):
        return identity("check", action.check, action.place)
    return identity("fix", action.fix, action.place)
