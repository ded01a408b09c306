"""The training of the second scorer's weights, small: what is said, what is kept apart, a few steps of fitting."""

from __future__ import annotations

import hashlib
import json
import random
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant.asr.network.tokenizer import Tokenizer
from assistant.asr.network.weights import Matrix, read_weights
from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.understanding.values.readings import understand_reading
from tests.tools.scorer_training import corpus, examples, fresh
from tests.tools.scorer_training.clips import NOISE, RATE, Clip, cut, keep, pack, resampled, unpack
from tests.tools.scorer_training.neural import DECIDE, VOICES
from tests.tools.scorer_training.texts import NO_ANSWER, SHARES, all_lines, as_heard, known_words, told
from tests.tools.scorer_training.vocabulary import rows_of


def clip(source: str, voice: str, words: str, seconds: float = 0.4) -> Clip:
    rng = np.random.default_rng(len(words))
    return Clip(source, voice, "reading", words, rng.normal(0, 0.1, int(seconds * RATE)).astype(np.float32))


def test_every_kind_is_said_and_nothing_that_decides() -> None:
    aside = frozenset(line.words for line in all_lines(300, frozenset()) if line.kind == "reading")
    lines = all_lines(300, aside)
    assert {line.kind for line in lines} == set(SHARES)
    assert not aside & {line.words for line in lines}
    assert all((line.words == "") == (line.kind in NO_ANSWER) for line in lines)
    words = set(known_words(lines))
    assert {"hundred", "ohms", "milli", "volts", "jumping", "yes", "repeat"} <= words
    assert all(word in words for line in lines for word in line.words.split())


def test_fresh_readings_follow_from_their_seed_and_say_nothing_that_was_said_before() -> None:
    vocabulary = load_vocabulary()
    made = list(islice(fresh.rows(5, frozenset(), vocabulary), 12))
    assert made == list(islice(fresh.rows(5, frozenset(), vocabulary), 12))
    assert {row["voice"] for row in made} == set(DECIDE)
    aside = frozenset(as_heard(row["said"], vocabulary) for row in made)
    again = list(islice(fresh.rows(5, aside, vocabulary), 12))
    assert not aside & {as_heard(row["said"], vocabulary) for row in again}
    for row in made:
        prompt = Expectation(Expects.READING, unit=row["unit"], low=Decimal(row["low"]), high=Decimal(row["high"]))
        meant = understand_reading(row["said"], prompt, vocabulary)
        assert meant.value == Decimal(row["value"]) or Decimal(row["value"]) in meant.values


def test_an_engine_is_told_letters_as_letters() -> None:
    assert told("it says o l") == "it says O L"
    assert told("three hundred milli volts") == "three hundred millivolts"


def test_clips_travel_in_one_file(tmp_path: Path) -> None:
    made = [clip("flite", "rms", "twelve volts"), clip(NOISE, "rain_01", "")]
    digest = pack(made, tmp_path / "clips.tar")
    found = unpack(tmp_path / "clips.tar")
    assert [(one.source, one.voice, one.words) for one in found] == [
        ("flite", "rms", "twelve volts"),
        (NOISE, "rain_01", ""),
    ]
    assert [len(one.levels) for one in found] == [len(one.levels) for one in made]
    assert pack(made, tmp_path / "again.tar") == digest
    assert pack(made[:1], tmp_path / "less.tar") != digest
    digest = keep(made, tmp_path / "clips.npz")
    kept = unpack(tmp_path / "clips.npz")
    assert [(one.source, one.voice, one.words) for one in kept] == [
        (one.source, one.voice, one.words) for one in made
    ]
    for one, other in zip(kept, made, strict=True):
        assert np.abs(one.levels - np.clip(other.levels, -1, 1)).max() < 1e-4
    assert keep(made[:1], tmp_path / "less.npz") != digest


def test_silence_is_cut_and_a_tone_keeps_its_pitch_at_our_rate() -> None:
    tone = np.sin(2 * np.pi * 440 * np.arange(24_000) / 24_000).astype(np.float32)
    heard = resampled(tone, 24_000)
    assert len(heard) == RATE
    assert np.argmax(np.abs(np.fft.rfft(heard))) == 440
    quiet = np.zeros(RATE, dtype=np.float32)
    assert len(cut(np.concatenate([quiet, heard, quiet]))) == pytest.approx(RATE + 1600, abs=40)


