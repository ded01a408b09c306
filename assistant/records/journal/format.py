"""What stands in a journal, and how one line of it is written and read.

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
import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationError

from assistant.errors import DefectError
from assistant.messages import Fact, HistoryWeight, Say, Slot
from assistant.messages.decisions import Decision
from assistant.records.journal.decisions import read_decision, write_decision
from assistant.verdict.uncertainty import Meter

FORMAT = 3
"""Number of the format that this version writes. 2 added the unit's history as an entry (``history_told`` and
``history_taken``), ``asks_history`` in the header and the alternatives of an answer. 3 has what a verdict was made
of and its remarks as values (``basis``, ``remarks``); before, they were sentences (``reason``, ``remark``).
Reasons of decisions are values too (``journal.decisions`` reads the sentences that stood there)."""


@dataclass(frozen=True, slots=True)
class Header:
    """What a session works with, so that the journal alone is enough to resume, replay and review it."""

    session_id: str
    started: str
    """Wall time, ISO 8601 with offset."""
    procedure: str
    """Name of the procedure."""
    procedure_toml: str = ""
    """The whole text of the procedure file."""
    procedure_sha256: str = ""
    """Hash of ``procedure_toml`` in UTF-8."""
    grammars: dict[str, str] = field(default_factory=dict)
    """File name to SHA-256 of each grammar file."""
    model: str = ""
    """Speech model heard with; '' for a typed session."""
    model_sha256: str = ""
    meter: Meter | None = None
    """The meter in hand with its ranges and accuracies; None when not known."""
    unit: str = ""
    """Number of the truck or trailer; '' when it is asked in the session."""
    air_fahrenheit: Decimal | None = None
    """Air temperature in degrees Fahrenheit."""
    weights: tuple[HistoryWeight, ...] = ()
    """What the history of the unit that was named at the start changed."""
    asks_history: bool = False
    """True when the history of a unit whose number is told in the session is looked up then, and stands as an entry
    of its own; False in records from before that was done."""
    invented: bool = False
    """True for demo sessions: the unit, the fault and the readings are made up."""
    source: str = ""
    """How answers came in at the start: ``typed``, ``recording``, ``microphone``, ``page``."""
    program: str = ""
    """Version of this program."""
    format: int = FORMAT
    kind: Literal["header"] = "header"


@dataclass(frozen=True, slots=True)
class Entry:
    """One fact with the decisions it led to and what was answered."""

    fact: Fact
    decisions: tuple[Decision, ...] = ()
    replies: tuple[Say, ...] = ()
    said: tuple[str, ...] = ()
    """The replies as sentences, in the words of that day."""
    kind: Literal["entry"] = "entry"


@dataclass(frozen=True, slots=True)
class Attempt:
    """The session was opened again to go on."""

    number: int
    """Counts from 2: the header is the first."""
    set_aside: int = 0
    """Bytes of a torn end that were moved to the ``.torn`` file on opening."""
    findings: tuple[str, ...] = ()
    """What was damaged when it was opened."""
    kind: Literal["attempt"] = "attempt"


Body = Header | Entry | Attempt


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a journal."""

    seq: int
    """Counts from 0, the header."""
    wall: str
    """Wall time, ISO 8601 with offset; it may jump back."""
    mono: float
    """Seconds of work since the session began; breaks between attempts do not count. Never goes back."""
    prev: str
    """Hash of the line before; '' in the header."""
    body: Body
    hash: str = ""
    """Hash of this line, filled in by writing and reading."""


class BrokenLineError(ValueError):
    """A line cannot be used. The text is the reason, for a finding."""


_FACT: TypeAdapter[Fact] = TypeAdapter(Annotated[Fact, Field(discriminator="kind")])
_HEADER = TypeAdapter(Header)
_ATTEMPT = TypeAdapter(Attempt)
_SEAL = re.compile(rb',"hash":"([0-9a-f]{64})"\}\Z')
SEAL_LENGTH = len(b',"hash":""}') + 64
"""Bytes of a line behind what its hash is of."""
_TOP_KEYS = {"seq", "wall", "mono", "prev", "body", "hash"}


