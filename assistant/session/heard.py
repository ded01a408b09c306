"""What was heard, as one event: the answer to what is asked, or what else the same words tell.

The words are first read as an answer to the prompt. ``READERS`` then look for what more, or what else, they tell:
each in its modes, in order, and the first that finds something has the turn. A question is a question, whatever it
mentions. What nobody has taken up is likened to what others said.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from assistant.messages import (
    About,
    Choice,
    Command,
    Expectation,
    Expects,
    Heard,
    Outcome,
    Report,
    Understanding,
    check_prompt,
)
from assistant.messages.decisions import Observed, Phase
from assistant.phrasing.speech_chunks import go_on
from assistant.session.agenda.facts_to_ask import questions
from assistant.session.agenda.prompts import mode_of
from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, Event, as_choice, event_of_speech
from assistant.session.handlers import mending, several
from assistant.session.handlers.answering import MEND
from assistant.session.handlers.asking import no_condition
from assistant.session.handlers.facts import unsure
from assistant.session.handlers.finding import OTHER_NAMED
from assistant.session.handlers.mending import WHICH
from assistant.session.handlers.survey_jumps import place_named
from assistant.session.heard_aside import (
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
from assistant.session.saying.questions import check_expectation, expectation, fact_expectation
from assistant.session.turn import Turn
from assistant.session.unprompted.all_but import left_of
from assistant.session.unprompted.breath import code_told, facts_told, ordinals_as_places, pieces_of, readings_told
from assistant.session.unprompted.codes import code_read
from assistant.session.unprompted.elsewhere import ANSWERED, moved_to, told_elsewhere, told_here
from assistant.session.unprompted.mending import TAKEN, Mending, mending_of, named_among, other_named
from assistant.session.unprompted.places_told import Breath
from assistant.session.unprompted.road_test import rolled
from assistant.session.unprompted.sightings import sighted
from assistant.understanding import clarifications
from assistant.understanding.clauses.clause import Role
from assistant.understanding.commanding.statements import only_aside, yes_with_more
from assistant.understanding.commanding.wishes import only_onward
from assistant.understanding.guessing import GUESS, UNTOLD
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
from assistant.understanding.interpret import by_rules, second_opinion
from assistant.understanding.patterns import words_of
from assistant.understanding.place_names import place_spans
from assistant.understanding.spanish import hypotheses_in_english
from assistant.understanding.utterance import understand

Told = tuple[Turn, Event]
"""The turn with what was told, and the event that it is."""


class Reader(NamedTuple):
    """One thing that words may tell beside, or instead of, the answer to what is asked."""

    modes: tuple[Mode, ...]
    """Where it may be told."""
    read: Callable[[Turn, Mode, str], Told | None]
    """What was told, from the turn, its mode and the likeliest words; None where it is not that."""


def heard(turn: Turn, mode: Mode, fact: Heard) -> Told:
    """What was said as an event, with the turn that knows it."""
    turn = _understood(turn, fact)
    if turn.expectation is not None and turn.expectation.expects is not Expects.NOTE:
        fact = replace(fact, hypotheses=hypotheses_in_english(fact.hypotheses, turn.context.vocabulary))
    named = place_named(turn, mode, fact)
    if named is not None:
        return replace(turn, understood=named), Event.PLACE
    if not fact.hypotheses:
        return turn, event_of_speech(turn.meant)
    words = fact.hypotheses[0].words
    safe = _of_safety(turn, mode, words)
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
    guessed = _guessed(turn, fact)
    if guessed is not turn and names_another_part(guessed, words):
        guessed = turn
    guessed = without_denied(guessed, words)
    return _only_asked(guessed, mode, words) or (guessed, event_of_speech(guessed.meant))


def _of_safety(turn: Turn, mode: Mode, words: str) -> Told | None:
    """A danger that is told, or a question whether something is safe, which no words of an answer outweigh."""
    meant, dialog = turn.meant, turn.state.dialog
    if mode in (Mode.NOTE, Mode.HELD, Mode.OFFER) or (meant.note is not None and mode is not Mode.REASON):
        return None
    if dialog.alarmed and (meant.command in (Command.YES, Command.NEXT, Command.RESUME) or told_over(words)):
        over = Understanding(Outcome.COMMAND, words, command=Command.SAY_AGAIN)
        return replace(turn.with_dialog(alarmed=False), understood=over), Event.SAY_AGAIN
    if hazard_of(words) and not _answers_all_the_same(turn, words):
        danger = Understanding(Outcome.REPORT, words, report=Report.DANGER)
        return replace(turn, understood=danger), Event.REPORT
    told = meant.outcome is Outcome.QUESTION and not (meant.about is About.CONDITION and no_condition(turn))
    if asks_whether_safe(words) and (asks_plainly(words) or not told):
        return replace(turn, understood=Understanding(Outcome.QUESTION, words, reason=SAFETY)), Event.QUESTION
    return None


def _answers_all_the_same(turn: Turn, words: str) -> bool:
    """Whether what sounds like a danger is an answer by its own words: 'leaking' where that may be seen."""
    meant = turn.meant
    if meant.confirm or meant.outcome is not Outcome.CHOICE:
        return meant.outcome is Outcome.READING and not meant.confirm
    choices = turn.expectation.choices if turn.expectation is not None else ()
    own = {word for one in choices if one.name == meant.choice for word in words_of(" ".join((one.name, *one.also)))}
    return not hazard_words(words).isdisjoint(own - _DULL)


_DULL = frozenset({"about", "battery", "wheel", "their", "there"})


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


def _only_asked(turn: Turn, mode: Mode, words: str) -> Told | None:
    """A question that nothing answers, and that would be taken for an answer or a report: how it is done, or no."""
    meant = turn.meant
    if (made_safe(words) or only_no_good(words) or only_of_rolling(words)) and meant.report is Report.DANGER:
        return replace(turn, understood=Understanding(Outcome.NOT_UNDERSTOOD, words)), Event.NOT_UNDERSTOOD
    unknown = meant.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE) or meant.report in _NOT_ASKED
    doubted = meant.confirm and (meant.outcome is Outcome.CHOICE or _guessed_in_vain(meant, words))
    if not (unknown or doubted) or (meant.reason == Role.QUESTION.value and not asks_how(words)):
        return None
    if mode in (Mode.NOTE, Mode.HELD, Mode.REASON) or not asks(words):
        return None
    if _WHY.match(words.lower()):
        return replace(turn, understood=Understanding(Outcome.COMMAND, words, command=Command.WHY)), Event.WHY
    if asks_how(words):
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


def _understood(turn: Turn, fact: Heard) -> Turn:
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
    if overlay.candidate.choice is None or overlay.asked_for == MEND or first.lower().strip(",.") not in _NO:
        return None
    more = understand(rest.strip(" ,."), wanted, turn.context.vocabulary) if rest.strip() else None
    told = more is not None and more.outcome is Outcome.CHOICE and not more.confirm
    return more if told and more is not None and more.choice != overlay.candidate.choice else None


_NO = frozenset({"no", "nope", "nah"})


def _guessed(turn: Turn, fact: Heard) -> Turn:
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


def _of_the_mending(turn: Turn, _: Mode, words: str) -> Told | None:
    """What is said while a correction waits for its yes, or for which answer is meant."""
    if not _mends(turn) or turn.meant.note is not None or not isinstance(turn.fact, Heard):
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


def _earlier(turn: Turn, mode: Mode, words: str) -> Told | None:
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


def _other_reading(turn: Turn, _: Mode, words: str) -> Told | None:
    """A reading that is told with another check's name."""
    if not _may_mend(turn, words) or turn.meant.outcome not in _READ or turn.state.dialog.revisit is not None:
        return None
    told = other_named(turn.context, turn.state, words)
    if told is None or told.prompts:
        return None if told is None else (replace(turn, mending=told), Event.MENDED)
    # what was named was never logged: it may be the answer to what is asked
    doubted = replace(turn.meant, confirm=True, about=None, reason=OTHER_NAMED)
    return replace(turn, understood=doubted), event_of_speech(turn.meant)


