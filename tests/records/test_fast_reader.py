"""Stand-ins hold what the real lines hold."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from assistant.records.journal.fast_reader import decode_light
from assistant.records.journal.format import BrokenLineError, Entry, Line, decode_line, encode_line
from tests.records.samples import DECISIONS, FACTS, REPLIES, header


def plain(value: Any) -> Any:
    """Names and values, whatever class holds them."""
    if is_dataclass(value) or hasattr(value, "__struct_fields__"):
        names = [one.name for one in fields(value)] if is_dataclass(value) else [*value.__struct_fields__, "kind"]
        return {name: plain(getattr(value, name)) for name in names if hasattr(value, name)}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, dict):
        return {name: plain(one) for name, one in value.items()}
    return value


@pytest.mark.parametrize("fact", FACTS, ids=lambda fact: fact.kind)
def test_every_fact_and_decision(fact: Any) -> None:
    raw = encode_line(Line(3, "2026-01-31T14:23:05-05:00", 4.5, "a" * 64, Entry(fact, tuple(DECISIONS), REPLIES)))[0]
    light, real = decode_light(raw[:-1]), decode_line(raw[:-1])
    assert type(light) is not Line
    assert plain(light.body.fact) == plain(real.body.fact)  # type: ignore[union-attr]
    assert plain(light.body.decisions) == plain(real.body.decisions)  # type: ignore[union-attr]
    assert (light.seq, light.wall, light.mono, light.prev, light.hash) == (
        real.seq, real.wall, real.mono, real.prev, real.hash,
    )  # fmt: skip


def test_a_header_is_a_real_one() -> None:
    raw = encode_line(Line(0, "", 0.0, "", header()))[0][:-1]
    assert decode_light(raw).body == header()


@pytest.mark.parametrize(
    ("old", "new"),
    [(b'"mono":4.5', b'"mono":4.6'), (b'"hash":"', b'"hush":"'), (b"}", b"] "), (b'"seq":3', b'"seq":x')],
)
def test_a_changed_line_is_not_taken(old: bytes, new: bytes) -> None:
    raw = encode_line(Line(3, "", 4.5, "", Entry(FACTS[0])))[0][:-1]
    with pytest.raises(BrokenLineError):
        decode_light(raw.replace(old, new))
