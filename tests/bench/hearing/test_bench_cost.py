"""What hearing and reading cost, as ratios measured in one run: beside bare vosk, beside public parsers."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from statistics import median

import pytest

from assistant.asr.grammar import make_grammar
from assistant.asr.recognizer import CLEAN_BELOW_DB, Recognizer, heard_by_both, is_noisy
from assistant.asr.second_opinion import best_scorer, second_opinion
from assistant.audio.segmenter import PAUSE, USUAL
from assistant.audio.sound import RATE
from assistant.messages import Expectation
from assistant.numerals.number_parser import number_spans
from assistant.numerals.tokenizer import scan
from assistant.numerals.verbalizations import whole_sayings
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.interpret import interpret
from assistant.understanding.recognition.grammar_phrases import phrase_list
from tests.bench.hearing.baselines import PARSERS, text2num_alone
from tests.bench.hearing.cases import load_readings
from tests.bench.hearing.mixing import case_sound

pytestmark = pytest.mark.bench
ROUNDS, SLOW_ROUNDS = 7, 1
"""Rounds of reading number words; fewer for a parser that takes a thousand times as long."""
EVERY = 9
"""Every ninth recording: fifty or so, enough for a ratio."""


class Bare:
    """vosk as it comes: its own model, one answer, with a phrase list or without."""

    def __init__(self, folder: Path, vocabulary: Vocabulary, *, shaped: bool) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        self._model, self._vocabulary, self._shaped = vosk.Model(str(folder)), vocabulary, shaped
        self._made: dict[Expectation, object] = {}

    def prepare(self, expectation: Expectation) -> None:
        """Build its grammar."""
        import vosk

        if expectation not in self._made:
            knows = self._model.vosk_model_find_word
            texts = [make_grammar(phrase_list(expectation, self._vocabulary), lambda word: knows(word) >= 0).text]
            self._made[expectation] = vosk.KaldiRecognizer(self._model, RATE, *(texts if self._shaped else []))

    def hear(self, samples: bytes, expectation: Expectation) -> None:
        """Decode."""
        recognizer = self._made[expectation]
        recognizer.AcceptWaveform(samples)  # type: ignore[attr-defined]
        recognizer.FinalResult()  # type: ignore[attr-defined]


@pytest.mark.model
@pytest.mark.corpus
def test_bench_cost_of_hearing(
    speech_corpus: Path, speech_model: Path, recognizer: Recognizer, vocabulary: Vocabulary
) -> None:
    cases = load_readings(speech_corpus)[::EVERY]
    baselines = {
        "the same phrase list": Bare(speech_model, vocabulary, shaped=True),
        "open vocabulary": Bare(speech_model, vocabulary, shaped=False),
    }
    print(f"\ncost of hearing, {len(cases)} recordings; grammars are built beforehand for all")
    for condition, goal in (("", "1.1"), ("rain", "2.5 where sound is cleaned")):
        ours = deciding = 0.0
        spent = dict.fromkeys(baselines, 0.0)
        replies: list[float] = []
        cleaned = 0
        for case in cases:
            sound = case_sound(case, speech_corpus, condition, 5.0)
            cleaned += sound.snr_db is not None and sound.snr_db < CLEAN_BELOW_DB
            recognizer.prepare(case.expectation)
            for bare in baselines.values():
                bare.prepare(case.expectation)
            began = time.perf_counter()
            hearing = recognizer.hear(sound, case.expectation)
            heard = time.perf_counter()
            interpret(hearing.hypotheses, case.expectation, vocabulary, snr_db=hearing.snr_db)
            done = time.perf_counter()
            ours, deciding = ours + heard - began, deciding + done - heard
            # an answer is handed over while the silence that ends it still runs, see live/segmenter
            replies.append(max(0.0, heard - began - (USUAL.whole - PAUSE)) + done - heard)
            for name, bare in baselines.items():
                began = time.perf_counter()
                bare.hear(sound.samples.tobytes(), case.expectation)
                spent[name] += time.perf_counter() - began
        print(f"  {condition or 'quiet':<6} ({cleaned} of {len(cases)} cleaned), to bare vosk with ", end="")
        print(", ".join(f"{name} {ours / seconds:.2f}" for name, seconds in spent.items()), f"(goal {goal})")
        print(f"         an answer takes {ours / len(cases):.3f} s to hear, {deciding / len(cases):.4f} s to decide")
        replies.sort()
        late = replies[int(0.95 * len(replies))]
        print(
            f"         end of speech to outcome, beyond the silence that ends it: median {median(replies):.3f} s, ",
            end="",
        )
        print(f"95 % within {late:.3f} s, longest {replies[-1]:.3f} s (goal 0.15 s)", flush=True)


def phrases() -> list[tuple[str, Decimal]]:
    """Plain whole numbers in every usual way, from a fixed stride over 0 to 19,999.

    'Thirty seven thirty seven' is left out: it may be 37 said twice, and is asked about.
    """
    found: dict[str, Decimal] = {}
    for number in range(0, 20_000, 37):
        for words, weight in whole_sayings(number):
            parts = words.split()
            twice = parts[: len(parts) // 2] * 2 == parts and len(parts) > 3
            if weight >= 0.4 and not twice:
                found.setdefault(words, Decimal(number))
    return list(found.items())


@pytest.mark.filterwarnings("ignore")
@pytest.mark.model
@pytest.mark.corpus
def test_bench_cost_of_the_second_opinion(speech_corpus: Path, speech_model: Path, vocabulary: Vocabulary) -> None:
    """Processor time of whole answers beyond the recognizer's own, and memory of the first and the next bay.

    Time is this thread's and its workers' on the processor, not the clock's: what else runs here takes no part.
    """
    cases = load_readings(speech_corpus)[::EVERY]
    with Recognizer(speech_model, vocabulary, scorer=lambda: None) as alone:
        for case in cases:
            alone.prepare(case.expectation)
        before = resident()
        scorer = best_scorer()
        assert scorer is not None
        first = resident() - before
        assert best_scorer() is scorer
        print(f"\nthe second opinion ({scorer.name}): {len(cases)} recordings")
        for condition in ("", "rain"):
            alone_spent, extra = [], []
            for case in cases:
                sound = case_sound(case, speech_corpus, condition, 5.0)
                began = time.process_time()
                hearing = alone.hear(sound, case.expectation)
                heard = time.process_time()
                _, as_it_came = heard_by_both(sound)
                second_opinion(scorer, as_it_came, hearing.hypotheses, 0.6, noisy=is_noisy(sound))
                alone_spent.append(heard - began)
                extra.append(time.process_time() - heard)
            extra.sort()
            more = sum(extra) / sum(alone_spent)
            print(f"  {condition or 'quiet':<6} of a core: median {median(extra):.3f} s more, ", end="")
            print(f"95 % within {extra[int(0.95 * len(extra))]:.3f} s (goal 0.15), longest {extra[-1]:.3f}; ", end="")
            print(f"{more:.2f} of the recognizer's own", flush=True)
        print(f"  memory: {first:.0f} MB read, {resident() - before:.0f} MB in use, shared: the next bay takes none")


def resident() -> float:
    """Memory of this process in megabytes."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def test_bench_reading_number_words(vocabulary: Vocabulary) -> None:
    """Words of one number to its value: the tokenizer and the number grammar, as every spoken reading enters them.

    'Ours' gives every meaning as an exact decimal with its reservations. A phrase counts with its fastest round.
    """
    table = phrases()

    def ours(words: str) -> Decimal | None:
        spans = number_spans(scan(words, vocabulary), vocabulary, None, implied=False)
        values = [meaning.value for span in spans for meaning in span.meanings]
        return values[0] if len(values) == 1 else None

    readers: dict[str, Callable[[str], object]] = {"ours": ours, "text2num, alone": text2num_alone, **PARSERS}
    print(f"\nreading number words: {len(table)} phrases (goal: every row right, half of them under 50 microseconds)")
    medians: dict[str, float] = {}
    for name, read in readers.items():
        best = [float("inf")] * len(table)
        for _ in range(SLOW_ROUNDS if name == "number-parser" else ROUNDS):
            for at, (words, _truth) in enumerate(table):
                began = time.perf_counter()
                read(words)
                best[at] = min(best[at], time.perf_counter() - began)
        medians[name] = median(best)
        right = sum(read(words) == truth for words, truth in table)
        line = f"  {name:<16} median {1e6 * medians[name]:8.2f} microseconds  right {right:5d} of {len(table)}"
        print(line if name == "ours" else f"{line}  ours takes {medians['ours'] / medians[name]:.2f} of its time")
