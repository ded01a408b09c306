"""Intermittents and conditions, in every procedure where they apply.

A reading holds only under its conditions, 'works now' clears nothing that comes and goes, codes that we may have set
ourselves are marked, and one thing is changed at a time and measured again.
"""

from __future__ import annotations

import functools
from itertools import pairwise
from random import Random

import numpy as np
import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import FaultModel, Suspect, Task, fault_model
from assistant.messages.decisions import Decision, FixChosen, FixDone, Observed, ProofFinished
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Access, Check, Fix, Procedure
from assistant.session.context import Context
from assistant.simulator.trial import run_trial
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts

PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}
FINDING = [name for name, one in PACK.items() if one.kind == "find"]
VOCABULARY = catalog.load_vocabulary()
MOVED = {
    "trailer-abs-light-on": ["flex the wire", "cord blue loaded"],
    "tractor-abs-light-on": ["flex the wire"],
    "seven-way-power-and-grounds": ["tug the cord", "push the joint"],
    "trailer-light-dead-or-faint": ["hitch moved", "cord moved", "lamp moved"],
    "doubles-and-triples": ["first nose loaded", "second nose loaded", "third nose loaded"],
    "battery-and-charging": ["cables moved", "posts and cables"],
}
"""Checks during which something is moved, bent, twisted or rocked. A light that never lights does not come and go."""
COMES_AND_GOES = {
    "trailer-abs-light-on": ["intermittent", "cord"],
    "tractor-abs-light-on": ["intermittent"],
    "seven-way-power-and-grounds": ["loose cord", "loose front joint", "loose rear joint"],
    "trailer-light-dead-or-faint": ["hitch ground", "loose lamp plug", "loose socket", "loose cord"],
    "doubles-and-triples": ["loose first cord", "loose first dolly", "loose second dolly"],
    "battery-and-charging": ["slipping belt", "loose power end", "loose ground end"],
}
"""Faults that are not there all the time."""
SUBSTITUTED = {"another tractor", "swap two plugs"}
"""Tests by putting something else in its place: what they show has nothing to do with good readings."""
PATTERN = {
    "trailer-abs-light-on": ("comes on", "at once"),
    "tractor-abs-light-on": ("comes on", "at once"),
    "seven-way-power-and-grounds": ("pattern", "always"),
    "trailer-light-dead-or-faint": ("what it does", "dead"),
    "doubles-and-triples": ("pattern", "all the time"),
    "battery-and-charging": ("how often", "every time"),
}
"""Question that tells whether it comes and goes, and the answer that says it does not."""
NAMED = {
    "battery-and-charging": {"key", "engine", "load", "batteries", "rested", "lamps", "cables"},
    "doubles-and-triples": {"key", "engine", "load", "cord", "plugged", "lamps"},
    "pushrod-stroke": {"engine", "brake", "spring brakes"},
    "seven-way-power-and-grounds": {"key", "engine", "load", "cord", "plugged", "joint"},
    "seven-way-survey": {"key", "engine", "load", "cord"},
    "tire-tread-depth": {"groove"},
    "tractor-abs-light-on": {"key", "engine", "plugged", "load", "pace", "wheels", "wire"},
    "trailer-abs-light-never-lights": {"key", "engine", "load", "plugged", "cord", "wheels"},
    "trailer-abs-light-on": {"key", "engine", "plugged", "load", "pace", "wheels", "wire", "cord", "brake"},
    "trailer-light-dead-or-faint": {"key", "load", "plugged", "lamps", "cord", "brake", "coupling", "lamp"},
    "wheel-speed-sensor-survey": {"key", "plugged", "pace"},
}
"""What readings hold under, in each procedure: plugged or not, key, engine, load, wheels still or turning."""
WARM_OR_COLD = {
    "battery-and-charging": ("fact", "air"),
    "doubles-and-triples": ("help", "first nose loaded"),
    "seven-way-power-and-grounds": ("help", "tug the cord"),
    "tractor-abs-light-on": ("fact", "coil temperature"),
    "trailer-abs-light-on": ("fact", "coil temperature"),
    "trailer-light-dead-or-faint": ("help", "cord moved"),
    "wheel-speed-sensor-survey": ("fact", "coil temperature"),
}
"""Where warm or cold changes what is read: it is asked, or tried."""
WET = {
    "doubles-and-triples": "first nose loaded",
    "seven-way-power-and-grounds": "push the joint",
    "tractor-abs-light-on": "flex the wire",
    "trailer-abs-light-on": "flex the wire",
    "trailer-light-dead-or-faint": "cord moved",
}
"""Checks at which it is wetted where it fails when wet."""
STANDS_STILL = {"pushrod-stroke", "seven-way-survey", "tire-tread-depth", "trailer-abs-light-never-lights"}
"""Procedures with nothing warm, wet or moved: a stroke, a tread, a survey, and a light that never lights at all."""


