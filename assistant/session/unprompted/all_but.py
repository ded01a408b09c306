"""Everything on the put-back list but what is named: 'everything's back on but the left rear plug'."""

from __future__ import annotations

import re

from assistant.session.agenda.put_back import put_back_items
from assistant.session.context import Context
from assistant.session.state import State
from assistant.understanding.naming import stem
from assistant.understanding.patterns import words_of
from assistant.understanding.place_names import place_in

_BUT = re.compile(
    r"\b(?:all|every ?thing(?:'s| is)?|every one|everyone|rest|whole thing|good|done)\b.*?"
    r"\b(?:but(?: for)?|except(?: for)?|excepting|besides|other than|minus|just not|only)\b(?P<left>.+)$"
)
_ONLY = re.compile(r"^(?:i |we )?(?:just|only|all (?:i|we)) (?:have|got|need|lack)\b(?P<left>.+?)\bleft\b")
_SMALL = frozenset({
    "the", "a", "an", "in", "on", "its", "it", "is", "not", "yet", "and", "back", "to", "that", "one", "at", "of",
    "for", "still", "have", "put", "do", "get", "new", "every", "left", "right", "front", "rear", "side", "out", "up",
})  # fmt: skip


def left_of(context: Context, state: State, text: str) -> tuple[int, ...] | None:
    """Places in the put-back list that are told to be the only ones left; None where nothing of that kind is told,
    () where what is left is not found in the list."""
    said = " ".join(words_of(text.replace("’", "'")))
    found = _BUT.search(said) or _ONLY.search(said)
    if found is None or "?" in text:
        return None
    place, rest = place_in(words_of(found["left"]), context.places_named())
    named = {stem(word) for word in rest if word not in _SMALL}
    if not named and place is None:
        return None
    fitting: dict[int, int] = {}
    for number, item in enumerate(put_back_items(context, state)):
        where, words = place_in(words_of(item), context.places_named())
        if place is not None and where != place:
            continue
        shared = named & {stem(word) for word in words}
        if shared or not named:
            fitting[number] = len(shared)
    best = max(fitting.values(), default=0)
    return tuple(number for number, shared in fitting.items() if shared == best)