@pytest.mark.corpus
@pytest.mark.parametrize(
    "bad",
    [
        clip("readings", DECIDE[0], "twelve volts"),
        clip("neural", f"af_nova+{DECIDE[1]}", "twelve volts"),
        clip(NOISE, "rain_07", ""),
        clip(NOISE, "torch", ""),
    ],
)
def test_what_decides_is_refused(bad: Clip, speech_corpus: Path) -> None:
    corpus.check_apart([clip("flite", "rms", "twelve volts")], speech_corpus)
    with pytest.raises(ValueError, match="decides"):
        corpus.check_apart([bad], speech_corpus)


@pytest.mark.corpus
def test_the_recordings_that_train_are_those_of_the_training_voices_and_speakers(speech_corpus: Path) -> None:
    clips = [*corpus.recorded(speech_corpus), *corpus.people(speech_corpus), *corpus.noises(speech_corpus)]
    corpus.check_apart(clips, speech_corpus)
    assert {one.voice for one in clips if one.source == corpus.READINGS} == set(VOICES)
    assert len({one.voice for one in clips if one.kind == "telephone"}) == 2
    assert corpus.texts_aside(speech_corpus).isdisjoint(one.words for one in clips if one.source != "people")


def test_examples_join_clips_without_overlap_and_know_what_is_no_answer() -> None:
    clips = [
        clip("readings", "af_nova", "twelve volts"),
        clip("neural", "am_onyx", "nine ohms"),
        clip("flite", "rms", ""),
        clip(NOISE, "rain_00", ""),
    ]
    chooser = examples.Chooser(clips, seed=1)
    made = [chooser.one() for _ in range(300)]
    assert {one.words for one in made} >= {"twelve volts", "nine ohms", "", None, "twelve volts nine ohms"}
    for one in made:
        ends = [part.at + part.length for part in one.parts]
        assert all(part.at >= end for part, end in zip(one.parts[1:], ends, strict=False))
        assert all(part.clip != 3 for part in one.parts)
        assert not ends or ends[-1] == one.length


def few_pieces() -> tuple[bytes, list[str]]:
    """A list of pieces in the publisher's format: the marks, bytes, letters, and a few words whole."""
    words = ["twelve", "volts", "nine", "ohms"]
    whole = ["▁" + word for word in words]
    parts = {part[:end] for part in whole for end in range(2, len(part) + 1)}
    pieces = [b"<unk>", b"<s>", b"</s>", *[b"<0x%02X>" % byte for byte in range(256)]]
    pieces += [one.encode() for one in sorted(parts, key=len)] + [
        b"\xe2\x96\x81",
        *[bytes([letter]) for letter in range(97, 123)],
    ]
    return b"".join(bytes([len(piece)]) + piece for piece in pieces), words


def test_words_become_rows_with_a_start_and_one_for_no_answer() -> None:
    listed, words = few_pieces()
    rows = rows_of(words, Tokenizer(listed).encode)
    assert len(rows.of("twelve volts")) == 2
    assert rows.of("") == [rows.no_answer]
    assert {rows.start, rows.no_answer} == {len(rows.domain) - 2, len(rows.domain) - 1}
    assert rows.domain[rows.end] == 2