def settled(procedure: Procedure) -> dict[str, str]:
    """Facts on which as much as possible applies: the first answer of each question that must be answered."""
    return {fact.name: fact.choices[0].name for fact in procedure.facts if fact.choices and not fact.unsure}


@functools.cache
def led(name: str, count: int, seed: int) -> tuple[tuple[Decision, ...], str, bool]:
    """A session on a unit with so many hidden faults, every answer right: decisions, end, and whether it is sound."""
    procedure, rng = PACK[name], Random(seed)
    if count == 0:
        facts = settled(procedure)
        unit = SimulatedUnit(procedure, facts, set(), seed=seed)
    else:
        seen = fault_model(procedure, settled(procedure))
        hidden = rng.choices(seen.suspects, seen.priors.tolist())[0]
        facts = draw_facts(procedure, hidden, rng)
        here = fault_model(procedure, facts)
        others = [one for one in here.suspects if here.cure(one) != here.cure(hidden)]
        weights = [float(here.priors[here.suspect_index[one]]) for one in others]
        faults = {hidden, *rng.choices(others, weights, k=count - 1)}
        unit = SimulatedUnit(procedure, facts, faults, seed=seed)
    trial = run_trial(Context(procedure, VOCABULARY, unit_number="0000"), unit)
    return trial.decisions, trial.ending, unit.cured


SLOW = {"trailer-abs-light-on", "tractor-abs-light-on"}
"""Procedures whose sessions with nothing to find take too long for the small suite."""


MARKS = {name: [pytest.mark.sweep] for name in SLOW}


@pytest.mark.parametrize("name", [pytest.param(name, marks=MARKS.get(name, [])) for name in FINDING])
def test_no_part_is_replaced_on_a_unit_that_works_now(name: str) -> None:
    """Everything reads good: nothing is condemned, and what the proof does not show is part of its end."""
    decisions, ending, _ = led(name, 0, 1)
    assert ending in ("not present today", "not found", "cured and proven", "cured, not proven")
    assert [one.part for one in decisions if isinstance(one, FixDone) and one.part] == []
    assert not any(one.condemned for one in decisions if isinstance(one, FixChosen))
    assert PACK[name].proof.limits


@pytest.mark.parametrize("name", PACK)
def test_every_reading_says_under_what_it_holds(name: str) -> None:
    for check in PACK[name].checks:
        if check.kind == "reading":
            assert check.conditions, check.name


@pytest.mark.parametrize("name", FINDING)
def test_ohms_stand_on_a_dead_circuit_and_volts_say_what_is_on(name: str) -> None:
    """Common practice, no source: ohms only with the power off; volts with the load, key or plug state named."""
    for check in PACK[name].checks:
        if check.kind != "reading":
            continue
        if check.unit == "ohm":
            assert check.conditions.get("key") == "off", check.name
        elif check.unit == "V":
            named = {"key", "load", "engine", "plugged", "batteries", "pace"} & set(check.conditions)
            assert named, check.name


@pytest.mark.parametrize("name", FINDING)
def test_what_was_read_keeps_its_conditions(name: str) -> None:
    decisions, _, _ = led(name, 1, 2)
    checks = {check.name: check for check in PACK[name].checks}
    seen = [one for one in decisions if isinstance(one, Observed)]
    assert seen
    for one in seen:
        kept = one.conditions or {}
        assert {key: kept.get(key) for key in checks[one.check].conditions} == checks[one.check].conditions


