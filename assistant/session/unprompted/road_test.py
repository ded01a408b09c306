"""What is told of a test drive in one breath: how fast, and what the light did: 'hit 18, lamp went out'.

A module looks for its wheels only above a walking pace, so that a slower roll proves nothing; the step says how fast
(``faster_than``, ``better_from``).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from assistant.messages import Choice, Expectation, Expects, Outcome
from assistant.numerals.readback import spell_whole
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.state import State
from assistant.session.unprompted.breath import pieces_of
from assistant.understanding.choosing.choices import normal
from assistant.understanding.utterance import answer_of

_MOST = 24
"""Words of the longest report: more is a story."""
_FASTEST = 99
_SPELLED = {spell_whole(number): number for number in range(_FASTEST, 0, -1)}
_NUMBER = re.compile(rf"\b(\d+(?:\.\d+)?|{'|'.join(sorted(_SPELLED, key=len, reverse=True))})\b")
_OTHER_MEASURE = re.compile(
    r"^\s*(?:feet|foot|yards?|miles?(?!\s+(?:an|per)\b)|minutes?|seconds?|times?|blocks?|laps?|psi)\b"
)
_MOVED = re.compile(r"\b(?:rolled|drove|driven|ran it|took it (?:out|for)|road tested)\b")
_FAST = re.compile(r"\b(?:hit|got|took it|up to|went|mph|an hour|per hour|doing|about|around)\b")
"""Words beside a speed."""
_LATER = re.compile(r"\b(?:going to|gonna|about to|will|let me|i'll|fixing to|need to|have to|want to|should|if)\b")
_DENIED = re.compile(r"\b(?:not|never|didn't|couldn't|can't|cannot|wouldn't|won't|haven't|isn't)\b")
_NO_DRIVE = re.compile(
    r"\b(?:can't|cannot|can not|couldn't|could not|won't|not able to|unable to|no way to|not allowed to)\b"
    r".*\b(?:drive|roll|move|road test|take it out|pull it|go out)\b"
    r"|\bno (?:driver|room to (?:roll|drive)|place to (?:roll|drive)|cdl|tractor to pull)\b"
    r"|\bnowhere to (?:roll|drive)\b"
)
_AROUND = frozenset({
    "light", "lights", "lamp", "lamps", "abs", "the", "is", "was", "and", "still", "it", "just", "then",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rolled:
    """A test drive that was told."""

    speed: Decimal | None = None
    """The fastest, in miles per hour; None where none was told."""
    light: str | None = None
    """Answer to the step behind it; None where nothing was told of the light."""
    refused: bool = False
    """True where it cannot be driven."""

    too_slow: bool = False
    """Whether it was too slow to prove anything."""
    slow: bool = False
    """Whether faster would have shown more."""


def rolled(context: Context, state: State, text: str) -> Rolled | None:
    """What is told of the test drive that is asked for; None for anything else."""
    asked = asked_now(context, state)
    said = normal(text.replace("’", "'"))
    if asked.mode is not Mode.PROOF or not context.proof_step(asked.name).quiet:
        return None
    if "?" in text or not 1 < len(said.split()) <= _MOST or _LATER.search(said):
        return None
    if _NO_DRIVE.search(said):
        return Rolled(refused=True)
    plain = text.lower().replace("’", "'").replace("-", " ")
    numbers = [found for found in _NUMBER.finditer(plain) if not _OTHER_MEASURE.match(plain[found.end() :])]
    told = [Decimal(_SPELLED.get(found.group(), 0) or found.group()) for found in numbers]
    speed = max(told) if told else None
    if not _MOVED.search(said) and (speed is None or not _FAST.search(said)):
        return None
    light = _light(context, asked.name, plain)
    step = context.proof_step(asked.name)
    too_slow = speed is not None and step.faster_than is not None and speed <= step.faster_than
    if _DENIED.search(said) and not too_slow and light is None:
        return None
    slow = speed is not None and step.better_from is not None and speed < step.better_from
    return Rolled(speed, light, too_slow=too_slow, slow=slow and not too_slow)


def _light(context: Context, name: str, text: str) -> str | None:
    """What the light did, as the answer of the step that asks for it."""
    steps = context.procedure.proof.steps
    at = next(place for place, step in enumerate(steps) if step.name == name)
    if at + 1 == len(steps) or steps[at + 1].kind != "choice":
        return None
    choices = tuple(Choice(one.name, one.also) for one in steps[at + 1].choices)
    found: set[str] = set()
    for piece in pieces_of(text, ()):
        words = normal(piece).split()
        if not {"light", "lights", "light's", "lamp", "lamps", "lamp's"} & set(words):
            continue
        left = " ".join(word for word in (one.removesuffix("'s") for one in words) if word not in _AROUND)
        meant = answer_of(left, Expectation(Expects.CHOICE, choices=choices), context.vocabulary) if left else None
        if meant is not None and meant.outcome is Outcome.CHOICE and meant.choice is not None:
            found.add(meant.choice)
    return found.pop() if len(found) == 1 else None