def test_a_graph_gives_on_torch_what_it_gives_by_its_own_runtime(tmp_path: Path) -> None:
    """The network's own graph of sound, against onnxruntime."""
    pytest.importorskip("torch", reason="runs graphs with PyTorch: pip install torch")
    onnx = pytest.importorskip("onnx", reason="reads graphs: pip install onnx")
    import onnxruntime
    from onnx import TensorProto, helper, numpy_helper

    from tests.tools.scorer_training.onnx_on_torch import Runner

    rng = np.random.default_rng(2)
    matrix = rng.integers(0, 255, (6, 5), dtype=np.uint8)
    given = {
        "w": matrix, "wz": np.array(128, np.uint8), "ws": np.array(0.01, np.float32), "two": np.array([2]),
        "shape": np.array([0, -1]), "kernel": rng.normal(size=(4, 3, 3)).astype(np.float32), "zero": np.array([0]),
    }  # fmt: skip
    nodes = [
        helper.make_node("Conv", ["x", "kernel"], ["c"], kernel_shape=[3], pads=[1, 1], dilations=[1], strides=[1]),
        helper.make_node("LeakyRelu", ["c"], ["r"], alpha=0.2),
        helper.make_node("DynamicQuantizeLinear", ["r"], ["q", "qs", "qz"]),
        helper.make_node("MatMulInteger", ["q", "w", "qz", "wz"], ["i"]),
        helper.make_node("Cast", ["i"], ["f"], to=TensorProto.FLOAT),
        helper.make_node("Mul", ["qs", "ws"], ["s"]),
        helper.make_node("Mul", ["f", "s"], ["m"]),
        helper.make_node("Slice", ["m", "zero", "two", "two"], ["t"]),
        helper.make_node("Reshape", ["t", "shape"], ["y"]),
    ]
    value = helper.make_tensor_value_info
    graph = helper.make_graph(
        nodes, "small", [value("x", TensorProto.FLOAT, [1, 3, 6])], [value("y", TensorProto.FLOAT, None)],
        [numpy_helper.from_array(one, name) for name, one in given.items()],
    )  # fmt: skip
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", 20)], ir_version=9)
    onnx.save(model, tmp_path / "small.onnx")
    x = {"x": rng.normal(size=(1, 3, 6)).astype(np.float32)}
    wanted = onnxruntime.InferenceSession(model.SerializeToString()).run(None, x)[0]
    found = Runner(tmp_path / "small.onnx", "cpu").run(x)
    assert found.shape == wanted.shape
    # the runtime rounds what comes in to 8 bits, this does not
    assert np.abs(found - wanted).max() < 0.03 * np.abs(wanted).max()


def test_a_few_steps_learn_and_write_the_products_file(tmp_path: Path) -> None:
    torch = pytest.importorskip("torch", reason="trains with PyTorch: pip install torch")
    from tests.tools.scorer_training import tuning, weights_file
    from tests.tools.scorer_training.network import Network, Size

    random.seed(1)
    torch.manual_seed(1)
    torch.set_num_threads(1)
    listed, words = few_pieces()
    rows = rows_of(words, Tokenizer(listed).encode)
    size = {"width": 64, "heads": 2, "inner": 64, "layers": 1}
    network = Network(len(rows.domain), Size(**size))
    start = weights_file.from_state(network.state_dict())
    meta = {"words": rows.words, "start": rows.start, "end": rows.end, "no_answer": rows.no_answer, "size": size}
    kept: dict[str, Any] = {**start, "domain": rows.domain, "tokenizer": np.frombuffer(listed, dtype=np.uint8)}
    np.savez(tmp_path / "start.npz", meta=np.frombuffer(json.dumps(meta).encode(), dtype=np.uint8), **kept)
    clips = [
        clip("readings", "af_nova", "twelve volts"),
        clip("flite", "rms", "nine ohms", 0.6),
        clip(NOISE, "rain_00", "", 0.5),
    ]
    pack(clips, tmp_path / "clips.tar")
    given, found, tokenizer = tuning.begin(tmp_path / "start.npz")
    before = tuning.check(clips, [0, 1], given, found, "cpu")
    assert tokenizer == listed
    trained = tuning.train(clips, given, found, tuning.Plan(16, batch=4, rate=3e-3), "cpu")
    after = tuning.check(clips, [0, 1], trained, found, "cpu")
    assert float(after.split()[1]) < 0.97 * float(before.split()[1]), (before, after)
    tuning.finish(tmp_path / "out.npz", "small", trained, found, tokenizer)
    content = (tmp_path / "out.npz").read_bytes()
    weights = read_weights(tmp_path / "out.npz", hashlib.sha256(content).hexdigest())
    assert (weights.start, weights.end, weights.no_answer) == (rows.start, rows.end, rows.no_answer)
    matrix = weights.arrays["enc.conv2.weight"]
    assert isinstance(matrix, Matrix)
    exact = trained.enc.conv2.weight.detach().numpy()
    assert np.abs(matrix.levels * matrix.scale.reshape(-1, 1, 1) - exact).max() <= matrix.scale.max() / 2 + 1e-6
