"""``leadsman practice``: a session on a simulated unit with a hidden fault, and what it cost at the end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from random import Random, SystemRandom

import click

from assistant import catalog, library
from assistant.clock import Clock, ScriptedClock, SystemClock
from assistant.commands.completion import complete_procedures
from assistant.commands.lead.ending import survey_end
from assistant.commands.lead.live import Live, Wishes, model_used, open_live, tell
from assistant.commands.records.places import records_option
from assistant.commands.shared import named
from assistant.commands.terminal import echo, is_terminal
from assistant.composition import load_sound_procedure, new_session, remarks_of
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.display.board import board
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.inputs.console import ConsoleListener
from assistant.inputs.ports import Listener
from assistant.loop import Loop
from assistant.messages import Expectation
from assistant.messages.decisions import Ending
from assistant.procedure.model import Procedure
from assistant.simulator.cost_breakdown import CostBreakdown, Work, cost_breakdown, differences, least, minutes_of
from assistant.simulator.partner import SAME, Partner
from assistant.simulator.technician import UnitRecord
from assistant.simulator.trial import run_trial
from assistant.simulator.truck_unit import TruckUnit, case_of, led_on_truck, truck_faults
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts, draw_survey

GREETING = (
    "Practice: an invented unit with a hidden fault. What it shows stands in brackets; say it in your own words, "
    f"or type {SAME} to say just that. Nothing is to be done to a real unit."
)


WATCHED = (
    "Practice: an invented unit with a hidden fault, which answers by itself. What it shows stands in brackets; the "
    "clock runs as long as the work would take."
)
ANSWER_SECONDS = 4.0
"""What asking and answering takes on the clock of a session that is only watched; from memory, no source."""
DONE = {Ending.CURED_AND_PROVEN.value, Ending.SURVEYED.value}
"""Ends after which minutes may be compared with the best possible."""


@click.command("practice", epilog="Example: leadsman practice trailer-abs-light-on --typed --seed 7")
@click.argument("procedure", shell_complete=complete_procedures)
@click.option("--fault", help="The hidden fault, as in 'sensor open @ left rear'; else drawn by how common it is.")
@click.option("--seed", type=click.IntRange(0), help="The same seed hides the same fault in the same unit.")
@click.option(
    "--typed", is_flag=True, help="Type the answers. Default: at a terminal the microphone and the keyboard."
)
@click.option("--listen", is_flag=True, help="Listen to the microphone, also where nobody sits at a terminal.")
@click.option("--watch", is_flag=True, help="The unit answers by itself, so that you can read how it is led.")
@records_option
def practice_command(
    procedure: str, fault: str | None, seed: int | None, typed: bool, listen: bool, watch: bool, records: Path | None
) -> None:
    """Practice PROCEDURE on a simulated unit with a hidden fault: it shows the readings, you say them.

    At the end: what it was, the minutes you used against the best possible, and where the time went.
    """
    if sum([typed, listen, watch]) > 1:
        raise click.UsageError("Give only one of --typed, --listen and --watch.")
    read = load_sound_procedure(procedure, catalog.load_vocabulary())
    loaded = read.procedure
    if read.remarks:
        echo(remarks_of(procedure, read.remarks), err=True)
    if fault and not loaded.faults:
        raise OperatorError(
            f"{loaded.name} is a survey: it names no fault that could be hidden.",
            remedy="Leave --fault out: one reading or look of it is then not good.",
        )
    number = SystemRandom().randrange(1_000_000) if seed is None else seed
    rng = Random(number)  # noqa: S311 - a simulation, not a secret
    make, hidden, suspects = _hide(loaded, fault, number, rng)
    with ExitStack() as stack:
        clock = ScriptedClock(SystemClock().wall()) if watch else SystemClock()
        screen, person, live = _edges(stack, clock, typed=typed, listen=listen, watch=watch)
        folder = records or library.records_folder() / "practice"
        work = new_session(procedure, folder, clock, unit="0000", invented=True, history=False)
        stack.callback(work.journal.close)
        unit = make()
        record = UnitRecord(unit, work.journal)
        partner = Partner(unit, screen.notice, clock.now, person)
        stack.callback(partner.close)
        screen.notice(WATCHED if watch else GREETING)
        loop = Loop(work.context, work.state, record, partner, screen, clock)

        def on_listen(expectation: Expectation) -> None:
            partner.show(expectation)
            if isinstance(clock, ScriptedClock):
                clock.advance(ANSWER_SECONDS + 60 * minutes_of(loaded, expectation.prompt))
            if live is not None and live.chat is not None:
                live.chat.show(board(loop.context, loop.state, expectation), expectation.hint)

        loop.on_listen = on_listen
        ending = loop.run()
    best = make()
    trial = run_trial(work.context, best)
    used = cost_breakdown(loaded, record.decisions, record.cures)
    led = cost_breakdown(loaded, trial.decisions, best.useful)
    needed = least(loaded, unit.facts, suspects) if suspects else None
    echo()
    echo(survey_end(work.header, loop.state), nl=False)
    echo(f"Hidden was: {hidden} (seed {number}). {_ended(ending, unit)}")
    for line in told(used, led, needed, done=ending in DONE and (unit.cured or not loaded.faults)):
        echo(line)
    for line in differences(partner.shown, record.decisions):
        echo(f"Said otherwise: {line}.")
    echo(f"Record: {work.journal.where}")


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
        lines.append(f"To reach it, mend it and prove it takes {needed:.0f}; the rest is search.")
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
        return f"The session ended: {ending}."
    return f"The session ended: {ending}." + ("" if unit.cured else " The fault is still there.")


def _edges(
    stack: ExitStack, clock: Clock, *, typed: bool, listen: bool, watch: bool
) -> tuple[Screen, Listener | None, Live | None]:
    """The screen, where the person's answers come from, and what is live where there is such."""
    if watch:
        return Screen(), None, None
    if not (listen or is_terminal()):
        return Screen(), ConsoleListener(clock.now), None
    wishes = Wishes(True if listen else False if typed else None, headset=False, speak=False if typed else None)
    model_used(wishes)
    live = open_live(stack, clock.now, wishes, tell)
    return Screen(live.voice, interactive=live.chat is None and is_terminal()), live.listener, live


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
