"""What is said in training: answers as our own grammars say them, and talk that is no answer.

Answers are written as the recognizer writes them, since its hypotheses are what the trained network scores. Talk that
is no answer has no words: it stands for one piece of its own.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from decimal import Decimal

from assistant import catalog, library
from assistant.messages import Expectation, Expects
from assistant.numerals.verbalizations import cardinal, sayings
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.procedure.load import load_procedure
from assistant.understanding.recognition.grammar_phrases import grammar_words, spread
from tests.tools.scorer_training.clips import Said
from tests.tools.scorer_training.talk import sentences, stray_words

PROMPTS: tuple[tuple[str, str, str], ...] = (
    ("ohm", "900", "1400"), ("ohm", "0", "1"), ("ohm", "80", "95"), ("ohm", "1000", "2500"), ("ohm", "0.5", "5"),
    ("kohm", "0.9", "2"), ("Mohm", "1", "10"), ("V", "9.5", "14"), ("V", "4.5", "5.5"), ("V", "11.5", "14.5"),
    ("V", "0", "0.5"), ("V", "22", "28"), ("mV", "100", "800"), ("mV", "0", "50"), ("in", "0.25", "1"),
    ("in", "0.5", "2.5"), ("in", "0.03", "0.5"), ("32nds", "2", "16"), ("psi", "55", "130"), ("mph", "0", "10"),
)  # fmt: skip
"""Unit and limits of prompts that matter most, beside one for every unit: common practice, no source."""
SHARES = {
    "reading": 0.57, "range": 0.03, "display": 0.04, "choice": 0.13, "command": 0.07, "identifier": 0.06,
    "wish": 0.02, "talk": 0.05, "stray": 0.03,
}  # fmt: skip
"""How much there is of each kind."""
NO_ANSWER = frozenset({"talk", "stray"})
_FIRST_WORDS = (
    "it says", "i got", "it's", "that's", "reading", "meter says", "i have", "it reads", "i'm getting", "about",
    "it is", "uh", "okay", "around", "looks like", "we have", "now it's", "i see",
)  # fmt: skip
_ALOUD = {
    "milli volts": "millivolts", "milli volt": "millivolt", "o l": "O L", "d c": "D C", "a c": "A C",
    "p s i": "P S I",
    "milli amps": "milliamps", "milli amp": "milliamp", "k ohms": "K ohms", "k ohm": "K ohm", "m v": "M V",
}  # fmt: skip
"""How an engine must be told words that the recognizer writes in pieces."""
_LEAST_WEIGHT = 0.03


def all_lines(count: int, aside: frozenset[str], seed: int = 17) -> list[Said]:
    """About ``count`` different lines, mixed.

    Args:
        count: how many.
        aside: readings, ranges and unit numbers that decide and are never trained on, in lower case.
        seed: of the choice.
    """
    vocabulary = catalog.load_vocabulary()
    rng = random.Random(seed)
    makers = {
        "reading": _readings(vocabulary, rng), "range": _ranges(vocabulary, rng),
        "display": _displays(vocabulary, rng),
        "choice": _choices(vocabulary, rng), "command": _commands(vocabulary, rng), "wish": _wishes(vocabulary, rng),
        "identifier": _identifiers(vocabulary, rng), "talk": sentences(rng),
        "stray": stray_words(rng, grammar_words(vocabulary)),
    }  # fmt: skip
    lines: list[Said] = []
    seen: set[str] = set()
    for kind, maker in makers.items():
        wanted = round(count * SHARES[kind])
        tries = 0
        while wanted > 0 and tries < 60 * count:
            tries += 1
            said = next(maker, None)
            if said is None:
                break
            text = " ".join(said.split())
            # closed lists are said again by other voices: there are few of them and each must be known well
            open_ended = kind in ("reading", "range", "identifier", "talk")
            if text in aside or not _plain(text) or (open_ended and text in seen):
                continue
            seen.add(text)
            lines.append(Said(kind, "" if kind in NO_ANSWER else text, told(text)))
            wanted -= 1
    rng.shuffle(lines)
    return lines


def known_words(lines: Sequence[Said]) -> list[str]:
    """Every word that the trained network must be able to write, sorted."""
    vocabulary = catalog.load_vocabulary()
    words = {word for line in lines for word in line.words.split()} | set(grammar_words(vocabulary))
    for choices in _all_choices():
        words |= {word for choice in choices for word in as_heard(choice, vocabulary).split()}
    for form in (*vocabulary.commands.values(), *vocabulary.wishes.values()):
        words |= {word for text in form for word in as_heard(text, vocabulary).split()}
    words |= {word for names in vocabulary.letters for word in names.replace("-", " ").split()}
    return sorted(word for word in words if word and _plain(word))


def told(words: str) -> str:
    """Words as an engine is told to say them."""
    padded = f" {words} "
    for heard, spoken in _ALOUD.items():
        padded = padded.replace(f" {heard} ", f" {spoken} ")
    return padded.strip()


def _plain(text: str) -> bool:
    return bool(text) and text.isascii() and all(mark.isalpha() or mark in " '" for mark in text)


def as_heard(form: str, vocabulary: Vocabulary) -> str:
    """A form in the words that the recognizer writes."""
    return " ".join(vocabulary.unsaid.get(word, word) for word in form.lower().replace("-", " ").split())


def _prompts(vocabulary: Vocabulary) -> list[Expectation]:
    made = [
        Expectation(Expects.READING, unit=unit, low=Decimal(low), high=Decimal(high)) for unit, low, high in PROMPTS
    ] * 4
    made += [Expectation(Expects.READING, unit=name) for name in vocabulary.units] * 2
    for path in library.files("dialogs"):
        for check in load_procedure(path).procedure.checks:
            if check.unit and check.limits:
                ends = [end for end in (check.limits.low, check.limits.high) if end is not None]
                made.append(
                    Expectation(Expects.READING, unit=check.unit, span=check.span, low=min(ends), high=max(ends))
                )
    return made


def _readings(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    prompts = _prompts(vocabulary)
    values = [_values(prompt, vocabulary) for prompt in prompts]
    while True:
        at = rng.randrange(len(prompts))
        near, all_values, below = values[at]
        chance = rng.random()
        chosen = below if below and chance < 0.06 else near if near and chance < 0.65 else all_values
        words = _one(prompts[at], rng.choice(chosen), vocabulary, rng)
        chance = rng.random()
        if chance < 0.16:
            yield f"{rng.choice(_FIRST_WORDS)} {words}"
        elif chance < 0.19:
            other = _one(prompts[at], rng.choice(all_values), vocabulary, rng)
            yield f"{other} {rng.choice(('i mean', 'no make that', 'correction', 'sorry'))} {words}"
        else:
            yield words


def _values(prompt: Expectation, vocabulary: Vocabulary) -> tuple[list[Decimal], list[Decimal], list[Decimal]]:
    """Values about the limits of a prompt, all that are not below zero, and those below it."""
    values = spread(prompt, vocabulary, 900)
    low, high = prompt.low, prompt.high
    near = (
        []
        if low is None or high is None
        else [value for value in values if low / 2 <= value <= high * Decimal("1.6")]
    )
    return near, [value for value in values if value >= 0], [value for value in values if value < 0]


def _one(prompt: Expectation, value: Decimal, vocabulary: Vocabulary, rng: random.Random) -> str:
    """A way to say a value: usual ones more often, but each of them now and then."""
    ways = [way for way in sayings(value, prompt.unit, vocabulary) if way.weight >= _LEAST_WEIGHT]
    return rng.choices(ways, [way.weight**0.6 for way in ways])[0].words


def _ranges(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    prompts = _prompts(vocabulary)
    values = [_values(prompt, vocabulary) for prompt in prompts]
    while True:
        at = rng.randrange(len(prompts))
        prompt, (near, all_values, _) = prompts[at], values[at]
        first, second = sorted(rng.sample(near or all_values, 2))
        marker = rng.choice(("jumping between", "bouncing between", "between", "jumps between", "moving between"))
        yield f"{marker} {_one(prompt, first, vocabulary, rng)} and {_one(prompt, second, vocabulary, rng)}"


def _displays(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    forms = [
        as_heard(form, vocabulary)
        for kind in (Kind.OVER_RANGE, Kind.NOTHING, Kind.UNSTEADY)
        for form in vocabulary.forms[kind]
    ]
    usual = ("o l", "open", "open line", "open circuit", "over limit", "infinite", "over load", "no reading")
    while True:
        words = rng.choice(usual) if rng.random() < 0.5 else rng.choice(forms)
        yield f"{rng.choice(_FIRST_WORDS[:9])} {words}" if rng.random() < 0.25 else words


def _all_choices() -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for path in library.files("dialogs"):
        procedure = load_procedure(path).procedure
        found += [(place.name, *place.also) for place in procedure.places]
        options = [asked.choices for asked in procedure.checks] + [asked.choices for asked in procedure.facts]
        found += [(choice.name, *choice.also) for each in options for choice in each]
    return found


def _choices(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    choices = _all_choices()
    while True:
        yield as_heard(rng.choice(rng.choice(choices)), vocabulary)


def _commands(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    commands = [forms for name, forms in vocabulary.commands.items()]
    while True:
        forms = rng.choice(commands)
        yield as_heard(rng.choice(forms[:3]) if rng.random() < 0.5 else rng.choice(forms), vocabulary)


def _wishes(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    around = vocabulary.wishes["around"]
    wishes = [form for name, forms in vocabulary.wishes.items() if name != "around" for form in forms]
    while True:
        words = rng.choice(wishes)
        yield f"{rng.choice(around)} {words}" if rng.random() < 0.4 else words


def _identifiers(vocabulary: Vocabulary, rng: random.Random) -> Iterator[str]:
    digits = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "oh")
    letters = [as_heard(name, vocabulary) for name in vocabulary.letter_names.values()]
    while True:
        shape = rng.random()
        if shape < 0.6:
            words = " ".join(rng.choice(digits) for _ in range(rng.choice((3, 4, 4, 4, 4, 5, 6))))
        elif shape < 0.8:
            words = f"{cardinal(rng.randrange(10, 100))} {cardinal(rng.randrange(10, 100))}"
        else:
            words = " ".join([rng.choice(letters), *(rng.choice(digits) for _ in range(rng.choice((2, 3, 4))))])
        yield f"{rng.choice(('unit', 'unit', 'trailer', 'unit number'))} {words}" if rng.random() < 0.7 else words
