"""Decisions as they stand in a journal, and what earlier formats wrote in their place.

A prompt is written as text. A reason is written as a value since format 3; formats 1 and 2 wrote its sentence, which
``_SENTENCES`` turns back into the reason. A sentence that is not in the table steered nothing and stays as it was
written (``Why.WRITTEN``). What stands here is what those versions wrote: it never changes with today's words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, replace
from functools import lru_cache
from typing import Any, Union, get_args, get_type_hints

import msgspec

from assistant.messages import Prompt, Reason, Remark, RemarkKind, Why
from assistant.messages.decisions import (
    CautionAcknowledged,
    Decision,
    Ending,
    FactWithdrawn,
    Observed,
    ProofStepWithdrawn,
    Skipped,
)

_PROOF = "proof:"
"""Began the ``fact`` of a ``fact_withdrawn`` that took back a step of the proof, in formats 1 and 2."""
_NO_REASON = "no reason given"
"""Stood where a person gave no reason, in formats 1 and 2."""
_SENTENCES: Mapping[str, tuple[tuple[re.Pattern[str], Why], ...]] = {
    kind: tuple((re.compile(sentence, re.DOTALL), why) for sentence, why in rows)
    for kind, rows in {
        "check_chosen": (
            (r"It is the next position in order\.", Why.IN_ORDER),
            (r"It was skipped before\.", Why.SKIPPED_BEFORE),
            (r"You asked for it\.", Why.ASKED_FOR),
            (r"You asked for it again\.", Why.ASKED_FOR_AGAIN),
            (r"The first reading was too close to call\.", Why.TOO_CLOSE),
            (r"The last answer was (?:taken back|deleted)\.", Why.TAKEN_BACK),
            (r"Measured again after this work: (?P<work>.*)\.", Why.AFTER_WORK),
        ),
        "observation_withdrawn": (
            (r"(?:taken back)?", Why.SCRATCHED),
            (r"went back", Why.WENT_BACK),
            (r"correction", Why.CORRECTED),
            (r"read once more", Why.READ_ONCE_MORE),
            (r"read again", Why.READ_AGAIN),
        ),
        "proof_finished": (
            (r"every step (?:of the proof )?passed", Why.ALL_PASSED),
            (r"(?P<step>.*?): (?P<answer>.*)", Why.STEP_FAILED),
        ),
        "ended": (
            (r"every step (?:of the proof )?passed", Why.ALL_PASSED),
            (r"the person stopped it", Why.STOPPED),
            (r"every position was read", Why.ALL_READ),
            (r"it was left unfinished", Why.UNFINISHED),
            (r"(?P<step>.*?) was skipped: no reason given(?P<reason>)", Why.STEP_SKIPPED),
            (r"(?P<step>.*?) was skipped: (?P<reason>.*)", Why.STEP_SKIPPED),
        ),
        "remarked": (
            (r"asked why at (?P<prompt>.*)", Why.ASKED_WHY),
            (r"asked where we are", Why.ASKED_WHERE),
            (r"asked what is left", Why.ASKED_WHATS_LEFT),
            (r"asked to confirm \((?P<doubt>.*)\): yes", Why.CONFIRMED),
            (r"asked to confirm \((?P<doubt>.*)\): no", Why.REFUSED),
        ),
    }.items()
}
_NOT_READ = "not read: "
_EFFORT = re.compile(r" in (?:a minute|(?P<minutes>\d+) minutes) with ")
"""Stood in a planner's sentence that named the minutes of a check, in formats 1 and 2."""


def write_decision(decision: Decision) -> dict[str, Any]:
    """A decision as plain JSON values."""
    plain: dict[str, Any] = msgspec.to_builtins(decision)
    if isinstance(decision, Skipped):
        plain["prompt"] = str(decision.prompt)
    elif isinstance(decision, CautionAcknowledged):
        plain["before"] = str(decision.before)
    elif isinstance(decision, FactWithdrawn) and decision.fact.startswith(_PROOF):
        plain["fact"] = f"\\{decision.fact}"
    return plain


def reason_of(kind: str, text: str, ending: str = "") -> Reason:
    """The reason that a sentence of an earlier format stands for.

    Args:
        kind: of the decision.
        text: the sentence.
        ending: of the session, where it came to its end.
    """
    if kind == "ended" and ending == Ending.SURVEYED_IN_PART and text.startswith(_NOT_READ):
        return Reason(Why.NOT_READ, {"items": tuple(text.removeprefix(_NOT_READ).split("; "))})
    for sentence, why in _SENTENCES.get(kind, ()):
        found = sentence.fullmatch(text)
        if found is not None:
            return Reason(why, found.groupdict())
    if kind == "ended" and ending == Ending.STOPPED:
        return Reason(Why.DOES_NOT_FIT, {"text": text})
    effort = _EFFORT.search(text) if kind == "check_chosen" else None
    if effort is not None:
        return Reason(Why.WRITTEN, {"text": text, "minutes": int(effort["minutes"] or 1)})
    return Reason(Why.WRITTEN, {"text": text})


def _reason(name: str) -> Callable[[Mapping[str, Any]], Reason]:
    return lambda plain: reason_of(str(plain["kind"]), plain[name], str(plain.get("ending", "")))


