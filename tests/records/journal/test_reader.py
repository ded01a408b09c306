"""Damage is named, and everything that it did not reach is kept."""

from __future__ import annotations

import hashlib
import re
from dataclasses import replace
from random import Random

import pytest

from assistant.errors import Finding
from assistant.records.journal.format import encode_line
from assistant.records.journal.lines import Line
from assistant.records.journal.reader import Session, parse
from tests.records.samples import SCENE, header, write_scene

ID = header().session_id
LAST = len(SCENE)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return write_scene(tmp_path_factory.mktemp("whole")).read_bytes()


def named(damage: tuple[Finding, ...]) -> set[int]:
    """Numbers of the entries that the findings name."""
    numbers: set[int] = set()
    for finding in damage:
        if finding.where == "header":
            numbers.add(0)
        elif match := re.fullmatch(r"entry (\d+)( and after)?", finding.where):
            numbers |= set(range(int(match[1]), LAST + 1)) if match[2] else {int(match[1])}
    return numbers


def corrupt(data: bytes, random: Random) -> tuple[bytes, set[int]]:
    """A damaged copy, and the numbers of the entries that the damage touched."""
    ends = [at + 1 for at in range(len(data)) if data[at : at + 1] == b"\n"]
    starts = [0, *ends[:-1]]
    lines = [data[start:end] for start, end in zip(starts, ends, strict=True)]

    def touched(low: int, high: int) -> set[int]:
        return {number for number in range(len(lines)) if starts[number] < high and low < ends[number]}

    at = random.randrange(len(data))
    length = random.choice([1, 2, 7, 60, 400, 3000])
    high = min(len(data), at + length)
    kind = random.choice(["flip", "zero", "noise", "cut out", "insert", "lose line", "move line", "double line"])
    if kind == "flip":
        changed = bytes([data[at] ^ (1 << random.randrange(8))])
        return data[:at] + changed + data[at + 1 :], touched(at, at + 1)
    if kind in ("zero", "noise"):
        block = bytes(high - at) if kind == "zero" else random.randbytes(high - at)
        return data[:at] + block + data[high:], touched(at, high)
    if kind == "cut out":
        # what is cut off in whole lines at the end cannot be seen: that is not promised
        high = min(high, ends[-2]) if at < ends[-2] else high
        return data[:at] + data[high:], touched(at, high)
    if kind == "insert":
        return data[:at] + random.randbytes(length) + data[at:], set() if at in starts else touched(at, at + 1)
    number = random.randrange(1, LAST)
    if kind == "lose line":
        return b"".join(lines[:number] + lines[number + 1 :]), {number}
    if kind == "double line":
        return b"".join(lines[: number + 1] + lines[number:]), {number}
    other = random.randrange(1, LAST)
    moved = lines[:number] + lines[number + 1 :]
    moved.insert(other, lines[number])
    return b"".join(moved), set()


@pytest.mark.parametrize("rounds", [300, pytest.param(10_000, marks=pytest.mark.sweep)])
def test_random_corruptions(whole: bytes, rounds: int) -> None:
    """Each entry that a corruption reaches is named, each other one is kept as it was."""
    random = Random(rounds)
    intact = {line.seq: line for line in parse(whole, ID).lines}
    corrupted = hit = kept = 0
    for turn in range(rounds):
        data, reached = corrupt(whole, random)
        if data == whole:
            continue
        session = parse(data, ID)
        light = [(one.where, one.line) for one in parse(data, ID, light=True).damage]
        assert light == [(one.where, one.line) for one in session.damage], turn  # the index is told the same
        corrupted, hit, kept = corrupted + 1, hit + len(reached), kept + len(session.lines)
        found = {line.seq: line for line in session.lines}
        names = named(session.damage)
        for number in range(LAST + 1):
            if number in reached:
                assert number in names or found.get(number) == intact[LAST] == intact[number], (turn, number)
            elif number:
                assert found.get(number) == intact[number], (turn, number)
        for number, line in found.items():
            assert line == intact[number], (turn, number)
        if 0 not in reached:
            assert session.header == header()
        assert session.damage or 0 not in reached
    print(f"\n{corrupted} corruptions: {hit} entries reached, each named; {kept} entries kept as they were")
    assert corrupted > rounds * 0.9


