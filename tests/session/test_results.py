"""What decisions amount to: each rule of the one fold on decisions written by hand. All invented."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.messages import Grade, Prompt, PromptKind, Reason, Verdict, Why, check_prompt
from assistant.messages.decisions import (
    AccessOpened,
    Decision,
    Ended,
    Ending,
    FactAnswered,
    FactWithdrawn,
    FixChosen,
    FixDeclined,
    FixDone,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
    ProofStepWithdrawn,
    PutBackDone,
    Skipped,
)
from assistant.procedure.load import list_procedures, load_procedure
from assistant.records.journal.lines import Header
from assistant.records.summary.labels import titles_of
from assistant.session.fold import fold
from assistant.session.ledger import Ledger
from assistant.session.results.corrections import Verified
from assistant.session.results.results import Results, results_of
from assistant.session.results.signs import Checks, checks_of
from tests.session.conversation import context

WHY = Reason(Why.LAST_LOOK)
CHECKS = Checks({"code": ("none",), "lamp": ("out",)}, frozenset({"left", "right"}), {"lamp": ("tester dead",)})
LEFT, RIGHT = ("sensor open", "left"), ("sensor open", "right")


def ledger_of(*decisions: Decision) -> Ledger:
    ledger = Ledger()
    for decision in decisions:
        ledger.take(decision)
    return ledger


def told(*decisions: Decision) -> Results:
    return results_of(ledger_of(*decisions), CHECKS)


def reading(
    number: int, place: str | None, grade: Grade, *, good: float | None = None, again: bool = False
) -> Observed:
    share = {Grade.GOOD: 1.0, Grade.TOO_CLOSE: 0.5}.get(grade, 0.0) if good is None else good
    verdict = Verdict(grade, Decimal(10), share, None, None, Decimal(1200))
    weights = {name: part for name, part in (("good", share), ("high", 1 - share)) if part}
    return Observed(
        number, "ohms", place, "resistance", weights, "", Decimal(1200), "ohm", verdict=verdict, proof=again
    )


def shown(number: int, display: str, *, again: bool = False) -> Observed:
    """A reading of the whole unit for which the meter shows no number, and which is bad."""
    return replace(reading(number, None, Grade.BAD_HIGH, again=again), value=None, display=display)


def code(number: int, named: str, *, again: bool = False) -> Observed:
    return Observed(number, "code", None, "code", {named: 1.0}, named, choice=named, proof=again)


def done(place: str | None, *, condemned: bool = True, fix: str = "replace") -> tuple[Decision, ...]:
    chosen = FixChosen(fix, place, "sensor open", 0.9, condemned, WHY)
    return chosen, FixDone(fix, place, "sensor replaced", "sensor")


BAD_LEFT, BAD_RIGHT = reading(1, "left", Grade.BAD_HIGH), reading(2, "right", Grade.BAD_HIGH)
FAILED, PASSED = ProofFinished(False, Reason(Why.STEP_FAILED)), ProofFinished(True, Reason(Why.ALL_PASSED))
AGAIN = reading(7, "left", Grade.GOOD, again=True)

ROWS: list[tuple[str, list[Decision], list[tuple[str, str | None]], list[tuple[Verified, bool]]]] = [
    # what happens, decisions, causes, and of each fix: how it was verified, whether it was in vain
    ("one fault, proven", [BAD_LEFT, *done("left"), PASSED], [LEFT], [(Verified.PROVEN, False)]),
    ("one fault, measured", [BAD_LEFT, *done("left"), AGAIN], [LEFT], [(Verified.MEASURED, False)]),
    ("mended, and nothing read afterwards", [BAD_LEFT, *done("left")], [], [(Verified.NOT, False)]),
    (
        "two faults mended before one proof",
        [BAD_LEFT, BAD_RIGHT, *done("left"), *done("right"), PASSED],
        [LEFT, RIGHT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "two faults one after another: the first measured good, its proof fails, the second is proven",
        [BAD_LEFT, *done("left"), AGAIN, FAILED, BAD_RIGHT, *done("right"), PASSED],
        [LEFT, RIGHT],
        [(Verified.MEASURED, False), (Verified.PROVEN, False)],
    ),
    (
        "a proof fails after a fix that no reading speaks for",
        [*done("left", condemned=False), FAILED, BAD_RIGHT, *done("right"), PASSED],
        [RIGHT],
        [(Verified.NOT, False), (Verified.PROVEN, False)],
    ),
    (
        "a fix that did not help is no cause, even of a passed proof",
        [BAD_LEFT, *done("left"), reading(8, "left", Grade.BAD_HIGH, again=True), *done("left", fix="plug"), PASSED],
        [LEFT],
        [(Verified.NOT, True), (Verified.PROVEN, False)],
    ),
    (
        "bad after the first fix, good after work on the whole unit: that is what helped",
        [
            BAD_LEFT, *done("left"), reading(8, "left", Grade.BAD_HIGH, again=True), *done(None, fix="uncross"),
            reading(9, "left", Grade.GOOD, again=True), PASSED,
        ],
        [("sensor open", None)],
        [(Verified.NOT, True), (Verified.PROVEN, False)],
    ),
    (
        "a reading of the whole unit that the first joint did not move: it was mended in vain",
        [
            reading(1, None, Grade.BAD_HIGH), *done("left"), reading(8, None, Grade.BAD_HIGH, again=True),
            *done("right"), reading(9, None, Grade.GOOD, again=True), PASSED,
        ],
        [RIGHT],
        [(Verified.NOT, True), (Verified.PROVEN, False)],
    ),
    (
        "over range for the whole unit, and over range after the first joint: it was mended in vain",
        [
            shown(1, "over_range"), *done("left"), shown(8, "over_range", again=True),
            *done("right"), reading(9, None, Grade.GOOD, again=True), PASSED,
        ],
        [RIGHT],
        [(Verified.NOT, True), (Verified.PROVEN, False)],
    ),
    (
        "over range for the whole unit, a high reading after the first joint: it moved, and both count",
        [
            shown(1, "over_range"), *done("left"), reading(8, None, Grade.BAD_HIGH, again=True),
            *done("right"), reading(9, None, Grade.GOOD, again=True), PASSED,
        ],
        [LEFT, RIGHT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "the first joint moved it a good way, the second mended it: both count",
        [
            replace(reading(1, None, Grade.BAD_HIGH), value=Decimal(9)), *done("left"),
            replace(reading(8, None, Grade.BAD_HIGH, again=True), value=Decimal(5)), *done("right"),
            reading(9, None, Grade.GOOD, again=True), PASSED,
        ],
        [LEFT, RIGHT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "the other wheel is still bad: that says nothing of this one",
        [BAD_LEFT, BAD_RIGHT, *done("left"), reading(8, "right", Grade.BAD_HIGH, again=True), *done("right"), PASSED],
        [LEFT, RIGHT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "a code that still names the wheel",
        [code(1, "left"), *done("left"), code(2, "left", again=True), *done("right"), PASSED],
        [RIGHT],
        [(Verified.NOT, True), (Verified.PROVEN, False)],
    ),
    (
        "a code that now names another wheel",
        [code(1, "left"), *done("left"), code(2, "right", again=True), *done("right"), PASSED],
        [LEFT, RIGHT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "no code is left: the wheel that it named is good",
        [code(1, "left"), *done("left"), code(2, "none", again=True)],
        [LEFT],
        [(Verified.SEEN, False)],
    ),
    (
        "what was cleaned looks clean, and the closing test fails: the fault stood, and what helped came later",
        [code(1, "left"), *done("left"), code(2, "none", again=True), FAILED, BAD_RIGHT, *done("right"), PASSED],
        [RIGHT],
        [(Verified.NOT, False), (Verified.PROVEN, False)],
    ),
    (
        "the same, and nothing else was mended: no cause",
        [code(1, "left"), *done("left"), code(2, "none", again=True), FAILED],
        [],
        [(Verified.NOT, False)],
    ),
    (
        "a good reading of something that was good before says nothing",
        [reading(1, "left", Grade.GOOD), *done("left"), AGAIN],
        [],
        [(Verified.NOT, False)],
    ),
    (
        "a unit-wide fix whose reading stays bad",
        [reading(1, None, Grade.BAD_HIGH), *done(None), reading(8, None, Grade.BAD_HIGH, again=True), *done("left"),
         PASSED],
        [LEFT],
        [(Verified.NOT, True), (Verified.PROVEN, False)],
    ),
    (
        "one check good, another at the wheel still bad: the first fault is mended, a second is there",
        [BAD_LEFT, replace(BAD_LEFT, number=3, check="output"), *done("left"), AGAIN,
         replace(BAD_LEFT, number=8, check="output", proof=True), *done("left", fix="push"), PASSED],
        [LEFT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "good, and later bad again: an intermittent is not mended",
        [BAD_LEFT, *done("left"), AGAIN, reading(8, "left", Grade.BAD_HIGH)],
        [],
        [(Verified.NOT, True)],
    ),
    (
        "too close to call, more likely good: says nothing",
        [BAD_LEFT, *done("left"), reading(8, "left", Grade.TOO_CLOSE, good=0.6, again=True), PASSED],
        [LEFT],
        [(Verified.PROVEN, False)],
    ),
    (
        "too close to call, more likely bad: still bad",
        [BAD_LEFT, *done("left"), reading(8, "left", Grade.TOO_CLOSE, good=0.4, again=True), PASSED],
        [],
        [(Verified.NOT, True)],
    ),
    (
        "the bad reading after the fix was a slip, and is taken back",
        [BAD_LEFT, *done("left"), reading(8, "left", Grade.BAD_HIGH, again=True),
         ObservationWithdrawn(8, Reason(Why.SCRATCHED)), PASSED],
        [LEFT],
        [(Verified.PROVEN, False)],
    ),
    (
        "the good reading that verified the fix is taken back: the cause goes with it, the work stays",
        [BAD_LEFT, *done("left"), AGAIN, ObservationWithdrawn(7, Reason(Why.SCRATCHED))],
        [],
        [(Verified.NOT, False)],
    ),
    (
        "the reading that condemned it is taken back: what was asked because of the fix still counts",
        [BAD_LEFT, *done("left"), AGAIN, ObservationWithdrawn(1, Reason(Why.SCRATCHED))],
        [LEFT],
        [(Verified.MEASURED, False)],
    ),
    (
        "the same fix twice is one cause",
        [BAD_LEFT, *done("left"), *done("left"), PASSED],
        [LEFT],
        [(Verified.PROVEN, False), (Verified.PROVEN, False)],
    ),
    (
        "work that nobody proposed is a cause without a fault",
        [BAD_LEFT, FixDone("weld", "left", "bracket welded", None), PASSED],
        [("", "left")],
        [(Verified.PROVEN, False)],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("decisions", "causes", "fixes"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_causes_and_what_became_of_each_fix(
    decisions: list[Decision], causes: list[tuple[str, str | None]], fixes: list[tuple[Verified, bool]]
) -> None:
    results = told(*decisions)
    assert [(cause.fault, cause.place) for cause in results.causes] == causes
    assert [(fix.verified, fix.in_vain) for fix in results.corrections] == fixes


def step(name: str, answer: str, *, passed: bool) -> ProofStepDone:
    return ProofStepDone(name, answer, passed)


def test_a_closing_test_that_failed_stands_beside_the_one_that_passed() -> None:
    first = [*done("left"), step("alone", "right", passed=True), step("together", "dim", passed=False), FAILED]
    last = [*done("right"), step("alone", "right", passed=True), step("together", "bright", passed=True), PASSED]
    told_first = told(*first)
    assert told_first.failed_before == ()
    assert [one.decision.answer for one in told_first.proof] == ["right", "dim"]
    results = told(*first, *last)
    assert [(one.decision.step, one.decision.answer) for one in results.failed_before] == [("together", "dim")]
    assert [one.decision.answer for one in results.proof] == ["right", "bright"]
    assert [one.stood for one in results.corrections] == [True, False]


CHARGED = replace(CHECKS, changed_by={"set the belt": ("ohms",)})


def whole(number: int, grade: Grade, *, again: bool = False) -> Observed:
    return reading(number, None, grade, again=again)


def test_a_reading_that_a_fix_moves_by_its_own_work_proves_neither_it_nor_one_before_it() -> None:
    """Batteries that are charged with a repair read well after it, whatever was wrong."""
    belt = done(None, fix="set the belt")
    work: list[Decision] = [whole(1, Grade.BAD_LOW), *done(None), *belt, whole(2, Grade.GOOD, again=True), FAILED]
    assert [fix.verified for fix in results_of(ledger_of(*work), CHECKS).corrections] == [
        Verified.NOT, Verified.MEASURED,
    ]  # fmt: skip
    results = results_of(ledger_of(*work), CHARGED)
    assert results.causes == ()
    assert [(fix.verified, fix.in_vain) for fix in results.corrections] == [(Verified.NOT, False)] * 2
    # nor does what it read before speak for a repair after it; the proof still does
    later = results_of(ledger_of(*work, *done(None, fix="cable"), whole(3, Grade.GOOD), PASSED), CHARGED)
    assert [(fix.done.fix, fix.verified, fix.again) for fix in later.corrections] == [
        ("replace", Verified.NOT, ()), ("set the belt", Verified.NOT, ()), ("cable", Verified.PROVEN, ()),
    ]  # fmt: skip


def test_a_cause_says_how_it_was_found_and_which_proof_verified_it() -> None:
    results = told(BAD_LEFT, *done("left"), PASSED, *done("right", condemned=False), PASSED)
    first, second = results.causes
    assert (first.condemned, first.verified, first.by) == (True, Verified.PROVEN, 3)
    assert (second.condemned, second.verified, second.by) == (False, Verified.PROVEN, 6)
    assert first.words({"sensor open": "open sensor"}) == "open sensor, left"
    assert [fix.words() for fix in results.corrections] == ["sensor replaced, left", "sensor replaced, right"]


def test_readings_that_stand_and_those_taken_back_in_the_order_they_were_read() -> None:
    results = told(
        BAD_LEFT, ObservationWithdrawn(1, Reason(Why.CORRECTED)), replace(BAD_LEFT, number=2), *done("left"), AGAIN
    )
    assert [(one.observed.number, one.repairs_before) for one in results.readings] == [(1, 0), (2, 0), (7, 1)]
    assert [one.withdrawn for one in results.readings] == [Reason(Why.CORRECTED), None, None]
    assert results.standing == (AGAIN,)


def test_taking_back_a_word_undoes_no_work() -> None:
    """An opening, a fix and a reading; everything that a word can take back is taken back."""
    opened = AccessOpened("drum", "left", 40.0)
    work: list[Decision] = [opened, BAD_LEFT, *done("left"), AGAIN, FactAnswered("brakes", "drum", "drum")]
    back: list[Decision] = [ObservationWithdrawn(1, WHY), ObservationWithdrawn(7, WHY), FactWithdrawn("brakes")]
    ledger = ledger_of(*work, *back)
    results = results_of(ledger, CHECKS)
    assert [entry.decision for entry in ledger.open_now] == [opened]
    assert len(results.corrections) == 1
    assert (results.standing, results.facts) == ((), ())


@pytest.mark.parametrize("closes", [PutBackDone(("Close it.",)), PASSED, FAILED], ids=lambda one: one.kind)
def test_what_is_open_is_closed_by_the_put_back_list_and_by_a_proof(closes: Decision) -> None:
    """A proof moves the unit, so that nothing can be open after it."""
    before, after = AccessOpened("drum", "left", 40.0), AccessOpened("plug", None, 1.0)
    ledger = ledger_of(before, closes, after)
    assert [entry.decision for entry in ledger.open_now] == [after]
    assert [entry.decision for entry in results_of(ledger, CHECKS).opened] == [before, after]


def test_what_was_skipped_and_answered_later_was_not_skipped() -> None:
    skips = [Skipped(check_prompt("ohms", "left"), "dark"), Skipped(Prompt(PromptKind.ACCESS, "drum", "left"), "")]
    assert len(told(*skips).skipped) == 2
    assert told(*skips, AccessOpened("drum", "left", 1.0), BAD_LEFT).skipped == ()


def test_a_step_of_the_proof_that_was_taken_back_is_told_once() -> None:
    lit, out = ProofStepDone("light", "lit", False), ProofStepDone("light", "out", True)
    results = told(PhaseEntered(Phase.PROVING), lit, ProofStepWithdrawn("light"), out, PASSED)
    assert [entry.decision for entry in results.proof] == [out]
    assert results.last_proof == PASSED


def test_a_new_proof_forgets_the_steps_and_the_end_of_the_last() -> None:
    lit = ProofStepDone("light", "lit", False)
    results = told(PhaseEntered(Phase.PROVING), lit, FAILED, PhaseEntered(Phase.PROVING))
    assert (results.proof, results.last_proof) == ((), None)


def test_condemned_and_not_done_is_suspected() -> None:
    chosen = FixChosen("replace", "left", "sensor open", 0.9, True, WHY)
    assert told(chosen).suspected == (chosen,)
    assert told(replace(chosen, condemned=False)).suspected == ()
    assert told(chosen, FixDone("replace", "left", "sensor replaced", "sensor")).suspected == ()
    assert len(told(chosen, FixDeclined("replace", "left", "no part")).declined) == 1


def test_a_resumed_session_amounts_to_the_same() -> None:
    """Folding what was written, cut at any place, gives the ledger of the session that was never left."""
    decisions = [
        PhaseEntered(Phase.CAUTIONS), AccessOpened("drum", "left", 1.0), BAD_LEFT, *done("left"), AGAIN,
        PhaseEntered(Phase.PROVING), ProofStepDone("light", "out", True), PASSED,
        Ended(Ending.CURED_AND_PROVEN, Reason(Why.ALL_PASSED)),
    ]  # fmt: skip
    whole = Ledger()
    for decision in decisions:
        whole.take(decision)
    for cut in range(len(decisions)):
        resumed = fold(replace(context(), unit_number=""), []).ledger
        for decision in decisions[:cut]:
            resumed = resumed.after(decision)
        left = results_of(resumed, CHECKS)
        for decision in decisions[cut:]:
            resumed = resumed.after(decision)
        assert results_of(resumed, CHECKS) == results_of(whole, CHECKS)
        assert left.ending is None


def test_a_snapshot_stays_as_it_was() -> None:
    before = Ledger().after(BAD_LEFT)
    held = replace(before)
    for decision in (*done("left"), AGAIN, ObservationWithdrawn(1, WHY), PASSED):
        before.after(decision)
    assert before == held


@pytest.mark.parametrize("path", list_procedures(), ids=lambda path: path.stem)
def test_a_record_is_told_by_the_rules_of_the_procedure_it_was_led_by(path: object) -> None:
    """The lenient reader of old records and the strict one of live sessions find the same in a sound procedure."""
    loaded = load_procedure(str(path))
    rules = titles_of(Header("x", "", loaded.procedure.name, loaded.text)).rules
    strict = checks_of(loaded.procedure)
    assert rules.places == strict.places
    assert all(strict.sound[check] == outcome for check, outcome in rules.sound.items())
    assert {outcome for check, outcome in strict.sound.items() if check not in rules.sound} <= {("good",)}


def test_where_a_fix_took_several_faults_away_none_is_claimed_alone() -> None:
    chosen = FixChosen("replace", "left", "sensor open", 0.9, True, WHY, ("worn clip", "backed off"))
    found = told(BAD_LEFT, chosen, FixDone("replace", "left", "sensor replaced", "sensor"), PASSED)
    titles = {"sensor open": "open sensor", "worn clip": "worn sensor clip", "backed off": "sensor backed off"}
    assert [cause.words(titles) for cause in found.causes] == [
        "open sensor, worn sensor clip or sensor backed off, left"
    ]
    assert found.corrections[0].or_else == ("worn clip", "backed off")


@pytest.mark.parametrize(
    ("shows", "mark", "word"),
    [("out", "good", "good"), ("lit", "bad", "fault"), ("tester dead", "", ""), (None, "", "")],
)
def test_a_look_is_as_good_or_bad_as_what_it_shows(shows: str | None, mark: str, word: str) -> None:
    """What speaks of the tester, and what names no answer, says nothing of the unit."""
    weights = {shows: 1.0} if shows else {}
    seen = Observed(1, "lamp", "left", "lamp", weights, shows or "", choice=shows)
    assert (CHECKS.mark(seen), CHECKS.graded(seen)) == (mark, word)


def test_a_reading_has_its_verdicts_mark_and_word() -> None:
    for grade, mark in ((Grade.GOOD, "good"), (Grade.BAD_HIGH, "bad"), (Grade.TOO_CLOSE, "close")):
        seen = reading(1, "left", grade)
        assert CHECKS.mark(seen) == mark
        assert CHECKS.graded(seen)


def test_a_repair_was_found_by_what_was_not_good_at_its_place() -> None:
    """Not by what was good there, nor by what was bad elsewhere."""
    good = replace(reading(3, "left", Grade.GOOD), check="volts")
    (one,) = told(BAD_LEFT, BAD_RIGHT, good, *done("left"), AGAIN).corrections
    assert one.found_by == (BAD_LEFT.number,)


def test_a_repair_says_which_readings_were_taken_anew_after_it() -> None:
    """One at another place is not of it, and what came after a later repair that it speaks of is that one's."""
    (one,) = told(BAD_LEFT, BAD_RIGHT, *done("left"), reading(6, "right", Grade.BAD_HIGH), AGAIN).corrections
    assert one.again == ((BAD_LEFT.number, AGAIN.number),)
    still = reading(6, "left", Grade.BAD_HIGH, again=True)
    first, second = told(BAD_LEFT, *done("left"), still, *done("left", fix="push"), AGAIN).corrections
    assert first.again == ((BAD_LEFT.number, still.number),)
    assert second.again == ((still.number, AGAIN.number),)


