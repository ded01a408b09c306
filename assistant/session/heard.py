"""What was heard, as one event: the answer to what is asked, or what else the same words tell.

The words are first read as an answer to the prompt. ``READERS`` then look for what more, or what else, they tell:
each in its modes, in order, and the first that finds something has the turn. A question is a question, whatever it
mentions. What nobody has taken up is likened to what others said.
"""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.messages import Expects, Heard, Outcome
from assistant.session.agenda.prompts import mode_of
from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, Event, event_of_speech
from assistant.session.handlers.survey_jumps import place_named
from assistant.session.hearing.answering import as_answer, likened
from assistant.session.hearing.aside import (
    measured_before,
    names_another_part,
    no_codes_told,
    no_tool_told,
    note_told,
    of_another_part,
    while_rolling,
    without_denied,
    work_done,
    yes_and_more,
)
from assistant.session.hearing.corrections import (
    earlier_wrong,
    moved_place,
    of_the_mending,
    other_reading,
    other_value,
)
from assistant.session.hearing.more import (
    done_and_more,
    facts_at_once,
    finding_told,
    readings_at_once,
    told_of_another_place,
)
from assistant.session.hearing.proving import code_reported, drive_reported, rest_of_the_list
from assistant.session.hearing.reader import Reader, Told
from assistant.session.hearing.safety import of_safety, only_asked
from assistant.session.turn import Turn
from assistant.understanding.spanish import hypotheses_in_english


def heard(turn: Turn, mode: Mode, fact: Heard) -> Told:
    """What was said as an event, with the turn that knows it."""
    turn = as_answer(turn, fact)
    if turn.expectation is not None and turn.expectation.expects is not Expects.NOTE:
        fact = replace(fact, hypotheses=hypotheses_in_english(fact.hypotheses, turn.context.vocabulary))
    named = place_named(turn, mode, fact)
    if named is not None:
        return replace(turn, understood=named), Event.PLACE
    if not fact.hypotheses:
        return turn, event_of_speech(turn.meant)
    words = fact.hypotheses[0].words
    safe = of_safety(turn, mode, words)
    if safe is not None:
        return safe
    if mode is Mode.REASON:
        taken_back = _not_skipped(turn, fact, words)
        if taken_back is not None:
            return taken_back
    if turn.meant.outcome is not Outcome.QUESTION:
        for reader in READERS:
            told = reader.read(turn, mode, words) if mode in reader.modes else None
            if told is not None:
                return told
    guessed = likened(turn, fact)
    if guessed is not turn and names_another_part(guessed, words):
        guessed = turn
    guessed = without_denied(guessed, words)
    return only_asked(guessed, mode, words) or (guessed, event_of_speech(guessed.meant))


def _not_skipped(turn: Turn, fact: Heard, words: str) -> Told | None:
    """'No, don't skip it, it says left rear' to why it is skipped: nothing is skipped, and what it says answers.

    A bare answer there is one too, after a yes; None for a reason.
    """
    overlay = turn.state.dialog.overlay
    if overlay is None or overlay.asked_for != "skip" or turn.meant.outcome is not Outcome.NOTE:
        return None
    below = turn.with_dialog(overlay=overlay.under, misses=0)
    protest = _DONT_SKIP.match(words)
    rest = (words[protest.end() :] if protest is not None else _WELL.sub("", words)).strip(" ,.;!")
    if rest:
        said = replace(fact, hypotheses=(replace(fact.hypotheses[0], words=rest), *fact.hypotheses[1:]))
        answered, event = heard(below, mode_of(turn.context, below.state), said)
        if event is Event.SEVERAL and protest is not None:
            return answered, event
        sure = event in ANSWERS and answered.meant.outcome in _READ_OR_CHOSEN and not answered.meant.confirm
        if sure:
            doubted = replace(answered.meant, confirm=True, reason="leftover", ask=None)
            return replace(answered, understood=doubted), event
    if protest is None:
        return None
    return turn, Event.NO


_DONT_SKIP = re.compile(
    r"(?:(?:no|nope|nah|wait|whoa|hold on|hang on|hey|oh|sorry|actually|uh|um|shoot)[,.!\s]+)*"
    r"(?:i (?:changed my mind|got it(?: now)?|found it|can (?:do|read|get) it|take (?:it|that) back)"
    r"|(?:i )?(?:don't|dont|do not|didn't|did not|ain't|not|never)\b[^,.;]*?\b(?:skip\w*|pass\w*)"
    r"(?: (?:it|that|this|that one|this one))?|never ?mind(?: (?:that|the skip\w*))?|keep it|no skip\w*)\b[,.;!\s]*"
    r"(?:(?:and|because|cause|but|so)\s+)?",
    re.IGNORECASE,
)
"""What takes a skip back."""
_WELL = re.compile(r"^(?:(?:no|nope|wait|whoa|hold on|hang on|hey|oh|sorry|actually)[,.!\s]+)+", re.IGNORECASE)
_READ_OR_CHOSEN = (Outcome.READING, Outcome.CHOICE, Outcome.OVER_RANGE)
_MENDED = (
    Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK, Mode.FIX, Mode.PROOF, Mode.OFFER, Mode.PUT_BACK, Mode.CONFIRM,
)  # fmt: skip
"""Modes in which an earlier answer may be told to be wrong."""
READERS = (
    Reader((Mode.CONFIRM, Mode.CHOOSE), of_the_mending),
    Reader((*_MENDED, Mode.READY), note_told),
    Reader((Mode.READY, Mode.CAUTION, Mode.FACT, Mode.CHECK), no_tool_told),
    Reader((Mode.READY, Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK), while_rolling),
    Reader((Mode.CHECK,), measured_before),
    Reader(_MENDED, moved_place),
    Reader(_MENDED, earlier_wrong),
    Reader((Mode.CHECK,), other_reading),
    Reader((Mode.CHECK,), other_value),
    Reader((Mode.READY, Mode.CAUTION), yes_and_more),
    Reader((Mode.PROOF,), drive_reported),
    Reader((Mode.PUT_BACK,), rest_of_the_list),
    Reader((Mode.ACCESS, Mode.FIX), done_and_more),
    Reader((Mode.PROOF,), no_codes_told),
    Reader((Mode.PROOF,), code_reported),
    Reader((Mode.CHECK,), told_of_another_place),
    Reader((Mode.CHECK,), of_another_part),
    Reader((Mode.FACT,), facts_at_once),
    Reader((Mode.CHECK,), readings_at_once),
    Reader((Mode.ACCESS, Mode.FIX), work_done),
    Reader((Mode.CHECK, Mode.ACCESS, Mode.FIX, Mode.CAUTION), finding_told),
)
"""In the order in which they are asked."""
