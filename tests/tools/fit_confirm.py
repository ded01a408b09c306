"""Fit the weights and thresholds of ``grammars/deciding.toml`` on recordings, leaving voices out.

    python -m tests.tools.fit_confirm --heard HEARD.jsonl --picture tradeoff.svg

Every recording is heard once under each condition and kept in the file ``--heard``; deciding is then tried on what
was heard. The weights are fitted on some voices and judged on the others, in turn, so that no figure comes from a
voice it was fitted on; so are the leads that noise asks for, for several numbers of wrong values allowed. The
thresholds are then scaled together, from never asking to asking often: the table and the picture show what each
degree of caution costs in questions and what it saves in wrong values accepted, and how many of those would have been
judged otherwise than the truth.
"""

from __future__ import annotations

import argparse
import itertools
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from pathlib import Path

from assistant.asr.recognizer import Recognizer
from assistant.catalog import load_vocabulary
from assistant.messages import Expects, Outcome
from assistant.numerals.vocabulary import Vocabulary
from assistant.setup.model import model_folder
from assistant.understanding.disambiguation import side_of
from assistant.understanding.interpret import candidates_of
from assistant.understanding.rescoring import Candidate, Judged, Policy, doubt, judge, policy_of
from tests.bench.cases import Case, is_right, load_readings
from tests.bench.mixing import case_sound
from tests.bench.nbest import Cache
from tests.tools.tradeoff import Point, draw

CONDITIONS = ("quiet", "chainsaw@10", "rain@10", "chainsaw@5", "rain@5", "engine@5", "helicopter@5")
FOLDS = 6
SCALES = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0)
"""Times the thresholds that are written in the grammar."""
TRIED: dict[str, tuple[float, ...]] = {
    "whole": (2.0, 4.0, 5.0, 6.0, 8.0),
    "usual": (0.0, 0.5, 1.0, 1.5, 2.0),
    "word": (0.0, 0.5, 1.0, 1.5, 2.0),
    "odd": (0.0, 1.0, 2.0, 4.0),
    "unknown": (0.0, 2.0, 4.0),
    "choose": (0.0, 1.0, 2.0),
    "expected": (0.0, 1.0, 2.0, 3.0),
}
"""Weights that are tried, one after another, twice over."""
LEADS: dict[str, tuple[float, ...]] = {
    "near_noisy": (2.0, 3.0, 3.5, 4.0, 4.5, 5.0),
    "differs_noisy": (3.5, 4.0, 4.5, 5.0, 6.0),
    "lost_noisy": (3.0, 4.0, 5.0, 7.0),
}
"""Leads in noise that are tried, each with each."""
ALLOWED = (0.0, 0.05, 0.1, 0.3)
"""Per cent wrong and accepted that a fit of the leads may leave on the voices it knows."""
THRESHOLDS = ("near", "near_noisy", "near_loud", "differs_noisy", "lost", "lost_noisy", "lone")


@dataclass(frozen=True, slots=True)
class Row:
    """One recording under one condition, with everything that it may have been."""

    case: Case
    condition: str
    snr_db: float | None
    candidates: tuple[Candidate, ...]


@dataclass(frozen=True, slots=True)
class Tally:
    """How answers came out."""

    count: int = 0
    right: int = 0
    wrong: int = 0
    """Wrong and accepted."""
    yes: int = 0
    """Answers that wait for a yes, right or not."""
    passed: int = 0
    """Wrong and accepted readings on another side of the limits than the truth."""
    asked: int = 0
    """Right answers that wait for a yes all the same."""
    again: int = 0
    """Not understood, or which of two was asked."""

    def __add__(self, other: Tally) -> Tally:
        return Tally(*(getattr(self, field.name) + getattr(other, field.name) for field in fields(Tally)))


def rows_of(cases: Sequence[Case], conditions: Sequence[str], cache: Cache, vocabulary: Vocabulary) -> list[Row]:
    """Every case under every condition, read."""
    rows = []
    for condition in conditions:
        for case in cases:
            heard = cache.heard(case, condition)
            read = candidates_of(heard.hypotheses, case.expectation, vocabulary)
            rows.append(Row(case, condition, heard.snr_db, tuple(read)))
        show(f"read {condition}")
    return rows


def tally(row: Row, policy: Policy) -> Tally:
    """How one recording comes out."""
    judged = judge(row.candidates, row.case.expectation, policy) if row.candidates else None
    if judged is None or judged.below > policy.reach or judged.meant.outcome is Outcome.CHOOSE:
        return Tally(count=1, again=1)
    why = judged.meant.confirm or doubt(judged, row.case.expectation.expects is Expects.READING, row.snr_db, policy)
    return outcome(row, judged, bool(why))