@pytest.mark.parametrize(
    ("asked", "place", "verified"),
    [
        (True, "left", Verified.MEASURED),
        (True, "right", Verified.NOT),
        (False, "left", Verified.NOT),
        (False, "right", Verified.NOT),
    ],
)
def test_a_reading_without_one_before_it_speaks_of_the_fix_it_was_asked_for(
    asked: bool, place: str, verified: Verified
) -> None:
    """Only of the one at its own place, and only where it was asked because of the fix."""
    (one,) = told(*done("left"), reading(7, place, Grade.GOOD, again=asked)).corrections
    assert one.verified is verified


def corrected(number: int, wrong: int) -> Observed:
    return replace(reading(number, "left", Grade.GOOD), instead_of=wrong)


def test_what_puts_a_reading_right_stands_where_that_one_was() -> None:
    """Before the repair that came after it, so that it says nothing of that; what puts nothing right stands last."""
    scratched = ObservationWithdrawn(BAD_LEFT.number, Reason(Why.CORRECTED))
    ledger = ledger_of(BAD_LEFT, BAD_RIGHT, *done("left"), scratched, corrected(5, BAD_LEFT.number))
    assert [entry.decision.kind for entry in ledger.standing] == ["observed", "observed", "fix_done"]
    assert [one.number for one in ledger.work if isinstance(one, Observed)] == [5, BAD_RIGHT.number]
    other = ledger_of(BAD_LEFT, BAD_RIGHT, *done("left"), scratched, corrected(5, 4))
    assert [entry.decision.kind for entry in other.standing] == ["observed", "fix_done", "observed"]


