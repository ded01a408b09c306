"""Free speech for the record: what is written down, what is told as unclear, and that no unknown word gets in."""

from __future__ import annotations

import functools
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from assistant.asr.dictation import LONGEST, NetworkWriter, pieces_of, unsure_words, with_unclear
from assistant.asr.network.moonshine import Moonshine
from assistant.asr.recognizer import Recognizer
from assistant.asr.second_opinion import downloaded_weights
from assistant.audio.sound import RATE, Samples, Sound, read_sound
from assistant.messages import Expectation, Expects
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.interpret import interpret
from tests.conftest import missing

NOTE = Expectation(Expects.NOTE)
OHMS = Expectation(Expects.READING, unit="ohm")


class Says:
    """Writes the same, whatever it hears."""

    def __init__(self, words: str) -> None:
        self.words = words

    def write(self, samples: Samples) -> str:
        return self.words


def spoken(words: str, folder: Path) -> Sound:
    """Words by flite, which shares nothing with what hears them."""
    if shutil.which("flite") is None:
        missing("speaks with flite: apt-get install flite")
    path = folder / "said.wav"
    subprocess.run(["flite", "-voice", "slt", "-t", words, "-o", str(path)], check=True)
    return read_sound(path)


def test_a_word_is_unclear_by_its_least_likely_piece_and_no_mark_makes_it_so() -> None:
    pieces = ["▁The", "▁tone", "▁ri", "ng", ",", "▁ru", "sted", "."]
    assert unsure_words(pieces, [0.9, 0.2, 0.9, 0.3, 0.1, 0.9, 0.9, 0.1]) == ["tone", "ring"]
    assert unsure_words([], []) == []


@pytest.mark.parametrize(
    ("unclear", "written"),
    [
        ([], "The plug is green."),
        (["plug", "plug"], "The plug is green (not clear: plug)"),
        (["a", "b", "c", "d", "e"], "The plug is green (not clear)"),
    ],
)
def test_the_text_says_where_it_was_not_clear(unclear: list[str], written: str) -> None:
    assert with_unclear("The plug is green.", unclear) == written


def test_long_sound_is_parted_where_it_is_quiet_and_nothing_is_lost() -> None:
    sound = np.random.default_rng(1).normal(0, 3000, int(60 * RATE)).astype(np.int16)
    quiet = int(22 * RATE)
    sound[quiet : quiet + RATE // 2] = 0
    parts = pieces_of(sound)
    assert np.array_equal(np.concatenate(parts), sound)
    assert max(map(len, parts)) <= LONGEST * RATE
    assert quiet < len(parts[0]) < quiet + RATE // 2


@pytest.mark.model
def test_free_speech_is_what_the_writer_wrote_and_a_command_is_a_command(
    speech_model: Path, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    with Recognizer(speech_model, vocabulary, writer=lambda: Says("The wires are chafed.")) as recognizer:
        heard = recognizer.hear(spoken("the wires are chafed", tmp_path), NOTE)
        assert [one.words for one in heard.hypotheses] == ["The wires are chafed."]
        stop = recognizer.hear(spoken("stop", tmp_path), NOTE)
        assert stop.hypotheses[0].words == "stop"


@pytest.mark.model
def test_a_note_in_one_breath_keeps_its_own_words_or_is_asked_for(
    speech_model: Path, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    said = spoken("make a note that the wires are chafed", tmp_path)
    for wrote, note in (
        ("Make a note that the wires are chafed.", "the wires are chafed"),
        ("", None),
        ("Eight.", None),
    ):
        with Recognizer(speech_model, vocabulary, writer=functools.partial(Says, wrote)) as recognizer:
            heard = recognizer.hear(said, OHMS)
            meant = interpret(heard.hypotheses, OHMS, vocabulary, snr_db=heard.snr_db)
            assert meant.command == "note"
            assert meant.note == note
            assert not meant.confirm
    with Recognizer(speech_model, vocabulary, writer=lambda: None) as recognizer:
        assert [one.words for one in recognizer.hear(said, OHMS).hypotheses] == ["make a note"]


def test_the_published_weights_write_down_shop_talk(tmp_path: Path) -> None:
    weights = downloaded_weights()
    if weights is None:
        missing("the published weights are not here; run: leadsman setup")
    writer = NetworkWriter(Moonshine(weights))
    said = "The customer says the lamp comes on after rain and goes out when it dries."
    assert writer.write(spoken(said, tmp_path).samples) == said
    hiss = np.random.default_rng(3).normal(0, 6000, 3 * RATE).astype(np.int16)
    assert "not clear" in writer.write(hiss) or writer.write(hiss) == ""
