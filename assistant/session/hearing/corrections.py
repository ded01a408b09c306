"""Readers of words about an earlier answer: that it is wrong, of another place, or another check's reading."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.messages import Command, Heard, Outcome, Understanding, check_prompt
from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, Event, event_of_speech
from assistant.session.handlers import mending
from assistant.session.handlers.answering import MEND
from assistant.session.handlers.finding import OTHER_NAMED
from assistant.session.handlers.mending import WHICH
from assistant.session.hearing.reader import Told
from assistant.session.turn import Turn
from assistant.session.unprompted.elsewhere import moved_to
from assistant.session.unprompted.mending import Mending, mending_of, other_named
from assistant.understanding.clauses.clause import Role
from assistant.understanding.naming import numbers_said
from assistant.understanding.patterns import words_of


def of_the_mending(turn: Turn, _: Mode, words: str) -> Told | None:
    """What is said while a correction waits for its yes, or for which answer is meant."""
    if not mends(turn) or turn.meant.note is not None or not isinstance(turn.fact, Heard):
        return None
    if event_of_speech(turn.meant) not in (*ANSWERS, Event.NOT_UNDERSTOOD, Event.CORRECTED):
        return None
    told = mending.answered(turn, turn.fact)
    if told is not None:
        return replace(turn, mending=told), Event.MENDED
    overlay = turn.state.dialog.overlay
    if overlay is not None and overlay.asked_for == MEND:
        return None
    # a value that is said here answers nothing below
    return replace(turn, understood=Understanding(Outcome.NOT_UNDERSTOOD, words)), Event.NOT_UNDERSTOOD


def earlier_wrong(turn: Turn, mode: Mode, words: str) -> Told | None:
    """An earlier answer that is told to be wrong."""
    if not _may_mend(turn, words):
        return None
    untold = event_of_speech(turn.meant) is Event.NOT_UNDERSTOOD and mode not in (Mode.CHECK, Mode.CONFIRM)
    told = mending_of(turn.context, turn.state, words, sure_only=mode is Mode.CONFIRM, refuses=untold)
    if told is not None and told.meant is None and len(told.prompts) > 1:
        if _TAKEN_BACK.match(words):
            # 'scratch that, I was on the wrong battery': the last answer, whatever else a battery has
            back = Understanding(Outcome.COMMAND, words, command=Command.WITHDRAW)
            return replace(turn, understood=back), Event.WITHDRAW
        if len(told.prompts) > _FEW:
            last = next(done.prompt for done in reversed(turn.state.answer_history) if done.prompt in told.prompts)
            told = replace(told, prompts=(last,))
    return None if told is None else (replace(turn, mending=told), Event.MENDED)


_FEW = 4
"""Answers that can be named in one breath; of more of them the last one is meant."""
_TAKEN_BACK = re.compile(
    r"(?:(?:no|nope|wait|oops|whoops|shoot|oh|hey|sorry|hang on|hold on)[,.\s]+)*"
    r"(?:scratch|strike|forget|disregard|undo|cancel) (?:that|it)\b|(?:take|took) that (?:one )?back\b",
    re.IGNORECASE,
)
"""How words begin that take the last answer back."""


def other_reading(turn: Turn, _: Mode, words: str) -> Told | None:
    """A reading that is told with another check's name."""
    if not _may_mend(turn, words) or turn.meant.outcome not in _READ or turn.state.dialog.revisit is not None:
        return None
    told = other_named(turn.context, turn.state, _without_questions(turn, words))
    if told is None or told.prompts:
        return None if told is None else (replace(turn, mending=told), Event.MENDED)
    # what was named was never logged: it may be the answer to what is asked
    doubted = replace(turn.meant, confirm=True, about=None, reason=OTHER_NAMED)
    return replace(turn, understood=doubted), event_of_speech(turn.meant)


def _without_questions(turn: Turn, words: str) -> str:
    """The words without pieces that only ask: 'twelve eighty, and what do I bring for the other check'."""
    pieces = _PIECES.split(words)
    kept = [one for one in pieces if not _ASKING.search(one) or numbers_said(words_of(one), turn.context.vocabulary)]
    return ", ".join(kept)


_PIECES = re.compile(r"[,;?!]+|\.(?!\d)")
_ASKING = re.compile(r"\b(?:what|which|where|why|how|who|when)\b", re.IGNORECASE)


def other_value(turn: Turn, _: Mode, words: str) -> Told | None:
    """'No, charging volts was fourteen three': a value of a check that was read before."""
    untold = event_of_speech(turn.meant) is Event.NOT_UNDERSTOOD and turn.meant.reason in _OF_ANOTHER
    if not untold or not _may_mend(turn, words):
        return None
    told = other_named(turn.context, turn.state, words)
    return (replace(turn, mending=told), Event.MENDED) if told is not None and told.prompts else None


_OF_ANOTHER = (Role.EARLIER.value, Role.EXPECTATION.value)
"""Why words with a value answer nothing here, although they may tell of another check."""
_READ = (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY)


def moved_place(turn: Turn, mode: Mode, words: str) -> Told | None:
    """The last answer, told to be of another place."""
    at_a_place = mode is not Mode.CHECK or turn.context.check(turn.asked.name).kind != "place"
    plain_yes = turn.meant.command is Command.YES and not turn.meant.confirm  # 'that is right' names no side
    if turn.state.dialog.revisit is not None or not at_a_place or plain_yes or mends(turn):
        return None
    moved = moved_to(turn.context, turn.state, words)
    if moved is None:
        return None
    seen, place = moved
    told = Mending((check_prompt(seen.check, seen.place),), words, moved=check_prompt(seen.check, place))
    return replace(turn, mending=told), Event.MENDED


def mends(turn: Turn) -> bool:
    """Whether an earlier answer is being asked about."""
    overlay = turn.state.dialog.overlay
    return overlay is not None and overlay.asked_for in (MEND, WHICH)


def _may_mend(turn: Turn, words: str) -> bool:
    """Whether words may be about an earlier answer; 'wrong one lights', a choice as written, says nothing of one."""
    return not mends(turn) and turn.meant.note is None and not _word_for_word(turn, words)


def _word_for_word(turn: Turn, words: str) -> bool:
    """Whether it is a choice of the prompt as written."""
    said, choices = words_of(words), turn.expectation.choices if turn.expectation is not None else ()
    return any(words_of(form) == said for one in choices for form in (one.name, *one.also))
