"""Answers to the facts about the unit."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import (
    Ask,
    Clarification,
    Command,
    Heard,
    Outcome,
    Prompt,
    PromptKind,
    Say,
    Understanding,
    Why,
)
from assistant.messages.decisions import Decision, FactAnswered, FactWithdrawn, Phase, PhaseEntered, SaidTogether
from assistant.session.agenda.facts_to_ask import AS_LAST_TIME, as_it_was, as_told
from assistant.session.agenda.prompts import question_named
from assistant.session.dialog_state import Mode
from assistant.session.fold import State
from assistant.session.handlers.early import back_to_it
from assistant.session.handlers.finding import confirm, remark_of_yes
from assistant.session.ledger import AS_TOLD, NOT_SURE, OWN_COMPLAINT
from assistant.session.saying.questions import UNSURE
from assistant.session.turn import Result, Turn, record, spoken
from assistant.session.unprompted.breath import told_in
from assistant.understanding.commanding.wishes import no_idea
from assistant.understanding.guessing import GUESS, UNTOLD

_UNTOLD = (Outcome.NOT_UNDERSTOOD, Outcome.REPORT)
"""Outcomes of words that answer nothing: a 'no clue' among them counts whatever stands beside it."""


def unsure(turn: Turn, fact: Heard, meant: Understanding) -> Understanding | None:
    """'Not sure' at a fact that allows it, whatever it waits for; at a check, which is passed by for now."""
    asked = turn.asked
    if asked.mode not in (Mode.FACT, Mode.CHECK) or turn.state.dialog.overlay is not None or not fact.hypotheses:
        return None
    if asked.mode is Mode.FACT and not question_named(turn.context, asked.name).unsure:
        return None
    words = fact.hypotheses[0].words
    said = " ".join(words.lower().replace("'", "").split()).strip(" .,!?").removeprefix("i ").removeprefix("im ")
    forms = {form.replace("'", "") for form in (UNSURE.name, *UNSURE.also)}
    guessed = meant.reason == UNTOLD
    if (
        not guessed
        and said not in forms
        and not no_idea(words, turn.context.vocabulary, beside=meant.outcome in _UNTOLD)
    ):
        return None
    if asked.mode is Mode.CHECK and guessed:
        ask = Clarification(Ask.GUESSED, names=(Command.SKIP.value,))
        return Understanding(
            Outcome.COMMAND, words, command=Command.SKIP, choice=NOT_SURE, confirm=True, ask=ask, reason=GUESS
        )
    if asked.mode is Mode.CHECK:
        return Understanding(Outcome.COMMAND, words, command=Command.SKIP, choice=NOT_SURE)
    return Understanding(Outcome.CHOICE, words, choice=NOT_SURE)


def answer_fact(turn: Turn, meant: Understanding, *, confirmed: bool) -> Result | None:
    """Take an answer to a fact; None when it does not answer it."""
    question = question_named(turn.context, turn.asked.name)
    value = _fact_value(meant)
    if value is None:
        return None
    if value in question.declines and not confirmed:
        return confirm(turn, meant, Say("declines", {"text": value}), "declines")
    if meant.outcome is Outcome.NOTE and not confirmed and spoken(turn):
        return confirm(turn, meant, Say("note_back", {"text": value.rstrip(".")}), "note")
    before = withdrawn_fact(turn.state, question.name)
    again = turn.state.dialog.revisit == Prompt(PromptKind.FACT, question.name)
    kept = turn.state.dialog.revisit_because is Why.CORRECTED and turn.state.phase in (Phase.PROVING, Phase.CLOSING)
    if again and turn.state.phase is not Phase.FACTS and not kept:
        before = (*before, PhaseEntered(Phase.FACTS))
    if question.name == AS_LAST_TIME:
        return _as_it_was(turn, meant, value)
    if question.name == AS_TOLD:
        known = as_told(turn.context, turn.state) if value == "yes" else {}
        told = tuple(FactAnswered(name, one, turn.context.own_words) for name, one in known.items())
        return record(turn, (*told, FactAnswered(AS_TOLD, value, meant.heard)), Say("choice_logged", {"text": value}))
    if question.name == OWN_COMPLAINT:
        return _told_own_words(turn, meant, value, before)
    made = (*before, *remark_of_yes(turn, confirmed=confirmed), FactAnswered(question.name, value, meant.heard))
    said, waits = _fact_read_back(question.unit, meant, value), turn.state.dialog.kept
    return record(turn, made, said) if waits is None else back_to_it(turn, waits, made, said)


def _told_own_words(turn: Turn, meant: Understanding, words: str, before: tuple[Decision, ...]) -> Result:
    """The complaint in own words, and the facts that it names: read back, and taken back, together."""
    context = turn.context
    told = as_told(replace(context, told_facts=told_in(context, words)), turn.state)
    made = [*before, FactAnswered(OWN_COMPLAINT, words, meant.heard)]
    made += [FactAnswered(name, value, words) for name, value in told.items()]
    if not told:
        return record(turn, made, Say("noted"))
    made.append(SaidTogether(1 + len(told)))
    return record(turn, made, Say("facts_logged", {"items": tuple(told.values())}))


def _as_it_was(turn: Turn, meant: Understanding, value: str) -> Result:
    """Yes: what was known last time counts as answered. No: each is asked when it matters."""
    known = as_it_was(turn.context, turn.state) if value == "yes" else {}
    told = tuple(FactAnswered(name, last, meant.heard) for name, last in known.items())
    return record(
        turn, (*told, FactAnswered(AS_LAST_TIME, value, meant.heard)), Say("choice_logged", {"text": value})
    )


def withdrawn_fact(state: State, fact: str) -> tuple[Decision, ...]:
    """The decision that takes back a fact's answer, if it has one."""
    return (FactWithdrawn(fact),) if fact in state.facts else ()


def _fact_value(meant: Understanding) -> str | None:
    match meant.outcome:
        case Outcome.CHOICE:
            return meant.choice
        case Outcome.IDENTIFIER:
            return meant.identifier
        case Outcome.NOTE:
            return meant.note or meant.heard
        case Outcome.READING:
            return None if meant.value is None else format(meant.value, "f")
        case _:
            return None


def _fact_read_back(unit: str | None, meant: Understanding, value: str) -> Say:
    if meant.outcome is Outcome.READING:
        return Say("fact_value", {"value": meant.value, "unit": unit})
    if meant.outcome is Outcome.IDENTIFIER:
        return Say("identifier", {"text": value})
    return Say("choice_logged", {"text": value}) if meant.outcome is Outcome.CHOICE else Say("noted")
