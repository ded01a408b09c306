r"""Forms that are looked for anywhere in a sentence, as ``grammars/hazards.toml`` writes them.

Words stand for themselves. ``word*`` has any ending or none, ``word+`` some ending, ``*word*`` may stand inside
another, ``+`` is any one word. ``<x>`` is any of the slot x, ``[a|b c]`` one of these, ``(a|b)`` one of these or
nothing, ``{a|b}`` any number of these, with commas or without, ``{a|b}+`` at least one. ``...`` is anything up to
the end of the clause, ``..`` the same but 60 characters at most, ``...?`` anything up to a question mark. ``!x``
says what must not follow. ``^`` begins and ``$`` ends what was said; ``?$`` ends it, with a question mark or
without.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

_TOKEN = re.compile(
    r"<(?P<slot>\w+)>|(?P<mark>\.\.\.\?|\.\.\.|\.\.|\?\$|\}\+|[\[\](){}|!^$])|(?P<word>[^\s<>\[\](){}|!^$]+)"
)
_GAPS = {"...": r"\b[^.!?;]*\b", "..": r"\b[^.!?;]{0,60}?\b", "...?": r"\b[^.!;]*\?"}
_ENDS = {"$": r"[.!]?$", "?$": r"\??$"}
_CLOSES = {"[": ("]",), "(": (")",), "{": ("}", "}+")}
_BETWEEN = r"[,\s]+"


class FormError(ValueError):
    """A form that cannot be read; its text says why."""


def sentence_pattern(forms: Iterable[str], slots: Mapping[str, tuple[str, ...]]) -> re.Pattern[str]:
    """One pattern that is found where any of the forms is, in text that is lower case with single spaces.

    Raises:
        FormError: a bracket is not closed, or a slot is not there.
    """
    return re.compile("|".join(_Form(form, slots).whole() for form in forms))


class _Form:
    """One form while it is read."""

    def __init__(self, form: str, slots: Mapping[str, tuple[str, ...]], within: tuple[str, ...] = ()) -> None:
        self.form = form
        self.slots = slots
        self.within = within
        """Slots that this form stands in."""
        self.tokens = [(found.lastgroup or "", found.group(found.lastgroup or 0)) for found in _TOKEN.finditer(form)]
        self.at = 0

    def whole(self) -> str:
        """The form as a regular expression of its own."""
        made = self._row()
        if self.at < len(self.tokens):
            raise FormError(f"'{self.form}' has a '{self.tokens[self.at][1]}' too many.")
        first = "" if self.tokens[0][1] == "^" else r"\b"
        last = "" if self.tokens[-1][1] in (*_ENDS, "...?") else r"\b"
        return f"{first}(?:{made}){last}"

    def _row(self) -> str:
        made, spaced = "", False
        while self.at < len(self.tokens):
            kind, text = self.tokens[self.at]
            if text in ("|", "]", ")", "}", "}+") and kind == "mark":
                break
            self.at += 1
            if text in _GAPS or text == "^" or text in _ENDS:
                made, spaced = made + (_GAPS.get(text) or _ENDS.get(text) or "^"), False
            elif text == "!":
                made += rf"\b(?!\s*{self._one()}\b)"
            elif text in ("(", "{"):
                inner, closing = self._rows(text)
                made += _left_out(inner, spaced=spaced) if text == "(" else _many(inner, closing, spaced=spaced)
            else:
                self.at -= 1
                made, spaced = f"{made}{' ' if spaced else ''}{self._one()}", True
        return made

    def _one(self) -> str:
        """A word, a slot, or one of several."""
        if self.at >= len(self.tokens):
            raise FormError(f"'{self.form}' ends too early.")
        kind, text = self.tokens[self.at]
        self.at += 1
        if kind == "word":
            return _word(text)
        if kind == "slot":
            if text not in self.slots or text in self.within:
                raise FormError(f"There is no slot <{text}> for '{self.form}'.")
            rows = [_Form(row, self.slots, (*self.within, text)) for row in self.slots[text]]
            return f"(?:{'|'.join(row._row() for row in rows)})"  # noqa: SLF001  # a form within this one
        if text != "[":
            raise FormError(f"'{self.form}' has a '{text}' where a word should stand.")
        return self._rows(text)[0]

    def _rows(self, opening: str) -> tuple[str, str]:
        """What stands between two brackets, and the closing one."""
        rows = [self._row()]
        while self.at < len(self.tokens) and self.tokens[self.at][1] == "|":
            self.at += 1
            rows.append(self._row())
        if self.at >= len(self.tokens) or self.tokens[self.at][1] not in _CLOSES[opening]:
            raise FormError(f"'{self.form}' has a '{opening}' that is not closed.")
        self.at += 1
        return f"(?:{'|'.join(rows)})", self.tokens[self.at - 1][1]


def _word(text: str) -> str:
    if text == "+":
        return r"\w+"
    begins = r"\w*" if text.startswith("*") else ""
    ends = r"\w*" if text.endswith("*") else r"\w+" if text.endswith("+") else ""
    return f"{begins}{re.escape(text.strip('*').removesuffix('+'))}{ends}"


def _left_out(inner: str, *, spaced: bool) -> str:
    if inner.startswith("(?:'"):
        return f"{inner}?"  # 's is no word of its own
    return f"(?: {inner})?" if spaced else f"(?:{inner} )?"


def _many(inner: str, closing: str, *, spaced: bool) -> str:
    times = "+" if closing == "}+" else "*"
    return f"(?:{_BETWEEN}{inner}){times}" if spaced else f"(?:{inner}{_BETWEEN}){times}"
