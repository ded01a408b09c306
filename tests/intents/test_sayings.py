"""``grammars/sayings``: every intent that can be asked for has sentences, and each is known by its own."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import platformdirs
import pytest

from assistant import catalog
from assistant.errors import DocumentError
from assistant.intents import linear
from assistant.intents.sayings import KNOWN, sayings_in
from assistant.library import files
from tests.rows import each_row

TEXTS = {path.name: path.read_text(encoding="utf-8") for path in files("grammars", catalog.SAYINGS)}
SAYINGS = sayings_in(TEXTS)
ELSEWHERE = {"say_usual", "whats_left", "where", "detail", "not_now"}
"""Intents that rules alone know, or that another one serves: 'left', 'done_so_far'."""


def test_every_intent_has_sayings() -> None:
    counts = Counter(intent for intent, _ in SAYINGS)
    assert set(counts) == KNOWN - ELSEWHERE
    assert min(counts.values()) >= 60


def test_no_sentence_has_several_intents_of_one_writer() -> None:
    for name, text in TEXTS.items():
        counts = Counter(said for _, said in sayings_in({name: text}))
        several = [said for said, many in counts.items() if many > 1]
        assert len(several) <= 0.02 * len(counts), (name, several)


def test_nearly_every_saying_is_known_by_its_own_intent() -> None:
    opinion = catalog.load_vocabulary().second_opinion
    assert opinion is not None
    known = [next(iter(opinion.shares(said))) == intent for intent, said in SAYINGS[::7]]
    assert sum(known) / len(known) >= 0.98


@each_row(["nonsense\tskip it", "skip it", "skip\t"])
def test_a_line_that_is_none_is_named(line: str) -> None:
    with pytest.raises(DocumentError) as found:
        sayings_in({"own.tsv": f"# ours\n\nskip\tskip it\n{line}\n"})
    assert "line 4, own.tsv" in str(found.value)


def test_a_shop_adds_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "grammars" / "sayings"
    folder.mkdir(parents=True)
    (folder / "ours.tsv").write_text("skip\tto the devil with it\n", encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path))
    assert "ours.tsv" in {path.name for path in files("grammars", catalog.SAYINGS)}


@pytest.fixture
def few(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of one's own, and few sayings."""
    monkeypatch.setattr(platformdirs, "user_cache_dir", lambda *_, **__: str(tmp_path / "cache"))
    return tmp_path / "cache"


FEW = (("skip", "skip this one"), ("hold", "hold on"), ("limit", "what is the limit"))


def test_what_was_fitted_is_kept_and_not_fitted_again(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = catalog.learned(FEW)
    assert len(list(few.iterdir())) == 1
    monkeypatch.setattr(linear, "fit", lambda _: pytest.fail("fitted again"))
    assert catalog.learned(FEW).shares("skip it") == made.shares("skip it")


def test_other_sayings_take_its_place(few: Path) -> None:
    catalog.learned(FEW)
    catalog.learned(FEW[:2])
    assert len(list(few.iterdir())) == 1


def test_what_was_kept_and_is_broken_is_made_again(few: Path) -> None:
    made = catalog.learned(FEW)
    kept = next(few.iterdir())
    kept.write_bytes(kept.read_bytes()[:100])
    assert catalog.learned(FEW).shares("skip it") == made.shares("skip it")
    assert catalog.learned(FEW).shares("hold") == made.shares("hold")


def test_without_a_place_to_keep_it_in_it_is_made_each_time(few: Path) -> None:
    few.write_text("a file where the folder should be", encoding="utf-8")
    assert catalog.learned(FEW).shares("skip it")
