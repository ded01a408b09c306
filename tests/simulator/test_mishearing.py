"""Simulated answers that are misheard, as often and in the ways that were measured."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from assistant.clock import ScriptedClock
from assistant.loop import Loop
from assistant.messages import Choice, Expectation, Expects, Heard, Hypothesis, Source
from assistant.messages.decisions import Observed
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.session.fold import begin
from assistant.simulator.mishearing import LEVELS, Ears, changes_of, ears, read, spoken
from assistant.simulator.prove_all import all_text, prove_all
from assistant.simulator.technician import Technician, UnitRecord
from assistant.simulator.trial import context_of
from assistant.simulator.truck_unit import TruckUnit, case_of
from assistant.understanding.values.readings import understand_reading

OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
LOOKS = Expectation(Expects.CHOICE, choices=(Choice("good"), Choice("worn"), Choice("broken")))
TABLE = [
    {"level": "5", "kind": "reading", "said": "", "heard": "4", "lead": "", "snr_db": ""},
    {"level": "5", "kind": "reading", "said": "nine fifty ohms", "heard": "nine fifteen ohms", "lead": "2.5",
     "snr_db": "6.0"},
    {"level": "5", "kind": "choice", "said": "", "heard": "2", "lead": "", "snr_db": ""},
    {"level": "5", "kind": "choice", "said": "held", "heard": "good", "lead": "1.5", "snr_db": "5.0"},
    {"level": "0", "kind": "choice", "said": "", "heard": "9", "lead": "", "snr_db": ""},
]  # fmt: skip


def trailer() -> Procedure:
    return next(
        loaded.procedure for loaded in map(load_procedure, list_procedures())
        if loaded.procedure.name == "trailer-light-dead-or-faint"
    )  # fmt: skip


def test_a_level_misheard_as_often_as_its_rows_say_and_in_their_ways(vocabulary: Vocabulary) -> None:
    hears = read(TABLE, "5")
    assert hears.shares == {"reading": 0.25, "choice": 0.5}
    rng = Random(3)
    found = [hears.heard("50", OHMS, vocabulary, rng) for _ in range(400)]
    misheard = [one for one in found if one is not None]
    assert 0.15 < len(misheard) / 400 < 0.35
    (first, second), noise = misheard[0]
    assert first.words == second.words.replace("fifty", "fifteen") != second.words
    assert first.score - second.score == pytest.approx(2.5)
    assert noise == pytest.approx(6.0)
    assert all(one is None for one in (hears.heard("1200", OHMS, vocabulary, rng) for _ in range(50)))
    choices = [hears.heard("good", LOOKS, vocabulary, rng) for _ in range(60)]
    assert {one[0][0].words for one in choices if one is not None} == {"worn", "broken"}
    assert read(TABLE, "0") == Ears({"choice": 0.0}, ())


def test_words_that_changed_are_told_apart() -> None:
    assert changes_of("one point five", "one five") == [(("point",), ())]
    assert changes_of("nine fifty", "nine fifteen") == [(("fifty",), ("fifteen",))]


def test_a_value_is_said_in_a_way_that_means_it(vocabulary: Vocabulary) -> None:
    volts = replace(OHMS, unit="V")
    for seed in range(12):
        words = spoken("11.98", volts, vocabulary, Random(seed))
        meant = understand_reading(words, volts, vocabulary)
        assert Decimal("11.98") in (meant.value, *meant.values)
    assert spoken("good", LOOKS, vocabulary, Random(1)) == "good"


def test_the_committed_table_has_every_level_and_mishears_more_the_louder_it_is() -> None:
    shares = [ears(level).shares["reading"] for level in LEVELS]
    assert shares == sorted(shares)
    assert 0 < shares[-1] < 0.5


def test_what_a_technician_is_asked_back_about_he_denies_where_it_was_misheard(vocabulary: Vocabulary) -> None:
    """A real session on a real circuit: the first reading is heard wrong by so little that a yes is asked for."""
    procedure = trailer()
    wronged: list[str] = []

    def hears(words: str, expectation: Expectation, rng: Random):  # type: ignore[no-untyped-def]
        if wronged or expectation.expects is not Expects.READING:
            return None
        wronged.append(words)
        said = spoken(words, expectation, vocabulary, rng)
        other = spoken("3.21", expectation, vocabulary, rng)
        return (Hypothesis(other, 0.1, 0.1, 0.0), Hypothesis(said, 0.0, 0.0, 0.0)), 5.0

    context = context_of(procedure, vocabulary, 0.005)
    suspects = ()
    unit = TruckUnit(procedure, case_of(procedure, suspects, 5, 0.005))
    from datetime import UTC, datetime

    clock, record = ScriptedClock(datetime(2026, 1, 1, 8, tzinfo=UTC)), UnitRecord(unit)
    technician = Technician(unit, clock, seed=4, hears=hears)
    Loop(context, begin(context), record, technician, None, clock).run()
    assert wronged
    assert len(technician.misheard) == 1
    assert any(words == "no" for _, words in technician.said)
    assert not any(isinstance(one, Observed) and one.value == Decimal("3.21") for one in record.decisions)


def test_an_answer_that_is_heard_right_comes_typed_and_a_misheard_one_by_the_microphone() -> None:
    class Says:
        procedure = trailer()
        suspects = ()
        cured = True

        def answer(self, expectation: Expectation) -> str:
            return "1200"

        def fix(self, cure: object) -> bool:
            return False

    from datetime import UTC, datetime

    clock = ScriptedClock(datetime(2026, 1, 1, 8, tzinfo=UTC))
    other = ((Hypothesis("twelve"), Hypothesis("twelve hundred")), 4.0)
    plain = Technician(Says(), clock).listen(OHMS, None)
    misheard = Technician(Says(), clock, hears=lambda *_: other).listen(OHMS, None)
    assert isinstance(plain, Heard)
    assert plain.source is Source.TYPED
    assert isinstance(misheard, Heard)
    assert (misheard.source, misheard.snr_db, misheard.hypotheses) == (Source.MICROPHONE, 4.0, other[0])


def test_every_procedure_is_proven_with_mishearings_beside_none() -> None:
    rows = prove_all(40, seed=3, procedures=[trailer()], noise="0")
    assert [(row.slip, row.noise) for row in rows] == [(0.0, ""), (0.0, "0")]
    assert rows[0].misheard == 0
    assert rows[1].misheard > 0
    assert "misheard as at 0 dB" in all_text(rows)