@pytest.mark.parametrize("name", MOVED)
def test_something_is_moved_where_it_may_come_and_go(name: str) -> None:
    words = ("flex", "bend", "bent", "twist", "rock", "tug", "push")
    for wanted in MOVED[name]:
        check = next(check for check in PACK[name].checks if check.name == wanted)
        assert any(word in check.ask.lower() for word in words), check.ask
    assert any(check.repeatable for check in PACK[name].checks if check.name in MOVED[name])


@pytest.mark.parametrize("name", PACK)
def test_readings_name_what_they_hold_under(name: str) -> None:
    named = {condition for check in PACK[name].checks for condition in check.conditions}
    assert named >= NAMED[name]


@pytest.mark.parametrize("name", PACK)
def test_warm_wet_and_moved_are_tried_or_have_nothing_to_say(name: str) -> None:
    if name in STANDS_STILL:
        assert name not in WARM_OR_COLD | WET | MOVED
        return
    kind, what = WARM_OR_COLD[name]
    if kind == "fact":
        assert any(fact.name == what for fact in PACK[name].facts)
    else:
        check = next(check for check in PACK[name].checks if check.name == what)
        assert "warm" in f"{check.ask} {check.help}"
    if name in WET:
        check = next(check for check in PACK[name].checks if check.name == WET[name])
        assert "wet" in f"{check.ask} {check.help}"
    assert name in MOVED or PACK[name].kind == "survey"


@pytest.mark.parametrize("name", COMES_AND_GOES)
def test_what_comes_and_goes_is_asked_about_and_weighed_so(name: str) -> None:
    """The first question about it makes what comes and goes at least three times as likely, beside the others."""
    question, steady = PATTERN[name]
    procedure = PACK[name]
    fact = next(fact for fact in procedure.facts if fact.name == question)
    assert steady in {option.name for option in fact.choices}
    named = [fault for fault in procedure.faults if fault.name.startswith(("loose ", "intermittent"))]
    for fault in (one for one in named if one.name in COMES_AND_GOES[name]):
        shares = []
        for option in fact.choices:
            seen = fault_model(procedure, {**settled(procedure), question: option.name})
            mine = [n for n, one in enumerate(seen.suspects) if one.fault == fault.name]
            shares.append(float(seen.priors[mine].sum()) if mine else 0.0)
        least = shares[[option.name for option in fact.choices].index(steady)]
        assert max(shares) >= 3 * least, (fault.name, shares)


@pytest.mark.parametrize("name", FINDING)
def test_codes_are_read_only_where_something_may_set_them(name: str) -> None:
    """Only the two procedures that read codes need the mark; nothing else reads any."""
    reads = [check.name for check in PACK[name].checks if check.reads_codes]
    sets = [check.name for check in PACK[name].checks if check.may_set_codes]
    assert bool(reads) == bool(sets) == (name in ("trailer-abs-light-on", "tractor-abs-light-on"))


@pytest.mark.parametrize("name", ["trailer-abs-light-on", "tractor-abs-light-on", "seven-way-power-and-grounds"])
def test_wet_and_warm_are_tried_where_it_fails_so(name: str) -> None:
    check = next(check for check in PACK[name].checks if check.name == MOVED[name][0])
    assert "wet" in check.ask
    assert "wet" in next(option.name for fact in PACK[name].facts if fact.name == "pattern" for option in fact.choices
                         if option.name == "wet")  # fmt: skip
    if "abs-light" in name:
        assert "warm" in check.ask


def sound_outcome(check: Check) -> str:
    return "good" if check.kind == "reading" else check.otherwise


