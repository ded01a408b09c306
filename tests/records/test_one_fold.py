"""One session is told everywhere in the same way: sessions with two faults and with slips, led by the loop.

What is compared are the values of the fold, and then every text made from them: what was spoken, the transcript, the
report, the page's record, the index, the list of sessions, the search, JSON and CSV. All invented.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from html import unescape
from io import StringIO
from pathlib import Path
from random import Random

import pytest

from assistant.clock import ScriptedClock
from assistant.composition import Work, new_session, resume_session
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.display.terminal import Screen
from assistant.errors import DefectError
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Prompt, PromptKind, Resumed, Say
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.wording import ending_words
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure
from assistant.records.index.rows import rows_of
from assistant.records.journal.reader import Session, parse
from assistant.records.report.data import as_csv, as_json
from assistant.records.report.page import html_report, record_html
from assistant.records.report.transcript import head_rows, transcript
from assistant.records.summary.collect import summarize
from assistant.records.summary.labels import titles_of
from assistant.records.summary.search import search
from assistant.records.summary.sessions import row_of
from assistant.records.summary.summary import LEFT, SessionSummary
from assistant.session.fold import State, results
from assistant.session.ledger import Ledger
from assistant.session.results.results import Results, results_of
from assistant.simulator.technician import UnitRecord
from assistant.simulator.unit import SimulatedUnit
from tests.records.samples import session_in

STARTED = datetime(2026, 3, 2, 13, 40, tzinfo=UTC)
PROCEDURES = (
    "trailer-abs-light-on", "seven-way-power-and-grounds", "trailer-light-dead-or-faint", "battery-and-charging",
    "trailer-abs-light-never-lights",
)  # fmt: skip
MISREAD = 0.04
"""Share of checks whose answer is wrong."""
SCRATCH, SKIP, LEAVE = 0.03, 0.05, 0.01
"""Chance at a check to say 'scratch that', to skip it, to leave the session and take it up again later."""
MOST = 300
"""Answers after which nobody answers any more: such a session is one that was left."""
ENOUGH = 60
"""Answers after which nobody slips any more, so that most sessions come to an end."""


class Person:
    """Answers as the unit is, with slips; leaves now and then."""

    def __init__(self, unit: SimulatedUnit, random: Random) -> None:
        self.unit, self.random, self.clock = unit, random, ScriptedClock(STARTED)
        self.count = 0
        self.asked: Prompt | None = None

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """The answer to one prompt."""
        self.count += 1
        self.clock.advance(20.0)
        words = self._words(expectation) if self.count < MOST else ""
        return Heard(self.clock.now(), (Hypothesis(words),)) if words else InputEnded(self.clock.now())

    def _words(self, expectation: Expectation) -> str:
        kind, chance = expectation.prompt.kind, self.random.random()
        again, self.asked = expectation.prompt == self.asked, expectation.prompt
        if kind is PromptKind.FIX and expectation.prompt.overlaid is None and not again:
            return "next"  # where that alone does not tell which way it was done, the unit's own answer follows
        if kind is PromptKind.FIX:
            return self.unit.answer(expectation)
        if kind is not PromptKind.CHECK or expectation.prompt.overlaid is not None or self.count > ENOUGH:
            return self.unit.answer(expectation)
        for limit, words in ((SCRATCH, "scratch that"), (SCRATCH + SKIP, "skip"), (SCRATCH + SKIP + LEAVE, "")):
            if chance < limit:
                return words
        return self.unit.answer(expectation)

    def close(self) -> None:
        """Nothing to let go of."""


def facts_of(procedure: Procedure, random: Random) -> dict[str, str]:
    facts = {"lead ohms": "0.2", "coil temperature": "75"}
    for question in procedure.facts:
        choices = [choice.name for choice in question.choices if choice.name not in question.declines]
        if choices:
            facts[question.name] = random.choice(choices)
    return facts


def two_faults(procedure: Procedure, number: int) -> tuple[SimulatedUnit, Random] | None:
    """A unit with two faults, drawn as often as they occur; None when the draw has no two."""
    random = Random(number)
    facts = facts_of(procedure, random)
    model = fault_model(procedure, facts)
    drawn = list(dict.fromkeys(random.choices(model.suspects, weights=list(model.priors), k=8)))[:2]
    if len(drawn) < 2:
        return None
    faults = [Suspect(one.fault, one.place) for one in drawn]
    return SimulatedUnit(procedure, facts, faults, seed=number, slip=MISREAD), random


def lead(folder: Path, procedure: str, number: int) -> tuple[State, Work, Session] | None:
    """Lead one session through the loop, with as many attempts as the person makes."""
    made = two_faults(load_procedure(procedure).procedure, number)
    if made is None:
        return None
    unit, random = made
    person = Person(unit, random)
    work = new_session(procedure, folder, person.clock, meter="shop", invented=True, random=Random(number))
    opening: Fact | None = None
    while True:
        loop = Loop(
            work.context, work.state, UnitRecord(unit, work.journal), person, Screen(out=StringIO()), person.clock
        )
        try:
            ending = loop.run(opening)
        finally:
            work.journal.close()
        if ending != LEFT or person.count >= MOST:
            return loop.state, work, session_in(folder, work.header.session_id)
        work, _ = resume_session(folder, work.header.session_id, lambda _: person.clock)
        opening = Resumed(person.clock.now())


def spoken(session: Session, key: str) -> list[str]:
    """Items of a list that was said at the end: its first piece and those that follow it."""
    *_, (_, last) = session.entries()
    items: list[str] = []
    inside = False
    for say in last.replies:
        inside = say.key == key or (inside and say.key == "and_then")
        items += _texts(say) if inside else []
    return items


def _texts(say: Say) -> list[str]:
    items = say.slots["items"]
    assert isinstance(items, tuple)
    return [str(item) for item in items]


def flat(text: str) -> str:
    """A text without its line ends and indents."""
    return " ".join(text.split())


def compare(state: State, work: Work, session: Session, vocabulary: Vocabulary) -> Results:
    """Everything that tells the session, against the values of the fold."""
    live = results(work.context, state.settled())
    same_values(live, state, session)
    summary = summarize(session)
    titles = titles_of(session.header).faults
    causes = list(dict.fromkeys(cause.words(titles) for cause in live.causes))
    corrections = [fix.words() for fix in live.corrections]
    assert [test.title for test in summary.tests] == [test.title for test in live.tests]
    ending = str(live.ending.ending) if live.ending else LEFT
    if live.ending is not None:
        assert spoken(session, "cause") == causes
        assert spoken(session, "correction") == list(dict.fromkeys(corrections))
        *_, (_, last) = session.entries()
        assert [say.slots["ending"] for say in last.replies if say.key == "ended"] == [ending_words(ending)]
    printed(summary, session, vocabulary, (causes, corrections, ending))
    failed = live.last_proof is not None and not live.last_proof.passed
    stored(summary, session, vocabulary, (causes, corrections, ending), failed=failed)
    return live


def same_values(live: Results, state: State, session: Session) -> None:
    """The record, read strictly or lightly, amounts to what the session did."""
    data = session_bytes(session)
    for read in (session, parse(data, "x"), parse(data, "x", light=True)):
        ledger = Ledger()
        for _, entry in read.entries():
            for decision in entry.decisions:
                ledger.take(decision)
        again = results_of(ledger, titles_of(session.header).rules)
        assert again == live
        assert [(entry.decision.access, entry.decision.place) for entry in ledger.open_now] == list(state.opened)
    assert [one.observed for one in live.readings if not one.withdrawn] == list(state.observations)


def session_bytes(session: Session) -> bytes:
    return RECORDS[session.header.session_id].read_bytes()


RECORDS: dict[str, Path] = {}

Told = tuple[list[str], list[str], str]


def printed(summary: SessionSummary, session: Session, vocabulary: Vocabulary, told: Told) -> None:
    """Transcript, report and the page's record."""
    causes, corrections, ending = told
    rows = dict(head_rows(summary))
    assert [text.rpartition(" (")[0] for text in rows["Cause"]] == (causes or [""])
    assert rows["Correction"] == (corrections or ["none"])
    assert rows["Ending"][0].partition(":")[0] == summary.ended
    texts = (transcript(session, vocabulary), unescape(html_report(summary, vocabulary)),
             unescape(record_html(summary, vocabulary)))  # fmt: skip
    for text in texts:
        found = flat(text).lower()
        for words in (*causes, *corrections):
            assert flat(words).lower() in found
        assert ("left before its end" if ending == LEFT else ending_words(ending)) in found