def changed(whole: bytes, number: int, old: bytes, new: bytes) -> bytes:
    lines = whole.split(b"\n")
    assert old in lines[number]
    lines[number] = lines[number].replace(old, new)
    return b"\n".join(lines)


def test_a_changed_reading_is_named_with_its_line(whole: bytes) -> None:
    session = parse(changed(whole, 9, b'"4210"', b'"1210"'), ID)
    assert [(one.where, one.line) for one in session.damage] == [("entry 9", 10)]
    assert "damaged or changed" in session.damage[0].text
    assert len(session.lines) == LAST - 1


def test_a_line_that_was_changed_and_sealed_anew_breaks_the_chain(whole: bytes) -> None:
    lines = whole.split(b"\n")
    core = lines[9].replace(b'"4210"', b'"1210"').split(b',"hash"')[0]
    lines[9] = core + b',"hash":"' + hashlib.sha256(core).hexdigest().encode() + b'"}'
    session = parse(b"\n".join(lines), ID)
    assert [one.where for one in session.damage] == ["entry 10"]
    assert "one of the two was changed" in session.damage[0].text


def test_a_line_that_was_taken_out_or_moved_is_named(whole: bytes) -> None:
    lines = whole.split(b"\n")
    out = parse(b"\n".join(lines[:5] + lines[6:]), ID)
    assert [(one.where, one.text) for one in out.damage] == [
        ("entry 5", "It is missing: a line was taken out or lost.")
    ]
    moved = parse(b"\n".join([*lines[:5], lines[6], lines[5], *lines[7:]]), ID)
    assert [line.seq for line in moved.lines] == list(range(1, LAST + 1))
    assert any("lines were moved" in one.text for one in moved.damage)


def test_two_lines_glued_into_one_are_both_kept(whole: bytes) -> None:
    lines = whole.split(b"\n")
    glued = b"\n".join([*lines[:4], lines[4] + lines[5], *lines[6:]])
    session = parse(glued, ID)
    assert [line.seq for line in session.lines] == list(range(1, LAST + 1))
    assert [one.where for one in session.damage] == ["entry 4"]


def test_a_cut_tail_at_a_line_does_not_show(whole: bytes) -> None:
    """What is not promised: the chain shows nothing when whole lines are cut off the end."""
    lines = whole.splitlines(keepends=True)
    assert parse(b"".join(lines[:6]), ID).damage == ()


def test_a_damaged_header_is_used_where_it_can_be_read(whole: bytes) -> None:
    session = parse(changed(whole, 0, b"made-up meter", b"made-up motor"), ID)
    assert session.header_read
    assert session.header.procedure == "invented"
    assert {one.where for one in session.damage} == {"header"}
    assert len(session.lines) == LAST
    other = parse(changed(whole, 0, b"open sensor", b"open tensor"), ID)
    assert any("procedure kept in it is not the one" in one.text for one in other.damage)


@pytest.mark.parametrize("data", [b"", b"\0" * 100, b"hello\n", b"{}\n", b"\xff\xfe\n\n\n", b'{"seq":0'])
def test_what_is_no_record_is_named_and_raises_nothing(data: bytes) -> None:
    session = parse(data, ID)
    assert not session.header_read
    assert session.header.session_id == ID
    assert session.damage
    assert session.lines == ()


def test_a_later_format_is_named() -> None:
    data, _ = encode_line(Line(0, "", 0.0, "", replace(header(), format=99)))
    session: Session = parse(data, ID)
    assert "later version wrote this record (format 99)" in session.damage[0].text
