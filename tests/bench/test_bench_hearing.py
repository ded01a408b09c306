"""Readings at first hearing: right, asked, wrong and accepted, by condition and by voice, beside baselines.

``LEADSMAN_BENCH_SHARE=0.1`` takes every tenth recording; ``LEADSMAN_BENCH_CONDITIONS=quiet,rain@5`` takes some
conditions; ``LEADSMAN_BENCH_BASELINES=0`` leaves the baselines out; ``LEADSMAN_BENCH_ERRORS=FILE`` writes every
answer that was not right.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from assistant.ear.base import Hearing
from assistant.ear.recogniser import Recogniser
from assistant.meaning.interpret import interpret
from assistant.messages import Expectation
from assistant.words.lexicon import Lexicon
from tests.bench.baselines import BAG, PARSERS
from tests.bench.cases import Case, Score, chosen_share, counts, digit_strings, load_readings, score, score_value
from tests.bench.mixing import NOISES, case_sound

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]

CONDITIONS = ["quiet", *(f"{noise}@{ratio}" for ratio in (10, 5) for noise in NOISES)]
GOALS = {"quiet": 99.0, "10": 95.0, "5": 90.0}
"""Per cent right at first hearing, by condition or by ratio in decibels."""


def conditions() -> list[str]:
    named = os.environ.get("LEADSMAN_BENCH_CONDITIONS", "")
    return named.split(",") if named else CONDITIONS


@pytest.mark.filterwarnings("ignore")
def test_bench_readings(speech_corpus: Path, speech_model: Path, recogniser: Recogniser, lexicon: Lexicon) -> None:
    cases = chosen_share(load_readings(speech_corpus))
    print(f"\nreadings: {len(cases)} recordings a condition; right at first hearing, goal beside it")
    flat = Recogniser(speech_model, lexicon, phrases=lambda _: BAG)
    open_ended = Recogniser(speech_model, lexicon, phrases=lambda _: None)
    with flat, open_ended:
        for condition in conditions():
            _one_condition(condition, cases, speech_corpus, recogniser, lexicon, {"bag": flat, "open": open_ended})


@pytest.mark.filterwarnings("ignore")
def test_bench_digit_strings(speech_corpus: Path, recogniser: Recogniser, lexicon: Lexicon) -> None:
    cases = chosen_share(digit_strings(speech_corpus))
    results = _hear_all(cases, lambda case: _heard(recogniser, case, speech_corpus, "quiet"), lexicon)
    print("\nstrings of four digits by six people at telephone rate, ohms prompt (goal: 90 % right, none wrong)")
    print(f"  all           {counts(given for _, given in results.values())}")
    _print_by_voice(cases, results)


def _one_condition(
    condition: str,
    cases: Sequence[Case],
    corpus: Path,
    ours: Recogniser,
    lexicon: Lexicon,
    baselines: dict[str, Recogniser],
) -> None:
    heard: dict[str, Hearing] = {}

    def hear(case: Case) -> Hearing:
        heard[case.name] = _heard(ours, case, corpus, condition)
        return heard[case.name]

    # the first use of a prompt builds its grammar; that is paid once a session, not once an answer
    for case in cases:
        ours.prepare(case.expectation)
    results = _hear_all(cases, hear, lexicon)
    goal = GOALS["quiet"] if condition == "quiet" else GOALS[condition.split("@")[1]]
    print(f"\n{condition} (goal {goal:.0f} %, at most 0.3 % wrong{'; none' if condition == 'quiet' else ''})")
    print(f"  all           {counts(given for _, given in results.values())}")
    for kind in sorted({case.kind for case in cases}):
        print(f"  {kind:<13} {counts(results[case.name][1] for case in cases if case.kind == kind)}")
    _print_by_voice(cases, results)
    _note_errors(condition, cases, results, heard)
    seconds = sum(one.decode_seconds for one in heard.values())
    print(f"  decode time an answer: {seconds / max(1, len(heard)):.3f} s")
    if os.environ.get("LEADSMAN_BENCH_BASELINES") == "0":
        return
    readings = [case for case in cases if case.kind == "reading"]
    for name, recogniser in baselines.items():
        texts: dict[str, str] = {}
        spent = 0.0
        for case in cases:
            hearing = _heard(recogniser, case, corpus, condition)
            spent += hearing.decode_seconds
            texts[case.name] = hearing.hypotheses[0].words if hearing.hypotheses else ""
        for parser, parse in PARSERS.items():
            scores = [score_value(case, parse(texts[case.name])) for case in readings]
            print(f"  readings only, vosk {name:<4} + {parser:<13} {counts(scores)}")
        print(f"  decode time, ours to vosk {name}: {seconds / max(spent, 1e-9):.2f}")


def _hear_all(
    cases: Sequence[Case], hear: Callable[[Case], Hearing], lexicon: Lexicon
) -> dict[str, tuple[str, Score]]:
    results: dict[str, tuple[str, Score]] = {}
    for case in cases:
        hearing = hear(case)
        meant = interpret(hearing.hypotheses, case.expectation, lexicon, snr_db=hearing.snr_db)
        summary = f"{meant.outcome.value} {meant.value or meant.command or meant.choice or meant.identifier or ''}"
        results[case.name] = f"{summary} {meant.reason}".strip(), score(case, meant)
    return results


def _heard(recogniser: Recogniser, case: Case, corpus: Path, condition: str) -> Hearing:
    noise, _, ratio = condition.partition("@")
    sound = case_sound(case, corpus, "" if noise == "quiet" else noise, float(ratio or 0))
    expectation: Expectation = case.expectation
    return recogniser.hear(sound, expectation)


def _print_by_voice(cases: Sequence[Case], results: dict[str, tuple[str, Score]]) -> None:
    voices: dict[str, list[Score]] = defaultdict(list)
    for case in cases:
        voices[case.voice].append(results[case.name][1])
    rows = []
    for voice, scores in sorted(voices.items(), key=lambda item: item[1].count("right") / len(item[1])):
        rows.append(f"{voice} {100 * scores.count('right') / len(scores):.0f}")
    print("  by voice, % right: " + ", ".join(rows))


def _note_errors(
    condition: str, cases: Sequence[Case], results: dict[str, tuple[str, Score]], heard: dict[str, Hearing]
) -> None:
    target = os.environ.get("LEADSMAN_BENCH_ERRORS")
    if not target:
        return
    with Path(target).open("a", encoding="utf-8") as out:
        for case in cases:
            summary, given = results[case.name]
            if given == "right":
                continue
            out.write(
                f"{condition} {given:<6} {case.name} {case.voice} said '{case.said}' ({case.kind} {case.truth})"
            )
            out.write(f" -> {summary}; snr {heard[case.name].snr_db}\n")
            best = heard[case.name].hypotheses[:5]
            out.writelines(f"      {best[0].score - one.score:6.2f} {one.words}\n" for one in best)