def outcome(row: Row, judged: Judged, asks: bool) -> Tally:
    """How a judged recording counts."""
    right = is_right(row.case, judged.meant)
    wrong = not right and not asks
    return Tally(
        count=1, right=int(right), wrong=int(wrong), yes=int(asks), asked=int(right and asks),
        passed=int(wrong and judged_otherwise(row.case, judged)),
    )  # fmt: skip


def judged_otherwise(case: Case, judged: Judged) -> bool:
    """Whether a wrong answer lies on another side of the limits than the truth, as far as limits can tell."""
    value = judged.meant.value
    if case.kind != "reading" or value is None:
        return True
    return side_of(value, case.expectation) != side_of(Decimal(case.truth), case.expectation)


def total(rows: Sequence[Row], policy: Policy) -> Tally:
    """How many recordings come out how."""
    return sum((tally(row, policy) for row in rows), Tally())


def fit(rows: Sequence[Row], start: Policy) -> Policy:
    """The weights with most right answers, one weight after another, twice; ties keep what stands."""
    best, score = start, total(rows, start).right
    for _ in range(2):
        for name, values in TRIED.items():
            for value in values:
                policy = replace(best, **{name: value})
                found = total(rows, policy).right
                if found > score:
                    best, score = policy, found
    return best


Weighed = tuple[Row, Judged]
"""A recording and its likeliest answer."""


def weigh(rows: Sequence[Row], policy: Policy) -> list[Weighed]:
    """Recordings under noise that have an answer whose words alone ask for no yes."""
    found = []
    for row in rows:
        judged = judge(row.candidates, row.case.expectation, policy) if row.candidates else None
        answer = judged is not None and judged.below <= policy.reach and judged.meant.outcome is not Outcome.CHOOSE
        if judged is not None and answer and not judged.meant.confirm and row.condition != "quiet":
            found.append((row, judged))
    return found


def caution(weighed: Sequence[Weighed], policy: Policy) -> Tally:
    """How they come out under the thresholds of a policy."""
    return sum(
        (
            outcome(
                row, judged, bool(doubt(judged, row.case.expectation.expects is Expects.READING, row.snr_db, policy))
            )
            for row, judged in weighed
        ),
        Tally(),
    )


def fit_leads(weighed: Sequence[Weighed], start: Policy, allowed: float) -> Policy:
    """The leads with fewest questions that leave at most ``allowed`` per cent wrong and none judged otherwise."""
    tried = [
        replace(start, **dict(zip(LEADS, leads, strict=True)))
        for leads in itertools.product(*LEADS.values())
        if leads[1] >= leads[0]
    ]

    def cost(policy: Policy) -> tuple[float, int, int]:
        found = caution(weighed, policy)
        over = max(0.0, 100 * found.wrong / max(1, found.count) - allowed)
        return over, found.passed, found.asked

    return min(tried, key=cost)


def report_leads(rows: Sequence[Row], policy: Policy) -> None:
    """Print what fitting the leads on some voices gives on the others."""
    weighed = weigh(rows, policy)
    voices = sorted({row.case.voice for row in rows})

    def apart(fold: int, *, inside: bool) -> list[Weighed]:
        return [one for one in weighed if (voices.index(one[0].case.voice) % FOLDS == fold) is inside]

    print(f"\nleads in noise, fitted on other voices: of {len(weighed)} answers whose words alone ask for no yes")
    for allowed in ALLOWED:
        fitted = [fit_leads(apart(fold, inside=False), policy, allowed) for fold in range(FOLDS)]
        found = sum((caution(apart(fold, inside=True), one) for fold, one in enumerate(fitted)), Tally())
        chosen = ", ".join("/".join(f"{getattr(one, name):g}" for name in LEADS) for one in fitted)
        print(
            f"{allowed:4.2f} % allowed: right ones asked {found.asked:4d}, wrong and accepted {found.wrong:2d}, "
            f"of them judged otherwise {found.passed}  ({chosen})"
        )
    found = caution(weighed, policy)
    print(f"as written:     right ones asked {found.asked:4d}, wrong and accepted {found.wrong:2d}, ", end="")
    print(f"of them judged otherwise {found.passed}")


