"""A photo of the work, as the record knows it: what it is of, and a sum by which its picture is known."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.messages.prompts import Prompt


@dataclass(frozen=True, slots=True)
class Photo:
    """One photo. The picture itself is kept outside the chain."""

    name: str
    """Made by the screen that sent it, never used twice."""
    sha256: str
    """Of the picture as it is kept."""
    size: int
    """Bytes of it."""
    width: int
    """Pixels."""
    height: int
    """Pixels."""
    prompt: Prompt
    """What was asked when it was taken: the check, the fix or the step that it shows."""
    observation: int | None = None
    """Number of the reading that it shows, None for one of what is asked."""
