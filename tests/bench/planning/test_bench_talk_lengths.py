"""How much the tool says in a whole session, in its three lengths: words and seconds, one table. Printed only.

Every procedure is led on the same simulated units; each sentence is worded as it is to somebody new, as usual and in
short. Run by ``make bench``, or alone:

    pytest -q -s -m bench tests/bench/planning/test_bench_talk_lengths.py

``LEADSMAN_BENCH_UNITS`` is how many units of each procedure. Seconds are those of ``speech_chunks.seconds_of``,
fitted on a voice of 170 words a minute.
"""

from __future__ import annotations

import os
import statistics
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from assistant import catalog
from assistant.loop import Loop
from assistant.messages import Fact, Say, Talk
from assistant.phrasing.phrase import phrase
from assistant.phrasing.speech_chunks import seconds_of
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.session.step import step
from assistant.simulator import trial as trials
from assistant.simulator.prove import prove
from assistant.simulator.trial import context_of, run_trial
from assistant.simulator.unit import SimulatedUnit

pytestmark = pytest.mark.bench

UNITS = int(os.environ.get("LEADSMAN_BENCH_UNITS", "12"))
PACK = [load_procedure(path).procedure for path in list_procedures()]


def overheard(procedure: Procedure, monkeypatch: pytest.MonkeyPatch) -> list[list[Say]]:
    """What is said in each session of a procedure, in order."""
    sessions: list[list[Say]] = []

    def led(*given: Any) -> Loop[Any, Any]:
        said: list[Say] = []
        sessions.append(said)
        made: Loop[Any, Any] = Loop(*given)
        made.step = listening(said)
        return made

    monkeypatch.setattr(trials, "Loop", led)
    if procedure.kind == "find":
        prove(procedure, units=UNITS, slip=0.02, seed=3)
        return sessions
    facts = {one.name: one.choices[0].name for one in procedure.facts if one.choices}
    run_trial(context_of(procedure, catalog.load_vocabulary()), SimulatedUnit(procedure, facts, [], seed=3))
    return sessions


def listening(said: list[Say]) -> Callable[[Any, Any, Fact], tuple[Any, tuple[Any, ...]]]:
    """The step of a session, which keeps what it says."""

    def stepped(context: Any, state: Any, fact: Fact) -> tuple[Any, tuple[Any, ...]]:
        state, effects = step(context, state, fact)
        said.extend(effect for effect in effects if isinstance(effect, Say))
        return state, effects

    return stepped


def test_words_and_seconds_of_whole_sessions_in_three_lengths(monkeypatch: pytest.MonkeyPatch) -> None:
    vocabulary = catalog.load_vocabulary()
    lengths = (Talk.FIRST, Talk.USUAL, Talk.SHORT)
    print(f"\n{'median of a session':30}" + "".join(f"{talk.value:>22}" for talk in lengths))
    for procedure in PACK:
        with monkeypatch.context() as patch:
            sessions = overheard(procedure, patch)
        row = f"{procedure.name:30}"
        for talk in lengths:
            told = [[phrase(replace(say, talk=talk), vocabulary) for say in said] for said in sessions]
            words = statistics.median(sum(len(one.spoken.split()) for one in said) for said in told)
            seconds = statistics.median(sum(seconds_of(one.shown) for one in said) for said in told)
            row += f"{words:10.0f} words {seconds:4.0f} s"
        print(row)
