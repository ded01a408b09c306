"""Dangers that are told, and questions that no words of an answer outweigh."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.messages import About, Command, Outcome, Report, Understanding
from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from assistant.session.handlers.asking import no_condition
from assistant.session.hearing.reader import Told
from assistant.session.turn import Turn
from assistant.understanding.clauses.clause import Role
from assistant.understanding.guessing import GUESS
from assistant.understanding.hazards import (
    SAFETY,
    UNANSWERED,
    asks,
    asks_how,
    asks_plainly,
    asks_whether_safe,
    hazard_of,
    hazard_words,
    made_safe,
    only_no_good,
    only_of_rolling,
    told_over,
)
from assistant.understanding.patterns import words_of


def of_safety(turn: Turn, mode: Mode, words: str) -> Told | None:
    """A danger that is told, or a question whether something is safe, which no words of an answer outweigh."""
    meant, dialog = turn.meant, turn.state.dialog
    if mode in (Mode.NOTE, Mode.HELD, Mode.OFFER) or (meant.note is not None and mode is not Mode.REASON):
        return None
    if dialog.alarmed and (
        meant.command in (Command.YES, Command.NEXT, Command.RESUME) or told_over(words, turn.context.vocabulary)
    ):
        over = Understanding(Outcome.COMMAND, words, command=Command.SAY_AGAIN)
        return replace(turn.with_dialog(alarmed=False), understood=over), Event.SAY_AGAIN
    if hazard_of(words, turn.context.vocabulary) and not _answers_all_the_same(turn, words):
        danger = Understanding(Outcome.REPORT, words, report=Report.DANGER)
        return replace(turn, understood=danger), Event.REPORT
    told = meant.outcome is Outcome.QUESTION and not (meant.about is About.CONDITION and no_condition(turn))
    if asks_whether_safe(words, turn.context.vocabulary) and (
        asks_plainly(words, turn.context.vocabulary) or not told
    ):
        return replace(turn, understood=Understanding(Outcome.QUESTION, words, reason=SAFETY)), Event.QUESTION
    return None


def _answers_all_the_same(turn: Turn, words: str) -> bool:
    """Whether what sounds like a danger is an answer by its own words: 'leaking' where that may be seen."""
    meant = turn.meant
    if meant.confirm or meant.outcome is not Outcome.CHOICE:
        return meant.outcome is Outcome.READING and not meant.confirm
    choices = turn.expectation.choices if turn.expectation is not None else ()
    own = {word for one in choices if one.name == meant.choice for word in words_of(" ".join((one.name, *one.also)))}
    return not hazard_words(words, turn.context.vocabulary).isdisjoint(own - _DULL)


_DULL = frozenset({"about", "battery", "wheel", "their", "there"})


def only_asked(turn: Turn, mode: Mode, words: str) -> Told | None:
    """A question that nothing answers, and that would be taken for an answer or a report: how it is done, or no."""
    meant, vocabulary = turn.meant, turn.context.vocabulary
    if meant.report is Report.DANGER and (
        made_safe(words, vocabulary) or only_no_good(words, vocabulary) or only_of_rolling(words, vocabulary)
    ):
        return replace(turn, understood=Understanding(Outcome.NOT_UNDERSTOOD, words)), Event.NOT_UNDERSTOOD
    unknown = meant.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE) or meant.report in _NOT_ASKED
    doubted = meant.confirm and (meant.outcome is Outcome.CHOICE or _guessed_in_vain(meant, words))
    if not (unknown or doubted) or mode in (Mode.NOTE, Mode.HELD, Mode.REASON):
        return None
    how = asks_how(words, vocabulary)
    if (meant.reason == Role.QUESTION.value and not how) or not asks(words, vocabulary):
        return None
    if _WHY.match(words.lower()):
        return replace(turn, understood=Understanding(Outcome.COMMAND, words, command=Command.WHY)), Event.WHY
    if how:
        return replace(turn, understood=Understanding(Outcome.COMMAND, words, command=Command.HELP)), Event.HELP
    return replace(turn, understood=Understanding(Outcome.QUESTION, words, reason=UNANSWERED)), Event.QUESTION


def _guessed_in_vain(meant: Understanding, words: str) -> bool:
    """Whether a command was guessed from a question that names none: 'can I leave the jumpers on'."""
    return meant.outcome is Outcome.COMMAND and meant.reason == GUESS and not _COURSE.search(words.lower())


_COURSE = re.compile(
    r"\b(?:skip|pass|next|stop|quit|end|back|note|write|hold|wait|repeat|again|move on|"
    r"leave (?:it|this|that)|scratch|undo)\b"
)
_NOT_ASKED = (Report.NO_TOOL, Report.OUT_OF_REACH, Report.STUCK, Report.WORKING)
"""Reports that a question only seems to tell: 'how do I read codes without a reader'."""
_WHY = re.compile(r"(?:(?:so|wait|and|but|hey|okay|well)[,\s]+)*(?:why|how come|what for)\b")