def _other_value(turn: Turn, _: Mode, words: str) -> Told | None:
    """'No, charging volts was fourteen three': a value of a check that was read before."""
    untold = event_of_speech(turn.meant) is Event.NOT_UNDERSTOOD and turn.meant.reason in _OF_ANOTHER
    if not untold or not _may_mend(turn, words):
        return None
    told = other_named(turn.context, turn.state, words)
    return (replace(turn, mending=told), Event.MENDED) if told is not None and told.prompts else None


_OF_ANOTHER = (Role.EARLIER.value, Role.EXPECTATION.value)
"""Why words with a value answer nothing here, although they may tell of another check."""
_READ = (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY)


def _mends(turn: Turn) -> bool:
    """Whether an earlier answer is being asked about."""
    overlay = turn.state.dialog.overlay
    return overlay is not None and overlay.asked_for in (MEND, WHICH)


def _may_mend(turn: Turn, words: str) -> bool:
    """Whether words may be about an earlier answer; 'wrong one lights', a choice as written, says nothing of one."""
    return not _mends(turn) and turn.meant.note is None and not _word_for_word(turn, words)


def _word_for_word(turn: Turn, words: str) -> bool:
    """Whether it is a choice of the prompt as written."""
    said, choices = words_of(words), turn.expectation.choices if turn.expectation is not None else ()
    return any(words_of(form) == said for one in choices for form in (one.name, *one.also))


