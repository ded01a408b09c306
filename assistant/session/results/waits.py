"""A reason that puts a repair off: it waits for a part or for a person, and nobody doubts it."""

from __future__ import annotations

import re

_WAITS = re.compile(
    r"\b(?:parts?|stock|order(?:ed)?|back ?order|supplier|deliver(?:y|ed)|wait(?:ing|s)?|tomorrow|later|"
    r"foreman|boss|mechanic|dealer|approv(?:al|ed?)|permission|authoriz(?:ation|ed?)|trained|qualified|help)\b"
)
"""Words of a reason that put a repair off and do not doubt it."""


def is_wait(reason: str) -> bool:
    """True for a reason that names a part or a person to wait for."""
    return _WAITS.search(reason.lower()) is not None
