"""Fit ``grammars/deciding.toml`` on recordings, leaving voices out: the weights, and the chances of a mistake.

    python -m tests.tools.fit_confirm --heard HEARD.jsonl --picture tradeoff.svg

Every recording is heard once under each condition, scored by the second scorer, and kept in the file ``--heard``;
deciding is then tried on what was heard. On some voices are fitted first the weights, by how many answers come out
right, then the chances, by how well they foretell which come out wrong (likelihood); the others judge, in turn, so
that no figure comes from a voice it was fitted on. The voices that decide (``cases.DECIDING``) take part in no fit:
they are told apart, under noise that is under no other voice. The table and the picture show what each degree of
caution costs in questions and what it saves in wrong values accepted, and how many of those would have been judged
otherwise than the truth. What a mistake costs in seconds is not fitted: it is what people lose by it.

Weights that come with the program know the voices that trained them, so what they say of those foretells nothing:
``--weights TWIN.npz --voices a,b,c,d`` fits on voices that were left out of the training of a twin.
"""

from __future__ import annotations

import argparse
import functools
import hashlib
import math
import os
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from pathlib import Path

from assistant.asr.network.moonshine import Moonshine
from assistant.asr.network.weights import read_weights
from assistant.asr.recognizer import Recognizer
from assistant.asr.second_opinion import NetworkScorer, Scorer, best_scorer
from assistant.catalog import load_vocabulary
from assistant.messages import Expects, Outcome
from assistant.numerals.vocabulary import Vocabulary
from assistant.setup.model import model_folder
from assistant.understanding.interpret import candidates_of, words_ask
from assistant.understanding.recognition.rescoring import (
    Candidate,
    Judged,
    Policy,
    chances,
    judge,
    policy_of,
    worth_a_yes,
)
from assistant.understanding.values.disambiguation import side_of
from tests.bench.hearing.cases import Case, is_right, load_readings
from tests.bench.hearing.mixing import case_sound
from tests.bench.hearing.nbest import ALONE, Cache, Heard
from tests.tools.drawing.tradeoff import Point, draw

CONDITIONS = ("quiet", "chainsaw@10", "rain@10", "chainsaw@5", "rain@5", "engine@5", "helicopter@5", "rain@0")
FOLDS = 4
SCALES = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)
"""Times the seconds that mistakes cost."""
WEIGHTS: Mapping[str, tuple[float, ...]] = {
    "second": (0.0, 0.4, 0.6, 0.8, 1.0, 1.3),
    "second_number": (0.0, 0.4, 0.6, 0.8, 1.0, 1.3),
    "word": (0.0, 0.75, 1.5),
    "whole": (4.0, 6.0, 8.0),
    "unknown": (0.0, 2.0, 4.0, 6.0),
    "usual": (0.5, 1.0, 1.5),
}
"""Weights that are tried, one after another."""
CHANCES: Mapping[str, tuple[float, ...]] = {
    "trust": (0.3, 0.4, 0.5, 0.6, 0.7, 0.85, 1.0),
    "trust_noisy": (0.3, 0.4, 0.5, 0.6, 0.7, 0.85, 1.0),
    "lost": (0.0, 1.0, 2.0, 3.0),
    "lone": (0.3, 0.5, 0.8, 1.2, 2.0),
    "unheard": (0.0005, 0.001, 0.002, 0.005),
    "unheard_noisy": (0.0005, 0.001, 0.002, 0.004, 0.008),
    "unheard_loud": (0.001, 0.002, 0.004, 0.008, 0.015, 0.03),
    "second_hearing": (1.0, 2.0, 4.0, 8.0, 16.0),
}
"""Parts of the chances that are tried, one after another, twice over."""
NEVER_SURE = 1e-6


the_vocabulary = functools.cache(load_vocabulary)


