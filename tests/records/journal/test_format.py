"""Every fact and every decision comes back from its line as it went in."""

from __future__ import annotations

import hashlib
import json
from decimal import Decimal
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import DefectError
from assistant.messages import Fact, Heard, Hypothesis, Say
from assistant.messages.decisions import Decision, NoteTaken
from assistant.messages.facts import Began
from assistant.records.journal.bounds import NUMBER_MOST
from assistant.records.journal.format import BrokenLineError, decode_line, encode_line
from assistant.records.journal.lines import Attempt, Body, Entry, Line
from tests.records import samples


def back(body: Body) -> Body:
    data, digest = encode_line(Line(3, "2026-01-31T14:23:05.000-05:00", 12.5, "ab", body))
    assert data.endswith(b"\n")
    assert data.count(b"\n") == 1
    line = decode_line(data[:-1])
    assert (line.seq, line.wall, line.mono, line.prev, line.hash) == (
        3,
        "2026-01-31T14:23:05.000-05:00",
        12.5,
        "ab",
        digest,
    )
    return line.body


def test_every_type_has_a_sample() -> None:
    assert {type(one) for one in samples.FACTS} == set(get_args(Fact))
    assert {type(one) for one in samples.DECISIONS} == set(get_args(Decision))


@pytest.mark.parametrize("fact", samples.FACTS, ids=lambda fact: fact.kind)
def test_facts_come_back(fact: Fact) -> None:
    found = back(Entry(fact))
    assert found == Entry(fact)
    assert isinstance(found, Entry)
    assert type(found.fact) is type(fact)


@pytest.mark.parametrize("decision", samples.DECISIONS, ids=lambda decision: decision.kind)
def test_decisions_come_back(decision: Decision) -> None:
    entry = Entry(Began(0.0), (decision,))
    found = back(entry)
    assert found == entry
    assert repr(found) == repr(entry)  # a decimal keeps its zeros, a phase stays a phase


def test_header_attempt_and_replies_come_back() -> None:
    for body in (
        samples.header(),
        Attempt(2, 13, ("line 3: torn",)),
        Entry(Began(0.0), (), samples.REPLIES, ("a", "b")),
    ):
        assert back(body) == body
        assert repr(back(body)) == repr(body)


TEXTS = st.text(st.characters(exclude_categories=["Cs"]))


@given(
    st.lists(TEXTS, max_size=4),
    st.decimals(min_value=-(10**30), max_value=10**30, places=12),
    st.floats(min_value=-NUMBER_MOST, max_value=NUMBER_MOST),
)
def test_any_text_and_number_comes_back(texts: list[str], number: Decimal, score: float) -> None:
    heard = Heard(1.0, tuple(Hypothesis(text, score) for text in texts))
    entry = Entry(heard, (NoteTaken("".join(texts)),), (Say("x", {"n": number, "t": tuple(texts)}),), tuple(texts))
    assert back(entry) == entry


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_a_number_that_json_lacks_is_our_bug(number: float) -> None:
    with pytest.raises(DefectError, match="cannot be written as JSON"):
        encode_line(Line(1, "", number, "", Entry(Began(0.0))))


def test_half_a_character_blocks_nothing() -> None:
    assert back(Entry(Began(0.0), (NoteTaken("bad \udc80 half"),))) == Entry(Began(0.0), (NoteTaken("bad ? half"),))


def test_lines_are_strict_json_with_decimals_as_strings() -> None:
    data, _ = encode_line(Line(3, "", 0.0, "", Entry(Began(0.0), (samples.observed(),))))
    plain = json.loads(data.decode("utf-8"), parse_constant=pytest.fail)
    assert plain["body"]["decisions"][0]["value"] == "4210"
    assert plain["body"]["decisions"][0]["verdict"]["uncertainty"] == "29.837"


def test_each_changed_byte_shows() -> None:
    data, _ = encode_line(Line(3, "", 0.0, "", Entry(Began(0.0), (NoteTaken("x"),))))
    for at in range(len(data) - 1):
        changed = bytearray(data[:-1])
        changed[at] ^= 1
        with pytest.raises(BrokenLineError):
            decode_line(bytes(changed))


def test_a_kind_of_a_later_version_is_named() -> None:
    core = b'{"seq":1,"wall":"","mono":0.0,"prev":"","body":{"kind":"hologram"}'
    raw = core + b',"hash":"' + hashlib.sha256(core).hexdigest().encode() + b'"}'
    with pytest.raises(BrokenLineError, match="this version cannot read it"):
        decode_line(raw)


def sealed(core: bytes) -> bytes:
    """A line whose hash is right, whatever stands in it."""
    return core + b',"hash":"' + hashlib.sha256(core).hexdigest().encode() + b'"}'


def core_of(body: Body) -> bytes:
    data, _ = encode_line(Line(3, "", 4.5, "a" * 64, body))
    return data[: data.rindex(b',"hash"')]


OBSERVED = core_of(Entry(Began(0.0), (samples.observed(),)))
STRICT = [
    # what stands in a line, what would stand there, the reason that names it
    (b'"mono":4.5', b'"mono":"4.5"', "mono: not as expected"),
    (b'"seq":3', b'"seq":3.5', "seq: not as expected"),
    (b'"mono":4.5', b'"mono":NaN', "not JSON text"),
    (b'"number":1', b'"number":"1"', "number: not as expected"),
    (b'"value":"4210"', b'"value":"NaN"', "not a number"),
    (b'"uncertainty":"29.837"', b'"uncertainty":"Infinity"', "not a number"),
    (b'"value":"4210"', b'"value":"forty"', "value: not as expected"),
    (b'"grade":"bad_high"', b'"grade":"splendid"', "verdict.grade: not as expected"),
    (b'"kind":"observed"', b'"kind":"felt"', "'felt' is not known"),
    (b'"kind":"began"', b'"kind":"begun"', "'begun' is not known"),
    (b'"check":"ohms",', b"", "check: missing"),
]


@pytest.mark.parametrize(("old", "new", "reason"), STRICT, ids=[row[2] for row in STRICT])
@pytest.mark.parametrize("replies", [True, False])
def test_what_is_sealed_and_yet_not_as_expected_is_named(old: bytes, new: bytes, reason: str, replies: bool) -> None:
    """Strict, whether a replay reads it or the index: a number in quotes is no number, an unknown word no verdict."""
    assert old in OBSERVED
    decode_line(sealed(OBSERVED), replies=replies)
    with pytest.raises(BrokenLineError, match=reason):
        decode_line(sealed(OBSERVED.replace(old, new)), replies=replies)


def test_the_index_leaves_out_the_replies_and_nothing_else() -> None:
    entry = Entry(Began(0.0), tuple(samples.DECISIONS), samples.REPLIES, ("a", "b"))
    raw = sealed(core_of(entry))
    assert decode_line(raw).body == entry
    assert decode_line(raw, replies=False).body == Entry(entry.fact, entry.decisions, (), entry.said)


def test_a_kind_may_stand_anywhere() -> None:
    """Another program may write the fields of a value in another order."""
    core = OBSERVED.replace(b',"kind":"observed"', b"").replace(b'{"number":1,', b'{"kind":"observed","number":1,')
    assert decode_line(sealed(core)).body == decode_line(sealed(OBSERVED)).body
