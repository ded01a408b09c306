"""``grammars/deciding.toml``: every weight and threshold is used, none is missing, and caution grows with noise."""

from __future__ import annotations

from dataclasses import asdict

import pytest

from assistant.catalog import load_vocabulary
from assistant.errors import DocumentError
from assistant.numerals.tables import Reader
from assistant.understanding.recognition.rescoring import SURENESS, policy_of

VOCABULARY = load_vocabulary()


def test_every_entry_is_used_and_none_is_missing() -> None:
    told = asdict(policy_of(VOCABULARY))
    for kind in SURENESS:
        told |= {f"{kind}_{name}": value for name, value in told.pop(kind).items()}
    assert told == VOCABULARY.deciding


def test_no_weight_works_backwards() -> None:
    assert all(value >= 0 for value in VOCABULARY.deciding.values())


def test_noise_never_makes_surer_and_a_wrong_turn_costs_more_than_a_wrong_figure() -> None:
    policy = policy_of(VOCABULARY)
    for sure in (policy.both, policy.alone):
        assert sure.trust_noisy <= sure.trust
        assert sure.unheard <= sure.unheard_noisy <= sure.unheard_loud
    assert policy.loud_db < policy.quiet_db
    assert policy.asking < policy.untrue < policy.misled


def test_a_word_for_a_number_is_a_finding() -> None:
    reader = Reader({"deciding": {"weights": {"whole": "much"}}})
    assert reader.measures("deciding") == {}
    assert DocumentError("grammars", reader.findings).findings[0].text == "Write a number."


@pytest.mark.parametrize("missing", [{}, {"deciding": {}}])
def test_without_the_file_the_built_in_policy_counts(missing: dict[str, dict[str, object]]) -> None:
    assert Reader(missing).measures("deciding") == {}
