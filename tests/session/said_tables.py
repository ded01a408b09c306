"""What technicians say in the middle of the work, with what should come of it: ``tests/data/said_between.tsv``.

The rows were written before the grammars for them were read, in four ways of speaking; a third is set aside. Run as a
program, it prints the figures of both parts; with ``--wrong`` it lists what went wrong among the others, and with a
class's name only that class.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from assistant import catalog
from assistant.messages import NO_PROMPT, Choice, Expectation, Expects, Outcome, Reason
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    FactAnswered,
    FixChosen,
    FixDone,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofStepDone,
)
from assistant.messages.reasons import Why
from assistant.procedure.choosing import nearest
from assistant.procedure.load import list_procedures, load_procedure
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Mode
from assistant.session.fold import fold
from assistant.session.handlers.answering import MEND
from assistant.understanding.utterance import understand
from tests.session import partner_tables
from tests.session.conversation import Conversation
from tests.understanding.spoken_tables import DATA

TABLE = "said_between"
COUNTED = partner_tables.COUNTED


@dataclass(frozen=True, slots=True)
class Row:
    """One thing said in a scene."""

    kind: str
    style: str
    aside: bool
    scene: str
    said: str
    truth: tuple[str, ...]


def rows() -> Iterator[Row]:
    """The rows; of a truth any one is right."""
    head, *lines = (DATA / f"{TABLE}.tsv").read_text(encoding="utf-8").splitlines()
    assert head.split("\t") == ["class", "style", "aside", "scene", "said", "truth"]
    for line in lines:
        kind, style, aside, scene, said, truth = line.split("\t")
        yield Row(kind, style, aside == "yes", scene, said, tuple(truth.split(" or ")))


@cache
def _context(procedure: str) -> Context:
    return Context(load_procedure(procedure).procedure, catalog.load_vocabulary(), unit_number="4207", simulated=True)


def _seen(context: Context, number: int, check: str, place: str | None, value: str) -> Observed:
    row = context.check(check)
    if row.kind == "reading":
        return Observed(number, check, place, row.title, {"good": 1.0}, value, value=Decimal(value), unit=row.unit)
    choice, _, words = value.partition(": ")
    return Observed(number, check, place, row.title, {choice: 1.0}, words or choice, choice=choice)


BATTERY = (
    ("posts and cables", None, "all tight"), ("rest volts", None, "12.1"), ("charging volts", None, "14.1"),
    ("key-off draw", None, "0.03"),
)  # fmt: skip
TRAILER = (
    ("module blue loaded", None, "12.1"), ("ground drop", None, "0.05"), ("port volts", "left front", "5.0"),
    ("port volts", "left rear", "5.0"), ("look at the plug", "left rear", "clean"),
    ("sensor ohms", "left front", "1200"), ("sensor ohms", "left rear", "5000"),
)  # fmt: skip


@cache
def scene(name: str) -> Conversation:
    """The session at the prompt that a row names."""
    if name == "battery":
        return _led("battery-and-charging", BATTERY, CheckChosen("cranking volts", None, 2.0, Reason(Why.IN_ORDER)))
    if name == "trailer":
        asked = CheckChosen("sensor to ground", "left rear", 2.0, Reason(Why.IN_ORDER))
        return _led("trailer-abs-light-on", TRAILER, asked)
    if name == "two kinds":
        return partner_tables.scene("V")
    if name == "clean plug":
        chosen = FixChosen("clean the plug", "left rear", "plug corroded", 1.0, True, Reason(Why.IN_ORDER))
        return _led("trailer-abs-light-on", TRAILER, chosen)
    return partner_tables.scene(name)


def tone_ring(heard: str) -> Conversation:
    """The trailer where the left rear tone ring is mended, which was told to be damaged in these words."""
    chosen = FixChosen("replace the tone ring", "left rear", "tone ring damaged", 1.0, True, Reason(Why.IN_ORDER))
    return _led("trailer-abs-light-on", (*TRAILER, ("tone ring", "left rear", f"damaged: {heard}")), chosen)


def plug_asked(place: str) -> Conversation:
    """The trailer where the wheel-end plug of one wheel is asked about; the left rear one was seen clean."""
    return _led("trailer-abs-light-on", TRAILER, CheckChosen("look at the plug", place, 2.0, Reason(Why.IN_ORDER)))


def _led(
    procedure: str, seen: tuple[tuple[str, str | None, str], ...], chosen: CheckChosen | FixChosen | None
) -> Conversation:
    context = _context(procedure)
    made: list[Decision] = [PhaseEntered(Phase.CAUTIONS)]
    made += [CautionAcknowledged(one.name, None, NO_PROMPT) for one in context.procedure.cautions]
    made.append(PhaseEntered(Phase.FACTS))
    for fact in context.procedure.facts:
        value = partner_tables.FACTS.get(fact.name) or (fact.choices[0].name if fact.choices else "12")
        if procedure == "trailer-abs-light-on" and fact.name not in partner_tables.FACTS:
            continue
        made.append(FactAnswered(fact.name, value, value))
    made.append(PhaseEntered(Phase.FINDING))
    if procedure == "trailer-abs-light-on":
        made += [AccessOpened("module plugs", None, 1.0)]
        made += [AccessOpened(name, place, 1.0) for name, place in partner_tables.EVERYWHERE]
    made += [_seen(context, number, *one) for number, one in enumerate(seen, 1)]
    made += [PhaseEntered(Phase.REPAIRING)] if isinstance(chosen, FixChosen) else []
    made += [chosen] if chosen is not None else []
    talk = Conversation(context, replace(fold(context, made), dialog=DialogState(live=True)))
    talk.hear("say again")
    for _ in range(12):
        if mode_of(talk.context, talk.now) not in (Mode.CAUTION, Mode.ACCESS):
            break
        talk.hear("yes")
    return talk


def told(row: Row) -> tuple[str, bool]:
    """What came of a row in the words of the table, and whether something was counted by it."""
    if row.scene == "complaint":
        found = nearest(row.said, [load_procedure(path).procedure for path in list_procedures()])
        return (found[0].name if len(found) == 1 else "which" if found else "ask"), False
    if row.scene == "lamps":
        step = _context("seven-way-power-and-grounds").proof_step("every circuit")
        wanted = Expectation(Expects.CHOICE, choices=tuple(Choice(one.name, one.also) for one in step.choices))
        meant = understand(row.said, wanted, catalog.load_vocabulary())
        choice = meant.choice if meant.outcome is Outcome.CHOICE else None
        shown = {"all light": "works", "not all": "dead", None: "ask"}[choice]
        return (f"{shown}?" if meant.confirm and choice else shown), choice is not None and not meant.confirm
    start = scene(row.scene)
    talk = Conversation(start.context, start.now)
    keys = [say.key for say in talk.hear(row.said)]
    made = talk.decisions
    counted = any(type(one).__name__ in COUNTED for one in made)
    overlay = talk.now.dialog.overlay
    if row.kind in ("mend", "trap"):
        return _mended(talk, keys), counted
    seen = "; ".join(_shown(one) for one in made if isinstance(one, Observed))
    if overlay is not None and overlay.mode is Mode.CONFIRM and overlay.candidate is not None and row.kind == "two":
        place = overlay.candidate.place or getattr(talk.now.action, "place", "")
        more = f"{place}={_value(overlay.candidate)}"
        seen = f"{seen}; {more}" if seen else more
    if row.kind == "two" and seen:
        return seen, counted
    if row.kind == "unit":
        values = [one.value for one in made if isinstance(one, FactAnswered) and one.fact == "unit number"]
        if values:
            return values[0], counted
        if overlay is not None and overlay.candidate is not None:
            return f"{overlay.candidate.identifier}?", counted
        return "ask", counted
    fixed = [one for one in made if isinstance(one, FixDone)]
    if row.kind == "ways" and fixed:
        way = "replaced" if "replaced" in fixed[0].title and "or" not in fixed[0].title.split() else "cleaned"
        return (f"yes {way}" if " or " not in fixed[0].title else "yes"), counted
    if any(isinstance(one, AccessOpened | FixDone | CautionAcknowledged | ProofStepDone) for one in made):
        return "yes", counted
    return ("skip" if "reason" in keys else "ask"), counted


def _mended(talk: Conversation, keys: list[str]) -> str:
    overlay, dialog = talk.now.dialog.overlay, talk.now.dialog
    taken = [one for one in talk.decisions if isinstance(one, Observed | ObservationWithdrawn | FactAnswered)]
    if taken:
        return "; ".join(_shown(one) if isinstance(one, Observed) else type(one).__name__ for one in taken)
    if overlay is not None and overlay.asked_for == MEND and dialog.revisit is not None:
        assert overlay.candidate is not None
        named = " ".join(filter(None, (dialog.revisit.name, dialog.revisit.place)))
        return f"{named}={_value(overlay.candidate)}?"
    if overlay is not None and overlay.asked_for == "mend_which":
        return "which"
    if "mend_none" in keys:
        return "none"
    if dialog.revisit is not None:
        return f"{' '.join(filter(None, (dialog.revisit.name, dialog.revisit.place)))}?"
    if overlay is not None and overlay.candidate is not None:
        return f"{_value(overlay.candidate)}?"
    return "ask"


def _value(candidate: object) -> str:
    value, outcome = getattr(candidate, "value", None), getattr(candidate, "outcome", None)
    if value is not None:
        return f"{value.normalize():f}"
    return "OL" if outcome is Outcome.OVER_RANGE else getattr(candidate, "choice", "") or ""


def _shown(one: Observed) -> str:
    value = one.choice or (
        "OL" if one.display == "over_range" else "" if one.value is None else f"{one.value.normalize():f}"
    )
    return f"{one.place or one.check}={value}"


@cache
def fares(row: Row) -> str:
    """``right``, ``asked``, ``wrong asked`` or ``wrong silent``."""
    got, counted = told(row)
    if got in row.truth or got.split("=")[-1] in row.truth:
        return "right"
    if "ask" in row.truth and got.endswith("?") and got.removesuffix("?") in row.truth:
        return "right"
    if row.truth == ("ask",) and not counted:
        return "right" if got == "ask" else "asked" if got in ("which", "none", "skip") else "wrong asked"
    if row.kind == "two" and any(one.startswith(f"{got};") for one in row.truth):
        return "asked"  # the first is taken, the other one is asked for
    if counted:
        return "wrong silent"
    return "wrong asked" if got.endswith("?") else "asked"


def main() -> None:
    """Print the figures of both parts; ``--wrong`` lists what is not right among the rows that are worked on."""
    only = [one for one in sys.argv[1:] if not one.startswith("--")]
    counts: dict[tuple[str, bool], Counter[str]] = {}
    for row in rows():
        if only and row.kind not in only:
            continue
        how = fares(row)
        counts.setdefault((row.kind, row.aside), Counter())[how] += 1
        if "--wrong" in sys.argv and not row.aside and how != "right":
            print(
                f"  {how:<12} {row.kind:<9} [{row.scene}] {row.said!r}: {told(row)[0]}, not {' or '.join(row.truth)}"
            )
    for (kind, aside), part in sorted(counts.items()):
        shown = ", ".join(f"{how} {part[how]}" for how in ("right", "asked", "wrong asked", "wrong silent"))
        print(f"{kind:<10} {'aside' if aside else 'worked':<7} {part.total():4}: {shown}")


if __name__ == "__main__":
    main()
