"""``grammars/looks.toml``: what is seen in other words than a finding's own, told without being asked."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.procedure.load import list_procedures, load_procedure
from assistant.understanding.choosing.looks import told_in_looks
from tests.rows import each_row

LOOKS = load_vocabulary().looks
FINDINGS = {
    choice.name
    for path in list_procedures()
    for check in load_procedure(path).procedure.checks
    for choice in check.choices
    if choice.name not in check.sound
}
FORMS = [(name, form) for name, forms in LOOKS.items() for form in forms]


def test_every_part_is_a_finding_of_a_procedure() -> None:
    assert set(LOOKS) <= FINDINGS


@each_row(FORMS)
def test_a_form_tells_its_finding_and_a_denied_one_does_not(name: str, form: str) -> None:
    said = form.replace("*", "ed").split()
    assert told_in_looks(["the", "thing", "is", *said], LOOKS[name])
    assert not told_in_looks(["the", "thing", "is", "not", *said], (form,))


@pytest.mark.parametrize(
    ("text", "name"),
    [("something's been gnawing on this", "damaged"), ("it's a mossy swamp in there", "corroded")],
)
def test_what_is_seen_tells_a_finding(text: str, name: str) -> None:
    assert told_in_looks(text.split(), LOOKS[name])
    assert not told_in_looks(["no", *text.split()[-3:]], LOOKS[name])


def test_a_denial_ends_at_but() -> None:
    assert told_in_looks(["not", "clean", "but", "chewed"], LOOKS["damaged"])
