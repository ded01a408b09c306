"""One step of a session: a fact goes in, the new state and the effects come out.

``step`` looks the mode and the event up in ``session.dispatch``. It is pure: same inputs, same outputs.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.errors import DefectError
from assistant.messages import (
    About,
    Command,
    Expectation,
    Expects,
    Fact,
    Heard,
    Outcome,
    Report,
    Say,
    Talk,
    Understanding,
    check_prompt,
)
from assistant.messages.decisions import Effect, Observed, Phase, Record
from assistant.phrasing.speech_chunks import go_on
from assistant.session.agenda.facts_to_ask import questions
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import ANSWERS, Event, as_choice, event_of_fact, event_of_speech
from assistant.session.fold import State
from assistant.session.handlers import asking, mending, several
from assistant.session.handlers.answering import MEND
from assistant.session.handlers.facts import unsure
from assistant.session.handlers.finding import OTHER_NAMED
from assistant.session.handlers.mending import WHICH
from assistant.session.handlers.survey_jumps import place_named
from assistant.session.saying.questions import check_expectation, expectation, fact_expectation
from assistant.session.turn import Result, Turn
from assistant.session.unprompted.all_but import left_of
from assistant.session.unprompted.breath import code_told, facts_told, pieces_of, readings_told
from assistant.session.unprompted.codes import code_read
from assistant.session.unprompted.elsewhere import ANSWERED, moved_to, told_elsewhere
from assistant.session.unprompted.mending import TAKEN, Mending, mending_of, other_named
from assistant.session.unprompted.road_test import rolled
from assistant.session.unprompted.sightings import Sighting, sighted
from assistant.understanding.clauses.clause import Role
from assistant.understanding.guessing import UNTOLD
from assistant.understanding.interpret import interpret, second_opinion
from assistant.understanding.patterns import words_of
from assistant.understanding.utterance import understand
from assistant.understanding.wishes import only_aside, only_onward, yes_with_more

_DEAF = (Mode.NEW, Mode.LOOK_UP, Mode.RECORDING, Mode.UNWRITTEN, Mode.ENDED)
"""Modes in which what was said is not understood, but for 'stop' while a record waits."""


def step(context: Context, state: State, fact: Fact) -> tuple[State, tuple[Effect, ...]]:
    """The state and the effects that a fact leads to.

    Raises:
        DefectError: the fact cannot come in this state; nothing is changed.
    """
    mode = mode_of(context, state)
    turn = Turn(context, state, fact)
    event = event_of_fact(fact)
    if isinstance(fact, Heard) and mode not in _DEAF:
        turn = _understood(turn, fact)
        named = place_named(turn, mode, fact)
        if named is not None:
            turn, event = replace(turn, understood=named), Event.PLACE
        else:
            turn, event = _told(turn, mode, fact)
    elif isinstance(fact, Heard) and mode is Mode.UNWRITTEN and _is_stop(turn, fact):
        event = Event.STOP
    return _worded(*handle(turn, mode, event))


def _told(turn: Turn, mode: Mode, fact: Heard) -> tuple[Turn, Event]:
    """What was said as an event: several things in one breath, a finding nobody asked for, else what was meant."""
    mended = _mended(turn, mode, fact)
    if mended is not None:
        return mended
    drive = rolled(turn.context, turn.state, fact.hypotheses[0].words) if _on_the_road(turn, mode, fact) else None
    if drive is not None:
        return replace(turn, rolled=drive), Event.SKIP if drive.refused else Event.YES
    left = left_of(turn.context, turn.state, fact.hypotheses[0].words) if _at_the_list(turn, mode, fact) else None
    if left is not None:
        return replace(turn, left=left), Event.NOT_UNDERSTOOD
    early = _done_and_more(turn, mode, fact)
    if early is not None:
        return early, Event.NEXT
    read = _code_read(turn, mode, fact)
    if read is not None:
        return read, Event.SEVERAL
    other = _of_another_place(turn, mode, fact)
    if other is not None:
        return other
    together = _together(turn, mode, fact)
    if together is not None:
        return together, Event.SEVERAL
    finding = _finding(turn, mode, fact)
    if finding is not None:
        return replace(turn, sighting=finding), Event.SEEN
    guessed = _guessed(turn, fact)
    return guessed, event_of_speech(guessed.meant)


def _guessed(turn: Turn, fact: Heard) -> Turn:
    """The turn with what words are like that neither the prompt nor anything else has taken up."""
    if turn.expectation is None or not fact.hypotheses:
        return turn
    words = fact.hypotheses[0].words
    meant = second_opinion(words, turn.meant, turn.expectation, turn.context.vocabulary)
    if meant is None:
        return turn
    if meant.reason == UNTOLD:
        meant = unsure(turn, fact, meant) or turn.meant
    return replace(turn, understood=as_choice(meant, turn.expectation))


_OF_ANOTHER = (Role.EARLIER.value, Role.EXPECTATION.value)
"""Why words with a value answer nothing here, although they may tell of another check."""
_READ = (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY)
_MENDED = (
    Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK, Mode.FIX, Mode.PROOF, Mode.OFFER, Mode.PUT_BACK, Mode.CONFIRM,
)  # fmt: skip
"""Modes in which an earlier answer may be told to be wrong."""


def _mended(turn: Turn, mode: Mode, fact: Heard) -> tuple[Turn, Event] | None:
    """An earlier answer that is told to be wrong, or what is said of it while it is asked about; None for neither."""
    overlay = turn.state.dialog.overlay
    if not fact.hypotheses or turn.meant.note is not None:
        return None
    words, event = fact.hypotheses[0].words, event_of_speech(turn.meant)
    if overlay is not None and overlay.asked_for in (MEND, WHICH):
        if event not in (*ANSWERS, Event.NOT_UNDERSTOOD, Event.CORRECTED):
            return None
        told = mending.answered(turn, fact)
        if told is not None:
            return replace(turn, mending=told), Event.MENDED
        if overlay.asked_for == MEND:
            return None
        # a value that is said here answers nothing below
        nothing = Understanding(Outcome.NOT_UNDERSTOOD, words)
        return replace(turn, understood=nothing), Event.NOT_UNDERSTOOD
    if mode not in _MENDED or turn.meant.outcome is Outcome.QUESTION or _word_for_word(turn, words):
        return None
    untold = event is Event.NOT_UNDERSTOOD and mode not in (Mode.CHECK, Mode.CONFIRM)
    told = mending_of(turn.context, turn.state, words, sure_only=mode is Mode.CONFIRM, refuses=untold)
    if told is None and mode is Mode.CHECK and turn.meant.outcome in _READ and turn.state.dialog.revisit is None:
        told = other_named(turn.context, turn.state, words)
        if told is not None and not told.prompts:
            # what was named was never logged: it may be the answer to what is asked
            doubted = replace(turn.meant, confirm=True, about=None, reason=OTHER_NAMED)
            return replace(turn, understood=doubted), event
    elif told is None and mode is Mode.CHECK and turn.meant.reason in _OF_ANOTHER and event is Event.NOT_UNDERSTOOD:
        told = other_named(turn.context, turn.state, words)  # 'no, charging volts was fourteen three'
        told = told if told is not None and told.prompts else None
    return None if told is None else (replace(turn, mending=told), Event.MENDED)


def _word_for_word(turn: Turn, words: str) -> bool:
    """Whether it is a choice of the prompt as written: 'wrong one lights' says nothing of an earlier answer."""
    said, choices = words_of(words), turn.expectation.choices if turn.expectation is not None else ()
    return any(words_of(form) == said for one in choices for form in (one.name, *one.also))


def _of_another_place(turn: Turn, mode: Mode, fact: Heard) -> tuple[Turn, Event] | None:
    """The last answer told to be of another place, or an answer that names another one; None for neither."""
    dialog, meant = turn.state.dialog, turn.meant
    if not fact.hypotheses or dialog.revisit is not None or meant.outcome is Outcome.QUESTION:
        return None
    words, overlay = fact.hypotheses[0].words, dialog.overlay
    at_a_place = mode is not Mode.CHECK or turn.context.check(turn.asked.name).kind != "place"
    if mode in _MENDED and at_a_place and (overlay is None or overlay.asked_for not in (MEND, WHICH)):
        moved = moved_to(turn.context, turn.state, words)
        if moved is not None:
            seen, place = moved
            told = Mending((check_prompt(seen.check, seen.place),), words, moved=check_prompt(seen.check, place))
            return replace(turn, mending=told), Event.MENDED
    if mode is not Mode.CHECK or overlay is not None or meant.outcome not in _OF_A_PLACE:
        return None
    other = told_elsewhere(turn.context, turn.state, words)
    if other is None:
        return None
    if other.can:
        heard = Understanding(meant.outcome, words)
        return replace(turn, understood=heard, readings_told=((other.place, other.words),)), Event.SEVERAL
    if other.seen is not None and other.meant is not None and _changes(other.seen, other.meant):
        prompt = check_prompt(turn.asked.name, other.place)
        wanted = check_expectation(turn.context, turn.state, turn.context.check(prompt.name), prompt.place)
        return replace(turn, mending=Mending((prompt,), words, other.meant, wanted)), Event.MENDED
    if other.meant is None and meant.outcome not in ANSWERED:
        return None
    return replace(turn, mending=Mending((), words, other=other.place)), Event.MENDED


def _at_the_list(turn: Turn, mode: Mode, fact: Heard) -> bool:
    return mode is Mode.PUT_BACK and bool(fact.hypotheses) and turn.meant.outcome is not Outcome.QUESTION


def _done_and_more(turn: Turn, mode: Mode, fact: Heard) -> Turn | None:
    """'Done, and it reads 1190' where work is waited for: done, and what was told beside it."""
    if mode not in (Mode.ACCESS, Mode.FIX) or not fact.hypotheses or turn.meant.outcome is not Outcome.NOT_UNDERSTOOD:
        return None
    pieces = pieces_of(fact.hypotheses[0].words, ())
    if len(pieces) < 2 or turn.expectation is None or "?" in fact.hypotheses[0].words:
        return None
    first, *rest = pieces
    done = understand(first, turn.expectation, turn.context.vocabulary)
    told = done.outcome is Outcome.COMMAND and done.command in (Command.NEXT, Command.YES) and not done.confirm
    if not told or only_onward(first, turn.context.vocabulary):
        return None
    return replace(turn, understood=replace(done, heard=fact.hypotheses[0].words), early=", ".join(rest))


def _code_read(turn: Turn, mode: Mode, fact: Heard) -> Turn | None:
    """The turn with a code that was told where the proof reads them; None where the prompt itself is answered."""
    meant = turn.meant
    # 'left rear open again' sounds like a command, and 'none' like a no
    obeyed = meant.outcome is Outcome.COMMAND and not (meant.confirm or meant.command is Command.NO)
    if mode is not Mode.PROOF or not fact.hypotheses or obeyed or meant.outcome is Outcome.QUESTION:
        return None
    words = fact.hypotheses[0].words
    told = code_read(turn.context, turn.state, words)
    return replace(turn, understood=Understanding(turn.meant.outcome, words), code_read=told) if told else None


def _on_the_road(turn: Turn, mode: Mode, fact: Heard) -> bool:
    """Whether a test drive may be told: where the prompt itself understands nothing, or only part of it."""
    free = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT, Outcome.CHOOSE)
    told = turn.meant.outcome in free or (turn.meant.command in (Command.YES, Command.NEXT, Command.NO, Command.SKIP))
    return mode is Mode.PROOF and bool(fact.hypotheses) and told


def _changes(seen: Observed, meant: Understanding) -> bool:
    return meant.outcome in TAKEN and (seen.value, seen.choice) != (meant.value, meant.choice)


_OF_A_PLACE = (*ANSWERED, Outcome.NOT_UNDERSTOOD)
"""What words may be taken for that tell something of another place."""


def _worded(state: State, effects: tuple[Effect, ...]) -> Result:
    """Everything that is said, in the length that the person wants; a record counts with what it changes."""
    talk = state.talk if state.pending is None else state.pending.following.talk
    if talk is Talk.USUAL:
        return state, effects
    return state, tuple(_in_length(one, talk) for one in effects)


def _in_length(effect: Effect, talk: Talk) -> Effect:
    if isinstance(effect, Say):
        return replace(effect, talk=talk)
    if isinstance(effect, Record):
        return replace(effect, replies=tuple(replace(say, talk=talk) for say in effect.replies))
    return effect


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


def _together(turn: Turn, mode: Mode, fact: Heard) -> Turn | None:
    """The turn with several things that were said in one breath, None when it was one thing."""
    dialog = turn.state.dialog
    if dialog.overlay is not None or dialog.revisit or not fact.hypotheses or turn.meant.about is not None:
        return None
    words = fact.hypotheses[0].words
    heard = Understanding(turn.meant.outcome, words)
    if mode is Mode.FACT and turn.meant.outcome in _WITH_MORE and " " in words:
        expected = {one.name: fact_expectation(turn.context, one.name) for one in questions(turn.context)}
        told = facts_told(turn.context, turn.state, words, turn.asked, expected)
        if told and not any(meant.choice in one.declines for one, meant in told):
            return replace(turn, understood=heard, facts_told=tuple(told))
    if mode is Mode.CHECK and turn.meant.outcome not in (Outcome.COMMAND, Outcome.QUESTION):
        asked = turn.context.check(turn.asked.name)
        if asked.kind == "place" and asked.reads_codes and all(code_told(turn.context, words)):
            return replace(turn, understood=heard, code_told=True)
        named = turn.expectation.places if turn.expectation is not None else ()
        read = readings_told(words, turn.asked.place or "", named)
        taken = several.readable(turn, mode, read or [])
        if read and taken:
            left = tuple(place for place, words in read if (place, words) not in taken)
            return replace(turn, understood=heard, readings_told=tuple(taken), places_left=left)
    return None


_WITH_MORE = (Outcome.NOT_UNDERSTOOD, Outcome.CHOICE, Outcome.CHOOSE, Outcome.IDENTIFIER, Outcome.REPORT)
"""What an utterance that tells several facts may have been taken for."""
_SIGHTED = (Mode.CHECK, Mode.ACCESS, Mode.FIX, Mode.CAUTION)
"""Modes in which a finding may be told without being asked."""
_NO_FINDING = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT)


def _finding(turn: Turn, mode: Mode, fact: Heard) -> Sighting | None:
    """A finding that was told; the answer to what is asked goes before it."""
    if mode not in _SIGHTED or turn.state.phase not in (Phase.FINDING, Phase.REPAIRING):
        return None
    meant = turn.meant
    if meant.outcome not in _NO_FINDING or meant.report not in (None, Report.FOUND, Report.STUCK):
        return None
    named = turn.expectation.places if turn.expectation is not None else ()
    return sighted(turn.context, turn.state, fact.hypotheses[0].words, named) if fact.hypotheses else None


def _is_stop(turn: Turn, fact: Heard) -> bool:
    meant = interpret(fact.hypotheses, Expectation(Expects.COMMAND), turn.context.vocabulary, snr_db=fact.snr_db)
    return meant.command is Command.STOP and not meant.confirm


def _understood(turn: Turn, fact: Heard) -> Turn:
    wanted = expectation(turn.context, turn.state)
    meant = interpret(fact.hypotheses, wanted, turn.context.vocabulary, snr_db=fact.snr_db, guesses=False)
    meant = go_on(meant, fact.hypotheses[0].words if fact.hypotheses else "", turn.state.dialog.rest)
    said = _restated(turn, fact, wanted) or _no_but(turn, fact, wanted)
    understood = unsure(turn, fact, meant) or said or as_choice(meant, wanted)
    return replace(turn, understood=understood, expectation=wanted)


def _with_reply(turn: Turn, result: Result) -> Result:
    """The answer to a question that came with the turn's answer; what the read-back tells is left to it."""
    meant = turn.understood
    if meant is None or meant.about is None or meant.outcome is Outcome.QUESTION:
        return result
    state, effects = result
    says = () if meant.about in _TOLD_ANYWAY else asking.replied(turn)
    if effects and isinstance(effects[0], Record):
        first = replace(
            effects[0],
            decisions=(asking.question_asked(turn), *effects[0].decisions),
            replies=(*says, *effects[0].replies),
        )
        pending = replace(state.pending, record=first) if state.pending is not None else None
        return replace(state, pending=pending), (first, *effects[1:])
    return state, (*says, *effects)


