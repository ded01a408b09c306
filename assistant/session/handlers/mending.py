"""An earlier answer that was wrong: asked about with both values, and replaced after a yes.

What was done on the unit in between stays done, and a reading that is put right stands where the wrong one stood.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.errors import DefectError
from assistant.messages import Heard, Outcome, Prompt, PromptKind, Say, Understanding, Why
from assistant.numerals.readback import show_value
from assistant.phrasing.wording import at_place, display_name, first_up, one_of, read
from assistant.session.agenda.prompts import question_named
from assistant.session.context import Context
from assistant.session.dialog_state import Mode, Overlay
from assistant.session.fold import State
from assistant.session.handlers.answering import MEND, MOVED
from assistant.session.handlers.finding import confirm
from assistant.session.saying.questions import question
from assistant.session.turn import Result, Turn, lay, reask, stay
from assistant.session.unprompted.mending import TAKEN, Mending, named_among, with_value

WHICH = "mend_which"
"""Why it is asked which of several earlier answers is meant."""


def mended(turn: Turn) -> Result:
    """An earlier answer was told to be wrong."""
    told = turn.mending
    if told is None:
        raise DefectError("A correction says nothing.")
    if told.moved is not None:
        return _to_move(turn, told.prompts[0], told.moved)
    if told.other is not None:
        slots = {"text": first_up(told.other), "place": turn.asked.place}
        return reask(turn, Say("place_not_asked", slots))
    if not told.prompts:
        return reask(turn, Say("mend_none"))
    if len(told.prompts) > 1:
        names = one_of([_title(turn.context, prompt) for prompt in told.prompts])
        fact = turn.fact if isinstance(turn.fact, Heard) else None
        which = Say("mend_which", {"text": names})
        overlay = Overlay(Mode.CHOOSE, which, heard=fact, asked_for=WHICH, prompts=told.prompts)
        return lay(turn.with_dialog(revisit=None), overlay)
    prompt = told.prompts[0]
    title = _title(turn.context, prompt)
    back = turn.with_dialog(
        revisit=prompt, revisit_because=Why.CORRECTED, overlay=None, misses=0, reminded=False, second=True
    )
    if told.meant is None:
        return stay(back, Say("correction_of", {"text": title}), *question(back.context, back.state)[-1:])
    there = replace(back, understood=told.meant, expectation=told.expectation)
    asked = _change(turn.context, turn.state, prompt, first_up(title), told.meant)
    return confirm(there, replace(told.meant, confirm=True), asked, MEND)


def _to_move(turn: Turn, wrong: Prompt, right: Prompt) -> Result:
    """Whether an answer was of another place: asked with its value and both places."""
    context, state = turn.context, turn.state
    seen = state.observed_at(wrong.name, wrong.place)
    there = state.observed_at(right.name, right.place)
    if seen is None:
        raise DefectError(f"Nothing stands at '{wrong}'.")
    title, shown = first_up(context.check(wrong.name).title), read(seen, context.vocabulary)
    slots = {"title": title, "before": shown, "text": right.place, "place": wrong.place}
    if there is not None:
        return reask(
            turn,
            Say(
                "move_taken",
                {**slots, "text": first_up(right.place or ""), "before": read(there, context.vocabulary)},
            ),
        )
    plain = turn.with_dialog(overlay=None, misses=0, reminded=False)
    return confirm(plain, Understanding(Outcome.CHOICE, turn.meant.heard), Say("move_it", slots), MOVED, right)


def answered(turn: Turn, fact: Heard) -> Mending | None:
    """What is said while a correction waits for its yes, or for which answer is meant; None for neither.

    A value said there is the value of that correction, and never the answer of the prompt below.
    """
    overlay, state, context = turn.state.dialog.overlay, turn.state, turn.context
    if overlay is None or overlay.asked_for not in (MEND, WHICH) or not fact.hypotheses:
        return None
    words = fact.hypotheses[0].words
    if overlay.asked_for == MEND and state.dialog.revisit is not None:
        taken = turn.meant.outcome in TAKEN
        return Mending((state.dialog.revisit,), words, turn.meant, turn.expectation) if taken else None
    first = overlay.heard.hypotheses[0].words if overlay.heard is not None and overlay.heard.hypotheses else ""
    named = named_among(context, state, overlay.prompts, words)
    if not named:
        return None
    if len(named) > 1:
        return Mending(named, first)
    meant, wanted = with_value(context, state, named[0], first)
    return Mending(named, first, meant, wanted)


def _title(context: Context, prompt: Prompt) -> str:
    if prompt.kind is PromptKind.FACT:
        return question_named(context, prompt.name).title or prompt.name
    return at_place(context.check(prompt.name).title, prompt.place)


def _change(context: Context, state: State, prompt: Prompt, title: str, meant: Understanding) -> Say:
    """Whether an answer becomes another one, with both."""
    value, unit = meant.value, None
    seen = state.observed_at(prompt.name, prompt.place)
    if prompt.kind is PromptKind.FACT:
        before, unit = state.facts.get(prompt.name, ""), question_named(context, prompt.name).unit
        known = before.replace(".", "", 1).removeprefix("-").isdecimal()
        before = show_value(Decimal(before), unit, context.vocabulary) if known and unit else before
    elif seen is None:
        raise DefectError(f"Nothing stands at '{prompt}'.")
    else:
        before, unit = read(seen, context.vocabulary), seen.unit
    slots = {"title": title, "before": before, "unit": unit}
    if value is not None:
        return Say("mend_value", {**slots, "value": value})
    if meant.identifier is not None:
        return Say("mend_identifier", {**slots, "text": meant.identifier})
    return Say("mend_choice", {**slots, "text": meant.choice or display_name(meant.outcome.value)})
