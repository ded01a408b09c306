"""After 'did you mean A, or B?': 'the first', 'the second one' or the value itself picks one."""

from __future__ import annotations

from assistant.meaning.choices import normal
from assistant.meaning.reading import understand_reading
from assistant.messages import Command, Expectation, Expects, Outcome, Understanding
from assistant.words.lexicon import Kind, Lexicon
from assistant.words.tokens import scan

_PICKS = (Kind.FIRST, Kind.SECOND, Kind.THIRD)


def pick(text: str, expectation: Expectation, lexicon: Lexicon) -> Understanding | None:
    """The competing value that an answer picks; None when there is no such question or it picks none."""
    values = expectation.values
    if not values or expectation.expects is not Expects.READING:
        return None
    said = normal(text)
    kept = [item.text for item in scan(said, lexicon) if item.kind not in (Kind.CARRIER, Kind.FILLER)]
    core = " ".join(kept)
    if said in lexicon.forms[Kind.NEITHER]:
        return Understanding(Outcome.COMMAND, text, command=Command.NO, unit=expectation.unit)
    for place, kind in enumerate(_PICKS):
        if said in lexicon.forms[kind] or core in lexicon.forms[kind]:
            if place >= len(values):
                break
            return Understanding(
                Outcome.READING, text, value=values[place], values=(values[place],), unit=expectation.unit
            )
    found = understand_reading(text, expectation, lexicon)
    if found.outcome is Outcome.CHOOSE:
        named = [value for value in found.values if value in values]
        if len(named) == 1 and len(values) > 1:
            return Understanding(Outcome.READING, text, value=named[0], values=(named[0],), unit=expectation.unit)
    return None
