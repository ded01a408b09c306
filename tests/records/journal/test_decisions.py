"""Decisions in journals: every sentence that formats 1 and 2 wrote is read as the reason it stood for."""

from __future__ import annotations

import json
from typing import Any

import pytest

from assistant.messages import Prompt, Reason, Why
from assistant.messages.decisions import FactWithdrawn, FixDeclined, ProofStepWithdrawn, Skipped
from assistant.records.journal.decisions import read_decision, reason_of, write_decision
from tests.records.samples import DECISIONS

SENTENCES: list[tuple[str, str, str, Why, dict[str, Any]]] = [
    ("check_chosen", "It is the next position in order.", "", Why.IN_ORDER, {}),
    ("check_chosen", "It was skipped before.", "", Why.SKIPPED_BEFORE, {}),
    ("check_chosen", "You asked for it.", "", Why.ASKED_FOR, {}),
    ("check_chosen", "You asked for it again.", "", Why.ASKED_FOR_AGAIN, {}),
    ("check_chosen", "The first reading was too close to call.", "", Why.TOO_CLOSE, {}),
    ("check_chosen", "The last answer was taken back.", "", Why.TAKEN_BACK, {}),
    ("check_chosen", "Measured again after this work: a. b.", "", Why.AFTER_WORK, {"work": "a. b"}),
    ("check_chosen", "It splits a from b in 3 minutes with nothing more to open.", "", Why.WRITTEN,
     {"text": "It splits a from b in 3 minutes with nothing more to open.", "minutes": 3}),
    ("check_chosen", "It narrows down what is left in a minute with hood to open first.", "", Why.WRITTEN,
     {"text": "It narrows down what is left in a minute with hood to open first.", "minutes": 1}),
    ("check_chosen", "It comes before volts.", "", Why.WRITTEN, {"text": "It comes before volts."}),
    ("fix_chosen", "The readings point to it.", "", Why.WRITTEN, {"text": "The readings point to it."}),
    ("observation_withdrawn", "", "", Why.SCRATCHED, {}),
    ("observation_withdrawn", "taken back", "", Why.SCRATCHED, {}),
    ("observation_withdrawn", "went back", "", Why.WENT_BACK, {}),
    ("observation_withdrawn", "correction", "", Why.CORRECTED, {}),
    ("observation_withdrawn", "read once more", "", Why.READ_ONCE_MORE, {}),
    ("observation_withdrawn", "read again", "", Why.READ_AGAIN, {}),
    ("proof_finished", "every step of the proof passed", "", Why.ALL_PASSED, {}),
    ("proof_finished", "light: on", "", Why.STEP_FAILED, {"step": "light", "answer": "on"}),
    ("ended", "every step of the proof passed", "cured and proven", Why.ALL_PASSED, {}),
    ("ended", "the person stopped it", "stopped", Why.STOPPED, {}),
    ("ended", "This unit has no such brakes.", "stopped", Why.DOES_NOT_FIT,
     {"text": "This unit has no such brakes."}),
    ("ended", "every position was read", "survey complete", Why.ALL_READ, {}),
    ("ended", "not read: a, left; b", "survey, not complete", Why.NOT_READ, {"items": ("a, left", "b")}),
    ("ended", "roll was skipped: no room", "cured, not proven", Why.STEP_SKIPPED,
     {"step": "roll", "reason": "no room"}),
    ("ended", "roll was skipped: no reason given", "cured, not proven", Why.STEP_SKIPPED,
     {"step": "roll", "reason": ""}),
    ("ended", "it was left unfinished", "not found", Why.UNFINISHED, {}),
    ("remarked", "asked why at check:ohms:left", "", Why.ASKED_WHY, {"prompt": "check:ohms:left"}),
    ("remarked", "asked to confirm (condemns): yes", "", Why.CONFIRMED, {"doubt": "condemns"}),
    ("remarked", "asked to confirm (condemns): no", "", Why.REFUSED, {"doubt": "condemns"}),
    ("remarked", "asked where we are", "", Why.ASKED_WHERE, {}),
    ("remarked", "asked what is left", "", Why.ASKED_WHATS_LEFT, {}),
]  # fmt: skip
"""Kind of decision, the sentence as it was written then, the ending, and the reason."""


@pytest.mark.parametrize(("kind", "text", "ending", "why", "slots"), SENTENCES)
def test_a_sentence_of_an_earlier_format_is_its_reason(
    kind: str, text: str, ending: str, why: Why, slots: dict[str, Any]
) -> None:
    assert reason_of(kind, text, ending) == Reason(why, slots)


@pytest.mark.parametrize(
    ("plain", "decision"),
    [
        ({"kind": "skipped", "prompt": "check:ohms:left", "reason": "no reason given"},
         Skipped(Prompt.read("check:ohms:left"), "")),
        ({"kind": "fix_declined", "fix": "replace", "place": None, "reason": "no part"},
         FixDeclined("replace", None, "no part")),
        ({"kind": "fact_withdrawn", "fact": "proof:light"}, ProofStepWithdrawn("light")),
        ({"kind": "fact_withdrawn", "fact": "brakes"}, FactWithdrawn("brakes")),
    ],
)  # fmt: skip
def test_other_texts_of_earlier_formats_are_read_as_what_they_meant(plain: dict[str, Any], decision: object) -> None:
    assert read_decision(json.dumps(plain).encode()) == decision


@pytest.mark.parametrize(
    "decision", [*DECISIONS, FactWithdrawn("proof: last seen"), Skipped(Prompt.read(r"access:plug\: end:left"), "")]
)
def test_a_decision_comes_back_from_its_json(decision: Any) -> None:
    assert read_decision(json.dumps(write_decision(decision)).encode()) == decision