_TOLD_ANYWAY = (About.GOOD, About.LAST, About.NEXT)
"""Questions beside an answer that its read-back, and the next prompt, answer."""


def handle(turn: Turn, mode: Mode, event: Event) -> Result:
    """Answer one event by its row of the table. A yes to a mistyped command is that command, in the mode below.

    Raises:
        DefectError: the table has no such row, or the answer leads where the row does not say.
    """
    overlay = turn.state.dialog.overlay
    if mode is Mode.CONFIRM and event is Event.YES and overlay is not None and overlay.candidate is not None:
        candidate = overlay.candidate
        if candidate.outcome in (Outcome.COMMAND, Outcome.REPORT):
            plain, first = turn.with_dialog(overlay=None), overlay.heard or turn.fact
            obeyed = replace(plain, fact=first, understood=replace(candidate, confirm=False))
            return handle(obeyed, mode_of(turn.context, obeyed.state), event_of_speech(obeyed.meant))
    row = TABLE[mode].get(event)
    if row is None:
        raise DefectError(
            f"The fact '{turn.fact.kind}' ({event}) cannot come in the mode '{mode}' of the phase "
            f"'{turn.state.phase}'; the state stays as it was."
        )
    result = _with_reply(turn, row.handler(turn))
    row.check(turn, mode, event, result)
    return result
