"""Events: what a fact is to the table of transitions. Something heard is what it was understood as."""

from __future__ import annotations

from enum import StrEnum

from assistant.messages import Command, Expectation, Expects, Fact, Outcome, Overlaid, Understanding
from assistant.understanding.guessing import GUESS


class Event(StrEnum):
    """What happened, as the table of transitions knows it."""

    BEGAN = "began"
    RESUMED = "resumed"
    HEARD = "heard"
    """Heard in a mode that does not listen to what was said."""
    WENT_QUIET = "went_quiet"
    INPUT_ENDED = "input_ended"
    MICROPHONE_LOST = "microphone_lost"
    RECORDED = "recorded"
    RECORD_FAILED = "record_failed"
    HISTORY_TOLD = "history_told"
    PHOTO_TAKEN = "photo_taken"
    PHOTO_GONE = "photo_gone"
    SAY_AGAIN = "say_again"
    GO_BACK = "go_back"
    SKIP = "skip"
    HOLD = "hold"
    RESUME = "resume"
    WITHDRAW = "withdraw"
    YES = "yes"
    NO = "no"
    STOP = "stop"
    HELP = "help"
    WHY = "why"
    WHATS_LEFT = "whats_left"
    WHERE = "where"
    SAY_LESS = "say_less"
    SAY_MORE = "say_more"
    SAY_USUAL = "say_usual"
    NEXT = "next"
    CORRECTION = "correction"
    NOTE = "note"
    CORRECTED = "corrected"
    """'Correction' and the new answer in one utterance."""
    READING = "reading"
    CHOOSE = "choose"
    INCOMPLETE = "incomplete"
    RANGE = "range"
    UNSTEADY = "unsteady"
    OVER_RANGE = "over_range"
    NOTHING = "nothing"
    CHOICE = "choice"
    IDENTIFIER = "identifier"
    WORDS = "words"
    """Free speech where it was asked for."""
    NOT_UNDERSTOOD = "not_understood"
    QUESTION = "question"
    """Something about the session is asked."""
    REPORT = "report"
    """Something is told that answers nothing."""
    SEVERAL = "several"
    """Several facts, or readings of several places, in one breath."""
    SEEN = "seen"
    """A finding is told that another check, or a repair, is about."""
    MENDED = "mended"
    """An earlier answer is named and told to be wrong."""
    PLACE = "place"
    """In a survey: a place to go to next."""
    SLIP = "slip"
    """A command with a typing slip, to be asked about."""


COMMANDS = tuple(Event(command.value) for command in Command)
ANSWERS = (
    Event.READING,
    Event.CHOOSE,
    Event.INCOMPLETE,
    Event.RANGE,
    Event.UNSTEADY,
    Event.OVER_RANGE,
    Event.NOTHING,
    Event.CHOICE,
    Event.IDENTIFIER,
    Event.WORDS,
)


def event_of_fact(fact: Fact) -> Event:
    """The event of a fact, whatever was said."""
    return Event(fact.kind)


def event_of_speech(meant: Understanding) -> Event:
    """The event of what was said."""
    if meant.outcome is Outcome.COMMAND and meant.command is not None:
        asked = meant.confirm and (
            meant.command is not Command.STOP or meant.reason != GUESS
        )  # the end is asked anyway
        return Event.SLIP if asked else Event(meant.command.value)
    if meant.outcome is Outcome.REPORT and meant.confirm:
        return Event.SLIP
    if meant.command is Command.CORRECTION and not meant.withdrawn:
        return Event.CORRECTED
    if meant.outcome is Outcome.NOTE:
        return Event.WORDS
    return Event(meant.outcome.value)


def as_choice(meant: Understanding, expectation: Expectation) -> Understanding:
    """A yes or no as a choice, at a prompt that has them among its choices."""
    if meant.outcome is not Outcome.COMMAND or meant.command not in (Command.YES, Command.NO):
        return meant
    if expectation.expects is not Expects.CHOICE or expectation.prompt.overlaid is Overlaid.CONFIRM:
        return meant
    word = meant.command.value
    for choice in expectation.choices:
        if word in (choice.name, *choice.also):
            return Understanding(Outcome.CHOICE, meant.heard, choice=choice.name)
    return meant
