"""One line of a journal read lightly, for going through very many records: the same values, many times faster.

The hash is checked as ever. The replies' slots, which only a replay of the voice needs, are passed over. Lines and
what stands in them are stand-ins, made here from the real classes: the same names and values, ``kind`` among them,
but ``isinstance`` does not know them. What this reader does not take, because it is damaged or of another format, is
left to ``entries.decode_line`` and its reasons.
"""

from __future__ import annotations

import hashlib
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Union, cast, get_args, get_origin, get_type_hints

import msgspec

from assistant.messages import Fact, Prompt, Reason
from assistant.messages.decisions import Decision, ProofStepWithdrawn
from assistant.records.journal.decisions import UPGRADES, proof_step
from assistant.records.journal.format import SEAL_LENGTH, Header, Line, decode_line


def decode_light(raw: bytes) -> Line:
    """Read one line as ``decode_line`` does, without the slots of its replies.

    Raises:
        BrokenLineError: it was damaged or changed, or a later version wrote it.
    """
    try:
        line = _first(raw) if raw.startswith(b'{"seq":0,') else _with_values(_line(raw))
    except (msgspec.MsgspecError, ValueError):
        return decode_line(raw)  # it has the last word, and names what is wrong
    if _sha256(raw[:-SEAL_LENGTH]).hexdigest() != line.hash or raw[-SEAL_LENGTH:-66] != b',"hash":"':
        return decode_line(raw)
    return cast("Line", line)


@cache
def stand_in(real: type) -> Any:
    """A struct with the fields of a dataclass; one that has a ``kind`` is told by it."""
    hints = get_type_hints(real)
    members: list[Any] = []
    options: dict[str, Any] = {}
    for one in fields(real):
        hint = _light(hints[one.name])
        if one.name == "kind":
            options = {"tag_field": "kind", "tag": one.default, "namespace": {"kind": one.default}}
        elif one.default is not MISSING:
            members.append((one.name, hint, one.default))
        else:
            members.append((one.name, hint))
    return msgspec.defstruct(real.__name__, members, gc=False, module=__name__, **options)


def _light(hint: Any) -> Any:
    """A type with the dataclasses in it replaced by their stand-ins."""
    if hint is Prompt:
        return str
    if hint is Reason:
        return Union[str, stand_in(hint)]  # noqa: UP007 - made at run time
    if isinstance(hint, type) and is_dataclass(hint):
        return stand_in(hint)
    parts = tuple(one if one is ... else _light(one) for one in get_args(hint))
    if get_origin(hint) in (Union, UnionType):
        return Union[parts]  # noqa: UP007 - made at run time
    return tuple.__class_getitem__(parts) if get_origin(hint) is tuple else hint


def _reader(body: Any) -> Any:
    """Reads a line that holds such a body."""
    line = [("seq", int), ("wall", str), ("mono", float), ("prev", str), ("body", body), ("hash", str)]
    return msgspec.json.Decoder(msgspec.defstruct("Line", line, gc=False, module=__name__)).decode


_ENTRY = msgspec.defstruct(
    "Entry",
    [("fact", _light(Fact)), ("decisions", list.__class_getitem__(_light(Decision))), ("said", tuple[str, ...], ())],
    tag_field="kind",
    tag="entry",
    namespace={"kind": "entry", "replies": ()},
    gc=False,
    module=__name__,
)


def _with_values(line: Any) -> Any:
    """The line with what stands in it as text, or did in an earlier format, made the value that it is."""
    for at, decision in enumerate(getattr(line.body, "decisions", ())):
        upgrades = UPGRADES.get(decision.kind)
        if upgrades is None:
            continue
        plain = {one: getattr(decision, one) for one in (*decision.__struct_fields__, "kind")}
        step = proof_step(plain)
        if step is not None:
            line.body.decisions[at] = stand_in(ProofStepWithdrawn)(step)
            continue
        for name, upgrade in upgrades.items():
            if isinstance(plain[name], str):
                setattr(decision, name, upgrade(plain))
    return line


_line = _reader(_ENTRY)
_first = _reader(Header)
_sha256 = hashlib.sha256
