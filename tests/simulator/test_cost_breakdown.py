"""Where a practice session's minutes went, against sums worked out anew from the record's lines and the TOML file."""

from __future__ import annotations

import functools
import json
import subprocess
import sys
import tomllib
from datetime import UTC, datetime
from decimal import Decimal
from io import StringIO
from pathlib import Path
from random import Random
from typing import Any

import pytest

from assistant import catalog
from assistant.clock import ScriptedClock
from assistant.commands.lead.practicing import told as words_of
from assistant.composition import new_session
from assistant.diagnosis.fault_model import Cure, Suspect, fault_model
from assistant.display.terminal import Screen
from assistant.loop import Loop
from assistant.messages import (
    Expectation,
    Expects,
    Fact,
    Heard,
    Hypothesis,
    Overlaid,
    PromptKind,
    Source,
    check_prompt,
)
from assistant.messages.decisions import Observed
from assistant.procedure.load import load_procedure
from assistant.session.context import Context
from assistant.simulator.cost_breakdown import Work, cost_breakdown, differences, least
from assistant.simulator.partner import SAME, Partner
from assistant.simulator.technician import UnitRecord
from assistant.simulator.trial import run_trial
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts

ROOT = Path(__file__).parent.parent.parent
FINDING = [
    path.stem
    for path in sorted((ROOT / "dialogs").glob("*.toml"))
    if tomllib.loads(path.read_text(encoding="utf-8")).get("kind", "find") == "find"
]


@functools.cache
def led(name: str, seed: int) -> tuple[Any, dict[str, str], Suspect, SimulatedUnit, tuple[Any, ...], str]:
    """One session of a procedure on a unit whose every answer is right."""
    procedure = load_procedure(name).procedure
    rng = Random(seed)
    seen = fault_model(procedure, {})
    fault = rng.choices(seen.suspects, seen.priors.tolist())[0]
    facts = draw_facts(procedure, fault, rng)
    unit = SimulatedUnit(procedure, facts, {fault}, seed=seed)
    trial = run_trial(Context(procedure, catalog.load_vocabulary(), unit_number="0000"), unit)
    return procedure, facts, fault, unit, trial.decisions, trial.ending


@pytest.mark.parametrize("name", FINDING)
def test_a_session_led_without_a_slip_ends_in_a_proven_cure(name: str) -> None:
    _, _, fault, unit, decisions, ending = led(name, 3)
    assert unit.cured
    assert ending == "cured and proven"
    assert unit.fault_model.cure(fault) in unit.fixes_done
    assert decisions


@pytest.mark.parametrize("name", FINDING)
def test_nothing_is_found_faster_than_by_who_knows_it(name: str) -> None:
    procedure, facts, fault, unit, decisions, _ = led(name, 3)
    breakdown = cost_breakdown(procedure, decisions, [unit.fault_model.cure(fault)])
    assert breakdown.minutes >= least(procedure, facts, {fault}) > 0
    assert sum(breakdown.of(kind) for kind in Work) == pytest.approx(breakdown.minutes)
    assert breakdown.count(Work.REPAIRS) == 1


def record_of(folder: Path) -> list[dict[str, Any]]:
    """Decisions of the only record in a folder, as the lines hold them."""
    (file,) = folder.glob("*.jsonl")
    lines = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]
    return [decision for line in lines for decision in line["body"].get("decisions", [])]


def by_hand(name: str, decisions: list[dict[str, Any]]) -> float:
    """Working minutes from the record's lines and the file alone, with nothing of ours but the TOML reader."""
    file = tomllib.loads((ROOT / "dialogs" / f"{name}.toml").read_text(encoding="utf-8"))
    minutes = {table: {row["name"]: row.get("minutes", 0) for row in file[table]} for table in ("checks", "fixes")}
    minutes["access"] = {row["name"]: row["minutes"] for row in file.get("access", [])}
    minutes["steps"] = {row["name"]: row.get("minutes", 0) for row in file["proof"]["steps"]}
    named = {
        "access_opened": ("access", "access"), "observed": ("checks", "check"), "fix_done": ("fixes", "fix"),
        "proof_step_done": ("steps", "step"),
    }  # fmt: skip
    return sum(
        float(minutes[named[one["kind"]][0]][one[named[one["kind"]][1]]]) for one in decisions if one["kind"] in named
    )


def practice(tmp_path: Path, *arguments: str, typed: str = "") -> str:
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "practice", *arguments, "--records", str(tmp_path)],
        input=typed.encode(), capture_output=True, cwd=ROOT, timeout=300, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr.decode()
    return ran.stdout.decode()


def minutes_told(out: str) -> tuple[int, int]:
    """Minutes used and minutes led without a slip, as the ending says them."""
    words = next(line for line in out.splitlines() if line.startswith("Minutes of work: ")).split()
    return int(words[3].strip(".")), int(words[8].strip("."))


