"""From a ``Say`` to a sentence: shown with figures, spoken with every number spelled by us.

Speech engines read "1180" and "0.6" each in their own way; ours are spelled digit by digit, with the unit in words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from string import Formatter

from assistant.errors import DefectError
from assistant.messages import Say, Talk
from assistant.messages.effects import Slot
from assistant.numerals.readback import (
    show_value,
    spell_digits,
    spell_fraction,
    spell_identifier,
    spell_value,
    spell_whole,
)
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.lengths import template
from assistant.phrasing.sentences import JACKS
from assistant.phrasing.verdicts import mark_of_word
from assistant.phrasing.wording import between, limits

CAUTIONS = frozenset({"caution", "caution_told", "same_cautions", "same_cautions_at"})
"""Phrases that warn."""
_MARKS = {**dict.fromkeys(CAUTIONS, "caution"), "found": "bad", "proven": "good"}
"""Color and shape of what is no verdict on a reading, and yet as weighty."""
BRIEF = "brief"
"""Slot of what is said instead of ``text`` to somebody who is not new: less what was just said."""
_CLOCK = re.compile(r"\b(1[0-2]|[1-9]):([0-5]\d)(?= [ap]\.m\.)")
"""A time on a clock of twelve hours."""
_NUMBER = re.compile(
    r"(?<![\w.,/])(-?)(\d{1,3}(?:,\d{3})+|\d+)(\.\d+)?(?![\d/]|[.,]\d)(?:(?=[\s-])|(?=\W|$)|(?=[^\W\d]))"
)
_UNIT_AFTER = re.compile(r"\s?([A-Za-zµΩΩ°%]+)(?![\w-])")
_BEGINNING = re.compile(r"(?:^|(?<=[.?!] ))[a-z]")
_SPACES = re.compile(r"\s+")
_LONGEST_WHOLE = 99
_LEADS_FIRST = {
    "dial": "dial to {}; ",
    "hole": "red lead in the {} jack; ",
    "red": "red probe on {}; ",
    "black": "black probe on {}; ",
}
"""The meter's connection for somebody new."""
_LEADS = {"dial": "{}; ", "hole": "{} jack; ", "red": "red on {}; ", "black": "black on {}; "}
"""The same as usual: only what changed is said at all."""
_BOTH = "probes on both pins of {}; "
_ONE_PIN = re.compile(r"one pin of (?P<plug>.+)")
OTHER_PIN = "the other pin"
"""The black tip of a check whose probes may stand either way round."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """One thing said, both ways."""

    shown: str
    """For the screen and the record, with figures."""
    spoken: str
    """For the voice, numbers and units in words."""
    mark: str = ""
    """``good``, ``bad`` or ``close`` where it tells a verdict, ``caution`` for one: its color and shape."""


def phrase(say: Say, vocabulary: Vocabulary) -> Sentence:
    """The sentence of one ``Say``; an empty one where nothing is said in its length.

    Raises:
        DefectError: there is no such phrase, or a slot of it is missing.
    """
    written = template(say)
    if written is None:
        raise DefectError(f"There is no phrase '{say.key}'.")
    shown, spoken = [], []
    for literal, name, spec, _ in Formatter().parse(written):
        shown.append(literal)
        spoken.append(literal)
        if name is None:
            continue
        if name == "limits":
            one, other = _limits(say, spec or "", vocabulary)
            shown.append(one)
            spoken.append(other)
            continue
        if name not in say.slots:
            raise DefectError(f"The phrase '{say.key}' lacks its slot '{name}'.")
        one, other = _slot(say, name, spec or "", vocabulary)
        shown.append(one)
        spoken.append(other)
    mark = _MARKS.get(say.key) or mark_of_word(str(say.slots.get("word") or ""))
    return Sentence(_capitals(_tidy("".join(shown))), _capitals(_sign_not_first(_tidy("".join(spoken)))), mark)


def _slot(say: Say, name: str, spec: str, vocabulary: Vocabulary) -> tuple[str, str]:
    """One slot, shown and spoken."""
    value = say.slots[name]
    if name == "text" and say.talk is not Talk.FIRST:
        value = say.slots.get(BRIEF, value)
    if say.key == "leads":
        if name in _told(say):
            return "", ""
        value = _tail_once(say) if name == "red" else value
        plug = _either_way_round(say)
        text = _BOTH.format(plug) if plug and name == "red" else lead(name, str(value or ""), say.talk)
        text = "" if plug and name == "black" else text
        return text, prose(text, vocabulary)
    if isinstance(value, Decimal):
        unit = say.slots.get("unit") if spec.endswith("unit") else None
        named = unit if isinstance(unit, str) else None
        return show_value(value, named, vocabulary), spell_value(value, named, vocabulary)
    if spec == "or" and isinstance(value, tuple):
        return _either(value, say.slots.get("unit"), vocabulary)
    if spec == "comma" and isinstance(value, tuple):
        listed = ", ".join(str(item) for item in value)
        return listed, prose(listed, vocabulary)
    if spec == "plural":
        known = vocabulary.unit(str(value)) if value else None
        name = known.plural if known is not None else str(value or "")
        return name, name
    if spec == "id":
        return str(value), spell_identifier(str(value), vocabulary)
    if spec == "whole" and isinstance(value, int):
        return str(value), whole(value)
    text = _text(value)
    return text, prose(text, vocabulary)


def _either(several: tuple[str, ...] | tuple[Decimal, ...], unit: Slot, vocabulary: Vocabulary) -> tuple[str, str]:
    """Names or values that compete; the last value names the unit for all."""
    named = unit if isinstance(unit, str) else None
    shown, spoken = [], []
    for at, one in enumerate(several):
        if isinstance(one, Decimal):
            with_unit = named if at + 1 == len(several) else None
            shown.append(show_value(one, with_unit, vocabulary))
            spoken.append(spell_value(one, with_unit, vocabulary))
        else:
            shown.append(str(one))
            spoken.append(prose(str(one), vocabulary))
    return ", or ".join(shown), ", or ".join(spoken)


def _limits(say: Say, spec: str, vocabulary: Vocabulary) -> tuple[str, str]:
    """The limits of a verdict, shown and spoken."""
    low, high, unit = (say.slots.get(name) for name in ("low", "high", "unit"))
    low, high = (limit if isinstance(limit, Decimal) else None for limit in (low, high))
    unit = unit if isinstance(unit, str) else None
    named = unit if spec == "unit" else None
    known = vocabulary.unit(unit)
    spoken = partial(_limit, vocabulary=vocabulary, fractions=known is not None and known.fractions)
    return limits(low, high, unit, vocabulary, named=named is not None), between(low, high, named, spoken)


def _limit(value: Decimal, unit: str | None, vocabulary: Vocabulary, *, fractions: bool) -> str:
    """A limit for speaking: known beforehand, so round ones are said in hundreds and thousands."""
    known = vocabulary.unit(unit)
    if fractions and known is None and spell_fraction(value):
        return spell_fraction(value)
    if value != value.to_integral_value() or value < 0 or (known is not None and known.fractions):
        return spell_value(value, unit, vocabulary)
    name = "" if known is None else known.singular if value == 1 else known.plural
    return f"{whole(int(value))} {name}".strip()


def _text(value: Slot) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        return "; ".join(str(item).strip().rstrip(".") for item in value)
    return str(value).strip()


def lead(name: str, text: str, talk: Talk = Talk.USUAL) -> str:
    """One part of the meter's connection, '' when it did not change; together they are one sentence."""
    words = _LEADS_FIRST if talk is Talk.FIRST else _LEADS
    plain = text.strip().rstrip(".")
    if name == "hole":
        plain = JACKS.get(plain, plain)
    return words[name].format(plain) if plain else ""


