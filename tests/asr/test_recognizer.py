"""The recognizer on real recordings: what was said comes out, from any thread, whatever the file."""

from __future__ import annotations

import sys
import threading
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from assistant.asr.recognizer import Recognizer
from assistant.audio.sound import RATE, make_sound, read_sound
from assistant.audio.vad import has_voice
from assistant.errors import OperatorError
from assistant.messages import NO_PROMPT, Choice, Command, Expectation, Expects, Outcome, check_prompt
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.interpret import interpret
from assistant.understanding.recognition.grammar_phrases import phrase_list

pytestmark = pytest.mark.model
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
LACKING = {"pascals"}
"""Words that the model lacks and has no stand-in for; a session names them once when it first listens for them."""
WORDS = ["one", "two", "twelve", "hundred", "ohms", "yes"]


def test_a_model_that_cannot_be_loaded_is_said(tmp_path: Path, vocabulary: Vocabulary) -> None:
    with Recognizer(tmp_path, vocabulary) as broken, pytest.raises(OperatorError, match="cannot be loaded"):
        broken.prepare(OHMS)


def test_a_closed_recognizer_says_so(speech_model: Path, vocabulary: Vocabulary) -> None:
    closed = Recognizer(speech_model, vocabulary)
    closed.close()
    closed.close()
    with pytest.raises(OperatorError, match="was closed"):
        closed.prepare(OHMS)


def test_words_that_the_model_lacks_are_named_once(speech_model: Path, vocabulary: Vocabulary) -> None:
    notices: list[str] = []
    phrases = ["one kilohms", "two kilohms", "one millivolts", "one ohms"]
    with Recognizer(speech_model, vocabulary, notice=notices.append, phrases=lambda _: phrases) as made:
        assert made.missing_words(["kilohms", "ohms", "glad"]) == ["kilohms"]
        made.prepare(OHMS)
        made.prepare(Expectation(Expects.COMMAND))
    assert notices == ["The speech model does not know: kilohms, millivolts. Phrases with them are not listened for."]


def test_the_recognizer_knows_every_word_that_prompts_listen_for(
    recognizer: Recognizer, vocabulary: Vocabulary
) -> None:
    """Cases A070, A072: a phrase with a word that the model lacks would be lost, most often in silence."""
    prompts = [Expectation(Expects.READING, unit=unit) for unit in vocabulary.units]
    prompts += [Expectation(Expects.COMMAND), Expectation(Expects.IDENTIFIER)]
    listened = {word for prompt in prompts for phrase in phrase_list(prompt, vocabulary) for word in phrase.split()}
    listened = {part for word in listened - {"[unclear]"} for part in word.split("-")}
    assert len(listened) > 200
    assert set(recognizer.missing_words(sorted(listened))) <= LACKING


