"""Silence is no labor: a journal written by hand, line by line, whose minutes are worked out here beside it.

The journal is sealed with ``hashlib`` and ``json`` alone. The procedure gives the drum 34 minutes, the sensor 10, the
reading 3.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest

from assistant.numerals.vocabulary import Vocabulary
from assistant.records.journal.reader import parse
from assistant.records.report.data import work_order_line
from assistant.records.report.page import customer_html, html_report
from assistant.records.report.transcript import transcript
from assistant.records.summary.collect import summarize
from assistant.records.summary.sessions import row_of
from assistant.records.summary.summary import SessionSummary

PROCEDURE = """
format = 1
name = "invented"
title = "Invented procedure"
[[checks]]
name = "ohms"
title = "resistance"
otherwise = "good"
minutes = 3
[[fixes]]
name = "replace"
title = "sensor replaced"
minutes = 10
[[proof.steps]]
name = "roll"
say = "Roll."
minutes = 5
"""
NAME = "20260302-080000-abc"


def journal(*entries: tuple[float, list[dict[str, Any]], list[tuple[float, str]]]) -> bytes:
    """Lines with their hashes.

    Args:
        entries: minute, decisions, and when (minute) who (``us``, ``you``) said something on the way.
    """
    bodies: list[tuple[float, dict[str, Any]]] = [
        (0.0, {"kind": "header", "session_id": NAME, "started": "2026-03-02T08:00:00+00:00", "procedure": "invented",
               "procedure_toml": PROCEDURE, "unit": "0419", "format": 3})
    ]  # fmt: skip
    for minute, decisions, talk in entries:
        fact = {"at": minute * 60, "hypotheses": [{"words": "so", "score": 0.0}], "source": "typed", "kind": "heard"}
        said = [{"at": at * 60, "who": who, "text": "so"} for at, who in talk]
        bodies.append((minute * 60, {"kind": "entry", "fact": fact, "decisions": decisions, "talk": said}))
    text, before = b"", ""
    for number, (mono, body) in enumerate(bodies):
        line = {"seq": number, "wall": "2026-03-02T08:00:00+00:00", "mono": mono, "prev": before, "body": body}
        core = json.dumps(line, separators=(",", ":")).encode()[:-1]
        before = hashlib.sha256(core).hexdigest()
        text += core + b',"hash":"' + before.encode() + b'"}\n'
    return text


def phase(name: str) -> dict[str, Any]:
    return {"phase": name, "kind": "phase_entered"}


def seen(number: int) -> dict[str, Any]:
    return {"number": number, "check": "ohms", "place": "left rear", "title": "resistance", "weights": {"good": 1.0},
            "heard": "so", "choice": "good", "kind": "observed"}  # fmt: skip


OPENED = {"access": "drum", "place": "left rear", "minutes": 34.0, "kind": "access_opened"}
DONE = {"fix": "replace", "place": "left rear", "title": "sensor replaced", "part": "sensor", "kind": "fix_done"}
CLOSED = {"items": ["drum on"], "kind": "put_back_done"}
HELD, RELEASED = {"kind": "held"}, {"kind": "released"}


def told(*entries: tuple[float, list[dict[str, Any]], list[tuple[float, str]]]) -> SessionSummary:
    session = parse(journal(*entries), NAME)
    assert not session.damage
    return summarize(session)


def test_a_lunch_is_no_labor_and_long_work_is() -> None:
    one = told(
        (1, [phase("finding")], []),
        (4, [seen(1)], []),
        (69, [OPENED], []),  # 65 minutes for a drum that takes 34: work, as it is less than twice as long
        (129, [seen(2)], []),  # 60 minutes for a reading: 15 of them count
        (130, [phase("repairing")], []),
        (175, [DONE], []),  # 45 minutes for a sensor that takes 10: 20 of them count
        (240, [CLOSED, phase("closing")], []),  # 65 minutes to close what took 34 to open: work
    )
    assert one.minutes == 240
    assert one.minutes_silent == pytest.approx(45 + 25)
    assert one.worked == pytest.approx(170)
    assert one.minutes_by_phase == pytest.approx({"finding": 129 - 45, "repairing": 110 - 25, "closing": 0})
    assert one.spent == (
        "240 minutes: setting up 1, finding 84, repair 85, nobody answered 70. A silence counts as work for 15 "
        "minutes, or for twice the minutes of the step where that is longer"
    )


def test_talk_on_the_way_is_no_silence() -> None:
    """An hour in which somebody asked something every 12 minutes; and one in which only the tool reminded."""
    asked = [(minute, "you") for minute in (13.0, 25.0, 37.0, 49.0)]
    assert told((1, [phase("finding")], []), (61, [seen(1)], asked)).minutes_silent == 0
    reminded = [(minute, "us") for minute in (13.0, 25.0, 37.0, 49.0)]
    assert told((1, [phase("finding")], []), (61, [seen(1)], reminded)).minutes_silent == pytest.approx(45)


def test_what_is_on_hold_is_not_counted_twice() -> None:
    one = told((1, [phase("finding")], []), (5, [HELD], []), (65, [RELEASED], []), (70, [seen(1)], []))
    assert (one.minutes_held, one.minutes_silent, one.worked) == (60, 0, 10)


def test_a_quarter_of_an_hour_counts_and_a_little_more_does_too() -> None:
    assert told((0, [phase("finding")], []), (15, [seen(1)], [])).minutes_silent == 0
    one = told((0, [phase("finding")], []), (15.2, [seen(1)], []))
    assert one.minutes_silent == pytest.approx(0.2)
    assert "A silence" not in one.spent, "nothing to speak of"


def test_everything_that_tells_minutes_tells_those_of_work(vocabulary: Vocabulary) -> None:
    data = journal((1, [phase("finding")], []), (121, [seen(1)], []))
    session = parse(data, NAME)
    one = summarize(session)
    assert one.worked == pytest.approx(16)
    line = work_order_line(one)
    assert (line["minutes"], line["hours"]) == ("16", "0.3")
    assert row_of(session).minutes == pytest.approx(16)
    assert "The work took 16 minutes." in customer_html(one, vocabulary)
    report = " ".join(html_report(one, vocabulary).split())
    assert "16 minutes of work" in report
    assert "nobody answered 105. A silence counts as work for 15 minutes" in report
    assert "nobody answered 105" in " ".join(transcript(session, vocabulary).split())


def test_minutes_that_a_forged_procedure_gives_are_not_believed() -> None:
    """Ten thousand hours for a reading, or none that is a number: the quarter of an hour holds."""
    for minutes in ("600000", "nan", '"many"', "-5"):
        data = journal((1, [phase("finding")], []), (121, [seen(1)], []))
        forged = parse(data, NAME)
        procedure = PROCEDURE.replace("minutes = 3", f"minutes = {minutes}")
        object.__setattr__(forged.header, "procedure_toml", procedure)
        assert summarize(forged).minutes_silent == pytest.approx(105)
