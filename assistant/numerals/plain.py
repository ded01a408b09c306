"""The shortest way through the plainest number phrases: two pieces, each looked up in a table that is made once.

A phrase is cut behind its second word: 'twelve thousand | three hundred and five', 'twenty one | forty five',
'one oh | six two'. The first piece has a value and says which pieces may follow; each of those says by what it
multiplies what stands in front, and what it adds. No phrase is remembered: any one costs the same the first time.
Only phrases with one plain meaning are read here; all others are left to the grammar in ``numbers``, and a sweep over
both shows that they agree.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

Tails = dict[str, tuple[int, int]]
"""What may stand behind a piece: by what it multiplies the piece in front, and what it adds."""
Heads = dict[str, tuple[int, Tails]]
"""Words in front: their value, and what may stand behind them."""
Words = Mapping[str, int]
"""Number words, or pieces made of them, and their values."""
Pair = tuple[Decimal, str]
"""A value, and '' or why a yes is wanted."""
Read = Callable[[str], Sequence[Pair]]
"""Words to every value that they can mean."""

_ZEROS = 2
_MOST_DIGITS = 5
"""From six digits on the words may be a number said twice."""
_TIMES = (1, 10, 100, 1000)
"""By what a piece may multiply the one in front of it."""


class Plain:
    """Pieces of plain number phrases, once for prompts where a point may be left out and once for the others.

    Args:
        quick: plain number words, each with a fine class and a value, see ``tables.quick_words``.
    """

    __slots__ = ("_pieces", "_pieces_with_points_left_out")

    def __init__(self, quick: Mapping[str, tuple[str, int]]) -> None:
        words: dict[str, dict[str, int]] = {kind: {} for kind in "ZDtTYHmA"}
        for word, (kind, value) in quick.items():
            # the usual word for each value, and 'oh' beside 'zero'; the rarer ones are left to the grammar
            if kind in words and list(words[kind].values()).count(value) < (_ZEROS if kind == "Z" else 1):
                words[kind][word] = value
        zeros, digits, tens = words["Z"], words["D"], words["Y"]
        teens = {**words["t"], **words["T"]}
        joined = {f"{ten} {digit}": tens[ten] + digits[digit] for ten in tens for digit in digits}
        under_hundred = {**digits, **teens, **tens, **joined}
        scaled = _Scaled(digits, under_hundred, words["H"], words["m"], words["A"])
        short: dict[str, int] = {**zeros, **under_hundred, **scaled.short}
        heads: Heads = {**scaled.heads, **{text: (value, scaled.tails) for text, value in joined.items()}}
        self._pieces_with_points_left_out = _Pieces(heads, short)
        behind = {**scaled.tails, **_pairs(zeros, digits, {**teens, **tens, **joined})}
        more: Heads = {**heads, **_in_front(zeros, digits, teens, tens)}
        more |= {text: (value, behind) for text, value in joined.items()}
        self._pieces = _Pieces(more, {**short, **_side_by_side(zeros, digits, teens, tens)})

    def reader(self, *, implied: bool, otherwise: Read) -> Read:
        """A function from words to every value that they can mean.

        Args:
            implied: whether a left-out point is usual ('twelve six' for 12.6).
            otherwise: reads what is not that plain.
        """
        pieces = self._pieces_with_points_left_out if implied else self._pieces
        heads, short = pieces.heads, pieces.short

        def read(words: str) -> Sequence[Pair]:
            # the speed of reading hangs on this: it looks up what it must, and builds nothing but its answer
            try:
                first, second, tail = words.split(" ", 2)
                tails, fronts = heads[first][second]
                times, more = tails[tail]
            except KeyError:
                return otherwise(words)
            except ValueError:
                return short[words] if words in short else otherwise(words)
            if more is fronts[0] and tail == f"{first} {second}":
                return otherwise(words)  # 'twenty one twenty one' may be 21 said twice
            return ((fronts[times] + more, ""),)

        return read


ExactTails = dict[str, tuple[int, Decimal]]
"""What may stand behind a piece: place in ``_TIMES``, and what is added."""


class _Pieces:
    """Tables of exact values, each value made once."""

    __slots__ = ("heads", "short")

    def __init__(self, heads: Heads, short: Words) -> None:
        made: dict[int, Decimal] = {}
        converted: dict[int, ExactTails] = {}

        def exact(value: int) -> Decimal:
            return made.setdefault(value, Decimal(value))

        self.short: dict[str, tuple[Pair, ...]] = {text: ((exact(value), ""),) for text, value in short.items()}
        """Whole phrases of one or two words."""
        self.heads: dict[str, dict[str, tuple[ExactTails, tuple[Decimal, ...]]]] = {}
        """Two words in front, by the first and then by the second: what may follow; their value times ``_TIMES``."""
        for text, (value, tails) in heads.items():
            first, second = text.split()
            if id(tails) not in converted:
                converted[id(tails)] = {
                    tail: (_TIMES.index(times), exact(more)) for tail, (times, more) in tails.items()
                }
            fronts = tuple(exact(value * times) for times in _TIMES)
            self.heads.setdefault(first, {})[second] = (converted[id(tails)], fronts)


class _Scaled:
    """Pieces around 'hundred' and 'thousand'."""

    def __init__(self, digits: Words, under_hundred: Words, hundreds: Words, thousands: Words, joints: Words) -> None:
        two_digits = _joined_on(under_hundred, joints)
        exact = {f"{digit} {word}": 100 * value for digit, value in digits.items() for word in hundreds}
        full = {f"{text} {tail}": value + more for text, value in exact.items() for tail, more in two_digits.items()}
        three_digits = _joined_on({**under_hundred, **exact, **full}, joints)
        behind_hundred: Tails = {text: (1, value) for text, value in two_digits.items()}
        behind_thousand: Tails = {text: (1, value) for text, value in three_digits.items()}
        self.short: dict[str, int] = {}
        """Two words that are a whole phrase."""
        self.heads: Heads = {}
        """Two words in front."""
        for text, value in under_hundred.items():
            if " " in text:
                continue
            for word in thousands:
                self.short[f"{text} {word}"] = 1000 * value
                self.heads[f"{text} {word}"] = (1000 * value, behind_thousand)
            if value <= 10 or value % 10:
                for word in hundreds:
                    self.short[f"{text} {word}"] = 100 * value
                    self.heads[f"{text} {word}"] = (100 * value, behind_hundred)
        self.tails: Tails = {}
        """What may stand behind 'twenty one'."""
        for words, scale, behind in ((hundreds, 100, two_digits), (thousands, 1000, three_digits)):
            for word in words:
                self.tails[word] = (scale, 0)
                self.tails.update({f"{word} {text}": (scale, value) for text, value in behind.items()})


def _joined_on(values: Words, joints: Words) -> dict[str, int]:
    return {**values, **{f"{joint} {text}": value for joint in joints for text, value in values.items()}}


def _side_by_side(zeros: Words, digits: Words, teens: Words, tens: Words) -> dict[str, int]:
    """Two words that are figures or pairs side by side."""
    found = {
        f"{first} {second}": 10 * value + more
        for first, value in digits.items()
        for second, more in {**zeros, **digits}.items()
    }
    pairs = {**teens, **tens}
    for first, value in {**digits, **pairs}.items():
        found |= {f"{first} {second}": 100 * value + more for second, more in pairs.items() if second != first}
    return found


def _in_front(zeros: Words, digits: Words, teens: Words, tens: Words) -> Heads:
    """Two words with figures or pairs behind them."""
    figures = {**zeros, **digits}
    row: Tails = {text: (10, value) for text, value in figures.items()}
    rows = dict(row)
    for _ in range(_MOST_DIGITS - 3):
        row = {
            f"{text} {word}": (10 * times, 10 * value + figure)
            for text, (times, value) in row.items()
            for word, figure in figures.items()
        }
        rows |= row
    heads = {
        f"{first} {second}": (10 * value + more, rows)
        for first, value in digits.items()
        for second, more in figures.items()
    }
    units: Tails = {text: (1, value) for text, value in digits.items()}
    for first, value in {**digits, **teens, **tens}.items():
        heads |= {f"{first} {ten}": (100 * value + more, units) for ten, more in tens.items()}
    after: Tails = {text: (10, more) for text, more in digits.items()}
    for first, value in {**teens, **tens}.items():
        heads |= {f"{first} {zero}": (10 * value, after) for zero in zeros}
    return heads


def _pairs(zeros: Words, digits: Words, pairs: Words) -> Tails:
    """What may stand behind 'twenty one' without a scale: another pair, or 'oh five'."""
    found: Tails = {text: (100, value) for text, value in pairs.items()}
    return found | {f"{zero} {digit}": (100, value) for zero in zeros for digit, value in digits.items()}
