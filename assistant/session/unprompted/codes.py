"""A code that is told in the proof, and whether it is the one that was there before the repair."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.messages import Outcome, Understanding
from assistant.messages.decisions import Observed
from assistant.phrasing.wording import first_up
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.state import State
from assistant.session.unprompted.breath import code_told
from assistant.understanding.choosing.choices import normal

_NONE = re.compile(r"\b(?:no (?:active )?codes?|none|nothing|(?:all )?clear|clean|zero codes?)\b")
_STORED = re.compile(
    r"\b(?:stored|inactive|not active|history|historic|old|past|previous)(?: (?:only|ones?|codes?))*\b"
)
_ACTIVE = re.compile(r"\b(?:active|current|live|present)(?: (?:codes?|now))*\b")
_SAME = re.compile(
    r"\b(?:(?:the |it's |its )?same (?:one|code|wheel|thing|fault)|the same|again|still(?: there)?|(?:it )?came back|"
    r"came right back|(?:it's )?back|as before)(?: as before)?\b"
)
_ROUND = re.compile(
    r"\b(?:there's|there is|it's|got|i got|i have|we got|shows?|says?|reads?|an?|the|one|code|is|it)\b"
)


@dataclass(frozen=True, slots=True)
class CodeRead:
    """What was told of the codes."""

    place: str | None = None
    """The wheel, None for none."""
    kinds: tuple[tuple[str, str], ...] = ()
    """For each check that reads a code's kind the choice."""
    active: bool | None = None
    """Whether it is active now; None where that was not told."""
    same: bool | None = None
    """Whether it is the code from before the repair; None where none was read then."""

    @property
    def named(self) -> bool:
        """Whether a code was told, and not only that there is none, or only stored ones."""
        return self.place is not None or bool(self.kinds)

    @property
    def text(self) -> str:
        """The code as it is said and recorded."""
        parts = (*((self.place,) if self.place else ()), *(choice for _, choice in self.kinds))
        if parts:
            return first_up(", ".join(parts))
        return "stored only" if self.active is False else "no codes"


def code_read(context: Context, state: State, text: str) -> CodeRead | None:
    """What is told of the codes at a step of the proof that reads them; None for anything else."""
    asked = asked_now(context, state)
    if asked.mode is not Mode.PROOF or not context.proof_step(asked.name).reads_codes or "?" in text:
        return None
    said = normal(text.replace("’", "'"))
    stored, active, same = (
        _STORED.search(said),
        None if _STORED.search(said) else _ACTIVE.search(said),
        _SAME.search(said),
    )
    left = said
    for pattern in (_STORED, _ACTIVE, _SAME):
        left = pattern.sub(" , ", left)
    place, kinds = code_told(context, left)
    before = codes_before(context, state)
    if same and place is None and not kinds:
        place, kinds = _of(context, before)
    is_active = False if stored else True if active else None
    if place is None and not kinds:
        rest = _ROUND.sub(" ", _NONE.sub(" ", left)).replace(",", " ").split()
        told = bool(_NONE.search(said) or stored) and not active and not rest
        return (
            CodeRead(active=False if stored else None)
            if told and context.proof_step(asked.name).kind == "do"
            else None
        )
    return CodeRead(place, tuple(kinds.items()), is_active, _same(context, before, place, kinds))


def codes_before(context: Context, state: State) -> tuple[Observed, ...]:
    """The codes that were read last in the search, one for each check that reads them."""
    found: dict[str, Observed] = {}
    for seen in state.observations:
        if context.check(seen.check).reads_codes and seen.choice is not None:
            found[seen.check] = seen
    return tuple(found.values())


def _of(context: Context, before: tuple[Observed, ...]) -> tuple[str | None, dict[str, str]]:
    """The wheel and the kinds of the codes from before."""
    places = {one.name for one in context.procedure.places}
    place = next((one.choice for one in before if one.choice in places), None)
    kinds = {one.check: one.choice for one in before if one.choice is not None and one.choice not in places}
    named = {name: choice for name, choice in kinds.items() if context.check(name).kind == "choice"}
    return place, named


def _same(context: Context, before: tuple[Observed, ...], place: str | None, kinds: dict[str, str]) -> bool | None:
    """Whether the wheel, and the kind where both were told, are those from before."""
    wheel, kind = _of(context, before)
    if wheel is None:
        return None
    if place is not None and place != wheel:
        return False
    return all(kind.get(name, choice) == choice for name, choice in kinds.items())


def as_answers(context: Context, read: CodeRead, words: str) -> list[tuple[str, Understanding]]:
    """The code as the answers of the checks that ask for it, by their names."""
    group = next((one.group for one in context.procedure.places if one.name == read.place), None)
    kinds = dict(read.kinds)
    found: list[tuple[str, Understanding]] = []
    for check in context.procedure.checks:
        names_it = check.kind == "place" and check.each == group and read.place is not None
        choice = read.place if names_it else kinds.get(check.name)
        if choice is not None and check.reads_codes:
            found.append((check.name, Understanding(Outcome.CHOICE, words, choice=choice)))
    return found