def _either_way_round(say: Say) -> str:
    """The plug on whose two pins the probes stand, where it does not matter which is which; '' elsewhere and for
    somebody new, who is told each probe."""
    pins = _ONE_PIN.fullmatch(str(say.slots.get("red") or ""))
    alike = pins is not None and say.slots.get("black") == OTHER_PIN and say.talk is not Talk.FIRST
    return pins["plug"] if pins is not None and alike else ""


def _told(say: Say) -> tuple[str, ...]:
    """The tips that the question behind this names itself; none for somebody new."""
    told = say.slots.get("told")
    return told if isinstance(told, tuple) and say.talk is not Talk.FIRST else ()  # type: ignore[return-value]


def _tail_once(say: Say) -> str:
    """Where the red tip goes, without the plug that the black one names as well: 'red on pin 7; black on pin 1 of the
    seven-way'."""
    red, black = (str(say.slots.get(name) or "").strip().rstrip(".") for name in ("red", "black"))
    head, of, plug = red.partition(" of ")
    return head if of and say.talk is not Talk.FIRST and black.endswith(f" of {plug}") else red


def _tidy(text: str) -> str:
    """Single spaces; no doubled full stop where a slot brought its own."""
    text = _SPACES.sub(" ", text).strip()
    if text.endswith(";"):
        text = f"{text[:-1]}."
    return re.sub(r"([.?!])\.(?!\.)", r"\1", text).replace(" .", ".")


