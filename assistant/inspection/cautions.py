"""Cautions: every dangerous opening has one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from assistant.inspection.notes import Notes
from assistant.procedure.model import Access, Check, Fix, ProofStep, Question

_DANGERS = {
    "a drum": r"\bdrums?\b(?! brakes?\b)",
    "a wheel taken off": r"\bwheels?(?: and \w+)? off\b|\bpull the wheels?\b",
    "a jack": r"\bjack(?:s|ed)?\b",
    "a raised axle": r"\brais(?:e|ed|ing)\b",
    "a hub": r"\bhub\b",
    "a brake chamber": r"\bchambers?\b",
    "a spring brake": r"\bspring brakes?\b",
    "a pushrod": r"\bpushrods?\b",
    "a battery": r"\bbatter(?:y|ies)\b",
    "an air line": r"\bair (?:line|hose|tank)s?\b|\bdrain the air\b",
    "a turning wheel": r"\bturn (?:the wheel|\{place\})",
    "the brake pedal": r"\bbrakes? (?:pedal|held|down)\b|\bon the pedal\b|\bpedal down\b",
    "a running engine": r"\bengine running\b|\bstart the engine\b|\bfast idle\b|\bengine runs\b",
    "a cranking engine": r"\bcrank(?:s|ing)?\b(?! amps)",
    "a load that gets hot": r"\bamp load\b|\bput the load\b|\bload gets hot\b",
}
_SPEAKS_OF = {
    "a drum": r"drum|brake dust",
    "a wheel taken off": r"heavy|wheel",
    "a jack": r"jack|stand",
    "a raised axle": r"jack|stand",
    "a hub": r"hub|heavy|brake dust|turn",
    "a brake chamber": r"chamber|spring brake|pushrod|air",
    "a spring brake": r"spring brake",
    "a pushrod": r"pushrod",
    "a battery": r"batter|acid|posts",
    "an air line": r"\bair\b",
    "a turning wheel": r"turn",
    "the brake pedal": r"pedal",
    "a running engine": r"engine",
    "a cranking engine": r"crank|engine",
    "a load that gets hot": r"load",
}
"""What a caution before such a danger must mention: a caution about something else does not count."""
_ASKED_ABOUT = {"the brake pedal", "a turning wheel", "a raised axle", "a jack"}
"""What a question before the work has somebody do; the other words only ask what there is."""
_KEPT_ON = re.compile(
    r"\b(?:leave|with) the (?:wheels?|drums?)(?: and (?:the )?(?:drums?|wheels?))? on\b|\bbrake pedal free\b"
)


def inspect(notes: Notes) -> None:
    """Note openings, checks, fixes, proof steps and questions that name a danger and have no caution before them."""
    for path, where, row in notes.rows():
        if isinstance(row, Question):
            for danger in _dangers(row.ask) & _ASKED_ABOUT:
                if not _speaks(danger, (one.say for one in notes.procedure.cautions if one.first)):
                    text = f"This names {danger} before any work. Add a caution that speaks of it, with first = true."
                    notes.add(path, where, text)
        if not isinstance(row, Access | Check | Fix | ProofStep):
            continue
        words = row.ask if isinstance(row, Check) else row.say
        before = list(_before(notes, row))
        for danger in sorted(_dangers(words)):
            if not _speaks(danger, before):
                text = f"This names {danger}, and no caution that speaks of it comes before. Name one in 'cautions'."
                notes.add(path, where, text)
    for number, step in enumerate(notes.procedure.proof.steps):
        if step.quiet and not step.cautions:
            text = "The unit moves here, and no caution comes before it. Name one in 'cautions'."
            notes.add(("proof", "steps", number), f"proof step '{step.name}'", text)


def _dangers(words: str) -> set[str]:
    text = _KEPT_ON.sub("", words.lower())
    return {name for name, pattern in _DANGERS.items() if re.search(pattern, text)}


def _speaks(danger: str, cautions: Iterable[str]) -> bool:
    return any(re.search(_SPEAKS_OF[danger], text.lower()) for text in cautions)


def _before(notes: Notes, row: Access | Check | Fix | ProofStep) -> Iterator[str]:
    """What the cautions say that come before a row: those at the beginning, its own, and those of its openings."""
    says = {caution.name: caution.say for caution in notes.procedure.cautions}
    yield from (caution.say for caution in notes.procedure.cautions if caution.first)
    accesses = {access.name: access for access in notes.procedure.access}
    waiting, seen = [] if isinstance(row, ProofStep) else list(row.needs), set[str]()
    yield from (says[name] for name in row.cautions if name in says)
    while waiting:
        name = waiting.pop()
        if name in seen or name not in accesses:
            continue
        seen.add(name)
        yield from (says[one] for one in accesses[name].cautions if one in says)
        waiting.extend(accesses[name].needs)
