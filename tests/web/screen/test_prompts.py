"""What the screens are measured with: nothing that a procedure can ask is left out."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from assistant.messages import PromptKind
from assistant.procedure.model import Access, Fix, Procedure
from assistant.session.dialog_state import Mode
from tests.web.screen.prompts import OVER, PROCEDURES, Standing, context_named, every_prompt_of, longest_of

pytestmark = pytest.mark.sweep  # as the measuring of them all is
NEVER_SHOWN = {
    Mode.NEW: "nothing is asked before a session begins",
    Mode.LOOK_UP: "nobody is asked: the machine looks the unit up",
    Mode.RECORDING: "nobody is asked: the entry is being written",
    Mode.ENDED: "the screen of an ended session is another one (test_browser)",
}
"""What a session can wait for without asking anybody, and why."""


@pytest.fixture(params=PROCEDURES)
def name(request: pytest.FixtureRequest) -> str:
    """Each procedure in turn."""
    return str(request.param)


def test_each_row_of_a_procedure_is_shown(name: str) -> None:
    """Checks, repairs, openings, facts and steps of the proof by their names, cautions by what they say."""
    procedure, prompts = context_named(name).procedure, every_prompt_of(name)
    shown = {tuple(one["prompt"].split(":")[:2]) for one in prompts}
    rows = {
        PromptKind.CHECK: [one.name for one in procedure.checks],
        PromptKind.FIX: [one.name for one in procedure.fixes],
        PromptKind.ACCESS: [one.name for one in procedure.access],
        PromptKind.FACT: [one.name for one in procedure.facts],
        PromptKind.PROOF: [one.name for one in procedure.proof.steps if not one.put_back],  # that is the list itself
    }
    for kind, names in rows.items():
        assert [one for one in names if (kind, one) not in shown] == [], kind
    told = said(one for one in prompts if one["mode"] == Mode.CAUTION)
    assert [one.name for one in procedure.cautions if one.say.lower() not in told] == []


def test_each_thing_that_goes_back_is_shown(name: str) -> None:
    procedure = context_named(name).procedure
    told = said(one for one in every_prompt_of(name) if one["mode"] == Mode.PUT_BACK)
    assert [one for one in goes_back(procedure) if longest_part(one) not in told] == []


def test_each_question_over_a_reading_is_shown(name: str) -> None:
    modes = {one["mode"] for one in every_prompt_of(name)}
    assert {str(one) for one in OVER} <= modes
    assert context_named(name).procedure.kind == "survey" or Mode.OFFER in modes


def test_nothing_that_a_session_waits_for_is_missing() -> None:
    modes = {one["mode"] for name in PROCEDURES for one in every_prompt_of(name)}
    assert {str(mode) for mode in Mode} - modes == {str(mode) for mode in NEVER_SHOWN}


def test_what_is_left_out_is_outdone_in_every_part() -> None:
    """Shorter words in one part keep it only where another part is longer; another kind of key keeps it always."""
    reading = next(one for one in every_prompt_of(PROCEDURES[0]) if one["expects"] == "reading" and one["limits"])
    asked = reading["ask"]
    longer = {**reading, "ask": {**asked, "text": asked["text"] + " And once more, with the load on it."}}
    other = {**longer, "limits": reading["limits"] + ", with the lamp lit"}
    keyed = {**reading, "keys": ["/", " "]}
    assert longest_of([reading, longer]) == (longer,)
    assert set(map(str, longest_of([reading, longer, other]))) == {str(other)}
    assert len(longest_of([longer, {**other, "ask": asked}, keyed])) == 3


def said(prompts: Iterable[Standing]) -> str:
    """All that these prompts show, in one."""
    return "\n".join(
        "\n".join([*one["ask"]["before"], *one["ask"]["parts"], one["ask"]["text"]]) for one in prompts
    ).lower()


def goes_back(procedure: Procedure) -> list[str]:
    """Everything that a procedure has put back."""
    rows: tuple[Access | Fix, ...] = (*procedure.access, *procedure.fixes)
    own = [one for row in rows for one in (*row.put_back, *row.put_back_last)]
    return [*procedure.put_back_first, *procedure.put_back, *own]


def longest_part(text: str) -> str:
    """What of it stands whatever the place."""
    return max(text.split("{place}"), key=len).strip().lower()
