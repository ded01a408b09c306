"""Answers of every kind: doubts about what was meant come first, then the prompt that is answered."""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.fault_model import Suspect
from assistant.messages import (
    About,
    Ask,
    Expects,
    Heard,
    Outcome,
    Prompt,
    PromptKind,
    Reason,
    Say,
    Understanding,
    Why,
)
from assistant.messages.decisions import FixChosen, NoteTaken, Phase, PhaseEntered, Remarked
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.speech_chunks import say_list
from assistant.phrasing.verdicts import verdict_word
from assistant.session.agenda.next_action import shares
from assistant.session.dialog_state import Mode, Overlay
from assistant.session.handlers.facts import answer_fact
from assistant.session.handlers.finding import answer_check, confirm, doubt, is_it, moved, named_here, seen_elsewhere
from assistant.session.handlers.proof_codes import ACTIVE, IS_ACTIVE, is_active, is_stored
from assistant.session.handlers.proving import answer_proof
from assistant.session.observing.observations import verdict_of
from assistant.session.turn import Result, Turn, lay, lift, reask, record, stay
from assistant.understanding.clarifications import named_of
from assistant.understanding.interpret import BY_SOUND

MEND, MOVED = "correction", "moved"
"""Why a yes is asked for: an earlier answer becomes another one, or belongs to another place."""
NOISY_DECIBELS = 10.0
"""Below this signal-to-noise ratio noise is named as the reason; measured, see the design's section on hearing."""


def answer(turn: Turn) -> Result:
    """An answer of the kind that the prompt waits for."""
    meant = turn.meant
    if turn.asked.mode is Mode.CHECK and meant.outcome is Outcome.READING:
        doubted = doubt(turn, turn.context.check(turn.asked.name), meant)
        if doubted is not None:
            return doubted
    at_a_check = turn.asked.mode is Mode.CHECK and meant.reason in BY_SOUND  # there the plan tells what it would cost
    if meant.about is About.GOOD and meant.confirm and meant.value is not None and turn.asked.mode is Mode.CHECK:
        return confirm(turn, meant, _would_be(turn, meant), meant.reason)
    if meant.confirm and not at_a_check and not (meant.reason in BY_SOUND and _fails_the_proof(turn, meant)):
        asked = None if meant.value is not None else meant.ask
        question = named_here(turn, meant) or (is_it(turn, meant) if asked is None else clarified(asked))
        return confirm(turn, meant, question, meant.reason or "unsure")
    return _accept(turn, meant, confirmed=False)


def _fails_the_proof(turn: Turn, meant: Understanding) -> bool:
    """Whether it ends the proof: that is asked about in words of its own, whatever the sound left open."""
    proves = turn.asked.mode is Mode.PROOF and meant.choice is not None
    return proves and meant.choice not in turn.context.proof_step(turn.asked.name).passes


def _would_be(turn: Turn, meant: Understanding) -> Say:
    """How a value that was asked about would be judged, and whether it is the reading."""
    check = turn.context.check(turn.asked.name)
    verdict = verdict_of(turn.context, turn.state, check, turn.asked.place, meant)
    return Say("would_be", {"value": meant.value, "unit": check.unit, "word": verdict_word(verdict.grade)})


def _accept(turn: Turn, meant: Understanding, *, confirmed: bool) -> Result:
    match turn.asked.mode:
        case Mode.CHECK:
            return answer_check(turn, meant, confirmed=confirmed)
        case Mode.PROOF:
            return answer_proof(turn, meant, confirmed=confirmed)
        case Mode.FACT:
            return answer_fact(turn, meant, confirmed=confirmed) or misunderstood(turn)
        case _:
            return misunderstood(turn)


def confirmed_yes(turn: Turn) -> Result:
    """Yes: the answer that was asked about counts, under the words in which it was given."""
    overlay = turn.state.dialog.overlay
    if overlay is None or overlay.candidate is None:
        return reask(turn)
    if overlay.prompt is not None and overlay.asked_for == MOVED:
        return moved(turn, overlay.prompt)
    if overlay.asked_for in (ACTIVE, IS_ACTIVE):
        return is_active(turn)
    if overlay.prompt is not None and overlay.prompt.kind is PromptKind.FIX:
        return _cause_confirmed(turn, overlay.candidate, overlay.prompt)
    accepted = replace(overlay.candidate, heard=_accepted_words(overlay.candidate))
    original = Turn(turn.context, turn.state, overlay.heard or turn.fact, accepted, turn.expectation)
    if overlay.prompt is not None:
        return seen_elsewhere(replace(original, understood=overlay.candidate), overlay.prompt)
    return _accept(original, accepted, confirmed=True)


def _cause_confirmed(turn: Turn, candidate: Understanding, prompt: Prompt) -> Result:
    """Yes to a cause that was told: its repair comes next, and the record keeps his words."""
    fault = candidate.choice or ""
    each = next(one.each for one in turn.context.procedure.faults if one.name == fault)
    share = shares(turn.context, turn.state).get(Suspect(fault, prompt.place if each else None), 0.0)
    because = Reason(Why.TOLD, {"words": candidate.heard})
    fix = FixChosen(prompt.name, prompt.place, fault, share, condemned=True, because=because)
    phase = () if turn.state.phase is Phase.REPAIRING else (PhaseEntered(Phase.REPAIRING),)
    return record(turn, (NoteTaken(candidate.heard), *phase, fix))