@pytest.mark.parametrize(
    ("name", "seed"),
    [
        ("seven-way-power-and-grounds", 3),
        ("trailer-light-dead-or-faint", 5),
        ("doubles-and-triples", 11),
        ("battery-and-charging", 5),
    ],
)
def test_the_minutes_told_are_those_of_the_record(name: str, seed: int, tmp_path: Path) -> None:
    """No file of the pack has minutes under conditions, so its plain minutes are what counts."""
    out = practice(tmp_path, name, "--seed", str(seed), "--watch")
    used, best = minutes_told(out)
    assert used == best == round(by_hand(name, record_of(tmp_path)))
    assert "That is the best there is." in out
    shown = [float(line.split(" min ")[0].split()[-1]) for line in out.splitlines() if " min   " in line]
    assert sum(shown) == pytest.approx(by_hand(name, record_of(tmp_path)), abs=0.05 * len(shown))


class Slipping:
    """An apprentice who says what the unit shows, and misreads its first good reading."""

    def __init__(self) -> None:
        self.partner: Partner | None = None
        self.misread = ""

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        assert self.partner is not None
        words, prompt = SAME, expectation.prompt
        at_check = prompt.kind is PromptKind.CHECK and prompt.overlaid is None
        if at_check and not self.misread and expectation.expects is Expects.READING:
            _, shown = self.partner.shown[-1]
            if shown.replace(".", "", 1).isdigit():
                words = self.misread = f"{Decimal(shown) / 3:.2f}".rstrip("0")
        elif prompt.overlaid in (Overlaid.CONFIRM, Overlaid.CHOOSE):
            words = "yes"
        return Heard(0.0, (Hypothesis(words),), Source.TYPED)

    def close(self) -> None:
        """Nothing to let go of."""


def test_a_slip_costs_minutes_and_is_named(tmp_path: Path) -> None:
    """A good voltage, read as a third of itself, sends the session to the wrong place; the breakdown says so."""
    name, seed = "doubles-and-triples", 11
    procedure = load_procedure(name).procedure
    fault = Suspect("first dolly")
    facts = draw_facts(procedure, fault, Random(seed))
    clock, person = ScriptedClock(datetime(2026, 3, 2, 9, 0, tzinfo=UTC)), Slipping()
    work = new_session(name, tmp_path, clock, unit="0000", invented=True, history=False)
    unit = SimulatedUnit(procedure, facts, {fault}, seed=seed)
    told: list[str] = []
    person.partner = partner = Partner(unit, told.append, clock.now, person)
    record = UnitRecord(unit, work.journal)
    Loop(work.context, work.state, record, partner, Screen(out=StringIO()), clock).run()
    work.journal.close()
    used = cost_breakdown(procedure, record.decisions, record.cures)
    trial = run_trial(work.context, SimulatedUnit(procedure, facts, {fault}, seed=seed))
    best = cost_breakdown(procedure, trial.decisions, [unit.fault_model.cure(fault)])
    assert used.minutes == pytest.approx(by_hand(name, record_of(tmp_path)))
    assert used.minutes > best.minutes
    (line, *_) = differences(partner.shown, record.decisions)
    assert line.endswith(f"you said {person.misread}")
    assert any(one.startswith("the meter shows ") for one in told)
    assert f"You took {round(used.minutes) - round(best.minutes)} more." in " ".join(
        words_of(used, best, 10.0, done=unit.cured)
    )


def test_least_is_reach_mend_and_prove_and_nothing_else() -> None:
    """Worked out by hand from the file: seven-way, a joint of the power side ahead: 8 to mend, 6 to prove."""
    procedure = load_procedure("seven-way-power-and-grounds").procedure
    fault = Suspect("power joint ahead", "cord plug at the tractor")
    assert least(procedure, {}, {fault}) == 8 + 6
    trailer = load_procedure("trailer-abs-light-on").procedure
    facts = {"brakes": "drum", "shields": "come off", "codes": "cannot read"}
    # wheel plug 3, shield 6, reach 1, sensor 10; put back 2, power 1, roll 5, light 0.5
    assert least(trailer, facts, {Suspect("sensor open", "left rear")}) == 3 + 6 + 1 + 10 + 8.5


def test_a_fix_that_cured_nothing_is_told_apart() -> None:
    procedure, _, fault, unit, decisions, _ = led("trailer-abs-light-on", 3)
    cure = unit.fault_model.cure(fault)
    right = cost_breakdown(procedure, decisions, [cure])
    wrong = cost_breakdown(procedure, decisions, [Cure("no such fix")])
    assert right.of(Work.REPAIRS) > 0
    assert wrong.of(Work.REPAIRS) == 0
    assert wrong.of(Work.IDLE) == right.of(Work.REPAIRS) + right.of(Work.IDLE)


def test_nothing_differs_where_everything_was_said_as_shown() -> None:
    _, _, _, _, decisions, _ = led("trailer-abs-light-on", 3)
    assert differences([], decisions) == ()


def test_digits_that_say_nothing_are_no_difference() -> None:
    """A display of 5.00 that was said as 5 was said as it was shown."""
    _, _, _, _, decisions, _ = led("battery-and-charging", 3)
    read = [one for one in decisions if isinstance(one, Observed) and one.value is not None and not one.display]
    shown = [(check_prompt(one.check, one.place), f"{one.value:.4f}") for one in read]
    assert read != []
    assert differences(shown, decisions) == ()
