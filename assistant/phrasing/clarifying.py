"""What to say for a question about an answer."""

from __future__ import annotations

from assistant.messages import Ask, Clarification, Say, Slot
from assistant.phrasing.sentences import GUESSED, PHRASES


def clarified(what: Clarification) -> Say:
    """The phrase of a clarification with its slots."""
    slots: dict[str, Slot] = {"unit": what.unit}
    match what.ask:
        case Ask.IS_IT_VALUE | Ask.EXACT:
            slots["value"] = what.values[0]
        case Ask.WHICH_VALUE:
            slots["values"] = what.values
        case Ask.IMPOSSIBLE_RANGE:
            slots["low"], slots["high"] = what.values
        case Ask.IS_IT_IDENTIFIER | Ask.IS_IT_NAME:
            slots["text"] = what.names[0]
        case Ask.NOT_THAT:
            slots["text"], slots["items"] = what.names[0], what.names[1:]
        case Ask.WRONG_UNIT:
            slots["said"] = what.said_unit
        case Ask.WHICH_NAME | Ask.ONE_OF | Ask.ONE_OF_MORE:
            slots["items"] = what.names
        case Ask.GUESSED:
            slots["text"] = GUESSED.get(what.names[0], PHRASES["did_you_mean_that"])
        case _:
            pass
    return Say(what.ask.value, slots)
