"""Unit numbers: text, never a number; leading zeros and letters are kept."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from assistant.messages import Expectation, Outcome, Understanding
from assistant.numerals.number_parser import number_spans
from assistant.numerals.tokenizer import NUMBER_KINDS, Item, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.clauses.clause import Role
from assistant.understanding.clauses.parts import LEFT_OVER, NUMBER, PAUSE, Part
from assistant.understanding.clauses.spoken import spoken
from assistant.understanding.commands import command_of

_WRITTEN = re.compile(r"[A-Za-z0-9][A-Za-z0-9./-]*\Z")
_LETTER_NAMED = re.compile(
    r"\b([a-z])\s+(?:as\s+in|like\s+in|like|for|of|as)\s+(?:the\s+)?\1[a-z]+\b[,.]?\s*", re.IGNORECASE
)
"""'V as in Victor,': the letter alone, before its words are taken for a role of their own."""
_AS_IN = (("as", "in"), ("like",), ("for",), ("like", "in"), ("as",))
"""Words between a letter and the word that names it."""
_NO_ANSWER = frozenset({Role.QUESTION, Role.NEGATION, Role.EARLIER, Role.EXPECTATION, Role.UNREAL})
_MOST_LEFT_OVER = 5
"""Words without a role beside a unit number: with more of them it was none."""
_FEWEST = 2
"""Figures that a unit number in a story has at least."""
_AROUND = frozenset({"lead", "filler", "tail", "asking_tail", "circumstance", "exact", "but", "now", "hedge", "pause",
                     "place", "numbered", Kind.APPROXIMATE.value})  # fmt: skip


def understand_identifier(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """The unit number that was said or typed, or a command."""
    del expectation
    kind = _OF_A_KIND.search(text)
    if kind is not None and _begins_with_figures(text[kind.end() :], vocabulary):
        head = _told(_JUST.sub("", text[: kind.start()]), vocabulary)
        if head.identifier is not None and sum(mark.isdigit() for mark in head.identifier) >= _FEWEST:
            ask = clarifications.unit_number(head.identifier)
            return replace(head, heard=text, confirm=True, ask=ask, reason="leftover")
    article = _A_NUMBER.match(text)
    if article is not None:
        bare = _told(text[article.end() :], vocabulary)
        if bare.identifier is not None:
            ask = clarifications.unit_number(bare.identifier)
            return replace(bare, heard=text, confirm=True, ask=ask, reason="leftover")
    found = _told(text, vocabulary)
    if found.outcome is Outcome.NOT_UNDERSTOOD and found.reason == "leftover":
        run = _run_of_figures(_LETTER_NAMED.sub(r"\1 ", _apart(text, vocabulary)), vocabulary)
        found = replace(run, heard=text) if run is not None else found
    return found


_OF_A_KIND = re.compile(
    r"[\s,.;!-]+(?:it's|its|it is|she's|she is|he's|that's|is)\s+an?\s+(?=\S+\s+\S)", re.IGNORECASE
)
"""Behind a unit number, what kind of unit it is: 'it's a 2008 reefer'."""
_A_NUMBER = re.compile(r"\s*(?:it's|its|it is|she's|she is|he's|that's)\s+an?\s+", re.IGNORECASE)
"""'It's a 5518': an article, or the letter A."""
_JUST = re.compile(r"\b(?:just|only)\s+(?=\S)", re.IGNORECASE)