@dataclass(frozen=True, slots=True)
class Row:
    """One recording under one condition, with everything that it may have been."""

    case: Case
    condition: str
    snr_db: float | None
    candidates: tuple[Candidate, ...]
    """By the recognizer alone."""
    opinions: tuple[float, ...] = ()
    """What the second scorer adds to each at a weight of one; empty without it."""

    def weighed(self, weight: float) -> list[Candidate]:
        """The candidates with both opinions."""
        if not self.opinions:
            return list(self.candidates)
        pairs = zip(self.candidates, self.opinions, strict=True)
        return [replace(one, score=one.score + weight * more, second=True) for one, more in pairs]


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


def row_of(case: Case, condition: str, heard: Heard, scorer: str, vocabulary: Vocabulary) -> Row:
    """One case under one condition, read."""
    both = heard.weighed(scorer, 1.0)
    plain = [one if one.recognized is None else replace(one, score=one.recognized) for one in both]
    read = tuple(candidates_of(plain, case.expectation, vocabulary))
    opinions = tuple(one.score - one.recognized for one in both if one.recognized is not None)
    return Row(case, condition, heard.snr_db, read, opinions)


def judged_of(row: Row, policy: Policy) -> Judged | None:
    """What a recording is taken for, None when for nothing that counts."""
    expectation = row.case.expectation
    weight = policy.second_at(expectation.expects, row.snr_db)
    judged = judge(row.weighed(weight), expectation, policy) if row.candidates else None
    if judged is None or judged.below > policy.reach or judged.meant.outcome is Outcome.CHOOSE:
        return None
    return judged


def asks(row: Row, judged: Judged, policy: Policy) -> bool:
    """Whether a yes is asked for."""
    if words_ask(judged.meant, row.case.expectation, the_vocabulary()):
        return True
    found = chances(judged, row.case.expectation.expects is Expects.READING, row.snr_db, policy)
    return worth_a_yes(found, policy)


def tally(row: Row, policy: Policy) -> Tally:
    """How one recording comes out."""
    judged = judged_of(row, policy)
    return Tally(count=1, again=1) if judged is None else outcome(row, judged, asks(row, judged, policy))