@lru_cache(maxsize=1024)
def _prompt_of(text: str) -> Prompt:
    """The same few prompts stand in very many records."""
    return Prompt.read(text)


def _prompt(name: str) -> Callable[[Mapping[str, Any]], Prompt]:
    return lambda plain: _prompt_of(plain[name])


def _given(plain: Mapping[str, Any]) -> str:
    return "" if plain["reason"] == _NO_REASON else str(plain["reason"])


UPGRADES: Mapping[str, Mapping[str, Callable[[Mapping[str, Any]], Any]]] = {
    "caution_acknowledged": {"before": _prompt("before")},
    "fact_withdrawn": {"fact": lambda plain: plain["fact"].removeprefix("\\")},
    "skipped": {"prompt": _prompt("prompt"), "reason": _given},
    "fix_declined": {"reason": _given},
    "remarked": {"what": _reason("what")},
    **{
        kind: {"because": _reason("because")}
        for kind in ("check_chosen", "fix_chosen", "observation_withdrawn", "proof_finished", "ended")
    },
}
"""Kind of decision to what makes a value of each of its fields that stands, or once stood, as text."""


class _Tag(msgspec.Struct):
    """What tells one kind of value from another."""

    kind: str


_KIND = b'"kind":"'
_tag = msgspec.json.Decoder(_Tag).decode
Decoder = Callable[[bytes | msgspec.Raw], Any]


def by_kind(decoders: Mapping[str, Decoder]) -> Decoder:
    """Reads one of several values, told apart by their ``kind``.

    What it makes raises msgspec.MsgspecError when it is none of them.
    """

    ends = {f'"kind":"{kind}"}}'.encode(): decode for kind, decode in decoders.items()}

    def read(raw: bytes | msgspec.Raw) -> Any:
        text = bytes(raw)
        # as it is written the kind stands last, where it is found without reading the rest; were it another's, or in
        # a text, the decoder would refuse it: each takes one kind
        decode = ends.get(text[text.rfind(_KIND) :])
        if decode is not None:
            return decode(text)
        kind = _tag(raw).kind
        if kind not in decoders:
            raise msgspec.ValidationError(f"kind '{kind}' is not known")
        return decoders[kind](raw)

    return read


def kind_of(real: type) -> str:
    """The ``kind`` of a class."""
    return next(str(one.default) for one in fields(real) if one.name == "kind")


_NOT_CORRECTED = "Not corrected for coil temperature."
"""The one remark of formats 1 and 2 that steers a session: it is made once. Others stay as they were written."""


def _observed(decode: Decoder) -> Decoder:
    """Reads an observation; the remark that steers is a value also where an earlier format wrote a sentence."""

    def read(raw: bytes | msgspec.Raw) -> Observed:
        seen: Observed = decode(raw)
        verdict = seen.verdict
        if verdict is None or verdict.remarks or _NOT_CORRECTED not in verdict.remark:
            return seen
        return replace(seen, verdict=replace(verdict, remarks=(Remark(RemarkKind.NOT_CORRECTED),)))

    return read


def _decoder(real: type) -> Decoder:
    decode: Decoder = msgspec.json.Decoder(real).decode
    if real is Observed:
        return _observed(decode)
    upgrades = UPGRADES.get(kind_of(real))
    if upgrades is None:
        return decode
    earlier = _upgrading(real, upgrades)
    hints = get_type_hints(real)
    if any(hints[name] is not Reason for name in upgrades):
        return earlier

    def read(raw: bytes | msgspec.Raw) -> Any:
        try:
            return decode(raw)
        except msgspec.ValidationError:
            return earlier(raw)  # its reason is a sentence, or there is another fault, which is named there

    return read


def _upgrading(real: type, upgrades: Mapping[str, Callable[[Mapping[str, Any]], Any]]) -> Decoder:
    """Reads a decision with fields that stand, or stood in an earlier format, as text."""
    hints = get_type_hints(real)
    members: list[Any] = [
        (one.name, _written(hints[one.name]), *(() if one.default is MISSING else (_as_written(one.default),)))
        for one in fields(real)
    ]
    written = msgspec.defstruct(real.__name__, members, gc=False, module=__name__)
    decode, names = msgspec.json.Decoder(written).decode, tuple(hints)

    def read(raw: bytes | msgspec.Raw) -> Any:
        one = decode(raw)
        values = {name: getattr(one, name) for name in names}
        if real is FactWithdrawn and values["fact"].startswith(_PROOF):
            return ProofStepWithdrawn(values["fact"].removeprefix(_PROOF))
        for name, upgrade in upgrades.items():
            if values[name].__class__ is str:
                values[name] = upgrade(values)
        return real(**values)

    return read


def _written(hint: Any) -> Any:
    """The type of a field as it stands, or stood, in a journal."""
    if hint is Prompt:
        return str
    return Union[str, Reason] if hint is Reason else hint  # noqa: UP007 - made at run time


def _as_written(value: Any) -> Any:
    return str(value) if isinstance(value, Prompt) else value


read_decision = by_kind({kind_of(real): _decoder(real) for real in get_args(Decision)})
"""The decision that stands in a journal as this JSON text, in this format or an earlier one."""
