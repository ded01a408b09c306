"""Sessions in the middle of the work, each at one prompt, for tables of what is said there.

A scene is written in one line: procedure, kind of the prompt, its name and place, then what stood before it, divided
by semicolons: ``battery-and-charging check battery alone@second battery; fact batteries=four batteries;
battery alone@first battery=12.6``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import cache

from assistant import catalog
from assistant.messages import NO_PROMPT, Prompt, PromptKind, Reason, Why
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    FactAnswered,
    FixChosen,
    Observed,
    Phase,
    PhaseEntered,
    Skipped,
)
from assistant.procedure.load import load_procedure
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Mode
from assistant.session.fold import fold
from tests.session import partner_tables
from tests.session.conversation import Conversation


@cache
def context_of(procedure: str) -> Context:
    """What a session of the procedure works with."""
    return Context(load_procedure(procedure).procedure, catalog.load_vocabulary(), unit_number="4207", simulated=True)


@cache
def _scene(line: str) -> Conversation:
    head, *before = (part.strip() for part in line.split(";"))
    procedure, kind, name = head.split(" ", 2)
    context = context_of(procedure)
    name, _, place = name.partition("@")
    made = list(_begun(context, kind, name, before))
    if kind in ("check", "access", "before"):
        made.append(CheckChosen(name, place or None, 2.0, Reason(Why.IN_ORDER)))
    elif kind == "fix":
        fault = next(one.name for one in context.procedure.faults if one.fix == name)
        chosen = FixChosen(name, place or None, fault, 1.0, True, Reason(Why.IN_ORDER))
        made += [PhaseEntered(Phase.REPAIRING), chosen]
    elif kind == "proof":
        made.append(PhaseEntered(Phase.PROVING))
        names = [one.name for one in context.procedure.proof.steps]
        made += [Skipped(Prompt(PromptKind.PROOF, one), "") for one in names[: names.index(name)]]
    talk = Conversation(context, replace(fold(context, made), dialog=DialogState(live=True)))
    talk.hear("say again")
    if kind == "before":  # before its cautions and openings
        return talk
    for _ in range(14):
        mode = mode_of(context, talk.now)
        if kind == "caution" or mode not in (Mode.CAUTION, Mode.ACCESS) or (mode is Mode.ACCESS and kind == "access"):
            break
        talk.hear("yes")
    return talk


def _begun(context: Context, kind: str, name: str, before: list[str]) -> Iterator[Decision]:
    procedure = context.procedure
    yield PhaseEntered(Phase.CAUTIONS)
    for caution in procedure.cautions:
        if kind != "caution" or caution.name != name:
            yield CautionAcknowledged(caution.name, None, NO_PROMPT)
    if kind == "caution":
        return
    yield PhaseEntered(Phase.FACTS)
    told = dict(part.removeprefix("fact ").split("=") for part in before if part.startswith("fact "))
    for fact in procedure.facts:
        if kind == "fact" and fact.name == name:
            return
        usual = partner_tables.FACTS.get(fact.name) or (fact.choices[0].name if fact.choices else "12")
        value = told.get(fact.name, usual)
        yield FactAnswered(fact.name, value, value)
    yield PhaseEntered(Phase.FINDING)
    for number, part in enumerate((one for one in before if not one.startswith("fact ")), 1):
        what, _, value = part.partition("=")
        check, _, place = what.removeprefix("open ").partition("@")
        if what.startswith("open "):
            yield AccessOpened(check, place or None, 1.0)
            continue
        row = context.check(check)
        if row.kind == "reading":
            seen = Observed(
                number, check, place or None, row.title, {"good": 1.0}, value, value=Decimal(value), unit=row.unit
            )
        else:
            seen = Observed(number, check, place or None, row.title, {value: 1.0}, value, choice=value)
        yield seen


def at(line: str) -> Conversation:
    """The session at the prompt of a scene; what is said there changes no other one."""
    start = _scene(line)
    return Conversation(start.context, start.now)
