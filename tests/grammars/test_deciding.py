"""``grammars/deciding.toml``: every weight and threshold is used, none is missing, and caution grows with noise."""

from __future__ import annotations

from dataclasses import asdict, fields

import pytest

from assistant.catalog import load_vocabulary
from assistant.errors import DocumentError
from assistant.numerals.tables import Reader
from assistant.understanding.rescoring import Policy, policy_of

VOCABULARY = load_vocabulary()


def test_every_entry_is_used_and_none_is_missing() -> None:
    assert set(VOCABULARY.deciding) == {field.name for field in fields(Policy)}
    assert asdict(policy_of(VOCABULARY)) == VOCABULARY.deciding


def test_no_weight_works_backwards() -> None:
    assert all(value >= 0 for value in VOCABULARY.deciding.values())


def test_noise_asks_for_wider_leads() -> None:
    policy = policy_of(VOCABULARY)
    assert policy.near_noisy >= policy.near
    assert policy.lost_noisy >= policy.lost >= policy.near
    assert policy.differs_noisy >= policy.near_noisy
    assert policy.noisy_db < policy.loud_db < policy.quiet_db


def test_a_word_for_a_number_is_a_finding() -> None:
    reader = Reader({"deciding": {"weights": {"whole": "much"}}})
    assert reader.measures("deciding") == {}
    assert DocumentError("grammars", reader.findings).findings[0].text == "Write a number."


@pytest.mark.parametrize("missing", [{}, {"deciding": {}}])
def test_without_the_file_the_built_in_policy_counts(missing: dict[str, dict[str, object]]) -> None:
    assert Reader(missing).measures("deciding") == {}
