"""The offer of a session that was left: a dialogue of one question before any session begins.

It has a ``step`` as a session has, pure and with the same facts and effects, so that the one loop runs it too.
Nothing is recorded. What was heard is understood as at any other prompt, and a doubtful yes or no is asked about
first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from assistant.errors import DefectError
from assistant.messages import (
    Began,
    Command,
    Expectation,
    Expects,
    Fact,
    Finish,
    Heard,
    InputEnded,
    Listen,
    MicrophoneLost,
    Prompt,
    PromptKind,
    Say,
    Wait,
    WentQuiet,
)
from assistant.messages.decisions import Effect
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.sentences import HINTS
from assistant.understanding.interpret import interpret

YES_OR_NO = Expectation(Expects.COMMAND, Prompt(PromptKind.OFFER), hint=HINTS["yes_or_no"])
"""What the offer waits for."""
REMIND = 20.0
"""Seconds of silence after which the offer is made once more; then it waits."""


class Answer(StrEnum):
    """How the offer ended."""

    RESUME = "resume"
    """The session that was left goes on."""
    BEGIN = "begin"
    """A new one is begun."""
    NEITHER = "left"
    """It was stopped, or the input ended."""


_ANSWERS = {
    Command.YES: Answer.RESUME,
    Command.RESUME: Answer.RESUME,
    Command.NO: Answer.BEGIN,
    Command.STOP: Answer.NEITHER,
}
_ASKING_AGAIN = frozenset({Command.SAY_AGAIN, Command.WHERE, Command.HELP, Command.WHY})


@dataclass(frozen=True, slots=True)
class OfferContext:
    """What an offer works with."""

    vocabulary: Vocabulary
    """What people say, from ``grammars/``."""
    told: Say
    """Which session was left."""

    @property
    def question(self) -> tuple[Say, ...]:
        """The offer in full: what was left, the question, and what to answer."""
        return self.told, Say("resume_it"), Say("say_yes_or_no")


@dataclass(frozen=True, slots=True)
class OfferState:
    """Where an offer stands."""

    doubtful: Answer | None = None
    """An answer that was heard and not for certain: it is being asked about."""
    asked: tuple[Say, ...] = ()
    """How it was asked about."""
    reminded: bool = False
    """True once the offer was repeated after a silence."""


OfferResult = tuple[OfferState, tuple[Effect, ...]]


def offer_step(context: OfferContext, state: OfferState, fact: Fact) -> OfferResult:
    """The state and the effects that a fact leads to.

    Raises:
        DefectError: the fact cannot come here; nothing is changed.
    """
    question = state.asked or context.question
    match fact:
        case Began():
            return _ask(state, *question)
        case WentQuiet():
            return _ask(replace(state, reminded=True), *question)
        case MicrophoneLost():
            return _ask(state, Say("microphone_lost", {"text": fact.reason}))
        case InputEnded():
            return state, (Finish(Answer.NEITHER),)
        case Heard():
            return _heard(context, state, fact)
    raise DefectError(f"The fact '{fact.kind}' cannot come while a session is offered; nothing is changed.")


def _heard(context: OfferContext, state: OfferState, fact: Heard) -> OfferResult:
    meant = interpret(fact.hypotheses, YES_OR_NO, context.vocabulary, snr_db=fact.snr_db)
    answer = _ANSWERS.get(meant.command) if meant.command is not None else None
    if answer is not None and meant.confirm:
        asked = (clarified(meant.ask) if meant.ask is not None else Say("did_you_mean_that"),)
        return _ask(replace(state, doubtful=answer, asked=asked), *asked)
    if state.doubtful is not None and meant.command is Command.YES:
        return state, (Finish(state.doubtful),)
    if state.doubtful is not None and meant.command is Command.NO:
        return _ask(replace(state, doubtful=None, asked=()), Say("dropped"), *context.question)
    if answer is not None:
        return state, (Finish(answer),)
    if meant.command in _ASKING_AGAIN:
        return _ask(state, *(state.asked or context.question))
    return _ask(state, Say("yes_or_no"))


def _ask(state: OfferState, *says: Say) -> OfferResult:
    wait = () if state.reminded else (Wait(REMIND),)
    return state, (*says, Listen(YES_OR_NO), *wait)