def _capitals(text: str) -> str:
    """Each sentence with a capital letter, also one that begins with a place."""
    return _BEGINNING.sub(lambda found: found.group().upper(), text)


def _sign_not_first(text: str) -> str:
    """The first word after silence is easily lost: it is never the sign."""
    return f"Reading {text}" if text.lower().startswith("minus ") else text


def whole(number: int) -> str:
    """A whole number as it is said in prose: small ones by name, round ones by hundreds or thousands, else digits."""
    if 0 <= number <= _LONGEST_WHOLE:
        return spell_whole(number)
    thousands, rest = divmod(number, 1000)
    if 0 < thousands <= _LONGEST_WHOLE and rest % 100 == 0:
        hundreds = f" {spell_whole(rest // 100)} hundred" if rest else ""
        return f"{spell_whole(thousands)} thousand{hundreds}"
    if 0 < number < 1000 and number % 100 == 0:
        return f"{spell_whole(number // 100)} hundred"
    return spell_digits(Decimal(number))


def _time_of_day(found: re.Match[str]) -> str:
    """A time as it is said: two, two oh five, two twenty three."""
    hour, minutes = (int(part) for part in found.groups())
    said = "" if not minutes else f" oh {whole(minutes)}" if minutes < 10 else f" {whole(minutes)}"
    return f"{whole(hour)}{said}"


def prose(text: str, vocabulary: Vocabulary) -> str:
    """Text with its figures, and the unit signs behind them, in words. Figures inside names (J560) stay."""
    text = _CLOCK.sub(_time_of_day, text)
    parts: list[str] = []
    at = 0
    for found in _NUMBER.finditer(text):
        if found.start() < at:
            continue
        parts.append(text[at : found.start()])
        at = found.end()
        sign, digits, fraction = found.groups()
        digits = digits.replace(",", "")
        value = Decimal(f"{digits}{fraction or ''}")
        after = _UNIT_AFTER.match(text, at)
        unit = vocabulary.unit(vocabulary.unit_typed.get(after.group(1))) if after is not None else None
        leading_zero = len(digits) > 1 and digits.startswith("0")
        said = spell_digits(value) if fraction else whole(int(digits))
        if leading_zero and not fraction:
            said = spell_identifier(digits, vocabulary)
        parts.append(f"minus {said}" if sign else said)
        if unit is not None and after is not None and after.group(1) not in {"in", "r", "R"}:
            parts.append(f" {unit.singular if value == 1 and not fraction else unit.plural}")
            at = after.end()
    parts.append(text[at:])
    return "".join(parts)
