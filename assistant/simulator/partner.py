"""The simulated unit beside a person who practices: it shows what is to be seen before each answer."""

from __future__ import annotations

from collections.abc import Callable

from assistant.diagnosis.conditions import UNSURE
from assistant.inputs.ports import Listener
from assistant.messages import NO_PROMPT, Expectation, Expects, Fact, Heard, Hypothesis, Prompt, PromptKind, Source
from assistant.simulator.technician import Unit
from assistant.simulator.units import MARKS, done

SAME = "="
"""Typed instead of an answer: exactly what the unit shows."""
_SHOWN = (PromptKind.CHECK, PromptKind.FACT, PromptKind.PROOF)


class Partner:
    """An input that shows what the unit shows before the person answers.

    Args:
        unit: the simulated unit.
        tell: shows a line beside the talk.
        now: seconds since the session began.
        person: where the person's answers come from; None to let the unit answer.
    """

    def __init__(
        self,
        unit: Unit,
        tell: Callable[[str], None],
        now: Callable[[], float],
        person: Listener | None,
    ) -> None:
        self._unit, self._tell, self._now, self._person = unit, tell, now, person
        self._told = NO_PROMPT
        self._answer = "next"
        self.shown: list[tuple[Prompt, str]] = []
        """Each prompt and what the unit showed there, in order."""

    def show(self, expectation: Expectation) -> None:
        """Show what there is to see, before an answer is awaited: the loop calls it first."""
        if self._told == expectation.prompt:
            return
        self._told = expectation.prompt
        kind = None if expectation.prompt.overlaid is not None else expectation.prompt.kind
        self._answer = done(expectation) if kind is PromptKind.FIX else self._unit.answer(expectation)
        if kind in _SHOWN and (kind is not PromptKind.PROOF or expectation.choices):
            self.shown.append((expectation.prompt, self._answer))
            self._tell(shown_as(self._answer, expectation, fact=kind is PromptKind.FACT))

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """Wait for the person, or answer what the unit shows."""
        self.show(expectation)
        if self._person is None:
            self._told = NO_PROMPT
            return Heard(self._now(), (Hypothesis(self._answer),), Source.TYPED)
        heard = self._person.listen(expectation, seconds)
        # after a silence the same prompt still waits, and what the unit shows is on the screen already
        self._told = NO_PROMPT if isinstance(heard, Heard) else expectation.prompt
        if isinstance(heard, Heard) and heard.hypotheses and heard.hypotheses[0].words.strip() == SAME:
            return Heard(heard.at, (Hypothesis(self._answer),), heard.source)
        return heard

    def close(self) -> None:
        """Take no more of the person's answers."""
        if self._person is not None:
            self._person.close()


def shown_as(answer: str, expectation: Expectation, *, fact: bool) -> str:
    """What the unit shows as a line for the person, such as ``the meter shows 11.4 V``."""
    if answer == UNSURE:
        return f"nothing tells you; say '{UNSURE}'"
    if answer == "skip":
        return "this unit has none; say 'skip'"
    if fact:
        return f"on this unit: {answer}"
    if expectation.expects is not Expects.READING:
        return f"you find: {answer}"
    if answer.startswith("jumping "):
        return f"the meter is {answer} {expectation.unit or ''}".rstrip()
    if answer == "over range":
        return "the meter shows over range"
    unit = expectation.unit or ""
    if unit in MARKS:
        return f"you read {answer} {unit}"
    return f"the meter shows {answer} {unit}".rstrip()
