"""Verify, replay, search, and what is shown of a record."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from msgspec import structs

from assistant.commands.lead.demo import run_scene
from assistant.composition import context_from, resume_session
from assistant.display.terminal import Screen
from assistant.messages import Grade, Reason, Resumed, Why
from assistant.messages import decisions as d
from assistant.records.journal.lines import Entry, Line
from assistant.records.journal.reader import Session, parse
from assistant.records.journal.replay import replay
from assistant.records.journal.verify import holds_seal, verify
from assistant.records.journal.writer import Journal
from assistant.records.report.transcript import transcript
from assistant.records.summary.collect import summarize
from assistant.records.summary.search import search
from assistant.scenes import list_scenes, load_scene
from tests.fakes import FakeClock, FakeListener
from tests.records.samples import SCENE, Clock, header, heard, observed, session_in, write_scene
from tests.records.units import play_unit

SCENES = [stored.name for stored in list_scenes()]

SOMEHOW = Reason(Why.UNFINISHED)
"""A reason that these tests do not look at."""


def play(name: str, folder: Path) -> Session:
    with ExitStack() as stack:
        work, _ = run_scene(stack, load_scene(name), folder, Screen(out=StringIO()), None)
    return session_in(folder, work.header.session_id)


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> Session:
    return play_unit(tmp_path_factory.mktemp("scene"), ("sensor open", "left rear"))


# verify


def test_a_whole_record_is_whole(tmp_path: Path) -> None:
    session = parse(write_scene(tmp_path).read_bytes(), "x")
    result = verify(session)
    assert result.whole
    assert result.entries == len(SCENE)
    assert result.last_hash == session.lines[-1].hash
    assert "is whole: 14 entries" in result.sentences()[0]


@pytest.mark.parametrize(
    ("line", "old", "new"), [(4, b"0419", b"0418"), (10, b"4210", b"1210"), (1, b"made-up", b"made-in")]
)
def test_the_first_broken_line_is_named(tmp_path: Path, line: int, old: bytes, new: bytes) -> None:
    path = write_scene(tmp_path)
    lines = path.read_bytes().split(b"\n")
    lines[line - 1] = lines[line - 1].replace(old, new)
    lines[-3] = lines[-3][:-20]
    result = verify(parse(b"\n".join(lines), path.stem))
    assert not result.whole
    assert result.findings[0].line == line
    assert f"First broken: line {line}" in result.sentences()[0]
    assert result.findings[-1].line == len(lines) - 2


def test_a_seal_shows_a_tail_that_was_cut(tmp_path: Path) -> None:
    path = write_scene(tmp_path)
    seal = verify(parse(path.read_bytes(), "x")).last_hash
    assert holds_seal(parse(path.read_bytes(), "x"), seal[:16].upper())
    cut = parse(b"".join(path.read_bytes().splitlines(keepends=True)[:-2]), "x")
    assert verify(cut).whole
    assert not holds_seal(cut, seal)
    assert not holds_seal(cut, " ")


# replay


QUICK = ("two-faults-in-a-row", "ground-that-passes-unloaded")
"""Scenes that are replayed each time; the others in the long sweep."""


@pytest.mark.parametrize(
    "name", [name if name in QUICK else pytest.param(name, marks=pytest.mark.sweep) for name in SCENES]
)
def test_a_fresh_demo_record_replays_without_difference(name: str, tmp_path: Path) -> None:
    """Corrections, holds, numbers asked back and confirmations included, whatever the scenes hold."""
    session = play(name, tmp_path)
    result = replay(session, context_from(session.header))
    assert result.difference is None
    assert result.same
    assert result.compared == result.entries == len(list(session.entries()))


def with_minutes(session: Session, seq: int, minutes: float) -> Session:
    """The same record in which the check of an entry was chosen with other minutes."""
    lines = []
    for line in session.lines:
        if line.seq == seq and isinstance(line.body, Entry):
            decisions = tuple(
                replace(one, minutes=minutes) if isinstance(one, d.CheckChosen) else one
                for one in line.body.decisions
            )
            line = structs.replace(line, body=structs.replace(line.body, decisions=decisions))  # noqa: PLW2901
        lines.append(line)
    return replace(session, lines=tuple(lines))


def entry_with(session: Session, kind: str) -> Line:
    return next(line for line, entry in session.entries() if any(one.kind == kind for one in entry.decisions))


def test_another_choice_is_the_first_difference(scene: Session) -> None:
    line = entry_with(scene, "check_chosen")
    result = replay(with_minutes(scene, line.seq, 99.0), context_from(scene.header))
    assert result.difference is not None
    assert result.difference.seq == line.seq
    assert "minutes 99" in result.difference.recorded
    assert "minutes" in result.difference.today
    assert not result.same


def test_another_verdict_is_a_difference(scene: Session) -> None:
    line = next(
        line for line, entry in scene.entries() for one in entry.decisions
        if isinstance(one, d.Observed) and one.verdict is not None and one.value is not None
    )  # fmt: skip
    body = line.body
    assert isinstance(body, Entry)
    seen = next(one for one in body.decisions if isinstance(one, d.Observed))
    assert seen.verdict is not None
    other = replace(seen.verdict, grade=Grade.BAD_LOW if seen.verdict.grade is not Grade.BAD_LOW else Grade.GOOD)
    faked = structs.replace(
        body, decisions=tuple(replace(one, verdict=other) if one is seen else one for one in body.decisions)
    )
    lines = tuple(structs.replace(one, body=faked) if one is line else one for one in scene.lines)
    result = replay(replace(scene, lines=lines), context_from(scene.header))
    assert result.difference is not None
    assert result.difference.seq == line.seq
    assert f"verdict {other.grade}" in result.difference.recorded


def test_another_limit_in_the_procedure_is_found(scene: Session) -> None:
    """The header's procedure leads, not today's file."""
    text = scene.header.procedure_toml.replace("high = 3000", "high = 2999")
    assert text != scene.header.procedure_toml
    result = replay(scene, context_from(replace(scene.header, procedure_toml=text)))
    assert result.difference is not None
    assert "limit_high 3000" in result.difference.recorded


def test_a_lost_entry_stops_it(scene: Session) -> None:
    result = replay(replace(scene, lines=scene.lines[:5] + scene.lines[6:]), context_from(scene.header))
    assert (result.compared, result.difference) == (5, None)
    assert "Entry 6 is lost" in result.stopped
    assert not result.same


TALK = [
    "next", "yes", "yes", "yes", "4019", "trailer light", "go back", "4020", "at once", "correction", "flickers",
    "note the customer was here", "why", "hold on", "twelve", "resume", "scratch that", "at once", "nothing", "skip",
    "next", "stop", "no", "what's left", "note", "the plug is muddy", "tractor", "every tractor",
]  # fmt: skip


def test_withdrawals_notes_holds_and_attempts_replay(tmp_path: Path) -> None:
    """A talk full of detours, left and taken up again twice."""
    from assistant.clock import ScriptedClock
    from assistant.composition import new_session
    from assistant.loop import Loop

    clock = ScriptedClock(Clock().wall())
    work = new_session("trailer-abs-light-on", tmp_path, clock, meter="shop")
    Loop(
        work.context, work.state, work.journal, FakeListener(TALK[:14], FakeClock()), Screen(out=StringIO()), clock
    ).run()
    work.journal.close()
    name = work.header.session_id
    for rest in (TALK[14:20], TALK[19:]):
        again, clock2 = resume_session(tmp_path, name, lambda _: clock)
        loop = Loop(again.context, again.state, again.journal, FakeListener(rest), Screen(out=StringIO()), clock2)
        loop.run(Resumed(at=1.0))
        again.journal.close()
    session = session_in(tmp_path, name)
    kinds = {one.kind for _, entry in session.entries() for one in entry.decisions}
    assert {"fact_withdrawn", "note_taken", "held", "released", "remarked"} <= kinds
    assert len(list(session.attempts())) == 2
    result = replay(session, context_from(session.header))
    assert result.difference is None
    assert result.same


# search


def test_words_are_found_in_talk_decisions_and_causes(tmp_path: Path) -> None:
    session = parse(write_scene(tmp_path).read_bytes(), "x")
    hits = {(hit.who, hit.at) for hit in search(session, "tire WORN")}
    assert hits == {("you", 1000.0), ("=", 1000.0)}
    assert {hit.who for hit in search(session, "open sensor")} == {"cause"}
    assert [hit.text for hit in search(session, "verif fixed")] == ["ended: fixed and verified"]
    assert list(search(session, "zebra")) == []
    assert list(search(session, " ... ")) == []


# show


def test_show_since_and_readings_only(tmp_path: Path) -> None:
    session = parse(write_scene(tmp_path).read_bytes(), "x")
    text = transcript(session, since=900.0)
    assert text.startswith("Readings\n")
    assert "16:00  you" in text
    assert "forty two ten" not in text[text.index("Talk") :]
    only = transcript(session, readings_only=True)
    assert "Talk" not in only
    assert "Complaint" not in only
    assert only.count("4,210") == 1


# causes of more than one fault


def two_repairs(between: list[d.Decision]) -> list[d.Record]:
    return [
        d.Record(heard(1, "a"), (d.FixChosen("replace", "left rear", "open", 0.9, True, SOMEHOW),)),
        d.Record(heard(2, "b"), (d.FixDone("replace", "left rear", "sensor replaced", "sensor"),)),
        d.Record(heard(3, "c"), tuple(between)),
        d.Record(heard(4, "d"), (d.FixChosen("replace", "right rear", "open", 0.9, True, SOMEHOW),)),
        d.Record(heard(5, "e"), (d.FixDone("replace", "right rear", "sensor replaced", "sensor"),)),
        d.Record(
            heard(6, "f"),
            (
                d.ProofFinished(True, SOMEHOW),
                d.Ended(d.Ending.CURED_AND_PROVEN, SOMEHOW),
            ),
        ),
    ]


def code_names(place: str) -> d.Observed:
    return d.Observed(1, "code", None, "code", {"here": 1.0}, place, choice=place, proof=True)


LEFT, RIGHT = "open sensor, left rear", "open sensor, right rear"


@pytest.mark.parametrize(
    ("between", "causes"),
    [
        ([d.Remarked(SOMEHOW)], (LEFT, RIGHT)),
        ([d.ProofFinished(False, SOMEHOW)], (RIGHT,)),
        ([observed(1, Grade.GOOD, proof=True, value="1200"), d.ProofFinished(False, SOMEHOW)], (LEFT, RIGHT)),
        ([observed(1, Grade.BAD_HIGH, proof=True)], (RIGHT,)),
        ([code_names("right rear")], (LEFT, RIGHT)),
        ([code_names("left rear")], (RIGHT,)),
    ],
    ids=["no proof between", "failed proof", "measured good, then failed", "still bad", "other wheel", "same wheel"],
)  # fmt: skip
def test_every_cured_fault_is_a_cause(tmp_path: Path, between: list[d.Decision], causes: tuple[str, ...]) -> None:
    with Journal.create(tmp_path, header(), Clock()) as journal:
        for number, record in enumerate(two_repairs(between)):
            journal.append(record, (), float(number))
    one = summarize(session_in(tmp_path, "last"))
    assert one.causes == causes


def test_a_unit_with_two_faults_lists_both(tmp_path: Path) -> None:
    session = play_unit(
        tmp_path, ("sensor open", "right front"), ("sensor backed off", "left rear"), facts={"brakes": "disc"}
    )
    one = summarize(session)
    assert one.ending == "cured and proven"
    assert {"open sensor, right front", "sensor backed off, left rear"} <= {repair.cause for repair in one.repairs}
    assert set(one.causes) >= {"open sensor, right front", "sensor backed off, left rear"}


@pytest.mark.parametrize(
    ("fault", "place"),
    [
        ("bad ground", None),
        pytest.param("sensor open", "left rear", marks=pytest.mark.sweep),
        pytest.param("corroded plug", "right front", marks=pytest.mark.sweep),
    ],
)
def test_a_simulated_unit_replays_without_difference(tmp_path: Path, fault: str, place: str | None) -> None:
    session = play_unit(tmp_path, (fault, place))
    assert replay(session, context_from(session.header)).same
