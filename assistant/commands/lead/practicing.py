"""A simulated unit with a hidden fault to practice on, and what a session on it cost: for terminal and page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random, SystemRandom

from assistant.commands.shared import named
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.errors import OperatorError
from assistant.messages import Prompt
from assistant.messages.decisions import Ending
from assistant.phrasing.wording import ending_words
from assistant.procedure.model import Procedure
from assistant.session.context import Context
from assistant.simulator.cost_breakdown import CostBreakdown, Work, cost_breakdown, differences, least
from assistant.simulator.technician import UnitRecord
from assistant.simulator.trial import run_trial
from assistant.simulator.truck_unit import TruckUnit, case_of, led_on_truck, truck_faults
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts, draw_survey

DONE = {Ending.CURED_AND_PROVEN.value, Ending.SURVEYED.value}
"""Ends after which minutes may be compared with the best possible."""


@dataclass(frozen=True)
class Hidden:
    """A simulated unit that somebody practices on."""

    make: Callable[[], SimulatedUnit | TruckUnit]
    """Makes the unit as it was before anything was done to it."""
    unit: SimulatedUnit | TruckUnit
    """The one that is worked on."""
    words: str
    """What is hidden, in words."""
    suspects: set[Suspect]
    """The faults; empty for a survey."""
    seed: int


def hide(procedure: Procedure, fault: str | None = None, seed: int | None = None) -> Hidden:
    """A unit with a hidden fault.

    Args:
        procedure: what leads.
        fault: as in ``sensor open @ left rear``; None to draw one by how common it is.
        seed: the same one hides the same; None for any.

    Raises:
        OperatorError: a unit for this procedure cannot have that fault.
    """
    if fault and not procedure.faults:
        raise OperatorError(
            f"{procedure.name} is a survey: it names no fault that could be hidden.",
            remedy="Leave --fault out: one reading or look of it is then not good.",
        )
    number = SystemRandom().randrange(1_000_000) if seed is None else seed
    make, words, suspects = _hide(procedure, fault, number, Random(number))  # noqa: S311 - a simulation, not a secret
    return Hidden(make, make(), words, suspects, number)


def outcome(
    hidden: Hidden, context: Context, record: UnitRecord, shown: Sequence[tuple[Prompt, str]], ending: str
) -> list[str]:
    """What was hidden, the minutes against the best possible, where they went, and what was said otherwise."""
    procedure, unit, best = context.procedure, hidden.unit, hidden.make()
    trial = run_trial(context, best)
    used = cost_breakdown(procedure, record.decisions, record.cures)
    led = cost_breakdown(procedure, trial.decisions, best.useful)
    needed = least(procedure, unit.facts, hidden.suspects) if hidden.suspects else None
    done = ending in DONE and (unit.cured or not procedure.faults)
    return [
        f"Hidden was: {hidden.words} (seed {hidden.seed}). {_ended(ending, unit)}",
        *told(used, led, needed, done=done),
        *(f"Said otherwise: {line}." for line in differences(shown, record.decisions)),
    ]


def told(used: CostBreakdown, led: CostBreakdown, needed: float | None, *, done: bool) -> list[str]:
    """The cost breakdown in words.

    Args:
        used: what this session took.
        led: the same unit with every answer right.
        needed: minutes to reach, repair and verify it for somebody who knows the fault; None for a survey.
        done: True when the session came to its end and nothing is wrong with the unit any more (a
            survey mends nothing).
    """
    lines = [f"Minutes of work: {used.minutes:.0f}. Led without a slip: {led.minutes:.0f}."]
    if done:
        more = round(used.minutes) - round(led.minutes)
        lines[0] += " That is the best there is." if more <= 0 else f" You took {more} more."
    if needed is not None:
        lines.append(f"To reach it, repair it and verify it takes {needed:.0f}; the rest is search.")
    spent = [(kind.value, used.of(kind), _longest(used, kind)) for kind in Work if used.count(kind)]
    return lines + [f"  {name:<27}{minutes:>6.1f} min   {longest}" for name, minutes, longest in spent]


def _longest(used: CostBreakdown, kind: Work) -> str:
    """The three longest pieces of a kind, each named once, and how many more there are."""
    minutes: dict[str, float] = {}
    for item in used.items:
        if item.kind is kind:
            minutes[item.title] = minutes.get(item.title, 0.0) + item.minutes
    longest = sorted(minutes.items(), key=lambda pair: -pair[1])
    text = "; ".join(f"{title} {spent:g}" for title, spent in longest[:3])
    return text + (f"; {len(longest) - 3} more" if len(longest) > 3 else "")


def _ended(ending: str, unit: SimulatedUnit | TruckUnit) -> str:
    if ending == "left":
        return "You left the session before its end."
    if not unit.procedure.faults:
        return f"The session ended: {ending_words(ending)}."
    return f"The session ended: {ending_words(ending)}." + ("" if unit.cured else " The fault is still there.")


def _hide(
    procedure: Procedure, fault: str | None, number: int, rng: Random
) -> tuple[Callable[[], SimulatedUnit | TruckUnit], str, set[Suspect]]:
    """What makes the unit, what is hidden in it in words, and the faults; for a survey one check is out of spec."""
    if led_on_truck(procedure):
        return _hide_in_truck(procedure, fault, number, rng)
    if not procedure.faults:
        surveyed, task, outcome = draw_survey(procedure, rng)
        title = next(check.title for check in procedure.checks if check.name == task.check)
        where = f", {task.place}" if task.place else ""
        return (
            lambda: SimulatedUnit(procedure, surveyed, set(), seed=number, odd={task: outcome}),
            f"{title}{where}: {outcome}",
            set(),
        )
    suspect = _suspect(procedure, fault) if fault else _drawn(procedure, rng)
    facts = draw_facts(procedure, suspect, rng)
    return lambda: SimulatedUnit(procedure, facts, {suspect}, seed=number), named(suspect), {suspect}


def _hide_in_truck(
    procedure: Procedure, fault: str | None, number: int, rng: Random
) -> tuple[Callable[[], TruckUnit], str, set[Suspect]]:
    """The same on a truck that knows nothing of the procedure, with a fault of the truck's own."""
    every = truck_faults(procedure)
    known = tuple(one for one, _ in every)
    drawn: Suspect = rng.choices(known, [weight for _, weight in every])[0]
    hidden = _named_fault(procedure, fault, known) if fault else drawn

    def make() -> TruckUnit:
        return TruckUnit(procedure, case_of(procedure, (hidden,), number))

    return make, named(hidden), set(make().faults_named())


def _suspect(procedure: Procedure, text: str) -> Suspect:
    return _named_fault(procedure, text, fault_model(procedure, {}).suspects)


def _named_fault(procedure: Procedure, text: str, known: Sequence[Suspect]) -> Suspect:
    """The fault of this name and place.

    Raises:
        OperatorError: a unit for this procedure cannot have it.
    """
    name, _, place = (part.strip() for part in text.partition("@"))
    wanted = Suspect(name, place or None)
    if wanted in known:
        return wanted
    same = [named(one) for one in known if one.fault == name]
    names = dict.fromkeys(one.fault for one in known)
    remedy = f"It can be: {', '.join(same)}." if same else f"Faults: {', '.join(names)}."
    raise OperatorError(f"There is no fault '{text}' in {procedure.name}.", remedy=remedy)


def _drawn(procedure: Procedure, rng: Random) -> Suspect:
    seen = fault_model(procedure, {})
    chosen: Suspect = rng.choices(seen.suspects, seen.priors.tolist(), k=1)[0]
    return chosen
