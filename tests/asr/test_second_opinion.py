"""Two opinions are weighed before anything is decided; where the second is missing, the first stands as it was."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.asr import second_opinion as room
from assistant.asr.network.moonshine import Moonshine
from assistant.asr.recognizer import Recognizer
from assistant.asr.second_opinion import OWN_BEHIND, NetworkScorer, Opinion, fused, second_opinion
from assistant.audio.sound import Samples, make_sound
from assistant.messages import Expectation, Expects, Hypothesis
from assistant.numerals.vocabulary import Vocabulary
from tests.asr.network.small_weights import Plain, drawn

SOUND = (np.random.default_rng(5).standard_normal(12000) * 3000).astype(np.int16)
HEARD = (Hypothesis("hold on", 10.0), Hypothesis("all done", 9.0), Hypothesis("[unclear]", 4.0))


class Says:
    """A second opinion fixed beforehand."""

    name = "fixed"

    def __init__(self, told: dict[str, float | None]) -> None:
        self.told = told
        self.asked: list[list[str]] = []
        self.wrote: list[bool] = []

    def opinion(self, samples: Samples, phrases: Sequence[str], *, writes: bool) -> Opinion:
        self.wrote.append(writes)
        self.asked.append(list(phrases))
        return Opinion(tuple(self.told.get(phrase) for phrase in phrases))


def test_both_opinions_are_added_with_their_weight_and_the_best_comes_first() -> None:
    found = fused(HEARD, Opinion((-9.0, -3.0, -20.0)), 0.5)
    assert [(one.words, one.score) for one in found] == [("all done", 9.0), ("hold on", 7.0), ("[unclear]", -4.5)]
    assert [(one.recognized, one.second) for one in found] == [(9.0, -3.0), (10.0, -9.0), (4.0, -20.0)]


def test_unknown_speech_without_an_opinion_keeps_its_place_beside_the_best() -> None:
    found = {one.words: one.score for one in fused(HEARD, Opinion((-9.0, -3.0, None)), 0.5)}
    assert found == {"all done": 9.0, "hold on": 7.0, "[unclear]": 4.0}


def test_the_networks_own_words_stand_behind_the_last_and_rise_by_its_opinion() -> None:
    found = fused(HEARD, Opinion((-9.0, -8.0, -20.0), (("lamp is on", -1.0),)), 0.5)
    own = next(one for one in found if one.words == "lamp is on")
    assert own.recognized == 4.0 - OWN_BEHIND
    assert own.score == 4.0 - OWN_BEHIND + 0.5 * 7.0
    assert fused(HEARD, Opinion((-9.0, -8.0, -20.0), (("lamp is on", -1.0),)), 3.0)[0].words == "lamp is on"


def test_the_network_writes_down_its_likeliest_texts() -> None:
    """Each as likely as when it is scored by itself, best first; with room for all of them none is missed."""
    weights = drawn()
    network = Moonshine(weights, small=False)
    encoded = network.encode(SOUND)
    count = network.begin(encoded).likely.shape[0]
    inner = [row for row in range(count) if row != weights.end]
    all_short = [(), *((row,) for row in inner), *((one, two) for one in inner for two in inner)]
    tree = network.tree([list(rows) for rows in all_short])
    likely = network.likely(encoded, tree)
    totals = {
        rows: float(sum(likely[node, row] for node, row in tree.paths[at]) + likely[tree.ends[at], weights.end])
        for at, rows in enumerate(all_short)
    }
    found = network.likeliest(encoded, count - 1, 3)
    assert [score for _, score in found] == sorted((score for _, score in found), reverse=True)
    assert len({rows for rows, _ in found}) == len(found) > 20
    for rows, score in found:
        assert totals[rows] == pytest.approx(score, abs=1e-4)
    assert found[0][0] == max(totals, key=totals.__getitem__)


def test_its_own_words_are_answers_alone_and_none_of_the_phrases() -> None:
    scorer = NetworkScorer(Moonshine(drawn(), small=False))
    own = scorer.opinion(SOUND, ["one"], writes=True).own
    assert all(words and words != "one" and "unclear" not in words for words, _ in own)
    assert not scorer.opinion(SOUND, ["one"], writes=False).own


@pytest.mark.parametrize("scores", [(None, None, None), (-1.0, None, None)])
def test_where_the_network_cannot_write_the_words_nothing_changes(scores: tuple[float | None, ...]) -> None:
    assert fused(HEARD, Opinion(scores), 0.5) == HEARD


def test_without_a_scorer_or_for_a_long_sound_nothing_changes() -> None:
    says = Says({"all done": 0.0, "hold on": -50.0})
    assert second_opinion(None, SOUND, HEARD, 0.5, noisy=True) is HEARD
    assert second_opinion(says, np.zeros(16000 * 15, dtype=np.int16), HEARD, 0.5, noisy=True) == HEARD
    assert second_opinion(says, SOUND, (), 0.5, noisy=True) == ()
    assert says.asked == []


def test_only_in_noise_has_the_network_words_of_its_own() -> None:
    says = Says({"all done": 0.0, "hold on": -50.0, "[unclear]": -60.0})
    for noisy in (False, True):
        second_opinion(says, SOUND, HEARD, 0.5, noisy=noisy)
    assert says.wrote == [False, True]


def test_a_phrase_scores_as_the_product_over_its_pieces_and_the_end() -> None:
    weights = drawn()
    plain = Plain(weights)
    encoded = plain.encode(SOUND)
    scorer = NetworkScorer(Moonshine(weights, small=False))
    told = scorer.opinion(SOUND, ["one", "[unclear]", "[unclear] one", "q"], writes=False)
    one, unknown, both, strange = told.scores
    likely = plain.likely(encoded, [0, 3])
    assert one == pytest.approx(float(likely[0, 3] + likely[1, 1]), abs=5e-3)
    likely = plain.likely(encoded, [0, 2])
    assert unknown == pytest.approx(float(likely[0, 2] + likely[1, 1]), abs=5e-3)
    assert both == pytest.approx(one)
    assert strange is None


def test_without_any_weights_there_is_no_scorer(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(room, "OURS", tmp_path / "none.npz")
    monkeypatch.setattr(room, "published_folder", lambda: None)
    room._best.cache_clear()
    try:
        assert room.best_scorer() is None
        (tmp_path / "none.npz").write_bytes(b"damaged")
        room._best.cache_clear()
        assert room.best_scorer() is None
    finally:
        room._best.cache_clear()


@pytest.mark.model
def test_the_recognizer_asks_for_a_second_opinion_and_ranks_by_both(
    speech_model: Path, vocabulary: Vocabulary, answer: Path
) -> None:
    expectation = Expectation(Expects.READING, unit="ohm")
    levels, rate = soundfile.read(answer, dtype="float32")
    sound = make_sound(levels, rate, "x")
    with Recognizer(speech_model, vocabulary, scorer=lambda: None) as plain:
        alone = plain.hear(sound, expectation).hypotheses
    assert len(alone) > 1
    assert all(one.second is None and one.recognized is None for one in alone)
    last = alone[-1].words
    says = Says({one.words: 0.0 if one.words == last else -500.0 for one in alone})
    with Recognizer(speech_model, vocabulary, scorer=lambda: says) as both:
        heard = both.hear(sound, expectation).hypotheses
    assert heard[0].words == last
    assert {one.words: one.recognized for one in heard} == {one.words: one.score for one in alone}
    assert math.isclose(heard[0].score, alone[-1].score)


@pytest.fixture
def answer() -> Path:
    """'six eight oh three', recorded for a demo scene."""
    return Path(__file__).parents[2] / "demo_sessions" / "backed-off-on-a-disc" / "05.flac"
