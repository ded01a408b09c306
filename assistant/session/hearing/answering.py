"""What was heard as an answer to the prompt, by the rules and, where nothing took it up, by likeness."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.messages import Command, Expectation, Heard, Outcome, Understanding
from assistant.phrasing.speech_chunks import go_on
from assistant.session.dialog_state import Mode
from assistant.session.events import as_choice
from assistant.session.handlers.answering import MEND
from assistant.session.handlers.facts import unsure
from assistant.session.saying.questions import expectation
from assistant.session.turn import Turn
from assistant.session.unprompted.elsewhere import told_here
from assistant.session.unprompted.mending import named_among
from assistant.understanding.commanding.statements import only_aside, yes_with_more
from assistant.understanding.guessing import UNTOLD
from assistant.understanding.interpret import by_rules, second_opinion
from assistant.understanding.place_names import place_spans
from assistant.understanding.utterance import understand


def as_answer(turn: Turn, fact: Heard) -> Turn:
    """The turn with what the words are as an answer to the prompt."""
    wanted = expectation(turn.context, turn.state)
    meant = by_rules(fact.hypotheses, wanted, turn.context.vocabulary, snr_db=fact.snr_db)
    meant = go_on(meant, fact.hypotheses[0].words if fact.hypotheses else "", turn.state.dialog.rest)
    said = _restated(turn, fact, wanted) or _no_but(turn, fact, wanted) or _here(turn, fact, wanted, meant)
    understood = unsure(turn, fact, meant) or said or as_choice(meant, wanted)
    return replace(turn, understood=understood, expectation=wanted)


def _here(turn: Turn, fact: Heard, wanted: Expectation, meant: Understanding) -> Understanding | None:
    """'12.6 on the second one', where the second one is asked and its name spoils the answer."""
    unread = meant.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE) or meant.confirm
    if not unread or turn.state.dialog.overlay is not None or not fact.hypotheses or meant.about is not None:
        return None
    words = fact.hypotheses[0].words
    rest = told_here(turn.context, turn.state, words)
    if not rest:
        return None
    more = by_rules((replace(fact.hypotheses[0], words=rest),), wanted, turn.context.vocabulary, snr_db=fact.snr_db)
    answers = more.outcome in (Outcome.READING, Outcome.OVER_RANGE, Outcome.CHOICE) and more.about is None
    return replace(more, heard=words, said_at=None) if answers and (not more.confirm or not meant.confirm) else None


def _restated(turn: Turn, fact: Heard, wanted: Expectation) -> Understanding | None:
    """'Yup, wide open' where that is what was asked about: a yes."""
    overlay = turn.state.dialog.overlay
    if overlay is None or overlay.mode is not Mode.CONFIRM or overlay.candidate is None or not fact.hypotheses:
        return None
    words = fact.hypotheses[0].words
    rest = yes_with_more(words, wanted)
    if not rest or not only_aside(rest):
        return None
    more, asked = understand(rest, wanted, turn.context.vocabulary), overlay.candidate
    same = more.outcome is asked.outcome and (more.value, more.choice) == (asked.value, asked.choice)
    return Understanding(Outcome.COMMAND, words, command=Command.YES) if same else None


def _no_but(turn: Turn, fact: Heard, wanted: Expectation) -> Understanding | None:
    """'No, they're fixed' where another choice was asked about: the one that is named; None for anything else."""
    overlay = turn.state.dialog.overlay
    if overlay is None or overlay.mode is not Mode.CONFIRM or overlay.candidate is None or not fact.hypotheses:
        return None
    first, _, rest = fact.hypotheses[0].words.strip().partition(" ")
    if overlay.asked_for == MEND or first.lower().strip(",.") not in _NO:
        return None
    if overlay.candidate.identifier is not None:
        return _no_but_unit(overlay.candidate.identifier, rest, wanted, turn)
    if overlay.candidate.choice is None:
        return None
    more = understand(rest.strip(" ,."), wanted, turn.context.vocabulary) if rest.strip() else None
    told = more is not None and more.outcome is Outcome.CHOICE and not more.confirm
    return more if told and more is not None and more.choice != overlay.candidate.choice else None


def _no_but_unit(refused: str, rest: str, wanted: Expectation, turn: Turn) -> Understanding | None:
    """'No, just 5518' where a unit number was asked about: that one; without one what was refused is dropped."""
    told = _ONLY.sub("", rest.strip(" ,.;"))
    if not told:
        return None
    more = understand(told, wanted, turn.context.vocabulary)
    only = _JUST.search(rest) is not None  # 'no, just 5518' where that was asked about as well
    if more.outcome is Outcome.IDENTIFIER and (only or more.identifier != refused):
        return replace(more, confirm=False, ask=None) if only and more.reason == "leftover" else more
    if more.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.IDENTIFIER):
        return Understanding(Outcome.COMMAND, told, command=Command.NO)
    return None


_ONLY = re.compile(r"^(?:(?:it's|its|it is|just|only|plain)\s+)+", re.IGNORECASE)
_JUST = re.compile(r"\b(?:just|only|plain)\b", re.IGNORECASE)
_NO = frozenset({"no", "nope", "nah"})


def likened(turn: Turn, fact: Heard) -> Turn:
    """The turn with what words are like that neither the prompt nor anything else has taken up."""
    if turn.expectation is None:
        return turn
    words = fact.hypotheses[0].words
    typed = len(fact.hypotheses) == 1 and fact.snr_db is None
    meant = second_opinion(words, turn.meant, turn.expectation, turn.context.vocabulary, typed=typed)
    if meant is turn.meant:
        return turn
    others = [one.prompt for one in turn.state.answer_history if one.prompt != turn.asked.prompt]
    placed = place_spans(words, turn.expectation.places)
    if meant.value is not None and not placed and named_among(turn.context, turn.state, others, words):
        return turn  # a number beside the name of another reading is that one's
    if meant.reason == UNTOLD:
        meant = unsure(turn, fact, meant) or turn.meant
    return replace(turn, understood=as_choice(meant, turn.expectation))