def odds_after(seen: FaultModel, task: Task, fault: Suspect) -> float:
    """How a sound outcome of one check changes the odds of a fault against all the others."""
    number, column = seen.task_index[task], seen.suspect_index[fault]
    table = seen.tables[number]
    row = table.chance[table.row(sound_outcome(seen.checks[task.check]))]
    others = np.delete(np.arange(len(seen.suspects)), column)
    share = seen.priors[others] / seen.priors[others].sum()
    return float(row[column] / (row[others] @ share))


@pytest.mark.parametrize("name", COMES_AND_GOES)
def test_works_now_never_clears_what_comes_and_goes(name: str) -> None:
    """One good reading leaves a tenth of its odds and more, at every check: it may be good only now."""
    procedure = PACK[name]
    seen = fault_model(
        procedure, settled(procedure) | ({"train": "triples"} if name == "doubles-and-triples" else {})
    )
    for fault in seen.suspects:
        if fault.fault not in COMES_AND_GOES[name]:
            continue
        for task in seen.tasks:
            if seen.checks[task.check].kind == "place" or task.check in SUBSTITUTED:
                continue
            assert odds_after(seen, task, fault) >= 0.1, (fault, task)


@pytest.mark.parametrize("name", ["trailer-abs-light-on", "tractor-abs-light-on"])
def test_a_steady_wire_while_flexed_halves_the_doubt_and_no_more(name: str) -> None:
    """The named intermittent keeps a seventh of its odds after one steady flexing, most of it after other checks."""
    procedure = PACK[name]
    seen = fault_model(procedure, settled(procedure))
    fault = next(one for one in seen.suspects if one.fault == "intermittent")
    for task in seen.tasks:
        if task.place != fault.place or seen.checks[task.check].kind == "place":
            continue
        least = 0.14 if task.check == "flex the wire" else 0.4
        assert odds_after(seen, task, fault) >= least, task


@pytest.mark.parametrize(
    ("name", "seed"), [(name, seed) for name in FINDING for seed in (4, 5) if seed == 4 or name not in SLOW]
)
def test_one_change_at_a_time_each_measured_or_proven(name: str, seed: int) -> None:
    """Two faults: between two repairs something is measured again or the proof is run."""
    decisions, _, _ = led(name, 2, seed)
    marks = [
        (number, one)
        for number, one in enumerate(decisions)
        if isinstance(one, FixDone | ProofFinished) or (isinstance(one, Observed) and one.proof)
    ]
    for (_, before), (_, after) in pairwise(marks):
        assert not (isinstance(before, FixDone) and isinstance(after, FixDone)), (before, after)


@pytest.mark.parametrize("name", ["trailer-abs-light-on", "tractor-abs-light-on"])
def test_what_is_unplugged_with_the_key_on_may_set_codes(name: str) -> None:
    """Common practice, no source: a module stores an open sensor as soon as it has power."""
    for check in PACK[name].checks:
        if check.conditions.get("key") in ("on", "cycled") and "sensor" in check.ask.lower() and (
            "unplug" in check.ask.lower() or "plug off" in check.ask.lower() or "swap" in check.ask.lower()
        ):  # fmt: skip
            assert check.may_set_codes, check.name
    assert any(check.reads_codes for check in PACK[name].checks)


@pytest.mark.parametrize(("name", "most"), [("trailer-abs-light-on", 2), ("tractor-abs-light-on", 7)])
def test_an_unsure_number_of_valves_considers_all_of_them(name: str, most: int) -> None:
    """Not sure how many: every valve that there may be is looked at, none is assumed away."""
    facts = {**settled(PACK[name]), "modulators": "not sure"}
    assert len(fault_model(PACK[name], facts).places["modulator"]) == most
    assert all(fact.assume is None for fact in PACK[name].facts if fact.name == "modulators")


@pytest.mark.parametrize("name", FINDING)
def test_cautions_that_come_again_have_a_short_form(name: str) -> None:
    rows: list[Access | Check | Fix] = [*PACK[name].access, *PACK[name].checks, *PACK[name].fixes]
    behind = {name for row in rows for name in row.cautions}
    for caution in PACK[name].cautions:
        if caution.name in behind and len(caution.say.split()) > 12:
            assert caution.short, caution.name
            assert len(caution.short.split()) <= 6