def cautious(policy: Policy, scale: float) -> Policy:
    """The same weights with every threshold of a lead times ``scale``; nought never asks for the sake of sound."""
    scaled = {name: getattr(policy, name) * scale for name in THRESHOLDS}
    if not scale:
        scaled["noisy_db"] = -99.0
    return replace(policy, **scaled)


def held_out(rows: Sequence[Row], start: Policy, fitted: Callable[[Sequence[Row], Policy], Policy]) -> list[Policy]:
    """For each fold of voices, the policy fitted on the others."""
    voices = sorted({row.case.voice for row in rows})
    return [fitted([row for row in rows if voices.index(row.case.voice) % FOLDS != at], start) for at in range(FOLDS)]


def table(rows: Sequence[Row], policies: Sequence[Policy]) -> dict[tuple[str, float], Tally]:
    """By condition and scale, each voice under the policy that was fitted without it."""
    voices = sorted({row.case.voice for row in rows})
    found: dict[tuple[str, float], Tally] = {}
    for scale in SCALES:
        scaled = [cautious(policy, scale) for policy in policies]
        for row in rows:
            key = (row.condition, scale)
            found[key] = found.get(key, Tally()) + tally(row, scaled[voices.index(row.case.voice) % FOLDS])
    return found


def show(text: str) -> None:
    """Progress, apart from the table."""
    print(text, file=sys.stderr, flush=True)


def report(found: dict[tuple[str, float], Tally]) -> list[Point]:
    """Print the trade-off and give its points."""
    print(
        "caution  condition     right            wrong and accepted   judged otherwise  asked for a yes    said again"
    )
    points = []
    for (condition, scale), one in found.items():
        share = 100 / max(1, one.count)
        print(
            f"{scale:5.2f}    {condition:<12} {one.right:4d} ({one.right * share:5.1f} %)   "
            f"{one.wrong:4d} ({one.wrong * share:4.1f} %)       {one.passed:4d}              "
            f"{one.yes:4d} ({one.yes * share:5.1f} %)   "
            f"{one.again:4d} ({one.again * share:4.1f} %)"
        )
        points.append(Point(condition, scale, (one.yes + one.again) * share, one.wrong * share))
    return points


def main() -> None:
    """Fit, print, draw."""
    parser = argparse.ArgumentParser(description="Fit when a yes is asked for; print and draw what it costs.")
    parser.add_argument("--heard", type=Path, required=True, help="file of what was heard; grows as needed")
    parser.add_argument("--corpus", type=Path, default=None, help="folder of recordings (or LEADSMAN_SPEECH)")
    parser.add_argument("--stride", type=int, default=5, help="take every n-th recording under noise (default 5)")
    parser.add_argument("--picture", type=Path, default=None, help="write the trade-off as SVG")
    given = parser.parse_args()
    named = os.environ.get("LEADSMAN_SPEECH")
    beside = Path(__file__).parents[3] / "shared" / "speech"
    corpus: Path = given.corpus or (Path(named) if named else beside)
    vocabulary = load_vocabulary()
    start = policy_of(vocabulary)
    with Recognizer(model_folder(), vocabulary) as recognizer:

        def hear(case: Case, condition: str):  # type: ignore[no-untyped-def]
            noise, _, ratio = condition.partition("@")
            sound = case_sound(case, corpus, "" if noise == "quiet" else noise, float(ratio or 0))
            return recognizer.hear(sound, case.expectation)

        cache = Cache(given.heard, hear)
        cases = load_readings(corpus)
        rows = rows_of(cases, ("quiet",), cache, vocabulary)
        rows += rows_of(cases[:: given.stride], CONDITIONS[1:], cache, vocabulary)
    policies = held_out(rows, start, fit)
    for number, policy in enumerate(policies):
        changed = {name: getattr(policy, name) for name in TRIED if getattr(policy, name) != getattr(start, name)}
        print(f"fold {number + 1} of {FOLDS}: {changed or 'the weights as written'}")
    whole = fit(rows, start)
    print("all voices:", ", ".join(f"{name} {getattr(whole, name):g}" for name in TRIED))
    now, then = total(rows, start), total(rows, whole)
    print(f"right of {now.count}: {now.right} with the weights as written, {then.right} with those")
    report_leads(rows, start)
    print("\nvoices left out, weights fitted on the others; caution 1 is what the grammar says")
    points = report(table(rows, policies))
    print("\nthe weights as written")
    report({key: one for key, one in table(rows, [start] * FOLDS).items() if key[1] == 1.0})
    if given.picture:
        given.picture.write_text(draw(points), encoding="utf-8")
        show(f"wrote {given.picture}")


if __name__ == "__main__":
    main()
