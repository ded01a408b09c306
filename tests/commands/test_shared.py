"""Arguments of the one-room commands: exact numbers, spans, jobs and batches."""

from __future__ import annotations

import io
import json
from decimal import Decimal

import pytest

from assistant.commands import shared
from assistant.errors import OperatorError
from assistant.messages import Expects

UNITS = {"ohm", "V"}


@pytest.mark.parametrize(
    ("text", "low", "high"), [("0:20000", "0", "20000"), ("-3.5:3.5", "-3.5", "3.5"), (" 1 : 2 ", "1", "2")]
)
def test_span_is_two_numbers_with_a_colon(text: str, low: str, high: str) -> None:
    """The two ends are kept exact."""
    assert shared.parse_span(text) == (Decimal(low), Decimal(high))


@pytest.mark.parametrize("text", ["", "5", "5:", ":5", "a:b", "9:1", "1:1", "0:inf", "nan:1", "0-5", "1:2:3"])
def test_span_that_makes_no_sense_is_refused_with_a_remedy(text: str) -> None:
    """The sentence repeats what was given and shows the form."""
    with pytest.raises(OperatorError, match="such as 0:20000"):
        shared.parse_span(text)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(5, "5"), ("1.20", "1.20"), (Decimal("0.1"), "0.1"), (None, None)],
)
def test_exact_keeps_numbers_exact(value: object, expected: str | None) -> None:
    """A trailing zero stays, since it says how fine the meter reads."""
    assert str(shared.exact(value, "low")) == str(expected)


@pytest.mark.parametrize("value", [True, [1], {}, "a", "NaN", "Infinity", 0.5])
def test_exact_refuses_what_is_not_a_finite_exact_number(value: object) -> None:
    """The field is named."""
    with pytest.raises(OperatorError, match="'low'"):
        shared.exact(value, "low")


def test_job_with_a_unit_expects_a_reading() -> None:
    """Limits and span come along in the prompt's unit."""
    expectation = shared.expectation_from({"unit": "ohm", "low": 900, "high": "1400", "span": [0, 20000]}, UNITS)
    assert expectation.expects is Expects.READING
    assert (expectation.low, expectation.high) == (Decimal(900), Decimal(1400))
    assert expectation.span == (Decimal(0), Decimal(20000))


@pytest.mark.parametrize(
    ("job", "expects"),
    [
        ({}, Expects.COMMAND),
        ({"choices": ["drum", "disc"]}, Expects.CHOICE),
        ({"identifier": True}, Expects.IDENTIFIER),
    ],
)
def test_job_without_a_unit(job: dict[str, object], expects: Expects) -> None:
    """A choice where choices are given, a unit number where asked for, else a command."""
    assert shared.expectation_from(job, UNITS).expects is expects


@pytest.mark.parametrize(
    ("job", "words"),
    [
        ({"unit": "furlong"}, "Unit 'furlong' is not known"),
        ({"unit": "ohm", "low": 5, "high": 1}, "above the high limit"),
        ({"unit": "ohm", "span": [1]}, "'span'"),
        ({"unit": "ohm", "span": [9, 1]}, "lower first"),
        ({"unit": "ohm", "over_range": "maybe"}, "good or bad"),
        ({"choices": [1]}, "not a list of words"),
        ({"choices": "left"}, "not a list of words"),
    ],
)
def test_job_that_makes_no_sense_is_refused(job: dict[str, object], words: str) -> None:
    """One sentence that names the field."""
    with pytest.raises(OperatorError, match=words):
        shared.expectation_from(job, UNITS)


def test_batch_answers_in_order_and_goes_on_after_a_bad_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every input line that is not blank has its output line, errors included."""
    lines = '{"id": 1}\n\nnot json\n[1]\n{"id": 2, "bad": true}\n{"id": 3}\n'
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))

    def answer(job: dict[str, object]) -> dict[str, object]:
        if job.get("bad"):
            raise OperatorError("'said' is missing.")
        return {"ok": True}

    with pytest.raises(SystemExit, match="1"):
        shared.run_batch("-", answer)
    out = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["id"] for one in out] == [1, None, None, 2, 3]
    assert out[0]["ok"]
    assert "Line 3 is not JSON" in out[1]["error"]
    assert "Line 4 is not a JSON object" in out[2]["error"]
    assert out[3]["error"] == "'said' is missing."
    assert out[4]["ok"]


def test_batch_file_that_is_not_there_is_one_sentence() -> None:
    """No traceback for a wrong path."""
    with pytest.raises(OperatorError, match="Cannot read"):
        shared.run_batch("no-such-batch.jsonl", lambda job: job)