def _drive(turn: Turn, _: Mode, words: str) -> Told | None:
    """A test drive, told where the prompt itself understands nothing, or only part of it."""
    free = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT, Outcome.CHOOSE)
    if turn.meant.outcome not in free and turn.meant.command not in _PARTLY:
        return None
    drive = rolled(turn.context, turn.state, words)
    return None if drive is None else (replace(turn, rolled=drive), Event.SKIP if drive.refused else Event.YES)


_PARTLY = (Command.YES, Command.NEXT, Command.NO, Command.SKIP)


def _rest_of_the_list(turn: Turn, _: Mode, words: str) -> Told | None:
    """What alone is left of the put-back list."""
    left = left_of(turn.context, turn.state, words)
    return None if left is None else (replace(turn, left=left), Event.NOT_UNDERSTOOD)


def _done_and_more(turn: Turn, _: Mode, words: str) -> Told | None:
    """'Done, and it reads 1190' where work is waited for: done, and what was told beside it."""
    if turn.meant.outcome is not Outcome.NOT_UNDERSTOOD:
        return None
    pieces = pieces_of(words, ())
    if len(pieces) < 2 or turn.expectation is None or "?" in words:
        return None
    first, *rest = pieces
    done = understand(first, turn.expectation, turn.context.vocabulary)
    told = done.outcome is Outcome.COMMAND and done.command in (Command.NEXT, Command.YES) and not done.confirm
    if not told or only_onward(first, turn.context.vocabulary):
        return None
    return replace(turn, understood=replace(done, heard=words), early=", ".join(rest)), Event.NEXT


def _code(turn: Turn, _: Mode, words: str) -> Told | None:
    """A code, told where the proof reads them; not where the prompt itself is answered."""
    meant = turn.meant
    # 'left rear open again' sounds like a command, and 'none' like a no
    if meant.outcome is Outcome.COMMAND and not (meant.confirm or meant.command is Command.NO):
        return None
    told = code_read(turn.context, turn.state, words)
    return (replace(turn, understood=_nothing(turn, words), code_read=told), Event.SEVERAL) if told else None


def _nothing(turn: Turn, words: str) -> Understanding:
    """What the prompt itself has of words that are taken apart otherwise."""
    return Understanding(turn.meant.outcome, words)


def _moved(turn: Turn, mode: Mode, words: str) -> Told | None:
    """The last answer, told to be of another place."""
    at_a_place = mode is not Mode.CHECK or turn.context.check(turn.asked.name).kind != "place"
    plain_yes = turn.meant.command is Command.YES and not turn.meant.confirm  # 'that is right' names no side
    if turn.state.dialog.revisit is not None or not at_a_place or plain_yes or _mends(turn):
        return None
    moved = moved_to(turn.context, turn.state, words)
    if moved is None:
        return None
    seen, place = moved
    told = Mending((check_prompt(seen.check, seen.place),), words, moved=check_prompt(seen.check, place))
    return replace(turn, mending=told), Event.MENDED


def _elsewhere(turn: Turn, _: Mode, words: str) -> Told | None:
    """An answer that names another place than the one that is asked."""
    dialog, meant = turn.state.dialog, turn.meant
    if dialog.revisit is not None or dialog.overlay is not None or meant.outcome not in _OF_A_PLACE:
        return None
    other = told_elsewhere(turn.context, turn.state, words)
    if other is None:
        return None
    if other.can:
        readings = ((other.place, other.words),)
        return replace(turn, understood=_nothing(turn, words), readings_told=readings), Event.SEVERAL
    if other.seen is not None and other.meant is not None and _changes(other.seen, other.meant):
        prompt = check_prompt(turn.asked.name, other.place)
        wanted = check_expectation(turn.context, turn.state, turn.context.check(prompt.name), prompt.place)
        return replace(turn, mending=Mending((prompt,), words, other.meant, wanted)), Event.MENDED
    if other.meant is None and meant.outcome not in ANSWERED:
        return None
    return replace(turn, mending=Mending((), words, other=other.place)), Event.MENDED


_OF_A_PLACE = (*ANSWERED, Outcome.NOT_UNDERSTOOD)
"""What words may be taken for that tell something of another place."""


def _changes(seen: Observed, meant: Understanding) -> bool:
    return meant.outcome in TAKEN and (seen.value, seen.choice) != (meant.value, meant.choice)


def _facts(turn: Turn, _: Mode, words: str) -> Told | None:
    """Several facts in one breath."""
    if not _apart(turn) or turn.meant.outcome not in _WITH_MORE or " " not in words:
        return None
    expected = {one.name: fact_expectation(turn.context, one.name) for one in questions(turn.context)}
    told = facts_told(turn.context, turn.state, words, turn.asked, expected)
    if not told or any(meant.choice in one.declines for one, meant in told):
        return None
    return replace(turn, understood=_nothing(turn, words), facts_told=tuple(told)), Event.SEVERAL