def outcome(row: Row, judged: Judged, asked: bool) -> Tally:
    """How a judged recording counts."""
    right = is_right(row.case, judged.meant)
    wrong = not right and not asked
    return Tally(
        count=1, right=int(right), wrong=int(wrong), yes=int(asked), asked=int(right and asked),
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


def right_of(rows: Sequence[Row], policy: Policy) -> int:
    """How many recordings are taken for what was said."""
    found = [(row, judged_of(row, policy)) for row in rows]
    return sum(judged is not None and is_right(row.case, judged.meant) for row, judged in found)


def fit_weights(rows: Sequence[Row], start: Policy) -> Policy:
    """The weights with most right answers, one weight after another; ties keep what stands."""
    best, score = start, right_of(rows, start)
    for name, values in WEIGHTS.items():
        for value in values:
            policy = replace(best, **{name: value})  # type: ignore[arg-type]
            found = right_of(rows, policy)
            if found > score:
                best, score = policy, found
    return best


Weighed = tuple[Row, Judged, bool]
"""A recording, its likeliest answer, and whether that is right."""


def weigh(rows: Sequence[Row], policy: Policy) -> list[Weighed]:
    """Recordings that have an answer whose words alone ask for no yes."""
    found = [(row, judged_of(row, policy)) for row in rows]
    return [
        (row, judged, is_right(row.case, judged.meant))
        for row, judged in found
        if judged is not None and not words_ask(judged.meant, row.case.expectation, the_vocabulary())
    ]


def likelihood(weighed: Sequence[Weighed], policy: Policy) -> float:
    """How well the chances foretell which answers are wrong: mean log likelihood."""
    logs = 0.0
    for row, judged, right in weighed:
        wrong = chances(judged, row.case.expectation.expects is Expects.READING, row.snr_db, policy).wrong
        wrong = min(1 - NEVER_SURE, max(NEVER_SURE, wrong))
        logs += math.log(1 - wrong if right else wrong)
    return logs / max(1, len(weighed))


def kind_of(rows: Sequence[Row]) -> str:
    """Whether a second opinion was weighed in: the name of what is fitted."""
    return "both" if any(row.opinions for row in rows) else "alone"


def surer(policy: Policy, rows: Sequence[Row], name: str, value: float) -> Policy:
    """The policy with one part of its chances changed."""
    kind = kind_of(rows)
    kinds = ("both", "numbers") if kind == "both" else ("alone",)
    return replace(policy, **{one: replace(getattr(policy, one), **{name: value}) for one in kinds})


def told(policy: Policy, rows: Sequence[Row]) -> dict[str, float]:
    """Everything that is fitted, by name."""
    sure = getattr(policy, kind_of(rows))
    return {name: getattr(policy, name) for name in WEIGHTS} | {name: getattr(sure, name) for name in CHANCES}


def fit_chances(rows: Sequence[Row], start: Policy) -> Policy:
    """The chances that foretell best, one part after another, twice over."""
    weighed = weigh(rows, start)
    best, score = start, likelihood(weighed, start)
    for _ in range(2):
        for name, values in CHANCES.items():
            for value in values:
                policy = surer(best, rows, name, value)
                found = likelihood(weighed, policy)
                if found > score + 1e-9:
                    best, score = policy, found
    return best


def fit(rows: Sequence[Row], start: Policy) -> Policy:
    """The weights, then the chances."""
    return fit_chances(rows, fit_weights(rows, start))


def cautious(policy: Policy, scale: float) -> Policy:
    """The same with all that a mistake costs times ``scale``; nought never asks for the sake of sound."""
    return replace(policy, **{name: getattr(policy, name) * scale for name in ("untrue", "misled")})


def held_out(rows: Sequence[Row], start: Policy) -> dict[str, Policy]:
    """By voice, the policy fitted without its fold of voices."""
    voices = sorted({row.case.voice for row in rows})
    found = {}
    for fold in range(FOLDS):
        inside = {voice for at, voice in enumerate(voices) if at % FOLDS == fold}
        if inside:
            policy = fit([row for row in rows if row.case.voice not in inside], start)
            found.update(dict.fromkeys(inside, policy))
    return found


def table(rows: Sequence[Row], policies: Mapping[str, Policy]) -> dict[tuple[str, float], Tally]:
    """By condition and scale, each voice under its own policy."""
    found: dict[tuple[str, float], Tally] = {}
    for scale in SCALES:
        scaled = {voice: cautious(policy, scale) for voice, policy in policies.items()}
        for row in rows:
            key = (row.condition, scale)
            found[key] = found.get(key, Tally()) + tally(row, scaled[row.case.voice])
    return dict(sorted(found.items()))


def show(text: str) -> None:
    """Progress, apart from the table."""
    print(text, file=sys.stderr, flush=True)


def report(found: dict[tuple[str, float], Tally]) -> list[Point]:
    """Print the trade-off and give its points."""
    print(
        "condition      caution  right            wrong and accepted  judged otherwise  right ones asked  said again"
    )
    points = []
    for (condition, scale), one in found.items():
        share = 100 / max(1, one.count)
        print(
            f"{condition:<14} {scale:5.2f}    {one.right:4d} ({one.right * share:5.1f} %)   "
            f"{one.wrong:4d} ({one.wrong * share:4.2f} %)      {one.passed:4d}              "
            f"{one.asked:4d} ({100 * one.asked / max(1, one.right):4.1f} %)    {one.again:4d} "
            f"({one.again * share:4.1f} %)"
        )
        points.append(Point(condition, scale, (one.yes + one.again) * share, one.wrong * share))
    return points


def together(rows: Sequence[Row]) -> list[Row]:
    """The same with every noise of one level under one name."""
    return [replace(row, condition=row.condition.rpartition("@")[2].zfill(2)) for row in rows]


def _scorer_of(path: Path) -> Scorer:
    return NetworkScorer(Moonshine(read_weights(path, hashlib.sha256(path.read_bytes()).hexdigest())))


def main() -> None:
    """Fit, print, draw."""
    parser = argparse.ArgumentParser(description="Fit when a yes is asked for; print and draw what it costs.")
    parser.add_argument("--heard", type=Path, required=True, help="file of what was heard; grows as needed")
    parser.add_argument("--corpus", type=Path, default=None, help="folder of recordings (or LEADSMAN_SPEECH)")
    parser.add_argument("--stride", type=int, default=5, help="take every n-th recording under noise (default 5)")
    parser.add_argument("--kept", action="store_true", help="only what the file holds already, all of it")
    parser.add_argument("--weights", type=Path, help="other weights of the second scorer than the program's own")
    parser.add_argument("--voices", default="", help="voices to fit on, by commas; none: all that do not decide")
    parser.add_argument("--alone", action="store_true", help="without a second opinion")
    parser.add_argument("--picture", type=Path, default=None, help="write the trade-off as SVG")
    given = parser.parse_args()
    named = os.environ.get("LEADSMAN_SPEECH")
    beside = Path(__file__).parents[3] / "shared" / "speech"
    corpus: Path = given.corpus or (Path(named) if named else beside)
    vocabulary = load_vocabulary()
    start = policy_of(vocabulary)
    scorer = None if given.alone else _scorer_of(given.weights) if given.weights else best_scorer()
    only = set(filter(None, given.voices.split(",")))
    name = ALONE if scorer is None else scorer.name
    with Recognizer(model_folder(), vocabulary, scorer=lambda: None) as recognizer:

        def sound(case: Case, condition: str):  # type: ignore[no-untyped-def]
            noise, _, ratio = condition.partition("@")
            return case_sound(case, corpus, "" if noise == "quiet" else noise, float(ratio or 0))

        cache = Cache(given.heard, recognizer, sound, {} if scorer is None else {name: scorer})
        cases = [case for case in load_readings(corpus) if not only or case.decides or case.voice in only]
        if given.kept:
            wanted = [
                (case, condition) for condition in cache.conditions for case in cases if cache.has(case, condition)
            ]
        else:
            wanted = [(case, "quiet") for case in cases]
            wanted += [(case, condition) for condition in CONDITIONS[1:] for case in cases[:: given.stride]]
        rows = [row_of(case, condition, cache.heard(case, condition), name, vocabulary) for case, condition in wanted]
    show(f"{len(rows)} hearings")
    fitting = [row for row in rows if not row.case.decides]
    deciding = [row for row in rows if row.case.decides]
    policies = held_out(fitting, start)
    whole = fit(fitting, start)
    print(
        f"all fitting voices, {kind_of(rows)}:",
        ", ".join(f"{name} {one:g}" for name, one in told(whole, rows).items()),
    )
    for number, policy in enumerate(dict.fromkeys(policies.values())):
        changed = {name: one for name, one in told(policy, rows).items() if one != told(whole, rows)[name]}
        print(f"fold {number + 1} differs in: {changed or 'nothing'}")
    print("\nvoices left out, fitted on the others; caution 1 is what mistakes cost by the grammar")
    points = report(table(together(fitting), policies))
    print("\nvoices that decide, fitted on the others")
    report(table(together(deciding), dict.fromkeys({row.case.voice for row in deciding}, whole)))
    print("\nvoices that decide, by noise, as the grammar is written")
    as_written = table(deciding, dict.fromkeys({row.case.voice for row in deciding}, start))
    report({key: one for key, one in as_written.items() if key[1] == 1.0})
    if given.picture:
        given.picture.write_text(draw(points), encoding="utf-8")
        show(f"wrote {given.picture}")


if __name__ == "__main__":
    main()
