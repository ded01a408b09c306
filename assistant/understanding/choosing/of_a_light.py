"""'The tractor light', 'the tractor's out': a name that belongs to a light is no answer to what powers it."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.messages import Choice
from assistant.understanding.patterns import places, words_of

_LIGHTS = frozenset({"light", "lights", "lite", "lamp", "lamps", "bulb", "bulbs", "lit"})
_BEARERS = frozenset(
    {"a", "the", "tractor", "truck", "trailer", "cab", "dolly", "battery", "box", "power", "supply", "test", "shop"}
)
"""Words of things that bear a light of their own."""
_IS = frozenset({"is", "was", "are", "were", "one", "still", "just"})
_STATES = frozenset({"out", "off", "on", "dark", "dim", "dead", "fine", "good", "ok", "okay", "clear", "works"})
"""What is told of a light after what bears it, the word 'light' left out."""


def of_a_light(text: str, name: str, choices: Sequence[Choice]) -> bool:
    """Whether the choice is named as what bears a light that is told of, and no choice is about a light.

    Args:
        text: what was said.
        name: the choice that it holds.
        choices: all that could be answered.
    """
    told = [(one.name, words_of(form)) for one in choices for form in (one.name, *one.also)]
    if any(_LIGHTS & set(form) for _, form in told):
        return False
    said = words_of(text)
    named = [(form, found) for one, form in told if one == name for found in places(said, form)]
    if not named or any(not _BEARERS.issuperset(form) for form, _ in named):
        return False
    if _LIGHTS & set(said):
        return True
    return any(_state(said[found.stop :]) for _, found in named)


def _state(behind: tuple[str, ...]) -> bool:
    told = [word for word in behind if word not in _IS]
    return bool(told) and told[0] in _STATES