def _accepted_words(candidate: Understanding) -> str:
    """The words that a yes made count: not what stood around them, nor what was heard in their place."""
    if candidate.outcome is Outcome.CHOICE and candidate.choice is not None:
        return candidate.choice
    if candidate.outcome is Outcome.IDENTIFIER and candidate.identifier is not None:
        return candidate.identifier
    if candidate.outcome is Outcome.READING and candidate.said_at is not None:
        start, end = candidate.said_at
        return candidate.heard[start:end].strip() or candidate.heard
    return candidate.heard


def confirmed_no(turn: Turn) -> Result:
    """No: the answer that was asked about does not count; its prompt comes again."""
    overlay = turn.state.dialog.overlay
    if overlay is not None and overlay.asked_for == IS_ACTIVE:
        return is_stored(turn)
    what = Reason(Why.REFUSED, {"doubt": overlay.asked_for if overlay is not None else ""})
    under = turn.state.dialog
    plain = replace(under, overlay=None, misses=0, quick=False)
    kept = "dropped"
    if overlay is not None and overlay.asked_for == MEND:
        plain, kept = replace(plain, revisit=None, second=False), "left_as_it_was"
    return record(turn, (Remarked(what),), Say(kept), keep=True, dialog=plain)


def choose(turn: Turn) -> Result:
    """Several meanings: name them and ask which. A single name is asked about, so that a yes answers."""
    meant = turn.meant
    ask = meant.ask
    if ask is not None and ask.ask is Ask.WHICH_NAME and len(ask.names) == 1:
        named = replace(meant, outcome=Outcome.CHOICE, choice=ask.names[0], confirm=True)
        return confirm(turn, named, named_here(turn, named) or clarified(ask), meant.reason or "unsure")
    values = meant.values or ()
    unit = turn.expectation.unit if turn.expectation is not None else meant.unit
    if len(values) == 2:
        question = Say("which_two", {"first": values[0], "second": values[1], "unit": unit})
    else:
        question = clarified(meant.ask) if meant.ask is not None else Say("which_one")
    return lay(turn, Overlay(Mode.CHOOSE, question, values=values, asked_for=meant.reason or "two_meanings"))


def incomplete(turn: Turn) -> Result:
    """Only part of a number came."""
    meant = turn.meant
    return stay(turn.with_dialog(overlay=None), clarified(meant.ask) if meant.ask is not None else Say("incomplete"))


def misunderstood(turn: Turn) -> Result:
    """Not understood: nothing is recorded. The second time, why, and typing is offered."""
    meant, dialog = turn.meant, turn.state.dialog
    if meant.reason == "silence":
        return stay(turn)
    misses = dialog.misses + 1
    after = turn.with_dialog(misses=misses)
    snr = turn.fact.snr_db if isinstance(turn.fact, Heard) else None
    if misses % 2 == 0:
        if snr is not None and snr < NOISY_DECIBELS:
            return _unanswered(after, Say("noisy"))
        wants_number = turn.expectation is not None and turn.expectation.expects is Expects.READING
        key = "missed_number" if wants_number else "missed"
        return _unanswered(after, Say(f"{key}_typed" if turn.typed else key))
    if meant.ask is not None:
        return _unanswered(after.with_dialog(rest=_not_named(turn)), clarified(meant.ask), ask=False)
    return _unanswered(after, Say("again"))


def _unanswered(turn: Turn, says: Say, *, ask: bool = True) -> Result:
    """Words that answer nothing: the record keeps them, but for what was said to somebody else."""
    words = turn.meant.heard
    if turn.meant.reason == "talk" or set(words.split()) <= {UNKNOWN_WORD}:
        return reask(turn, says) if ask else stay(turn, says)
    what = Remarked(Reason(Why.NOT_UNDERSTOOD, {"words": words}))
    return record(turn, (what,), says, keep=True, ask=ask)


def _not_named(turn: Turn) -> tuple[Say, ...]:
    """The choices that 'please say one of' leaves out."""
    choices = turn.expectation.choices if turn.expectation is not None else ()
    return say_list("answers", "and_then", [choice.name for choice in choices[named_of(choices) :]])


def not_asked(turn: Turn) -> Result:
    """A yes, a no or a next that nobody asked for: repeat what was asked."""
    return reask(turn, Say("not_asked"))


def ask_again(turn: Turn) -> Result:
    """'Next' after a remark: the prompt again."""
    if turn.state.dialog.overlay is None and turn.state.dialog.revisit:
        return reask(turn.with_dialog(revisit=None, misses=0), Say("left_as_it_was"))
    return reask(turn)


def yes_or_no(turn: Turn) -> Result:
    """Something else where only yes or no is possible."""
    return reask(turn, Say("yes_or_no"))


def drop(turn: Turn) -> Result:
    """The answer that was asked about is dropped."""
    overlay = turn.state.dialog.overlay
    if overlay is not None and overlay.asked_for == MEND:
        return lift(turn.with_dialog(revisit=None, second=False), Say("left_as_it_was"))
    return lift(turn, Say("dropped"))
