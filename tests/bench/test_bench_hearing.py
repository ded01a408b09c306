"""Readings at first hearing: right, asked, wrong and accepted, by condition and by voice, beside baselines.

``LEADSMAN_BENCH_SHARE=0.1`` takes every tenth recording; ``LEADSMAN_BENCH_CONDITIONS=quiet,rain@5`` takes some
conditions; ``LEADSMAN_BENCH_BASELINES=0`` leaves the baselines out; ``LEADSMAN_BENCH_ERRORS=FILE`` writes every
answer that was not right; ``LEADSMAN_BENCH_HEARD=FILE`` keeps what was heard and uses what was kept.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import pytest

from assistant.asr.recognizer import Recognizer
from assistant.messages import Hearing, Outcome, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.interpret import interpret
from tests.bench import people
from tests.bench.baselines import BAG, PARSERS, Plainly
from tests.bench.cases import Case, Score, chosen_share, counts, digit_strings, load_readings, score, score_value
from tests.bench.mixing import NOISES, case_sound
from tests.bench.nbest import Cache, Heard

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]

CONDITIONS = ["quiet", *(f"{noise}@{ratio}" for ratio in (10, 5) for noise in NOISES)]
GOALS = {"quiet": 99.0, "10": 95.0, "5": 90.0}
"""Per cent right at first hearing, by condition or by ratio in decibels."""
NOT_ANSWERS = frozenset({Outcome.NOT_UNDERSTOOD, Outcome.INCOMPLETE, Outcome.CHOOSE})
WHATEVER_WAS_HEARD = frozenset({"condemns", "twin", "two_meanings", "unusual", "odd", ""})
"""Reasons for a yes that lie in the reading, not in the sound: it would condemn a part, or its twin would."""
TELLING = 20
"""Errors that are told one by one."""
Miss = tuple[Score, str, Understanding]
"""Score, condition and understanding of an answer that was not right."""
Results = dict[str, tuple[Understanding, Score]]


def conditions() -> list[str]:
    named = os.environ.get("LEADSMAN_BENCH_CONDITIONS", "")
    return named.split(",") if named else CONDITIONS


def cache_of(recognizer: Recognizer, corpus: Path) -> Cache:
    """What is heard, from the file of earlier runs where one is named."""

    def hear(case: Case, condition: str) -> Hearing:
        noise, _, ratio = condition.partition("@")
        return recognizer.hear(
            case_sound(case, corpus, "" if noise == "quiet" else noise, float(ratio or 0)), case.expectation
        )

    named = os.environ.get("LEADSMAN_BENCH_HEARD")
    return Cache(Path(named) if named else None, hear)


@pytest.mark.filterwarnings("ignore")
def test_bench_readings(speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    cases = chosen_share(load_readings(speech_corpus))
    cache = cache_of(recognizer, speech_corpus)
    print(f"\nreadings: {len(cases)} recordings a condition; caught: false, but a yes is asked for first")
    together: dict[str, list[Score]] = defaultdict(list)
    missed: dict[str, list[Miss]] = defaultdict(list)
    for condition in conditions():
        heard = {case.name: cache.heard(case, condition) for case in cases}
        results = _decide(cases, heard, vocabulary)
        goal = GOALS["quiet"] if condition == "quiet" else GOALS[condition.split("@")[1]]
        wrong = "none" if condition == "quiet" else "at most 0.3 %"
        print(f"\n{condition} (goal {goal:.0f} % right, {wrong} wrong and accepted)", flush=True)
        print(f"  all           {counts(given for _, given in results.values())}  {_confirmed(results)}")
        for kind in sorted({case.kind for case in cases}):
            print(f"  {kind:<13} {counts(results[case.name][1] for case in cases if case.kind == kind)}")
        _print_by_voice(cases, results)
        _note_errors(condition, cases, results, heard)
        together[condition.split("@")[-1]] += [given for _, given in results.values()]
        for case in cases:
            meant, given = results[case.name]
            if given != "right":
                missed[case.name].append((given, condition, meant))
    print("\nall noises together")
    for name, scores in together.items():
        level = name if name == "quiet" else f"{name} dB"
        print(f"  {level:<7} {counts(scores)}  (goal {GOALS[name]:.0f} % right)")
    _print_telling({case.name: case for case in cases}, missed)


def _print_telling(cases: dict[str, Case], missed: dict[str, list[Miss]]) -> None:
    """The recordings that say most about what is still wrong: accepted falsely, then in quiet, then most often."""

    def telling(name: str) -> tuple[int, int, int]:
        rows = missed[name]
        accepted = sum(given == "wrong" for given, _, _ in rows)
        return -accepted, -sum(condition == "quiet" for _, condition, _ in rows), -len(rows)

    print(f"\nthe {TELLING} most telling errors, each with the conditions under which it was not right")
    for name in sorted(missed, key=telling)[:TELLING]:
        case, rows = cases[name], missed[name]
        heard: dict[str, list[str]] = defaultdict(list)
        for given, condition, meant in rows:
            heard[f"{given} '{meant.heard}'"].append(condition)
        told = "; ".join(f"{what} ({', '.join(where)})" for what, where in heard.items())
        print(f"  {name} {case.voice} '{case.said}': {told}")


@pytest.mark.filterwarnings("ignore")
def test_bench_baselines(speech_corpus: Path, speech_model: Path) -> None:
    """What a user could put together, on the numbers alone, for which it was made."""
    if os.environ.get("LEADSMAN_BENCH_BASELINES") == "0":
        pytest.skip("left out by LEADSMAN_BENCH_BASELINES=0")
    cases = [case for case in chosen_share(load_readings(speech_corpus)) if case.kind == "reading"]
    heard_by = {"bag": Plainly(speech_model, BAG), "open": Plainly(speech_model)}
    print(f"\nbaselines, {len(cases)} readings that are numbers")
    for condition in conditions():
        noise, _, ratio = condition.partition("@")
        texts: dict[str, list[str]] = defaultdict(list)
        for case in cases:
            sound = case_sound(case, speech_corpus, "" if noise == "quiet" else noise, float(ratio or 0))
            for name, plainly in heard_by.items():
                texts[name].append(plainly.words(sound.samples.tobytes()))
        for name, heard in texts.items():
            for parser, parse in PARSERS.items():
                scores = [score_value(case, parse(words)) for case, words in zip(cases, heard, strict=True)]
                print(f"  {condition:<13} vosk {name:<4} + {parser:<13} {counts(scores)}", flush=True)


@pytest.mark.filterwarnings("ignore")
def test_bench_digit_strings(speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    cases = chosen_share(digit_strings(speech_corpus))
    cache = cache_of(recognizer, speech_corpus)
    heard = {case.name: cache.heard(case, "quiet") for case in cases}
    results = _decide(cases, heard, vocabulary)
    print("\nstrings of four digits by six people at telephone rate, ohms prompt (goal: 90 % right, none wrong)")
    print(f"  all           {counts(given for _, given in results.values())}  {_confirmed(results)}")
    _print_by_voice(cases, results)
    _note_errors("telephone", cases, results, heard)


def test_bench_people(speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    """Yes, no and stop are heard; words of no vocabulary and talk to somebody else are no answer."""
    cache = cache_of(recognizer, speech_corpus)
    cases = people.answers(speech_corpus)
    print("\nreal people (goal: 98 % right)")
    for prompt in ("question", "ohms"):
        chosen = [case for case in cases if case.name.startswith(prompt)]
        heard = {case.name: cache.heard(case, "quiet") for case in chosen}
        results = _decide(chosen, heard, vocabulary)
        print(f"  yes, no, stop at {prompt:<9} {counts(given for _, given in results.values())}")
        _note_errors(f"people, {prompt}", chosen, results, heard)
    for name, chosen, goal in (
        ("words of no vocabulary", people.strangers(speech_corpus), "at most 1 % accepted"),
        ("talk to somebody else", people.talk(speech_corpus), "none accepted"),
    ):
        _print_strangers(name, goal, chosen, {case.name: cache.heard(case, "quiet") for case in chosen}, vocabulary)


def test_bench_noise_alone(speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    share = float(os.environ.get("LEADSMAN_BENCH_SHARE", "1"))
    minutes = max(1.0, people.MINUTES * share)
    print(f"\n{minutes:.0f} minutes of each noise with nobody speaking, ohms prompt")
    for noise in NOISES:
        pieces = people.noise_pieces(speech_corpus, noise, minutes)
        heard = {case.name: recognizer.hear(sound, case.expectation) for case, sound in pieces}
        kept = {name: Heard(one.hypotheses, one.snr_db) for name, one in heard.items()}
        _print_strangers(noise, "none accepted", [case for case, _ in pieces], kept, vocabulary)


def _print_strangers(
    name: str, goal: str, cases: Sequence[Case], heard: dict[str, Heard], vocabulary: Vocabulary
) -> None:
    """How often sound that is no answer was taken for one."""
    accepted, asked = [], 0
    for case in cases:
        one = heard[case.name]
        meant = interpret(one.hypotheses, case.expectation, vocabulary, snr_db=one.snr_db)
        if meant.outcome not in NOT_ANSWERS:
            asked += meant.confirm
            if not meant.confirm:
                accepted.append(f"{case.said or case.name} as '{meant.heard}'")
    share = 100 / max(1, len(cases))
    print(
        f"  {name:<24} n {len(cases):4d}  accepted {len(accepted):3d} ({len(accepted) * share:4.1f} %, goal {goal})",
        end="",
    )
    print(f"  a yes is asked for {asked:3d} ({asked * share:4.1f} %)  {'; '.join(accepted)}")


def _decide(cases: Sequence[Case], heard: dict[str, Heard], vocabulary: Vocabulary) -> Results:
    results: Results = {}
    for case in cases:
        one = heard[case.name]
        meant = interpret(one.hypotheses, case.expectation, vocabulary, snr_db=one.snr_db)
        results[case.name] = meant, score(case, meant)
    return results


def _confirmed(results: Results) -> str:
    """Share of the right answers for which a yes is asked, and how many of them would be asked about when typed."""
    right = [meant for meant, given in results.values() if given == "right"]
    count = sum(meant.confirm for meant in right)
    whatever = sum(meant.confirm and meant.reason in WHATEVER_WAS_HEARD for meant in right)
    share = 100 * count / max(1, len(right))
    return f"of the right ones a yes is asked for {count} ({share:.0f} %), {whatever} of them typed as well"


def _print_by_voice(cases: Sequence[Case], results: Results) -> None:
    voices: dict[str, list[Score]] = defaultdict(list)
    for case in cases:
        voices[case.voice].append(results[case.name][1])
    rows = []
    for voice, scores in sorted(voices.items(), key=lambda item: item[1].count("right") / len(item[1])):
        rows.append(f"{voice} {scores.count('right')}/{len(scores)}")
    print("  by voice, right: " + ", ".join(rows))


def _note_errors(condition: str, cases: Sequence[Case], results: Results, heard: dict[str, Heard]) -> None:
    target = os.environ.get("LEADSMAN_BENCH_ERRORS")
    if not target:
        return
    with Path(target).open("a", encoding="utf-8") as out:
        for case in cases:
            meant, given = results[case.name]
            if given == "right":
                continue
            value = meant.value or meant.command or meant.choice or meant.identifier or ""
            out.write(
                f"{condition} {given:<6} {case.name} {case.voice} said '{case.said}' ({case.kind} {case.truth})"
                f" -> {meant.outcome.value} {value} {meant.reason}; snr {heard[case.name].snr_db}\n"
            )
            best = heard[case.name].hypotheses[:5]
            out.writelines(f"      {best[0].score - one.score:6.2f} {one.words}\n" for one in best)
