"""How the network may write down what was said: words alone, or as people write, with capitals, figures and marks.

The published network was trained on written texts, so that it may write 'eleven eighty ohms' as 'Eleven eighty ohms',
'1180 ohms', '1,180 ohms' or '11 80 ohms'. Its opinion of a phrase is the sum over its spellings.
"""

from __future__ import annotations

from itertools import islice

from assistant.numerals.tokenizer import PAUSE, UNKNOWN_WORD

_ONES = {
    "zero": 0, "oh": 0, "o": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15,
    "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_OF_A_NUMBER = _ONES.keys() | _TENS.keys() | {"hundred", "thousand", "point"}
_OVER_RANGE = ("O L", "OL", "O, L", "O.L", "Oh, well")
_MOST = 7


def plain_words(words: str) -> str:
    """The words of a hypothesis without marks for pauses and unknown words; '' when none is left."""
    return " ".join(word for word in words.split() if word not in (PAUSE, UNKNOWN_WORD))


def spellings(words: str) -> list[str]:
    """The ways to write a phrase, at most seven, the one in words first; none for no words."""
    said = plain_words(words).split()
    if not said:
        return []
    if said == ["o", "l"]:
        return list(_OVER_RANGE)
    found = [_capital(" ".join(said))]
    parts = _parts(said)
    numbers = [at for at, (number, part) in enumerate(parts) if number and not (part == ["one"] and len(parts) > 1)]
    options = [_figures(parts[at][1]) for at in numbers]
    if numbers and all(options):
        longest = max(len(option) for option in options)
        padded = [option + option[-1:] * (longest - len(option)) for option in options]
        for chosen in islice(zip(*padded, strict=True), _MOST):
            written = [
                chosen[numbers.index(at)] if at in numbers else " ".join(part) for at, (_, part) in enumerate(parts)
            ]
            found.append(_capital(" ".join(written)))
    for at in numbers[:1]:
        if len(parts[at][1]) > 1 and all(_ONES.get(word, 10) < 10 for word in parts[at][1]):
            commas = [", ".join(part) if other == at else " ".join(part) for other, (_, part) in enumerate(parts)]
            found.append(_capital(" ".join(commas)))
    return list(dict.fromkeys(found))[:_MOST]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _parts(said: list[str]) -> list[tuple[bool, list[str]]]:
    """Runs of number words and runs of other words, in order."""
    found: list[tuple[bool, list[str]]] = []
    for at, word in enumerate(said):
        joined = word == "and" and said[at - 1 : at] in (["hundred"], ["thousand"]) and said[at + 1 : at + 2] != []
        number = word in _OF_A_NUMBER or (joined and said[at + 1] in _ONES.keys() | _TENS.keys())
        if found and found[-1][0] is number:
            found[-1][1].append(word)
        else:
            found.append((number, [word]))
    return found


def _figures(run: list[str]) -> list[str]:
    """A run of number words in figures, the most usual way first."""
    if "point" in run:
        at = run.index("point")
        behind = _groups(run[at + 1 :])
        before = _whole(run[:at])
        if before is None:
            groups = _groups(run[:at])
            before = int("".join(groups)) if groups else None
        return [] if before is None or not behind else [f"{before}.{''.join(behind)}"]
    found = []
    whole = _whole(run)
    if whole is not None:
        found += [str(whole), *([f"{whole:,}"] if whole >= 1000 else [])]
    groups = _groups(run) or []
    if len(groups) > 1:
        lost = len(groups) == 2 and len(groups[0]) == 2 and len(groups[1]) == 1  # 'twelve six' is no 126
        found += [".".join(groups)] if lost else ["".join(groups)]
        if all(len(group) == 1 for group in groups):
            found.append("-".join(groups))
        elif len(groups) == 2:
            found.append(" ".join(groups))
    return found


def _groups(run: list[str]) -> list[str] | None:
    """'eleven eighty five' as 11 and 85; None for words that are not said in groups."""
    found: list[str] = []
    tens = 0
    for word in run:
        if word in _TENS:
            tens = _TENS[word]
            found.append(str(tens))
        elif word in _ONES:
            one = _ONES[word]
            if tens and 0 < one < 10:
                found[-1] = str(tens + one)
            else:
                found.append(str(one))
            tens = 0
        else:
            return None
    return found


def _whole(run: list[str]) -> int | None:
    """The value of 'one thousand one hundred and seventy two' or 'thirteen hundred'; None when it is none."""
    rest = [word for word in run if word != "and"]
    total = 0
    for word, factor in (("thousand", 1000), ("hundred", 100)):
        if word in rest:
            at = rest.index(word)
            before = _groups(rest[:at])
            if before is None or len(before) != 1:
                return None
            total += int(before[0]) * factor
            rest = rest[at + 1 :]
    if not rest:
        return total
    last = _groups(rest)
    return total + int(last[0]) if last and len(last) == 1 else None
