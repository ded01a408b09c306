"""Proving a procedure: every fault at every place it can have, and pairs, led to its cure in whole sessions.

Each trial is a session from its first word to its end, led through the same loop as a live one on a simulated unit.

Trials are independent of each other and seeded by their number, so that any number of processes gives one report.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import combinations
from random import Random

from assistant import catalog
from assistant.diagnosis.fault_model import FaultModel, Suspect, fault_model
from assistant.messages.decisions import Ending
from assistant.pool import shared_by
from assistant.procedure.model import Procedure
from assistant.session.context import Context
from assistant.simulator.mishearing import ears
from assistant.simulator.prove_report import Report, middle_and_most, report_of
from assistant.simulator.slips import counted
from assistant.simulator.technician import Habits, Hears
from assistant.simulator.trial import Trial, context_of, run_trial
from assistant.simulator.truck_unit import TruckUnit, case_of, led_on_truck, truck_couples, truck_faults
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts

METER_ERROR = 0.005
"""Share of the reading that the simulated meter may be off: half a percent, as low-cost meters state; from memory."""
COMPLAINTS = 8
"""Sets of facts drawn for each suspect; its units share them in turn, each with its own readings, slips and skips."""
CHUNK = 40
"""Trials that a process takes at a time: those of one suspect lie together and come to the same situations."""


@dataclass(frozen=True, slots=True)
class _Job:
    """What every trial of one report shares."""

    facts: Mapping[str, str] | None
    slip: float
    habits: Habits
    unsure: float
    meter_error: float
    noise: str = ""


def prove(
    procedure: Procedure,
    *,
    facts: Mapping[str, str] | None = None,
    runs: int = 1,
    units: int | None = None,
    pairs: int = 0,
    sound: int = 0,
    tools: int = 0,
    slip: float = 0.0,
    habits: Habits = Habits(),  # noqa: B008 - frozen
    unsure: float = 0.1,
    meter_error: float = METER_ERROR,
    noise: str = "",
    seed: int = 0,
    workers: int = 1,
    cluster: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> Report:
    """Lead a session on a unit with every fault at every place. The same arguments give the same report.

    A procedure whose checks all say where their answers come from is led on a truck that knows nothing of it, with
    the truck's own faults; any other on a unit that answers out of the procedure.

    Args:
        procedure: what is to be proven.
        facts: facts of the unit, fixed; without them each trial draws facts that fit its fault.
        runs: trials for each suspect.
        units: trials with one fault in all, shared evenly by the suspects; None: ``runs`` for each.
        pairs: trials with two faults at once, drawn by weight.
        sound: trials on units with nothing wrong; for procedures that are led on a truck.
        tools: trials with a dead meter or a load that draws nothing; for procedures that are led on a truck.
        slip: chance that a check is answered wrongly.
        habits: what the technician does beside answering.
        unsure: chance that a fact is answered 'not sure', where facts are drawn.
        meter_error: readings are off by up to this share, and judged by a meter as accurate as that.
        noise: answers are misheard as often as they were measured to be at this level, one of ``mishearing.LEVELS``;
            '' hears every word.
        seed: of everything drawn.
        workers: processes that share the trials.
        cluster: address of a Dask scheduler whose workers share them instead; '' for this machine.
        progress: called with trials done and trials to do.
    """
    open_view = fault_model(procedure, dict(facts or {}))
    on_truck = led_on_truck(procedure)
    rng = Random(seed)  # noqa: S311 - a simulation, not a secret
    every = tuple(one for one, _ in truck_faults(procedure)) if on_truck else open_view.suspects
    count = len(every)
    each = [runs] * count if units is None else _shared(units, count)
    singles = [suspect for suspect, times in zip(every, each, strict=True) for _ in range(times)]
    couples = truck_couples(procedure, pairs, rng) if on_truck else _couples(open_view, pairs, rng)
    whole: list[tuple[Suspect, ...]] = [()] * (sound if on_truck else 0)
    base = seed * 1_000_003
    told = [
        base + number * COMPLAINTS + turn % COMPLAINTS for number, times in enumerate(each) for turn in range(times)
    ]
    broken = [(one,) for one in _drawn_on_truck(procedure, tools, rng)] if on_truck else []
    told += [base + count * COMPLAINTS + number for number in range(len(couples) + len(whole) + len(broken))]
    suspects = [*((suspect,) for suspect in singles), *couples, *whole, *broken]
    spoiled = len(suspects) - len(broken)
    numbered = [
        _Unit(base + number, told[number], real, "" if number < spoiled else TOOLS[number % len(TOOLS)])
        for number, real in enumerate(suspects)
    ]
    job = _Job(facts, slip, habits, unsure, meter_error, noise)
    trials: list[Trial] = []
    for trial in _run(procedure, job, numbered, workers, cluster):
        trials.append(trial)
        if progress is not None:
            progress(len(trials), len(numbered))
    pairs_end = len(singles) + len(couples)
    report = report_of(procedure, open_view, trials[: len(singles)], trials[len(singles) : pairs_end])
    healthy = trials[pairs_end : pairs_end + len(whole)]
    with_bad_tools = [trial for trial in trials[pairs_end + len(whole) :] if trial.tool_needed]
    return replace(
        report,
        on_truck=on_truck,
        sound_runs=len(healthy),
        sound_parts=sum(len(trial.good_parts) for trial in healthy),
        sound_minutes=middle_and_most([one.minutes for one in healthy if one.ending == Ending.NOT_PRESENT]),
        slips=counted(slip for trial in trials[: pairs_end + len(whole)] for slip in trial.slips),
        sound_ended_so=sum(trial.ending == Ending.NOT_PRESENT for trial in healthy),
        tool_runs=len(with_bad_tools),
        tool_noticed=sum(trial.tool_noticed for trial in with_bad_tools),
        misheard=sum(trial.misheard for trial in trials),
        false_causes=report.false_causes + sum(len(trial.false_causes) for trial in healthy),
        trials=tuple(trials),
    )


def _shared(units: int, count: int) -> list[int]:
    """So many units shared evenly; those left over go to suspects spread over the whole list."""
    return [(number + 1) * units // count - number * units // count for number in range(count)]


def _drawn_on_truck(procedure: Procedure, count: int, rng: Random) -> list[Suspect]:
    """Defects of the truck, drawn by how common each is."""
    every = truck_faults(procedure)
    return rng.choices([one for one, _ in every], [weight for _, weight in every], k=count) if count else []


TOOLS = ("meter", "load")
"""Tools that may be at fault."""


@dataclass(frozen=True, slots=True)
class _Unit:
    """One trial to be led."""

    seed: int
    """Of the trial."""
    told: int
    """Seed of its facts."""
    suspects: tuple[Suspect, ...]
    """What is wrong."""
    tool: str = ""
    """Tool that is at fault, '' for none."""


def _run(procedure: Procedure, job: _Job, numbered: Sequence[_Unit], workers: int, cluster: str) -> Iterator[Trial]:
    text = procedure.model_dump_json()
    if workers <= 1 and not cluster:
        for one in numbered:
            yield from _chunk(text, job, [one])
        return
    chunks = [numbered[start : start + CHUNK] for start in range(0, len(numbered), CHUNK)]
    with shared_by(workers, cluster) as executor:
        for trials in executor.map(partial(_chunk, text, job), chunks):
            yield from trials


@lru_cache(maxsize=1)
def _led_with(procedure: str, meter_error: float) -> Context:
    """What a process leads its trials with, made once for all that it is given."""
    return context_of(Procedure.model_validate_json(procedure), catalog.load_vocabulary(), meter_error)


def _chunk(procedure: str, job: _Job, numbered: Sequence[_Unit]) -> list[Trial]:
    context = _led_with(procedure, job.meter_error)
    return [_trial(context, job, one) for one in numbered]


def _trial(context: Context, job: _Job, one: _Unit) -> Trial:
    procedure, suspects, seed = context.procedure, one.suspects, one.seed
    if led_on_truck(procedure):
        return _on_truck(context, job, one)
    rng = Random(one.told)  # noqa: S311 - a simulation, not a secret
    chosen = dict(job.facts) if job.facts is not None else _fitting(procedure, suspects, rng)
    real = tuple(suspect for suspect in suspects if suspect in fault_model(procedure, chosen).suspect_index)
    unsure = [
        question.name
        for question in procedure.facts
        if question.name in chosen and job.facts is None and question.unsure and rng.random() < job.unsure
    ]
    unit = SimulatedUnit(procedure, chosen, real, seed=seed + 1, slip=job.slip, meter_error=job.meter_error)
    hears = _hears(context, job.noise)
    trial = run_trial(context, unit, unsure=unsure, habits=job.habits, seed=seed + 2, hears=hears)
    # its decisions weigh more than all its figures, and ten thousand of them pass between processes
    return replace(trial, decisions=())


def _on_truck(context: Context, job: _Job, one: _Unit) -> Trial:
    """One trial on a truck whose truth was fixed before anything is asked."""
    procedure, suspects, seed = context.procedure, one.suspects, one.seed
    case = case_of(procedure, suspects, seed + 1, job.meter_error)
    case.meter.lead_off = one.tool == "meter"
    case.machine.load_dead = one.tool == "load"
    unit = TruckUnit(procedure, case, slip=job.slip, seed=seed + 3)
    rng = Random(seed + 4)  # noqa: S311 - a simulation, not a secret
    asked = [one for one in procedure.facts if one.unsure and one.choices]
    unsure = [question.name for question in asked if rng.random() < job.unsure]
    hears = _hears(context, job.noise)
    trial = run_trial(context, unit, unsure=unsure, habits=job.habits, seed=seed + 2, hears=hears)
    # the kinds that were asked for, not the words of what was drawn
    tools = {"meter": "read", "load": "loaded"}
    return replace(
        trial,
        suspects=suspects,
        decisions=(),
        tool_needed=tools.get(one.tool, "") in unit.used,
        tool_noticed=bool(unit.noticed),
        slips=tuple(unit.slips),
    )


def _hears(context: Context, noise: str) -> Hears | None:
    if not noise:
        return None
    return lambda words, expectation, rng: ears(noise).heard(words, expectation, context.vocabulary, rng)


def _fitting(procedure: Procedure, suspects: tuple[Suspect, ...], rng: Random) -> dict[str, str]:
    """Facts on which all of these are real, as far as a few draws find them."""
    drawn: dict[str, str] = {}
    for _ in range(20):
        drawn = draw_facts(procedure, suspects[0], rng)
        if all(suspect in fault_model(procedure, drawn).suspect_index for suspect in suspects):
            break
    return drawn


def _couples(seen: FaultModel, count: int, rng: Random) -> list[tuple[Suspect, ...]]:
    """Pairs with different cures, drawn by the product of their weights."""
    weights = seen.priors.tolist()
    every = [
        (first, second)
        for first, second in combinations(range(len(seen.suspects)), 2)
        if seen.cure_of[first] != seen.cure_of[second]
    ]
    if not every or not count:
        return []
    drawn = rng.choices(every, [weights[first] * weights[second] for first, second in every], k=count)
    return [(seen.suspects[first], seen.suspects[second]) for first, second in drawn]
