"""How usual a hypothesis is as a whole answer.

The recognizer's own model knows pairs of words only, so that to it 'two one three eighths inches' is as good as 'two
and three eighths inches'. Here the whole is looked at: is it one of the ways to say the value that it means?
"""

from __future__ import annotations

from decimal import Decimal

from assistant.messages import Expectation, Outcome, Understanding
from assistant.numerals.tokenizer import Item, scan
from assistant.numerals.verbalizations import sayings
from assistant.numerals.vocabulary import Kind, Vocabulary

_AROUND = frozenset({Kind.CARRIER, Kind.FILLER, Kind.APPROXIMATE})
_SHORTEST_IDENTIFIER = 3
_FIGURES = 0.3
"""Weight of figures read with the zeros that lead them, or with zeros said in two ways."""
_SHOWN = 4
"""Figures from which leading zeros are a display's, not a lost point."""
_PLACES = 2
"""Decimal places that a common meter shows; where its last digit is known that decides instead."""
_FINE = 0.01
"""Times the weight of a saying with more places than that."""
_USUAL_FORMS = 3
"""Forms of a command, from the first, that count as the usual ones."""
_OTHER_FORM = 0.2
"""Weight of its other forms: 'correct' for yes is heard into 'correction', 'all done' into 'hold on'."""
_AROUND_A_COMMAND = 0.3
"""Times the weight of a form among other words."""
_NEVER_ALONE = frozenset({"it", "the", "at", "is", "like", "some", "say"})
"""Words that may be typed around a reading, but that hardly anybody says alone before one."""
_FRAGMENT = 0.1
"""Times the weight of a saying beside such a word."""
_RARELY = 0.05
"""Weight of a way to say something that is known and not weighted further."""


def usual(words: str, meant: Understanding, expectation: Expectation, vocabulary: Vocabulary) -> float:
    """Weight of these words among the ways to say what they mean (1 the most usual), 0 when they are none of them."""
    unit = vocabulary.unit(expectation.unit)
    items = scan(words, vocabulary, unit.dimension if unit else "")
    core = " ".join(item.text.lower() for item in items if item.kind not in _AROUND)
    match meant.outcome:
        case Outcome.READING | Outcome.CHOOSE:
            values = [meant.value] if meant.value is not None else meant.values
            share = max((_saying(core, value, expectation, vocabulary) for value in values), default=0.0)
            return share * _FRAGMENT if _fragment(items) else share
        case Outcome.UNSTEADY:
            return _unsteady(items, meant, expectation, vocabulary)
        case Outcome.COMMAND:
            return _command(words, core, vocabulary.commands[meant.command.value]) if meant.command else 0.0
        case Outcome.OVER_RANGE | Outcome.NOTHING:
            return 1.0 if core in vocabulary.forms[Kind(meant.outcome.value)] else 0.0
        case Outcome.CHOICE:
            return 0.0 if meant.confirm else 1.0
        case Outcome.IDENTIFIER:
            return 1.0 if len(meant.identifier or "") >= _SHORTEST_IDENTIFIER else 0.0
        case _:
            return 0.0


def _fragment(items: list[Item]) -> bool:
    """Whether a word that nobody says alone before a reading stands there: in 'it eighty eight' it was 'eight'."""
    return any(item.kind in _AROUND and item.text in _NEVER_ALONE for item in items)


def _command(words: str, core: str, forms: tuple[str, ...]) -> float:
    """The forms that are named first are the usual ones, and few people say anything around a command."""
    said = words if words in forms else core
    if said not in forms:
        return 0.0
    share = 1.0 if said in forms[:_USUAL_FORMS] else _OTHER_FORM
    return share if said == words else share * _AROUND_A_COMMAND


def _saying(core: str, value: Decimal, expectation: Expectation, vocabulary: Vocabulary) -> float:
    known = sayings(value, expectation.unit, vocabulary, expectation.resolution)
    share = max((min(1.0, saying.weight) for saying in known if saying.words == core), default=0.0)
    if not share:
        plain = _zeros(_without_zeros(core, vocabulary) or core)
        share = _FIGURES if any(_zeros(saying.words) == plain for saying in known) else 0.0
    exponent = value.as_tuple().exponent
    fine = expectation.resolution is None and isinstance(exponent, int) and exponent < -_PLACES
    return share * _FINE if fine and "point" in core else share


def _zeros(words: str) -> str:
    """With every zero said the same way: 'two zero oh zero' mixes them."""
    return " ".join("zero" if word in ("oh", "o") else word for word in words.split())


def _without_zeros(core: str, vocabulary: Vocabulary) -> str:
    """Four figures or more without the zeros that lead them: a display may show them and they may be read."""
    words = core.split()
    figures = [vocabulary.numbers.get(word, ("", None)) for word in words]
    if sum(kind == "D" for kind, _ in figures) < _SHOWN or figures[0] != ("D", 0):
        return ""
    first = next((at for at, (kind, value) in enumerate(figures) if (kind, value) != ("D", 0)), len(words))
    return " ".join(words[first:])


def _unsteady(items: list[Item], meant: Understanding, expectation: Expectation, vocabulary: Vocabulary) -> float:
    """'jumping between A and B': both ends are ways to say their value, or no end was said."""
    if meant.low_end is None or meant.high_end is None:
        return 0.0 if meant.values else _RARELY
    body = " ".join(item.text.lower() for item in items if item.kind not in (Kind.UNSTEADY, Kind.BETWEEN))
    for joint in (" and ", " to "):
        parts = body.split(joint)
        for cut in range(1, len(parts)):
            ends = (joint.join(parts[:cut]), joint.join(parts[cut:]))
            low = min(_saying(ends[0], value, expectation, vocabulary) for value in (meant.low_end,))
            high = _saying(ends[1], meant.high_end, expectation, vocabulary)
            if low and high:
                return min(low, high)
    return 0.0
