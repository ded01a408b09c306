"""Decisions as they stand in a journal, and what earlier formats wrote in their place.

A prompt is written as text. A reason is written as a value since format 3; formats 1 and 2 wrote its sentence, which
``_SENTENCES`` turns back into the reason. A sentence that is not in the table steered nothing and stays as it was
written (``Why.WRITTEN``). What stands here is what those versions wrote: it never changes with today's words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Annotated, Any

from pydantic import Field, TypeAdapter

from assistant.messages import Prompt, Reason, Why
from assistant.messages.decisions import CautionAcknowledged, Decision, Ending, FactWithdrawn, Skipped

_DECISION: TypeAdapter[Decision] = TypeAdapter(Annotated[Decision, Field(discriminator="kind")])
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
            (r"The last answer was taken back\.", Why.TAKEN_BACK),
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
            (r"every step of the proof passed", Why.ALL_PASSED),
            (r"(?P<step>.*?): (?P<answer>.*)", Why.STEP_FAILED),
        ),
        "ended": (
            (r"every step of the proof passed", Why.ALL_PASSED),
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
    plain: dict[str, Any] = _DECISION.dump_python(decision, mode="json")
    if isinstance(decision, Skipped):
        plain["prompt"] = str(decision.prompt)
    elif isinstance(decision, CautionAcknowledged):
        plain["before"] = str(decision.before)
    elif isinstance(decision, FactWithdrawn) and decision.fact.startswith(_PROOF):
        plain["fact"] = f"\\{decision.fact}"
    return plain


def read_decision(plain: Mapping[str, Any]) -> Decision:
    """The decision of plain JSON values, of this format or an earlier one.

    Raises:
        ValueError: it is no decision that this version knows.
    """
    return _DECISION.validate_python(_upgraded(dict(plain)))


def _upgraded(plain: dict[str, Any]) -> dict[str, Any]:
    step = proof_step(plain)
    if step is not None:
        return {"kind": "proof_step_withdrawn", "step": step}
    for name, upgrade in UPGRADES.get(str(plain.get("kind")), {}).items():
        if isinstance(plain.get(name), str):
            plain[name] = upgrade(plain)
    return plain


def proof_step(plain: Mapping[str, Any]) -> str | None:
    """The step of the proof that a ``fact_withdrawn`` of an earlier format took back, None for a fact."""
    fact = str(plain.get("fact", ""))
    taken_back = plain.get("kind") == "fact_withdrawn" and fact.startswith(_PROOF)
    return fact.removeprefix(_PROOF) if taken_back else None


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


def _prompt(name: str) -> Callable[[Mapping[str, Any]], Prompt]:
    return lambda plain: Prompt.read(plain[name])


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