_WITH_MORE = (Outcome.NOT_UNDERSTOOD, Outcome.CHOICE, Outcome.CHOOSE, Outcome.IDENTIFIER, Outcome.REPORT)
"""What an utterance that tells several facts may have been taken for."""


def _readings(turn: Turn, mode: Mode, words: str) -> Told | None:
    """Readings of several places in one breath, or a code's wheel and kind."""
    if not _apart(turn) or turn.meant.outcome is Outcome.COMMAND:
        return None
    asked = turn.context.check(turn.asked.name)
    if asked.kind == "place" and asked.reads_codes and all(code_told(turn.context, words)):
        return replace(turn, understood=_nothing(turn, words), code_told=True), Event.SEVERAL
    named = turn.expectation.places if turn.expectation is not None else ()
    unit = turn.context.vocabulary.unit(turn.expectation.unit if turn.expectation is not None else None)
    here = turn.asked.place or ""
    text = ordinals_as_places(words, named)
    breath = Breath(text, here, named, turn.context.vocabulary, unit.dimension) if unit is not None else None
    if breath is not None and not breath.shows():
        return None
    read = (breath.values() if breath is not None else None) or readings_told(words, here, named)
    taken = several.readable(turn, mode, read or [])
    if read is None and breath is not None and breath.several():  # which value is whose is not clear: none counts
        unclear = Understanding(Outcome.NOT_UNDERSTOOD, words, ask=clarifications.ONE_AT_A_TIME)
        return replace(turn, understood=unclear), Event.NOT_UNDERSTOOD
    if not read or not taken:
        return None
    left = tuple(place for place, words in read if (place, words) not in taken)
    told = replace(turn, understood=_nothing(turn, words), readings_told=tuple(taken), places_left=left)
    return told, Event.SEVERAL


def _apart(turn: Turn) -> bool:
    """Whether one breath may be taken apart here."""
    dialog = turn.state.dialog
    return dialog.overlay is None and not dialog.revisit and turn.meant.about is None


def _finding(turn: Turn, _: Mode, words: str) -> Told | None:
    """A finding that nobody asked for; the answer to what is asked goes before it."""
    meant = turn.meant
    if turn.state.phase not in (Phase.FINDING, Phase.REPAIRING) or meant.outcome not in _NO_FINDING:
        return None
    if meant.report not in (None, Report.FOUND, Report.STUCK):
        return None
    named = turn.expectation.places if turn.expectation is not None else ()
    if _of_no_place_here(turn, words):
        return None
    finding = sighted(turn.context, turn.state, words, named)
    return None if finding is None else (replace(turn, sighting=finding), Event.SEEN)


def _of_no_place_here(turn: Turn, words: str) -> bool:
    """Whether a place is named that this unit does not have: what is told of it is told of no other one."""
    every = tuple(Choice(place.name, place.also) for place in turn.context.procedure.places)
    here = {choice.name for choice in (turn.expectation.places if turn.expectation is not None else ())}
    return any(name not in here for name, _, _ in place_spans(words, every))


_NO_FINDING = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT)
_MENDED = (
    Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK, Mode.FIX, Mode.PROOF, Mode.OFFER, Mode.PUT_BACK, Mode.CONFIRM,
)  # fmt: skip
"""Modes in which an earlier answer may be told to be wrong."""
READERS = (
    Reader((Mode.CONFIRM, Mode.CHOOSE), _of_the_mending),
    Reader((*_MENDED, Mode.READY), note_told),
    Reader((Mode.READY, Mode.CAUTION, Mode.FACT, Mode.CHECK), no_tool_told),
    Reader((Mode.READY, Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK), while_rolling),
    Reader(_MENDED, _moved),
    Reader(_MENDED, _earlier),
    Reader((Mode.CHECK,), _other_reading),
    Reader((Mode.CHECK,), _other_value),
    Reader((Mode.READY, Mode.CAUTION), yes_and_more),
    Reader((Mode.PROOF,), _drive),
    Reader((Mode.PUT_BACK,), _rest_of_the_list),
    Reader((Mode.ACCESS, Mode.FIX), _done_and_more),
    Reader((Mode.PROOF,), no_codes_told),
    Reader((Mode.PROOF,), _code),
    Reader((Mode.CHECK,), _elsewhere),
    Reader((Mode.CHECK,), of_another_part),
    Reader((Mode.FACT,), _facts),
    Reader((Mode.CHECK,), _readings),
    Reader((Mode.ACCESS, Mode.FIX), work_done),
    Reader((Mode.CHECK, Mode.ACCESS, Mode.FIX, Mode.CAUTION), _finding),
)
"""In the order in which they are asked."""
