"""Work in the real world: cautions acknowledged, things opened, fixes done or declined."""

from __future__ import annotations

from assistant.diagnosis.fault_model import Opening
from assistant.messages import NO_PROMPT, Choice, Say
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    FixChosen,
    FixDone,
    Observed,
    Phase,
    PhaseEntered,
)
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.wording import first_up, one_of
from assistant.procedure.model import Fix, Way
from assistant.session.agenda.next_action import to_measure_again
from assistant.session.agenda.prompts import main
from assistant.session.dialog_state import Mode
from assistant.session.fold import apply_all
from assistant.session.handlers.early import with_early
from assistant.session.handlers.finding import confirm
from assistant.session.openings import opening_minutes
from assistant.session.turn import Result, Turn, reask, record, stay
from assistant.understanding.commanding.ways import way_named
from assistant.understanding.commanding.wishes import only_onward
from assistant.understanding.patterns import places, words_of

BROKEN = "broken"
"""Why a yes is asked for: what was found broken is told as cleaned; its words are a part of ``reports.toml``."""


def ready(turn: Turn) -> Result:
    """Everything is in hand: the cautions begin."""
    return record(turn, (PhaseEntered(Phase.CAUTIONS),))


def acknowledge(turn: Turn) -> Result:
    """Yes to a caution, or to all that are due again; acknowledged aloud once, after the last."""
    asked = turn.asked
    names = asked.names or (asked.name,)
    made = tuple(CautionAcknowledged(name, asked.place, asked.before or NO_PROMPT) for name in names)
    following = main(turn.context, apply_all(turn.context, turn.state, made))
    more = following is not None and following.mode is Mode.CAUTION
    return record(turn, made, *(() if more else (Say("acknowledged"),)))


def told_done(turn: Turn) -> Result:
    """'Done' acknowledges a caution as a yes does; 'next' says nothing of what it asks for, so that it waits."""
    if only_onward(turn.meant.heard, turn.context.vocabulary):
        return reask(turn, Say("caution_first"))
    return acknowledge(turn)


def opened(turn: Turn) -> Result:
    """Something was opened."""
    asked = turn.asked
    absent = turn.context.access(asked.name).absent
    names = () if absent is None else (Choice(absent.name, absent.also),)
    if absent is not None and way_named(turn.meant.heard, names, turn.context.vocabulary):
        nothing = AccessOpened(asked.name, asked.place, 0.0, absent.name)
        return record(turn, (nothing,), Say("choice_logged", {"text": absent.name}))
    minutes = opening_minutes(turn.context, turn.state.facts, Opening(asked.name, asked.place))
    made = record(turn, (AccessOpened(asked.name, asked.place, minutes),), Say("step_logged"))
    return with_early(turn, made)


def fix_done(turn: Turn) -> Result:
    """A fix was done."""
    asked, context = turn.asked, turn.context
    fix = context.fix(asked.name)
    way = way_told(fix, turn.meant.heard, context.vocabulary)
    if fix.ways and way is None:
        return stay(turn, Say("which_way", {"ways": one_of([one.name for one in fix.ways])}))
    broken = None if way is None or way.part is not None or turn.state.dialog.quick else _found_broken(turn)
    if way is not None and broken is not None:
        asked_about = Say("way_of_broken", {"text": broken.heard.rstrip("."), "ways": way.title})
        return confirm(turn.with_dialog(quick=True), turn.meant, asked_about, BROKEN)
    done = FixDone(fix.name, asked.place, *((fix.title, fix.part) if way is None else (way.title, way.part)))
    again = to_measure_again(context, apply_all(context, turn.state, (done,)))
    told = Say("way_logged", {"text": first_up(done.title)}) if way else Say("fix_logged", {"text": done.title})
    says = (told, *((Say("measure_again"),) if again else ()))
    return with_early(turn, record(turn, (done,), *says))


def _found_broken(turn: Turn) -> Observed | None:
    """What this repair is done for, where it was told to be broken: that is mended by no cleaning."""
    action, context = turn.state.action, turn.context
    if not isinstance(action, FixChosen):
        return None
    forms = [words_of(form) for form in context.vocabulary.reports.get(BROKEN, ())]
    for seen in reversed(turn.state.observations):
        about = action.fault in context.check(seen.check).finds and seen.place in (None, action.place)
        if about and seen.choice is not None and any(places(words_of(seen.heard), form) for form in forms):
            return seen
    return None


def way_told(fix: Fix, words: str, vocabulary: Vocabulary) -> Way | None:
    """The one way of doing a fix in which somebody tells it was done; None where none is told, or several."""
    named = way_named(words, [Choice(way.name, way.also) for way in fix.ways], vocabulary)
    return next((way for way in fix.ways if way.name == named), None)
