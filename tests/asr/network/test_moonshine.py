"""The graphs that onnxruntime runs give what the same network gives when it is written plainly in numpy."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.asr.network.moonshine import Moonshine
from assistant.asr.network.published import published_weights
from assistant.asr.network.tokenizer import Tokenizer
from assistant.setup.scorer import published_folder, published_hash
from tests.asr.network.small_weights import PIECES, Plain, drawn
from tests.conftest import missing

SOUND = (np.random.default_rng(5).standard_normal(12000) * 3000).astype(np.int16)
TEXTS = [[3, 4, 5], [3, 4, 9, 7], [6], [3, 4, 5, 8, 8]]


@pytest.fixture(scope="module")
def exact() -> Moonshine:
    return Moonshine(drawn(), small=False)


def test_scores_of_a_tree_are_those_of_each_text_alone_in_plain_numpy(exact: Moonshine) -> None:
    plain = Plain(drawn())
    encoded = plain.encode(SOUND)
    tree = exact.tree(TEXTS)
    assert len(tree.pieces) == 1 + 8  # the shared beginnings once
    likely = exact.likely(exact.encode(SOUND), tree)
    for text, path in zip(TEXTS, tree.paths, strict=True):
        alone = plain.likely(encoded, [0, *text])
        for at, (node, row) in enumerate(path):
            assert row == text[at]
            assert likely[node] == pytest.approx(alone[at], abs=2e-3)


def test_written_piece_by_piece_it_says_the_same_as_the_tree(exact: Moonshine) -> None:
    encoded = exact.encode(SOUND)
    tree = exact.tree([TEXTS[3]])
    likely = exact.likely(encoded, tree)
    text = exact.begin(encoded)
    for node, row in tree.paths[0]:
        assert text.likely == pytest.approx(likely[node], abs=1e-4)
        text = exact.write(encoded, text, row)
    assert text.rows == (0, *TEXTS[3])


def test_eight_bit_matrices_are_close_and_choose_alike(exact: Moonshine) -> None:
    small = Moonshine(drawn())
    tree = exact.tree(TEXTS)
    ours, theirs = (each.likely(each.encode(SOUND), tree) for each in (small, exact))
    assert float(np.abs(ours - theirs).mean()) < 0.12
    assert (ours.argmax(axis=1) == theirs.argmax(axis=1)).mean() > 0.8


def test_one_network_serves_several_threads_at_once(exact: Moonshine) -> None:
    tree = exact.tree(TEXTS)
    sounds = [np.roll(SOUND, shift) for shift in (0, 100, 4000)]
    alone = [exact.likely(exact.encode(sound), tree) for sound in sounds]
    found: dict[int, list[bool]] = {}

    def work(at: int) -> None:
        again = [exact.likely(exact.encode(sounds[at]), tree) for _ in range(4)]
        found[at] = [bool(np.array_equal(one, alone[at])) for one in again]

    threads = [threading.Thread(target=work, args=(at,)) for at in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == {0: [True] * 4, 1: [True] * 4, 2: [True] * 4}


def test_a_sound_shorter_than_the_convolutions_is_heard_with_silence_behind_it(exact: Moonshine) -> None:
    assert exact.encode(SOUND[:300]).keys.shape[1] > 0


def test_texts_become_pieces_by_their_numbers_and_back() -> None:
    tokenizer = Tokenizer(PIECES)
    assert tokenizer.encode("one") == (265,)
    assert tokenizer.encode("on") == (264,)
    assert tokenizer.encode("ont") == (264, 266)
    assert tokenizer.encode("é") == (259, 3 + 0xC3, 3 + 0xA9)
    assert tokenizer.decode([1, 265, 264, 2]) == "one on"
    assert tokenizer.decode(tokenizer.encode("é on")) == "é on"


def test_words_that_the_weights_do_not_know_have_no_rows(exact: Moonshine) -> None:
    assert exact.rows("one") == [3]
    assert exact.rows("q") is None


@pytest.mark.corpus
def test_the_published_network_writes_down_what_was_said(speech_corpus: Path) -> None:
    folder = published_folder()
    if folder is None:
        missing("the published weights are not on this machine (leadsman setup)")
    network = Moonshine(published_weights(folder, published_hash()))
    found = {}
    for name in ("0020", "0005", "0031"):
        samples, _ = soundfile.read(speech_corpus / "readings" / f"{name}.flac", dtype="int16")
        encoded = network.encode(samples)
        text = network.begin(encoded)
        while len(text.rows) < 40 and int(text.likely.argmax()) != network.weights.end:
            text = network.write(encoded, text, int(text.likely.argmax()))
        found[name] = network.tokenizer.decode(text.rows[1:]).lower().strip(".")
    assert found == {"0005": "1260 ohms", "0020": "scratch that", "0031": "thirteen point o one"}