def _begins_with_figures(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a number stands first among words."""
    items = scan(text.lower(), vocabulary)
    return bool(items) and items[0].kind in NUMBER_KINDS and items[0].kind not in "XA"


def _told(text: str, vocabulary: Vocabulary) -> Understanding:
    """The unit number by words that are all known."""
    text, whole = _LETTER_NAMED.sub(r"\1 ", _apart(text, vocabulary)), text
    twice = _told_twice(text, vocabulary)
    if twice is not None:
        return Understanding(Outcome.IDENTIFIER, whole, identifier=twice)
    words = text.lower().replace(",", " ").split()
    written = text.replace(",", " ").split()
    for carrier in vocabulary.identifier_carriers:
        if tuple(words[: len(carrier)]) == carrier and len(words) > len(carrier):
            words, written = words[len(carrier) :], written[len(carrier) :]
            break
    items = scan(text.lower(), vocabulary)
    command = command_of(text, items, vocabulary)
    if command and not command.confirm:
        return replace(command, heard=whole)
    found = spelled(words, written, vocabulary)
    if found is not None and any(mark.isalnum() for mark in found):
        return Understanding(Outcome.IDENTIFIER, whole, identifier=found)
    head = None if command else _without_behind(text, vocabulary)
    if head is not None:
        told = _told(head, vocabulary)
        if told.identifier is not None and sum(mark.isdigit() for mark in told.identifier) >= _FEWEST:
            return replace(told, heard=whole)
    return replace(command or _among_words(text, items, vocabulary), heard=whole)


_HYPHEN = re.compile(r"\b([a-z]+)-([a-z]+)\b", re.IGNORECASE)
_PAUSES = re.compile(r"[,;.:!…—]+(?:\s|$)|\bthat's\b|\bthat is\b")
_TOKENS = re.compile(r"[^\s,;:!?…—]+|[,;:!?…—]+")
_TAKES_BACK = frozenset(
    {"no", "sorry", "wait", "scratch", "correction", "actually", "nope", "mean", "make", "rather"}
)
_HIDES = frozenset({"not", "isn't", "ain't", "wasn't", "if", "should", "other", "last", "can't", "cannot", "don't"})
_JOINTS = frozenset({"and", "then"})


def _apart(text: str, vocabulary: Vocabulary) -> str:
    """'Ninety-one seventeen': number words without their hyphens."""

    def parted(found: re.Match[str]) -> str:
        both = all(word.lower() in vocabulary.numbers for word in found.groups())
        return " ".join(found.groups()) if both else found.group()

    return _HYPHEN.sub(parted, text)


def _told_twice(text: str, vocabulary: Vocabulary) -> str | None:
    """'Bravo zulu three hundred, B Z three zero zero': one number, told in two ways; None where it is not."""
    pieces = [piece.split() for piece in _PAUSES.split(text) if piece.strip()]
    if len(pieces) != 2:
        return None
    told = [spelled([word.lower() for word in piece], piece, vocabulary) for piece in pieces]
    first, second = told
    alike = first is not None and first == second and len(first) > _FEWEST
    return first if alike and any(mark.isdigit() for mark in first or "") else None


def _run_of_figures(text: str, vocabulary: Vocabulary) -> Understanding | None:
    """The one run of letters and figures in a story, to be asked about; behind words that put right the last one."""
    tokens = _TOKENS.findall(text)
    if "?" in text or _HIDES & {token.lower() for token in tokens}:
        return None
    runs: list[list[str]] = [[]]
    for token in tokens:
        word = token.lower().strip(".")
        spells = spelled([word], [token], vocabulary) is not None or word in (
            "hundred",
            "thousand",
            "double",
            "triple",
        )
        if word in _TAKES_BACK:
            runs = [[]]
        elif spells:
            runs[-1].append(token)
        elif (token[0].isalnum() and word not in _JOINTS) and runs[-1]:
            if any(item.kind == Kind.UNIT for item in scan(word, vocabulary)):
                runs.pop()  # 'eleven eighty ohms' is a reading
            runs.append([])
        elif not token[0].isalnum() and runs[-1] and len(runs[-1]) == 1 and len(runs[-1][0]) == 1:
            runs[-1].clear()  # 'it's a, hold on, H six thirty': no letter
    told = [spelled([word.lower().strip(".") for word in run], run, vocabulary) for run in runs if run]
    told = [one for one in told if one is not None and sum(mark.isdigit() for mark in one) >= _FEWEST]
    if len(set(told)) != 1 or told[0] is None:
        return None
    ask = clarifications.unit_number(told[0])
    return Understanding(Outcome.IDENTIFIER, text, identifier=told[0], confirm=True, ask=ask, reason="leftover")


def _among_words(text: str, items: Sequence[Item], vocabulary: Vocabulary) -> Understanding:
    """A unit number in free talk: every other word must have a role that says nothing about it."""
    said = spoken(text, items, vocabulary)
    no_answer = Understanding(Outcome.NOT_UNDERSTOOD, text, ask=clarifications.DIGIT_BY_DIGIT, reason="leftover")
    others = [clause for clause in said.clauses if clause.role in _NO_ANSWER]
    if any(clause.valued for clause in others) or len(others) == len(said.clauses):
        return replace(no_answer, reason=said.refused or "leftover")
    parts = [part for clause in said.clauses if clause not in others for part in clause.parts]
    figures = [at for at, part in enumerate(parts) if part.role == NUMBER]
    for at, part in enumerate(parts):
        if part.role in ("correction", Kind.REPAIR, Kind.COMMAND) and not (figures and at < figures[0]):
            return no_answer  # 'hang on, forty one twenty' is told; 'forty one, no, forty two' puts right
    parts = [part for at, part in enumerate(parts) if not _a_thing(parts, at)]
    strange = [part for part in parts if part.role == LEFT_OVER and len(part.text) > 1 and part.text.isalpha()]
    strange = [part for part in strange if part.text not in vocabulary.letters]
    told = _AROUND | {"correction", Kind.REPAIR.value, Kind.COMMAND.value, "vague", "elsewhere", "earlier"}
    kept = [part for part in parts if part.role not in told or (part.role == "numbered" and part.kind)]
    if others or strange:
        kept = [part for part in kept if part not in strange]
        inside = kept and any(kept[0].start < part.start < kept[-1].start for part in strange)
        if inside or len(strange) > _MOST_LEFT_OVER:
            return no_answer  # 'four one nine, leading zero': no figures are joined over words that say nothing
    while kept and tuple(kept[0].text.split()) in vocabulary.identifier_carriers:
        kept.pop(0)
    written = [word for part in kept for word in text[part.start : part.end].replace(",", " ").split()]
    found = spelled([word.lower() for word in written], written, vocabulary)
    if found is None or not any(mark.isdigit() for mark in found):
        return no_answer
    between = _over_words(parts, kept)
    if not between <= _NAMING:
        return no_answer
    hedged = any(part.role in ("hedge", Kind.APPROXIMATE) for part in parts) or bool(others or strange or between)
    if (others or strange) and sum(mark.isdigit() for mark in found) < _FEWEST:
        return no_answer  # 'got one active': a story, and no number of a unit
    ask = clarifications.unit_number(found) if hedged else None
    reason = "approximate" if hedged else ""
    return Understanding(Outcome.IDENTIFIER, text, identifier=found, confirm=hedged, ask=ask, reason=reason)


def _without_behind(text: str, vocabulary: Vocabulary) -> str | None:
    """The words before those that tell where the unit is ('5012 from the yard'); None where these hold figures."""
    words = text.split()
    plain = [word.lower().strip(",.;") for word in words]
    for at in range(1, len(words)):
        form = next(
            (form for form in vocabulary.identifier_behind if tuple(plain[at : at + len(form)]) == form), None
        )
        if form is None:
            continue
        rest = plain[at + len(form) :]
        if rest and plain[at] == "in" and rest[0] in _STALL_NUMBERS:
            rest = rest[1:]
        figures = any(
            item.kind in NUMBER_KINDS and item.text not in ("one", "a") for item in scan(" ".join(rest), vocabulary)
        )
        told = any(any(mark.isdigit() for mark in word) or word in vocabulary.numbers for word in plain[:at])
        return " ".join(words[:at]).rstrip(" ,;") if told and not figures else None
    return None


_STALL_NUMBERS = frozenset({
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "1", "2", "3", "4", "5", "6", "7",
    "8", "9", "10",
})  # fmt: skip
"""Numbers of a bay."""


def _a_thing(parts: Sequence[Part], at: int) -> bool:
    """'The one by the door', 'one of the new ones': that one is no figure."""
    if parts[at].role != NUMBER or parts[at].text not in ("one", "ones"):
        return False
    before = [word for part in parts[max(0, at - 2) : at] if part.role != NUMBER for word in part.text.split()]
    behind = parts[at + 1].text if at + 1 < len(parts) else ""
    return bool({"the", "that", "this"} & set(before)) or behind.split()[:1] == ["of"]


_NAMING = frozenset({"number", "numbers", "letter", "letters", "digit", "digits", "then", "and", "the"})
"""Words that name what comes next of one number: 'letter R, number two two zero nine'."""


def _over_words(parts: Sequence[Part], kept: Sequence[Part]) -> set[str]:
    """The words between figures that stand apart; only over those that name figures they are one number."""
    at = [place for place, part in enumerate(parts) if part in kept]
    between = (part for place, part in enumerate(parts) if at[0] < place < at[-1] and place not in at)
    return {word for part in between if part.role not in (PAUSE, "filler") for word in part.text.split()}


def spelled(words: list[str], written: list[str], vocabulary: Vocabulary) -> str | None:
    """The characters that the words spell; None when a word is left over."""
    words, written = _named_letters(words, written, vocabulary)
    out: list[str] = []
    at, copies = 0, 1
    while at < len(words):
        size, figures = _whole_number(words[at:], vocabulary) if copies == 1 else (0, "")
        if size:
            out.append(figures)
            at += size
            continue
        word = words[at].strip(".") or words[at]
        pair = " ".join(words[at : at + 2])
        if pair in vocabulary.letters:
            out.append(vocabulary.letters[pair].upper() * copies)
            at, copies = at + 2, 1
            continue
        piece = _piece(word, vocabulary)
        if piece in ("double", "triple"):
            copies = 2 if piece == "double" else 3
        elif piece is not None:
            tens_ones = _tens_and_ones(words, at, vocabulary)
            if tens_ones:
                piece, at = tens_ones, at + 1
            out.append(piece * copies)
            copies = 1
        elif _WRITTEN.match(word) and at < len(written) and any(mark.isdigit() for mark in word):
            out.append(written[at].strip(".,").upper())
        elif word == "hundred" and out and out[-1].isdigit():
            out.append("00")
        else:
            return None
        at += 1
    return "".join(out) if copies == 1 else None


def _named_letters(
    words: Sequence[str], written: Sequence[str], vocabulary: Vocabulary
) -> tuple[list[str], list[str]]:
    """'B as in boy', 'M for Mary': the letter alone."""
    kept, kept_written = [], []
    at = 0
    while at < len(words):
        kept.append(words[at])
        kept_written.append(written[at] if at < len(written) else words[at])
        letter = words[at] if len(words[at]) == 1 else vocabulary.letters.get(words[at], "")
        for joint in _AS_IN:
            behind = at + 1 + len(joint)
            named = tuple(words[at + 1 : behind]) == joint and behind < len(words)
            if letter and named and words[behind].strip(".").startswith(letter):
                at = behind
                break
        at += 1
    return kept, kept_written


def _whole_number(words: Sequence[str], vocabulary: Vocabulary) -> tuple[int, str]:
    """How many words are a number said in hundreds or thousands, and its figures; 0 when it is spelled out."""
    size = 0
    while size < len(words) and (words[size] in vocabulary.numbers or words[size] == "and"):
        kind = vocabulary.numbers[words[size]][0] if words[size] in vocabulary.numbers else "A"
        if kind not in "DTYHKA":
            break
        size += 1
    run = list(words[:size])
    while run and run[-1] == "and":
        run.pop()
    if not {"hundred", "thousand"} & set(run):
        return 0, ""
    items = scan(" ".join(run), vocabulary)
    spans = number_spans(items, vocabulary, None, implied=False)
    values = {meaning.value for meaning in spans[0].meanings if not meaning.why} if len(spans) == 1 else set()
    return (len(run), f"{values.pop():f}") if len(values) == 1 else (0, "")


def _piece(word: str, vocabulary: Vocabulary) -> str | None:
    if word in vocabulary.letters:
        return vocabulary.letters[word].upper()
    number = vocabulary.numbers.get(word)
    if number and number[0] in "DTY":
        return str(number[1])
    if number and number[0] == "M":
        return "double" if number[1] == 2 else "triple"
    if word in vocabulary.identifier_marks:
        return vocabulary.identifier_marks[word]
    return word.upper() if len(word) == 1 and word.isalpha() else None


def _tens_and_ones(words: list[str], at: int, vocabulary: Vocabulary) -> str | None:
    """'seventy six' inside a unit number is 76."""
    first = vocabulary.numbers.get(words[at])
    second = vocabulary.numbers.get(words[at + 1]) if at + 1 < len(words) else None
    if first and second and first[0] == "Y" and second[0] == "D" and second[1]:
        return str(first[1] + second[1])
    return None
