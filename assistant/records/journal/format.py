"""How one line of a journal is written and read.

A journal is UTF-8 text, one JSON object a line::

    {"seq":3,"wall":"2026-01-31T14:23:05.120-05:00","mono":12.5,"prev":"9f…","body":{"kind":"entry",…},"hash":"4b…"}

``hash`` is the SHA-256 of the line's bytes before ``,"hash"``, so a line shows by itself that it is whole; ``prev``
is the hash of the line before, so a line that was changed, taken out or put in among others shows too. A tail that
was cut off does not. Decimals are strings; there is no NaN.

Promise: a record of an earlier format can be read for ever; fields are added with defaults and never change meaning.
A record of a later format is read as far as it is understood, and says so.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import MISSING, fields, replace
from decimal import Decimal
from itertools import chain
from typing import Any, Literal, get_args, get_type_hints

import msgspec

from assistant.errors import DefectError
from assistant.messages import Fact, Say, Slot, Talk
from assistant.messages.decisions import Spoken
from assistant.records.journal.bounds import (
    LINE_MOST,
    Count,
    Seconds,
    Sequence,
    check_numbers,
    check_time,
    plainly_within,
)
from assistant.records.journal.decisions import by_kind, kind_of, read_decision, write_decision
from assistant.records.journal.lines import Attempt, Body, Entry, Header, Line
from assistant.verdict.uncertainty import Meter


class BrokenLineError(ValueError):
    """A line cannot be used. The text is the reason, for a finding."""


class _WrittenSpoken(msgspec.Struct, gc=False):
    """A sentence of the talk."""

    at: Seconds
    who: Literal["us", "you"]
    text: str


class _WrittenEntry(msgspec.Struct, tag_field="kind", tag="entry", gc=False):
    """An entry of which only the frame was read."""

    fact: msgspec.Raw
    decisions: list[msgspec.Raw]
    replies: msgspec.Raw = msgspec.Raw(b"[]")
    said: tuple[str, ...] = ()
    talk: tuple[_WrittenSpoken, ...] = ()


class _WrittenAttempt(msgspec.Struct, tag_field="kind", tag="attempt", gc=False):
    """An attempt, told from an entry by its kind."""

    number: Count
    set_aside: Count = 0
    findings: tuple[str, ...] = ()


class _WrittenLine(msgspec.Struct, gc=False):
    seq: Sequence
    wall: str
    mono: Seconds
    prev: str
    body: _WrittenEntry | _WrittenAttempt
    hash: str


_LONG = {"procedure_toml": msgspec.Raw(b'""'), "meter": msgspec.Raw(b"null")}
"""Fields of a header that are long and the same in very many records, and what they are where they are not there."""


def _header_members() -> Iterator[tuple[str, Any] | tuple[str, Any, Any]]:
    """Fields of a header of which the long ones are not yet read."""
    hints = get_type_hints(Header)
    for one in fields(Header):
        if one.name in _LONG:
            yield one.name, msgspec.Raw, _LONG[one.name]
        elif one.default_factory is not MISSING:
            yield one.name, hints[one.name], msgspec.field(default_factory=one.default_factory)
        elif one.default is not MISSING:
            yield one.name, hints[one.name], one.default
        else:
            yield one.name, hints[one.name]


_FIELDS = tuple(one.name for one in fields(Header))
_WrittenHeader: Any = msgspec.defstruct("_WrittenHeader", list(_header_members()), gc=False, module=__name__)


class _FirstLine(msgspec.Struct, gc=False):
    seq: Sequence
    wall: str
    mono: Seconds
    prev: str
    body: _WrittenHeader
    hash: str


class _MarkedDecimals(msgspec.Struct, gc=False):
    """Decimals among a reply's slots, marked as such."""

    decimal: Decimal | None = None
    decimals: tuple[Decimal, ...] = ()


_WrittenSlot = str | int | float | None | tuple[str, ...] | _MarkedDecimals


class _WrittenSay(msgspec.Struct, gc=False):
    key: str
    slots: dict[str, _WrittenSlot]
    talk: Talk = Talk.USUAL


class _AnyLine(msgspec.Struct):
    body: msgspec.Raw