def stored(summary: SessionSummary, session: Session, vocabulary: Vocabulary, told: Told, *, failed: bool) -> None:
    """Index, list of sessions, search, JSON and CSV."""
    causes, corrections, ending = told
    rows = rows_of(session, 0)
    why_open = "closing test not passed" if failed else "session not finished"
    told_of = "; ".join(f"{cause} ({why_open})" for cause in causes) if ending == LEFT else "; ".join(causes)
    assert (rows.session["causes"], rows.session["ending"]) == (told_of, ending)
    confirmed = [] if ending == LEFT else causes
    assert list(dict.fromkeys(row["cause"] for row in rows.repairs if row["confirmed"])) == confirmed
    listed = row_of(session)
    assert (listed.cause, listed.ending) == (told_of, ending)
    data = as_json(summary)
    assert (data["causes"], data["correction"], data["ending"]) == (causes, corrections, ending)
    for cause in causes:
        assert cause in [hit.text for hit in search(session, cause, vocabulary) if hit.who == "cause"]
    table = list(csv.DictReader(io.StringIO(as_csv(summary, vocabulary).lstrip("\ufeff"))))
    assert [(row["number"], row["measured after repairs"], bool(row["deleted"])) for row in table] == [
        (str(one.observed.number), str(one.repairs_before), bool(one.withdrawn)) for one in summary.readings
    ]


def sessions(folder: Path, procedures: tuple[str, ...], count: int) -> Iterator[tuple[State, Work, Session]]:
    """So many sessions of each of these procedures."""
    for procedure in procedures:
        made, number = 0, 0
        while made < count:
            number += 1
            try:
                led = lead(folder, procedure, number)
            except DefectError as error:
                if "cannot be real" in str(error):
                    continue
                raise
            if led is None:
                continue
            made += 1
            RECORDS[led[2].header.session_id] = Path(led[1].journal.where)
            yield led


@pytest.mark.parametrize(
    ("procedures", "count"),
    [
        pytest.param(PROCEDURES[1:3], 2, id="few"),
        *(pytest.param((name,), 60, marks=pytest.mark.sweep, id=name) for name in PROCEDURES),
    ],
)
def test_cause_correction_and_ending_are_the_same_everywhere(
    tmp_path: Path, vocabulary: Vocabulary, procedures: tuple[str, ...], count: int
) -> None:
    endings, causes, slips = Counter[str](), 0, 0
    for state, work, session in sessions(tmp_path, procedures, count):
        live = compare(state, work, session, vocabulary)
        endings[str(live.ending.ending) if live.ending else LEFT] += 1
        causes += len(live.causes)
        slips += len(live.skipped) + sum(bool(one.withdrawn) for one in live.readings)
    assert endings["cured and proven"] > count * len(procedures) / 3
    assert causes > count * len(procedures)  # two faults each: some sessions find both
    assert slips
