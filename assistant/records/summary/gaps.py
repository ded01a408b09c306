"""What a record does not show: each gap by its kind, with the sentence for who reads the record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from assistant.messages import Grade, Reason, Why
from assistant.messages.decisions import Ended, Ending, Observed
from assistant.phrasing.reasons import given, items_in, reason_text
from assistant.phrasing.sentences import MAY_MISS, NOT_AS_NEEDED, NOT_LOOKED_AT, PHRASES
from assistant.phrasing.verdicts import graded
from assistant.phrasing.wording import at_place, first_up, not_ruled_out
from assistant.records.summary.labels import Titles, prompt_words
from assistant.session.results.results import Results


class Lacks(StrEnum):
    """Why a record does not show something."""

    END = "end"
    """The session was left before its end."""
    POSITIONS = "positions"
    """A survey did not read every position."""
    COMPLAINT = "complaint"
    """The complaint did not show, so that nothing was repaired."""
    FIT = "fit"
    """The procedure does not fit the unit."""
    CHECKS = "checks"
    """Checks that were not made, where nothing was found."""
    PROOF = "proof"
    """The closing test was not passed, or not made."""
    NEED = "need"
    """Something that the put-back list found other than it must be."""
    REPAIR = "repair"
    """Something suspected that was not repaired."""
    READING = "reading"
    """A repair after which nothing was measured again."""
    SKIPPED = "skipped"
    """Something passed by."""
    MARGIN = "margin"
    """A reading too close to its limit to call."""
    FACTS = "facts"
    """Facts about the unit that nobody was sure of."""
    CHANCE = "chance"
    """A passed test may have missed what is still there."""
    SCOPE = "scope"
    """What a survey leaves out."""
    CONDITIONS = "conditions"
    """What the closing test does not rule out."""


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that a record does not show."""

    why: Lacks
    """Its kind."""
    text: str
    """The sentence."""
    what: str = ""
    """What it is about, without the words around it; '' where they are all of it."""


def gaps_of(results: Results, titles: Titles, suspected: tuple[str, ...]) -> tuple[Gap, ...]:
    """Everything that a session does not show, the result's own gap first."""
    return tuple(_gaps(results, titles, suspected))


def _gaps(results: Results, titles: Titles, suspected: tuple[str, ...]) -> Iterator[Gap]:
    ending = results.ending
    yield from _of_the_ending(results, ending)
    if ending is None or ending.ending != Ending.WAITING:  # there the cause says so
        yield from (Gap(Lacks.REPAIR, f"Suspected and not repaired: {one}.", one) for one in suspected)
    for one in results.not_as_needed:
        yield Gap(
            Lacks.NEED, NOT_AS_NEEDED.format(item=one.decision.item, needs=one.decision.needs), one.decision.item
        )
    for fix in results.corrections:
        if not fix.verified and not fix.in_vain:
            yield Gap(Lacks.READING, f"{first_up(fix.words())}: not measured again afterwards.", fix.words())
    for one in results.skipped:
        what = f"{prompt_words(one.decision.prompt, titles)} ({given(one.decision.reason)})"
        yield Gap(Lacks.SKIPPED, f"Skipped: {what}.", what)
    for seen in results.standing:
        if _close(seen):
            what = at_place(seen.title, seen.place)
            yield Gap(Lacks.MARGIN, f"{first_up(graded(seen))}: {what}.", what)
    unsure = ", ".join(titles.fact(one.decision.fact) for one in results.facts if one.decision.value == "not sure")
    if unsure:
        yield Gap(Lacks.FACTS, f"Not sure: {unsure}.", unsure)
    percent = missed(ending)
    if percent:
        yield Gap(Lacks.CHANCE, MAY_MISS.format(percent=percent), str(percent))
    if titles.not_looked_at and ending is not None:
        yield Gap(Lacks.SCOPE, NOT_LOOKED_AT.format(items="; ".join(titles.not_looked_at)))
    if titles.proof_limits and ending is not None and ending.ending == Ending.CURED_AND_PROVEN:
        yield Gap(Lacks.CONDITIONS, not_ruled_out(titles.proof_limits))


def _of_the_ending(results: Results, ending: Ended | None) -> Iterator[Gap]:
    """What the ending itself leaves open."""
    proof = results.last_proof
    if ending is None:
        if proof is not None and not proof.passed:  # whoever takes it up must know: readings were good after the work
            yield _not_verified(proof.because)
        yield Gap(Lacks.END, "The session was left before its end: nothing after the last entry is known.")
    elif ending.ending == Ending.SURVEYED_IN_PART:
        yield Gap(Lacks.POSITIONS, f"The survey is not complete: {reason_text(ending.because)}.")
    elif ending.ending in (Ending.NOT_PRESENT, Ending.DOES_NOT_FIT):
        because = reason_text(ending.because).rstrip(".")
        why = Lacks.COMPLAINT if ending.ending == Ending.NOT_PRESENT else Lacks.FIT
        yield Gap(why, f"Nothing was repaired: {because}.", because)
        missing = items_in(ending.because) if ending.because.why is Why.NOT_SEEN else ()
        if missing:
            items = "; ".join(missing)
            yield Gap(Lacks.CHECKS, PHRASES["not_checked"].format(items=items), items)
    elif ending.ending not in (Ending.CURED_AND_PROVEN, Ending.SURVEYED, Ending.WAITING):
        yield _not_verified(proof.because if proof is not None and not proof.passed else ending.because)


def _not_verified(reason: Reason) -> Gap:
    because = reason_text(reason)
    return Gap(Lacks.PROOF, f"The repair is not verified{': ' + because if because else ''}".rstrip(".") + ".")


def missed(ending: Ended | None) -> int:
    """Chance in percent that the closing test passed although a fault is still there, 0 where none is told."""
    if ending is None or ending.because.why is not Why.PASSED_MAY_MISS:
        return 0
    return int(str(ending.because.slots["percent"]))


def _close(seen: Observed) -> bool:
    return seen.verdict is not None and seen.verdict.grade == Grade.TOO_CLOSE
