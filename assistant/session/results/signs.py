"""What an observation says about the unit: good, bad or nothing, by its verdict or by what a sound unit shows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from assistant.messages import Grade
from assistant.messages.decisions import Observed
from assistant.phrasing.verdicts import graded, look_word, mark_of

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure


class Shows(StrEnum):
    """What an observation says about the unit."""

    GOOD = "good"
    BAD = "bad"
    NOTHING = "nothing"
    """Too close to call, and more likely good than not."""


@dataclass(frozen=True, slots=True)
class Checks:
    """What of a procedure the results are told with; empty where the procedure is lost."""

    sound: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Check to the outcomes that a sound unit shows; ``good`` where none is named."""
    places: frozenset[str] = frozenset()
    """Names of places, which some checks give as their answer."""
    tools: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Check to the outcomes that speak of the meter or another tool, and not of the unit."""
    sums: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Check of a survey to those whose answers it only sums up."""
    tried: Mapping[str, str] = field(default_factory=dict)
    """Fix that plugs in a known good part to what a record calls it where that did not help."""
    changed_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Fix to the checks whose answer its own work changes, whatever was wrong."""

    def mark(self, seen: Observed) -> str:
        """The color and shape of an observation: ``good``, ``bad``, ``close``, or '' where it says nothing.

        A reading has its verdict. A look is as good or as bad as what it shows: 'corroded' is as bad as 'too low'.
        """
        if seen.verdict is not None:
            return mark_of(seen)
        if seen.choice is None or seen.choice in self.tools.get(seen.check, ()):
            return ""
        return {Shows.GOOD: "good", Shows.BAD: "bad"}.get(self.shows(seen), "")

    def graded(self, seen: Observed) -> str:
        """The same in a word: the verdict's, or for a look the word that a display without a number has."""
        return graded(seen) if seen.verdict is not None else look_word(self.mark(seen), seen.choice or "")

    def counted(self, standing: Iterable[Observed]) -> tuple[Observed, ...]:
        """What counts by itself of a survey's answers: not one that sums up others, unless it alone is bad."""
        seen = tuple(standing)
        bad = {(one.check, one.place) for one in seen if self.shows(one) is Shows.BAD}

        def counts(one: Observed) -> bool:
            summed = self.sums.get(one.check, ())
            if not summed or ((one.check, one.place) not in bad and one.place is not None):
                return True
            if (one.check, one.place) not in bad:
                return False
            return not any(check in summed and one.place in (None, place) for check, place in bad)

        return tuple(one for one in seen if counts(one))

    def shows(self, seen: Observed) -> Shows:
        """What an observation says about the unit: its verdict, or without one its likeliest outcome."""
        verdict = seen.verdict
        if verdict is not None and verdict.grade is not Grade.TOO_CLOSE:
            return Shows.GOOD if verdict.grade is Grade.GOOD else Shows.BAD
        likeliest = max(seen.weights, key=seen.weights.__getitem__) if seen.weights else ""
        if likeliest not in ("good", *self.sound.get(seen.check, ())):
            return Shows.BAD
        return Shows.GOOD if verdict is None else Shows.NOTHING


def checks_of(procedure: Procedure) -> Checks:
    """The same of a procedure that was read and found sound."""
    return Checks(
        {check.name: check.sound for check in procedure.checks},
        frozenset(place.name for place in procedure.places),
        {check.name: tuple(check.tools) for check in procedure.checks if check.tools},
        {check.name: check.sums_up for check in procedure.checks if check.sums_up},
        {fix.name: fix.as_test for fix in procedure.fixes if fix.as_test},
        {fix.name: fix.also_changes for fix in procedure.fixes if fix.also_changes},
    )