_line = msgspec.json.Decoder(_WrittenLine).decode
_first_line = msgspec.json.Decoder(_FirstLine).decode
_any_line = msgspec.json.Decoder(_AnyLine).decode
_header = msgspec.json.Decoder(Header).decode
_meter = msgspec.json.Decoder(Meter | None).decode
_text = msgspec.json.Decoder(str).decode
_replies = msgspec.json.Decoder(list[_WrittenSay]).decode
_fact = by_kind({kind_of(real): msgspec.json.Decoder(real).decode for real in get_args(Fact)})
_sha256 = hashlib.sha256
_SEAL = b',"hash":"%b"}'
"""The end of a line, which holds its hash."""
SEAL_LENGTH = len(_SEAL) - len(b"%b") + 64
"""Bytes of a line behind what its hash is of."""
_HEADER_MARK = b'"body":{"kind":"header"'
_FRAME = 300
"""Bytes in which that stands, if it does: behind the number, the times and a hash."""


def encode_line(line: Line) -> tuple[bytes, str]:
    """The bytes of a line, newline included, and its hash.

    Raises:
        DefectError: a number in it is not finite, or out of all bounds.
    """
    try:
        _check_body(line.body)
    except ValueError as error:
        raise DefectError(f"entry {line.seq} is not written: {error}") from None
    plain = {
        "seq": line.seq,
        "wall": line.wall,
        "mono": line.mono,
        "prev": line.prev,
        "body": encode_body(line.body),
    }
    try:
        text = json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    except ValueError as error:
        raise DefectError(f"entry {line.seq} cannot be written as JSON: {error}") from None
    core = text.encode("utf-8", "replace")[:-1]  # a lone surrogate, half of a character, becomes '?'
    digest = hashlib.sha256(core).hexdigest()
    return core + b',"hash":"' + digest.encode() + b'"}\n', digest


def decode_line(raw: bytes, *, replies: bool = True) -> Line:
    """Read one line, without its newline, and check its hash.

    Args:
        raw: the line.
        replies: False leaves out the replies' slots, which only a replay of the voice needs.

    Raises:
        BrokenLineError: it was damaged or changed, or a later version wrote it.
    """
    line, unlooked = _decoded(raw, replies=replies)
    _look_at_numbers([(line, unlooked)])
    return line


def decode_lines(raws: Iterable[bytes], *, replies: bool = True) -> list[Line]:
    """The same for all lines of a journal, with one glance at the numbers of all.

    Raises:
        BrokenLineError: one of them was damaged or changed, or a later version wrote it.
    """
    read = [_decoded(raw, replies=replies) for raw in raws]
    if not plainly_within(chain.from_iterable(unlooked for _, unlooked in read)):
        _look_at_numbers(read)
    return [line for line, _ in read]


def _look_at_numbers(read: Iterable[tuple[Line, tuple[msgspec.Raw, ...]]]) -> None:
    """The numbers of lines that were read, each with the texts of its values.

    Raises:
        BrokenLineError: one is out of all bounds.
    """
    for line, unlooked in read:
        if unlooked and not plainly_within(unlooked):
            try:
                check_numbers((line.body.fact, line.body.decisions) if isinstance(line.body, Entry) else ())
            except ValueError as error:
                raise BrokenLineError(f"this version cannot read it ({error})") from None


def _decoded(raw: bytes, *, replies: bool) -> tuple[Line, tuple[msgspec.Raw, ...]]:
    """A line, and the texts of its values whose numbers were not yet looked at."""
    if len(raw) > LINE_MOST:
        raise BrokenLineError("it is longer than any entry")
    digest = _sha256(raw[:-SEAL_LENGTH]).hexdigest()
    if raw[-SEAL_LENGTH:] != _SEAL % digest.encode():
        whole = raw[-SEAL_LENGTH:-66] == _SEAL[:9] and raw.endswith(_SEAL[-2:])
        raise BrokenLineError(
            "it was damaged or changed after it was written" if whole else "it is not a whole entry"
        )
    try:
        if _HEADER_MARK in raw[:_FRAME]:
            top = _first_line(raw)
            return Line(top.seq, top.wall, top.mono, top.prev, _header_of(top.body), digest), ()
        line = _line(raw)
        written = line.body
        if isinstance(written, _WrittenAttempt):
            attempt = Attempt(written.number, written.set_aside, written.findings)
            return Line(line.seq, line.wall, line.mono, line.prev, attempt, digest), ()
        says = _says(written.replies) if replies else ()
        talk = tuple(Spoken(one.at, one.who, one.text) for one in written.talk)
        entry = Entry(_fact(written.fact), tuple(map(read_decision, written.decisions)), says, written.said, talk)
        unlooked = (written.fact, *written.decisions)
        return Line(line.seq, line.wall, line.mono, line.prev, entry, digest), unlooked
    except msgspec.ValidationError as error:
        raise BrokenLineError(f"this version cannot read it ({_short(error)})") from None
    except msgspec.DecodeError:
        raise BrokenLineError("it is not JSON text") from None
    except RecursionError:
        raise BrokenLineError("it is nested deeper than any entry") from None
    except (ValueError, ArithmeticError, TypeError) as error:
        raise BrokenLineError(f"this version cannot read it ({error})") from None


