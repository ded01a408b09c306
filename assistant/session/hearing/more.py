"""Readers of words that tell more than what is asked: several facts or readings, another place, a finding."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Command, Outcome, Report, Understanding, check_prompt
from assistant.messages.decisions import Observed, Phase
from assistant.session.agenda.facts_to_ask import questions
from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from assistant.session.handlers import several
from assistant.session.hearing.proving import nothing
from assistant.session.hearing.reader import Told
from assistant.session.saying.questions import check_expectation, fact_expectation
from assistant.session.turn import Turn
from assistant.session.unprompted.breath import code_told, facts_told, ordinals_as_places, pieces_of, readings_told
from assistant.session.unprompted.elsewhere import ANSWERED, told_elsewhere
from assistant.session.unprompted.mending import TAKEN, Mending
from assistant.session.unprompted.places_told import Breath, by_places
from assistant.session.unprompted.sightings import sighted
from assistant.understanding import clarifications
from assistant.understanding.commanding.wishes import only_onward
from assistant.understanding.place_names import place_spans
from assistant.understanding.utterance import understand


def done_and_more(turn: Turn, _: Mode, words: str) -> Told | None:
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


def told_of_another_place(turn: Turn, _: Mode, words: str) -> Told | None:
    """An answer that names another place than the one that is asked."""
    dialog, meant = turn.state.dialog, turn.meant
    if dialog.revisit is not None or dialog.overlay is not None or meant.outcome not in _OF_A_PLACE:
        return None
    other = told_elsewhere(turn.context, turn.state, words)
    if other is None:
        return None
    if other.can:
        readings = ((other.place, other.words),)
        return replace(turn, understood=nothing(turn, words), readings_told=readings), Event.SEVERAL
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


def facts_at_once(turn: Turn, _: Mode, words: str) -> Told | None:
    """Several facts in one breath."""
    if not _apart(turn) or turn.meant.outcome not in _WITH_MORE or " " not in words:
        return None
    expected = {one.name: fact_expectation(turn.context, one.name) for one in questions(turn.context)}
    told = facts_told(turn.context, turn.state, words, turn.asked, expected)
    if not told or any(meant.choice in one.declines for one, meant in told):
        return None
    return replace(turn, understood=nothing(turn, words), facts_told=tuple(told)), Event.SEVERAL


_WITH_MORE = (Outcome.NOT_UNDERSTOOD, Outcome.CHOICE, Outcome.CHOOSE, Outcome.IDENTIFIER, Outcome.REPORT)
"""What an utterance that tells several facts may have been taken for."""


def readings_at_once(turn: Turn, mode: Mode, words: str) -> Told | None:
    """Readings of several places in one breath, or a code's wheel and kind."""
    if not _apart(turn) or turn.meant.outcome is Outcome.COMMAND:
        return None
    asked = turn.context.check(turn.asked.name)
    if asked.kind == "place" and asked.reads_codes and all(code_told(turn.context, words)):
        return replace(turn, understood=nothing(turn, words), code_told=True), Event.SEVERAL
    named = turn.expectation.places if turn.expectation is not None else ()
    unit = turn.context.vocabulary.unit(turn.expectation.unit if turn.expectation is not None else None)
    here = turn.asked.place or ""
    text = by_places(ordinals_as_places(words, named), named)
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
    told = replace(turn, understood=nothing(turn, words), readings_told=tuple(taken), places_left=left)
    return told, Event.SEVERAL


def _apart(turn: Turn) -> bool:
    """Whether one breath may be taken apart here."""
    dialog = turn.state.dialog
    return dialog.overlay is None and not dialog.revisit and turn.meant.about is None


def finding_told(turn: Turn, _: Mode, words: str) -> Told | None:
    """A finding that nobody asked for; the answer to what is asked goes before it."""
    meant = turn.meant
    dances = meant.outcome is Outcome.UNSTEADY and meant.value is None and meant.confirm  # 'it dances' when shaken
    if turn.state.phase not in (Phase.FINDING, Phase.REPAIRING) or not (meant.outcome in _NO_FINDING or dances):
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
    here = {choice.name for choice in (turn.expectation.places if turn.expectation is not None else ())}
    return any(name not in here for name, _, _ in place_spans(words, turn.context.places_named()))


_NO_FINDING = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT)