def test_a_ledger_as_it_stood_before_a_decision() -> None:
    """What stands is cut off there; what was told of the unit since is not, and the ledger itself stays."""
    ledger = ledger_of(BAD_LEFT, FactAnswered("axles", "two", "two"), BAD_RIGHT, *done("left"))
    cut = ledger.standing[1].number
    assert ledger.until(cut).work == (BAD_LEFT,)
    assert ledger.until(cut).known == {"axles": "two"}
    assert len(ledger.standing) == 3


@pytest.mark.parametrize(
    ("answers", "counted"),
    [
        # check, place, shows of each answer of a survey; those that count by themselves
        ([("sum", "left", "bad"), ("part", "left", "bad")], [("part", "left")]),
        ([("sum", "left", "bad"), ("part", "left", "good")], [("sum", "left"), ("part", "left")]),
        ([("sum", "left", "bad"), ("part", "right", "bad")], [("sum", "left"), ("part", "right")]),
        ([("sum", "left", "good"), ("part", "left", "bad")], [("sum", "left"), ("part", "left")]),
        ([("sum", None, "good"), ("part", "left", "bad")], [("part", "left")]),
        ([("sum", None, "bad"), ("part", "left", "bad")], [("part", "left")]),
        ([("sum", None, "bad"), ("part", "left", "good")], [("sum", None), ("part", "left")]),
        ([("sum", None, "bad"), ("part", None, "bad")], [("part", None)]),
        ([("sum", "left", "bad"), ("other", "left", "bad")], [("sum", "left"), ("other", "left")]),
    ],
)
def test_what_sums_up_others_counts_where_it_alone_is_bad(
    answers: list[tuple[str, str | None, str]], counted: list[tuple[str, str | None]]
) -> None:
    """One long stroke is one fault, though the row of strokes is judged as well."""
    checks = Checks(sums={"sum": ("part",)})
    seen = [
        Observed(number, check, place, check, {shows: 1.0}, shows, choice=shows)
        for number, (check, place, shows) in enumerate(answers, 1)
    ]
    assert [(one.check, one.place) for one in checks.counted(seen)] == counted


