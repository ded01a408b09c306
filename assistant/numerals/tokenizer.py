"""Text -> items: number words, figures, units, commands and the words around a reading, each with its place.

Heard text is plain lower-case words and takes the short way; typed text may hold capitals, figures, signs and
shorthand ('1k8', '1,420.5', '10-12', '1 3/8"').
"""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from assistant.numerals.vocabulary import Kind, Vocabulary


class Figure(NamedTuple):
    """A typed figure."""

    value: Decimal
    """What it stands for alone."""
    form: str
    """'' whole or with a decimal point, 'grouped' by thousands, 'comma' when a decimal comma was read, 'short' when
    a letter stood for the point."""
    digits: str
    """As written, with the zeros in front: what follows a point, or a thousand, needs them."""


class Item(NamedTuple):
    """One thing found in a text."""

    kind: str
    """A ``Kind``, a class of number word (see ``vocabulary.NumberWord``), or one of: G figure, R ratio, h homophone,
    BREAK comma or pause, UNK unknown to the recognizer, WORD left over."""
    value: Any
    text: str
    start: int
    """Offset of its first character."""
    end: int
    """Offset just past its last character."""


NUMBER_KINDS = frozenset("DTYHKkFPAXSMGRh")
BREAK, UNKNOWN, WORD = "BREAK", "UNK", "WORD"
UNKNOWN_WORD = "[unclear]"
"""Stands for speech outside the grammar, as transcripts write it: a recognizer's own token never leaves ``asr``."""

_PLAIN = re.compile(r"[a-z' ]*\Z")
_PLAIN_WORD = re.compile(r"[^ ]+")
_VULGAR = {
    sign: Fraction(unicodedata.numeric(sign)).limit_denominator(10)
    for sign in map(chr, (*range(0xBC, 0xBF), *range(0x2150, 0x215F), 0x2189))
}
"""Unicode's fractions of one sign: one left out would leave the whole number beside it standing alone."""
_PIECE = re.compile(
    r"""(?P<unk>\[unclear\]|\[unk\]|<unk>)
    |(?P<ol>(?<![\w.])\.?[oO0]\s?[./]?\s?[lL]\b\.?)
    |(?P<ratio>(?:(?P<whole>\d+)[ ]?[-+ ][ ]?)?(?P<top>\d+)\s?/\s?(?P<bottom>\d+)(?:nds?|ths?)?(?![\d.,/]))
    |(?P<short>(?P<before>\d+)(?P<scale>[kKMmRrVv])(?P<after>\d+)(?![\w.]))
    |(?P<figure>\d{1,3}(?:,\d{3})+(?:\.\d+)?(?![\d,])|\d{1,3}(?:\.\d{3})+,\d+|\d+[.,]\d+|\d+|[.,]\d+)
    |(?P<vulgar>[¼-¾⅐-⅞↉])
    |(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)
    |(?P<other>\S)""",
    re.VERBOSE,
)
_MINUS = "-−–—"
_SILENT = set(".!?()=:\"'’`*·“”")
PAUSE = "…"
"""How a long pause inside an answer is written."""


def scan(text: str, vocabulary: Vocabulary, dimension: str = "") -> list[Item]:
    """Every item of a text, in order; ``dimension`` is that of the prompt's unit and settles 'thirty seconds'."""
    if _PLAIN.match(text):
        pieces = [Item(WORD, None, found.group(), found.start(), found.end()) for found in _PLAIN_WORD.finditer(text)]
    else:
        pieces = _typed_pieces(text[:1000], vocabulary)
    return _join(pieces, vocabulary, dimension)


def _join(pieces: list[Item], vocabulary: Vocabulary, dimension: str) -> list[Item]:
    items: list[Item] = []
    numbers, phrases, count, at = vocabulary.numbers, vocabulary.phrases, len(pieces), 0
    while at < count:
        piece = pieces[at]
        if piece.kind is not WORD:
            items.append(piece)
            at += 1
            continue
        word = piece.text
        number = numbers.get(word)
        rows = phrases.get(word)
        if rows:
            size = _phrase(rows, pieces, at, number is not None, dimension, items)
            if size:
                at += size
                continue
        if number:
            items.append(Item(number[0], number[1], word, piece.start, piece.end))
        elif word in vocabulary.homophones and _beside_number(items, pieces, at, vocabulary):
            items.append(Item("h", vocabulary.homophones[word], word, piece.start, piece.end))
        else:
            items.append(piece)
        at += 1
    return items


def _phrase(rows: Any, pieces: list[Item], at: int, is_number: bool, dimension: str, items: list[Item]) -> int:
    """Append the longest phrase that begins here; its length in pieces, 0 when there is none."""
    for words, kind, payload in rows:
        size = len(words)
        if size > 1:
            if at + size > len(pieces) or any(pieces[at + k].text != words[k] for k in range(1, size)):
                continue
            if is_number and not _number_led(kind, payload, dimension):
                continue
        elif is_number:
            continue
        first, last = pieces[at], pieces[at + size - 1]
        items.append(Item(kind, payload, " ".join(words), first.start, last.end))
        return size
    return 0


def _number_led(kind: str, payload: str, dimension: str) -> bool:
    """Whether a phrase that begins with a number word may stand: 'thirty seconds' is 1/32 only among lengths."""
    if payload == "32nds":
        return dimension == "length"
    return not (kind == Kind.COMMAND and dimension == "time")


def _beside_number(items: list[Item], pieces: list[Item], at: int, vocabulary: Vocabulary) -> bool:
    if items and items[-1].kind in NUMBER_KINDS and items[-1].kind not in "X":
        return True
    return at + 1 < len(pieces) and vocabulary.numbers.get(pieces[at + 1].text, ("X",))[0] in "DTYPH"