class _Kept:
    """The last few long texts as they were read.

    They are compared whole, which takes a fraction of reading them, or of the hash that a dictionary would want.
    """

    def __init__(self, read: Callable[[bytes], Any], most: int = 16) -> None:
        self._read, self._most = read, most
        self._last: tuple[tuple[bytes, Any], ...] = ()

    def __call__(self, raw: msgspec.Raw) -> Any:
        """What stands there."""
        text = bytes(raw)
        for known, value in self._last:
            if known == text:
                return value
        value = self._read(text)
        self._last = ((text, value), *self._last[: self._most - 1])
        return value


def _checked_meter(raw: bytes) -> Meter | None:
    meter: Meter | None = _meter(raw)
    if meter is not None:
        check_numbers(meter)
    return meter


_procedure_of, _meter_of = _Kept(_text), _Kept(_checked_meter)


def _header_of(written: Any) -> Header:
    """A header, its numbers and its time within bounds."""
    header = _within_bounds(Header(**{name: getattr(written, name) for name in _FIELDS if name not in _LONG}))
    return replace(header, procedure_toml=_procedure_of(written.procedure_toml), meter=_meter_of(written.meter))


def _check_body(body: Body) -> None:
    if isinstance(body, Entry):
        check_numbers((body.fact, body.decisions, tuple(say.slots for say in body.replies), body.talk))
    else:
        check_numbers(body)


def header_without_seal(raw: bytes) -> Header | None:
    """The header of a damaged first line, when it still can be read at all."""
    try:
        return _within_bounds(_header(_any_line(raw).body))
    except (ValueError, RecursionError):
        return None


def encode_body(body: Body) -> dict[str, Any]:
    """A body as plain JSON values."""
    if isinstance(body, Entry):
        plain = {
            "kind": "entry",
            "fact": msgspec.to_builtins(body.fact),
            "decisions": [write_decision(one) for one in body.decisions],
            "replies": [_encode_say(say) for say in body.replies],
            "said": list(body.said),
        }
        return {**plain, "talk": msgspec.to_builtins(body.talk)} if body.talk else plain
    return {"kind": body.kind, **msgspec.to_builtins(body)}


def _says(raw: msgspec.Raw) -> tuple[Say, ...]:
    says = tuple(Say(say.key, _decode_slots(say.slots), say.talk) for say in _replies(raw))
    for say in says:
        check_numbers(say.slots)
    return says


def _encode_say(say: Say) -> dict[str, Any]:
    """A reply; how much of it was said only where that is not the usual."""
    plain = {"key": say.key, "slots": _encode_slots(say)}
    return plain if say.talk is Talk.USUAL else {**plain, "talk": say.talk.value}


def _encode_slots(say: Say) -> dict[str, Any]:
    """Slots with their decimals marked, since a union of string and decimal could not tell them apart again."""
    plain: dict[str, Any] = {}
    for name, value in say.slots.items():
        if isinstance(value, Decimal):
            plain[name] = {"decimal": str(value)}
        elif isinstance(value, tuple) and any(isinstance(one, Decimal) for one in value):
            plain[name] = {"decimals": [str(one) for one in value]}
        else:
            plain[name] = list(value) if isinstance(value, tuple) else value
    return plain


def _decode_slots(plain: dict[str, _WrittenSlot]) -> dict[str, Slot]:
    slots: dict[str, Slot] = {}
    for name, value in plain.items():
        if isinstance(value, _MarkedDecimals):
            slots[name] = value.decimals if value.decimal is None else value.decimal
        else:
            slots[name] = value
    return slots


def _within_bounds(header: Header) -> Header:
    """The header, unless its numbers or its time are out of all bounds.

    Raises:
        ValueError: they are.
    """
    check_numbers(header)
    if header.started:
        check_time(header.started)
    return header


def _short(error: Exception) -> str:
    """The heart of a validation error without the library's own jargon."""
    text, _, place = str(error).partition(" - at `$")
    missing = text.partition("missing required field `")[2].partition("`")[0]
    if missing:
        return f"{missing}: missing"
    if "`" in str(error):
        return f"{place.strip('.`') or 'entry'}: not as expected"
    return text