def test_the_check_at_start_knows_every_word_of_the_grammars(recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    """Whatever word of ``grammars/`` the model lacks has words in its place, or is a rare one that can be typed."""
    found = recognizer.words()
    assert found.known > 400
    assert found.instead["millivolts"] == "milli volts"
    assert set(found.instead) >= {"kilohms", "megohms", "milliamps", "gladhands", "chocks", "juliett"}
    code_words = {word for word, (kind, _) in vocabulary.numbers.items() if kind == "D" and len(word) > len("niner")}
    assert set(found.unheard) <= code_words | {"pascals", "kilopascals", "amperes", "fourty", "fower"}


SPOKEN = [
    ("0003.flac", OHMS, "one thousand three hundred seven"),
    ("0000.flac", Expectation(Expects.COMMAND), "correction"),
    ("0002.flac", Expectation(Expects.CHOICE, choices=(Choice("right rear"), Choice("left rear"))), "right rear"),
]


@pytest.mark.corpus
@pytest.mark.parametrize(("name", "expectation", "words"), SPOKEN)
def test_whole_answers_are_heard(
    recognizer: Recognizer, speech_corpus: Path, name: str, expectation: Expectation, words: str
) -> None:
    hearing = recognizer.hear_file(speech_corpus / "readings" / name, expectation)
    assert hearing.hypotheses[0].words == words
    assert hearing.snr_db is not None
    assert hearing.snr_db > 15


@pytest.mark.corpus
@pytest.mark.skipif(sys.platform == "win32", reason="the library's generator cannot be reached there")
def test_the_same_sound_gives_the_same_scores(recognizer: Recognizer, speech_corpus: Path) -> None:
    """A replay of a session from sound must hear what the session heard."""
    first, other = (speech_corpus / "readings" / name for name in ("0003.flac", "0009.flac"))
    hearings = [recognizer.hear_file(path, OHMS).hypotheses for path in (first, other, first, other, first)]
    assert hearings[0] == hearings[2] == hearings[4]
    assert hearings[1] == hearings[3]


@pytest.mark.corpus
@pytest.mark.parametrize("rate", [8000, 22050, 48000])
def test_the_rate_of_the_recording_does_not_matter(recognizer: Recognizer, speech_corpus: Path, rate: int) -> None:
    """Cases A085, A086."""
    import soxr

    sound = read_sound(speech_corpus / "readings" / "0003.flac")
    levels = soxr.resample(sound.samples.astype(np.float32) / 32768.0, RATE, rate)
    hearing = recognizer.hear(make_sound(np.stack([levels, levels], axis=1), rate), OHMS)
    assert hearing.hypotheses[0].words == "one thousand three hundred seven"


@pytest.mark.corpus
@pytest.mark.parametrize("seconds", [0.6, 1.5, 4.0])
def test_a_pause_inside_a_number_does_not_end_it(
    recognizer: Recognizer, speech_corpus: Path, vocabulary: Vocabulary, seconds: float
) -> None:
    """Case A081: the recognizer's own endpoint would cut here and lose the rest."""
    said = [
        read_sound(speech_corpus / "human" / "commands" / name).samples
        for name in sorted(path.name for path in (speech_corpus / "human" / "commands").glob("two_*.flac"))[:1]
    ]
    silence = np.zeros(int(seconds * RATE), dtype=np.int16)
    joined = np.concatenate([said[0], silence, said[0]]).astype(np.float32) / 32768.0
    hearing = recognizer.hear(make_sound(joined, RATE), OHMS)
    apart = hearing.hypotheses[0].words.split()[:3]
    assert [word for word in apart if word != "…"][:2] == ["two", "two"]
    assert ("…" in apart) is (seconds > 1.0)  # the recordings add their own quiet to it
    found = interpret(hearing.hypotheses, OHMS, vocabulary, snr_db=hearing.snr_db)
    # within a short pause it is one number said figure by figure, as people read a display
    assert found.confirm or found.value is None or seconds < 1.0, "two values are never glued in silence"


@pytest.mark.corpus
def test_talk_meant_for_someone_else_is_the_unknown_word(recognizer: Recognizer, speech_corpus: Path) -> None:
    hearing = recognizer.hear_file(speech_corpus / "human" / "talk" / "016.flac", OHMS)
    assert "[unclear]" in hearing.hypotheses[0].words


def test_noise_alone_is_no_word_with_confidence(recognizer: Recognizer) -> None:
    """Case A087: ten seconds of hiss give nothing, or the unknown word."""
    rng = np.random.default_rng(11)
    hiss = rng.normal(0, 0.05, RATE * 10).astype(np.float32)
    hearing = recognizer.hear(make_sound(hiss, RATE), OHMS)
    assert all("[unclear]" in one.words for one in hearing.hypotheses)
    assert any("loud around the voice" in warning for warning in hearing.warnings)


@pytest.mark.corpus
@pytest.mark.parametrize("expectation", [OHMS, Expectation(Expects.COMMAND)], ids=["ohms", "question"])
def test_a_faint_stop_in_noise_is_asked_about_and_never_taken(
    recognizer: Recognizer, speech_corpus: Path, vocabulary: Vocabulary, expectation: Expectation
) -> None:
    """The recognizer heard silence, the voice detector a voice: it is listened to again, for a command alone."""
    heard = recognizer.hear_file(speech_corpus / "human" / "commands" / "stop_3659fc1c_0.flac", expectation)
    assert heard.hypotheses[0].words == "[unclear]"
    found = interpret(heard.hypotheses, expectation, vocabulary, snr_db=heard.snr_db)
    assert (found.command, found.confirm) == (Command.STOP, True)


def test_forty_seconds_without_a_word_are_never_taken_for_an_answer(
    recognizer: Recognizer, vocabulary: Vocabulary
) -> None:
    """Case A080: while probes go in; a microphone's voice detector keeps such sound from being heard at all."""
    rng = np.random.default_rng(3)
    faint = rng.normal(0, 0.002, RATE * 40).astype(np.float32)
    hearing = recognizer.hear(make_sound(faint, RATE), OHMS)
    found = interpret(hearing.hypotheses, OHMS, vocabulary, snr_db=hearing.snr_db)
    assert found.outcome is not Outcome.READING
    assert found.confirm or found.outcome is Outcome.NOT_UNDERSTOOD
    assert not has_voice(make_sound(faint, RATE).samples)


def test_a_prompt_asked_again_uses_the_grammar_it_has(speech_model: Path, vocabulary: Vocabulary) -> None:
    """Case A075: a grammar is made once for what is waited for, however the question is worded."""
    made: list[Expectation] = []

    def phrases(expectation: Expectation) -> list[str]:
        made.append(expectation)
        return WORDS

    with Recognizer(speech_model, vocabulary, phrases=phrases) as one:
        for prompt in ("left rear ohms", "right rear ohms", "left rear ohms"):
            one.prepare(replace(OHMS, prompt=check_prompt(prompt), hint=prompt))
        one.prepare(Expectation(Expects.COMMAND))
        one.prepare(OHMS)
    assert len(made) == 2


@pytest.mark.corpus
def test_many_threads_share_one_recognizer(recognizer: Recognizer, speech_corpus: Path) -> None:
    """Case A088: only the owner's thread touches the library; the others wait their turn."""
    heard: list[str] = []

    def work() -> None:
        heard.append(recognizer.hear_file(speech_corpus / "readings" / "0003.flac", OHMS).hypotheses[0].words)

    workers = [threading.Thread(target=work) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert heard == ["one thousand three hundred seven"] * 4


@pytest.mark.model
def test_prompts_with_the_same_grammar_share_a_recognizer_and_others_do_not(
    speech_model: Path, vocabulary: Vocabulary
) -> None:
    """What an over-range display means, or which values were named, changes no word that is listened for."""
    with Recognizer(speech_model, vocabulary, kept=3) as one:
        same = replace(OHMS, over_range="good", values=(Decimal(1180),))
        other = Expectation(Expects.COMMAND)
        for prompt in (OHMS, same, other):
            one.prepare(prompt)
        made = dict(one._ready)
        assert len(made) == 3
        assert made[same] is made[replace(OHMS, prompt=NO_PROMPT, hint="")]
        assert made[other] is not made[same]
        assert not one._spelled, "a grammar that was built need not be remembered as text"
        one.prepare(replace(OHMS, high=Decimal(5)))
        assert len(one._ready) == 3


WARM, MEASURED, EVERY = 300, 600, 25
"""Utterances until caches are full, those that are measured, and those between two looks at the memory."""
LEAK = 12 / 9500
"""Megabytes an utterance that are too many: case A084 lets 9,500 utterances take 12."""


@pytest.mark.sweep
@pytest.mark.corpus
def test_memory_stays_flat_over_many_utterances(
    speech_model: Path, vocabulary: Vocabulary, speech_corpus: Path
) -> None:
    """Case A084. Of a shorter run it is asked that its slope excludes such a leak in spite of its own scatter."""
    sound = read_sound(sorted((speech_corpus / "human" / "commands").glob("yes_*.flac"))[0])
    sizes = []
    with Recognizer(speech_model, vocabulary, phrases=lambda _: WORDS) as made:
        for number in range(1, WARM + MEASURED + 1):
            made.hear(sound, OHMS)
            if number % 100 == 0:
                made._submit(made._ready.clear)
            if number > WARM and number % EVERY == 0:
                sizes.append(resident_megabytes())
    assert most_growth(sizes) < LEAK, sizes


@pytest.mark.parametrize(("leak", "scatter", "flat"), [(0.0, 0.1, True), (1.5, 0.1, False), (0.0, 2.0, False)])
def test_a_leak_shows_in_so_many_utterances_and_so_does_a_scatter_that_would_hide_it(
    leak: float, scatter: float, flat: bool
) -> None:
    """Memory made up: level or growing by so many times too much, with a scatter of so many megabytes."""
    rng = np.random.default_rng(1)
    told = [340 + leak * LEAK * at + scatter * rng.standard_normal() for at in range(0, MEASURED, EVERY)]
    assert (most_growth(told) < LEAK) is flat


def most_growth(sizes: Sequence[float]) -> float:
    """The steepest growth, in megabytes an utterance, that sizes taken every so many allow.

    The least-squares slope and three of its standard errors, by the scatter about the line (NIST/SEMATECH e-Handbook
    of Statistical Methods, 4.4.3, from memory).
    """
    at = np.arange(len(sizes)) * EVERY
    slope, start = np.polyfit(at, sizes, 1)
    scatter = np.asarray(sizes) - (start + slope * at)
    error = np.sqrt((scatter @ scatter) / (len(sizes) - 2) / ((at - at.mean()) @ (at - at.mean())))
    return float(slope + 3 * error)


def resident_megabytes() -> float:
    status = Path("/proc/self/status")
    if not status.is_file():
        pytest.skip("this system does not tell a process's memory by file")
    line = next(row for row in status.read_text(encoding="utf-8").splitlines() if row.startswith("VmRSS"))
    return int(line.split()[1]) / 1024
