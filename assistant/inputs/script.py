"""Prepared answers, each meant for one prompt: their order is checked, never guessed."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.errors import OperatorError


class Script:
    """Named answers in order, and the prompt that each one answers.

    Args:
        names: what each answer is called in messages, such as ``03.flac``.
        prompts: identity of the prompt each one answers, '' where any will do; empty to check nothing.

    Raises:
        OperatorError: there are as many prompts as answers, or none, but not some.
    """

    def __init__(self, names: Sequence[str], prompts: Sequence[str] = ()) -> None:
        if prompts and len(prompts) != len(names):
            raise OperatorError(
                f"The scene names {len(prompts)} prompts but has {len(names)} answers.",
                remedy="Give each answer one prompt, in the same order.",
            )
        self._names = tuple(names)
        self._prompts = tuple(prompts)
        self._next = 0

    @property
    def ended(self) -> bool:
        """True when every answer was given."""
        return self._next >= len(self._names)

    def take(self, prompt: str) -> int:
        """Index of the next answer, for this prompt.

        Raises:
            OperatorError: the next answer was made for another prompt.
        """
        index = self._next
        meant = self._prompts[index] if self._prompts else ""
        if meant and meant != prompt:
            raise OperatorError(
                f"Answer {index + 1} ({self._names[index]}) was made for the prompt '{meant}', "
                f"but the session asks '{prompt or 'something without a name'}'.",
                remedy="The procedure or an earlier answer changed: put the answers in the order that is asked.",
            )
        self._next += 1
        return index