def encode_line(line: Line) -> tuple[bytes, str]:
    """The bytes of a line, newline included, and its hash.

    Raises:
        DefectError: a number in it is not finite.
    """
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


def decode_line(raw: bytes) -> Line:
    """Read one line, without its newline, and check its hash.

    Raises:
        BrokenLineError: it was damaged or changed, or a later version wrote it.
    """
    seal = _SEAL.search(raw)
    if seal is None:
        raise BrokenLineError("it is not a whole entry")
    digest = seal[1].decode()
    if hashlib.sha256(raw[: seal.start()]).hexdigest() != digest:
        raise BrokenLineError("it was damaged or changed after it was written")
    plain = _strict(raw)
    if not isinstance(plain, dict) or _TOP_KEYS - plain.keys():
        raise BrokenLineError("it is not an entry of a session")
    try:
        body = decode_body(plain["body"])
        seq, wall, mono, prev = int(plain["seq"]), str(plain["wall"]), float(plain["mono"]), str(plain["prev"])
    except (ValidationError, KeyError, TypeError, ValueError) as error:
        raise BrokenLineError(f"this version cannot read it ({_short(error)})") from None
    return Line(seq, wall, mono, prev, body, digest)


def header_without_seal(raw: bytes) -> Header | None:
    """The header of a damaged first line, when it still can be read at all."""
    try:
        body = decode_body(_strict(raw)["body"])
    except (BrokenLineError, ValidationError, KeyError, TypeError, ValueError):
        return None
    return body if isinstance(body, Header) else None


def encode_body(body: Body) -> dict[str, Any]:
    """A body as plain JSON values."""
    if isinstance(body, Entry):
        return {
            "kind": "entry",
            "fact": _FACT.dump_python(body.fact, mode="json"),
            "decisions": [write_decision(one) for one in body.decisions],
            "replies": [{"key": say.key, "slots": _encode_slots(say)} for say in body.replies],
            "said": list(body.said),
        }
    adapter: TypeAdapter[Any] = _HEADER if isinstance(body, Header) else _ATTEMPT
    plain: dict[str, Any] = adapter.dump_python(body, mode="json")
    return {"kind": body.kind, **plain}


def decode_body(plain: Any) -> Body:
    """The reverse of ``encode_body``."""
    kind = plain["kind"]
    if kind == "header":
        return _HEADER.validate_python(plain)
    if kind == "attempt":
        return _ATTEMPT.validate_python(plain)
    if kind != "entry":
        raise ValueError(f"kind '{kind}' is not known")
    return Entry(
        _FACT.validate_python(plain["fact"]),
        tuple(read_decision(one) for one in plain["decisions"]),
        tuple(Say(say["key"], _decode_slots(say["slots"])) for say in plain.get("replies", [])),
        tuple(str(text) for text in plain.get("said", [])),
    )


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


def _decode_slots(plain: dict[str, Any]) -> dict[str, Slot]:
    slots: dict[str, Slot] = {}
    for name, value in plain.items():
        if isinstance(value, dict):
            many = value.get("decimals")
            slots[name] = Decimal(value["decimal"]) if many is None else tuple(Decimal(one) for one in many)
        else:
            slots[name] = tuple(value) if isinstance(value, list) else value
    return slots


def _strict(raw: bytes) -> Any:
    """Strict JSON: UTF-8, no NaN, no infinity."""

    def refuse(word: str) -> None:
        raise ValueError(f"{word} is not a number")

    try:
        return json.loads(raw.decode("utf-8"), parse_constant=refuse)
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise BrokenLineError("it is not JSON text") from None


def _short(error: Exception) -> str:
    """The heart of a validation error without the library's own jargon."""
    if isinstance(error, ValidationError):
        first = error.errors(include_url=False)[0]
        place = ".".join(str(part) for part in first["loc"])
        return f"{place or 'entry'}: not as expected"
    return str(error)