def _typed_pieces(text: str, vocabulary: Vocabulary) -> list[Item]:
    pieces: list[Item] = []
    at = 0
    while found := _PIECE.search(text, at):
        unit = vocabulary.unit_pattern.match(text, at) if pieces and pieces[-1].kind in ("G", "R") else None
        if unit:
            pieces.append(Item(Kind.UNIT, vocabulary.unit_typed[unit[1]], unit[1], unit.start(1), unit.end()))
            at = unit.end()
            continue
        at = found.end()
        start, end = found.start(), found.end()
        written = found.group()
        if found["unk"]:
            pieces.append(Item(UNKNOWN, None, written, start, end))
        elif found["ol"]:
            pieces.append(Item(Kind.OVER_RANGE, written, written, start, end))
        elif found["ratio"]:
            pieces.append(_ratio(found, written))
        elif found["short"]:
            pieces += _shorthand(found, vocabulary)
        elif found["figure"]:
            glued = bool(pieces) and pieces[-1].kind == "G" and pieces[-1].end == start
            pieces.append(Item(WORD, None, written, start, end) if glued else _figure(written, start, end))
        elif found["vulgar"]:
            pieces.append(Item("R", _VULGAR[written], written, start, end))
        elif found["word"]:
            pieces += _word(written, start, end, pieces, vocabulary)
        else:
            pieces += _mark(written, start, end, text, pieces, vocabulary)
    return pieces


def _ratio(found: re.Match[str], written: str) -> Item:
    bottom = int(found["bottom"])
    if not bottom:
        return Item(WORD, None, written, found.start(), found.end())
    value = int(found["whole"] or 0) + Fraction(int(found["top"]), bottom)
    return Item("R", value, written, found.start(), found.end())


def _shorthand(found: re.Match[str], vocabulary: Vocabulary) -> list[Item]:
    """'1k8' is 1.8 k, '4R7' 4.7 ohms, '5V2' 5.2 volts."""
    start, end, scale = found.start(), found.end(), found["scale"]
    value = Decimal(f"{found['before']}.{found['after']}")
    pieces = [Item("G", Figure(value, "short", ""), found.group(), start, end)]
    if scale in vocabulary.typed_scales:
        pieces.append(Item("k", vocabulary.typed_scales[scale], scale, end, end))
    elif scale in vocabulary.unit_typed:
        pieces.append(Item(Kind.UNIT, vocabulary.unit_typed[scale], scale, end, end))
    return pieces


def _figure(written: str, start: int, end: int) -> Item:
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", written):
        digits = written.replace(",", "")
        return Item("G", Figure(Decimal(digits), "grouped", digits), written, start, end)
    if "," in written:
        digits = written.replace(".", "").replace(",", ".")
        return Item("G", Figure(Decimal(digits), "comma", digits), written, start, end)
    return Item("G", Figure(Decimal(written), "", written), written, start, end)


def _word(written: str, start: int, end: int, before: list[Item], vocabulary: Vocabulary) -> list[Item]:
    after_figure = bool(before) and before[-1].kind in "GRk" and before[-1].kind != ""
    if after_figure:
        if written in vocabulary.unit_typed:
            return [Item(Kind.UNIT, vocabulary.unit_typed[written], written, start, end)]
        if written in vocabulary.typed_scales and before[-1].kind == "G":
            return [Item("k", vocabulary.typed_scales[written], written, start, end)]
        if written[0] in vocabulary.typed_scales and written[1:] in vocabulary.unit_typed:
            return [
                Item("k", vocabulary.typed_scales[written[0]], written[0], start, start + 1),
                Item(Kind.UNIT, vocabulary.unit_typed[written[1:]], written[1:], start + 1, end),
            ]
    return [Item(WORD, None, written.lower().replace("’", "'"), start, end)]


def _mark(mark: str, start: int, end: int, text: str, before: list[Item], vocabulary: Vocabulary) -> list[Item]:
    nextchar = text[end : end + 1]
    if mark in _MINUS:
        behind = text[:start].rstrip()
        figure_behind = bool(before) and before[-1].kind in ("G", "R", "k", Kind.UNIT) and bool(behind)
        if figure_behind:
            return [Item(Kind.TO, "to", mark, start, end)]
        if nextchar.isdigit() or nextchar in ".," or nextchar == " ":
            return [Item("S", -1, mark, start, end)] if not text[start - 1 : start].isalpha() else []
        return []
    if mark == "+" and (nextchar.isdigit() or nextchar == "."):
        return [Item("S", 1, mark, start, end)]
    if mark in (",", ";", PAUSE):
        return [Item(BREAK, None, mark, start, end)]
    if mark in "~≈":
        return [Item(Kind.APPROXIMATE, mark, mark, start, end)]
    return _unit_mark(mark, start, end, text, before, vocabulary)


def _unit_mark(mark: str, start: int, end: int, text: str, before: list[Item], vocabulary: Vocabulary) -> list[Item]:
    figure_behind = bool(before) and before[-1].kind in ("G", "R")
    if mark == "°":
        return [Item(WORD, None, "degrees", start, end)]
    if figure_behind and mark in vocabulary.unit_typed:
        return [Item(Kind.UNIT, vocabulary.unit_typed[mark], mark, start, end)]
    between_digits = text[start - 1 : start].isdigit() and text[end : end + 1].isdigit()
    if mark in _SILENT and not between_digits and not (figure_behind and mark in "'’"):
        return []
    return [Item(WORD, None, mark, start, end)]