TRIED = Checks(tried={"try cord": "known good cord tried"})


def trial(*, condemned: bool) -> tuple[Decision, ...]:
    return FixChosen("try cord", "left", "cord open", 0.5, condemned, WHY), FixDone(
        "try cord", "left", "cord", "cord"
    )


@pytest.mark.parametrize(
    ("condemned", "then", "is_test"),
    [
        (False, [reading(8, "left", Grade.GOOD, again=True)], False),
        (False, [reading(8, "left", Grade.BAD_HIGH, again=True)], True),
        (True, [reading(8, "left", Grade.BAD_HIGH, again=True)], True),
        (False, [PASSED], False),
        (False, [FAILED], True),
        (True, [FAILED], True),
        (False, [], False),
        (True, [], False),
        (False, [*done("right")], True),
        (True, [*done("right")], False),
    ],
)
def test_a_known_good_part_that_did_not_help_was_a_test(condemned: bool, then: list[Decision], is_test: bool) -> None:
    """It stayed bad, a proof failed after it, or other work followed where nothing had condemned what it replaced."""
    results = results_of(ledger_of(BAD_LEFT, *trial(condemned=condemned), *then), TRIED)
    assert ["known good cord tried"] * is_test == [one.test for one in results.tests]
    assert ("try cord" in [one.done.fix for one in results.corrections]) is not is_test
