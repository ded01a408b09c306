"""Sentences: short enough to be heard under a trailer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import ceil

from assistant.inspection.notes import Notes, Path
from assistant.phrasing.conditions import asks_itself, condition_text
from assistant.phrasing.phrase import lead
from assistant.phrasing.sentences import PHRASES
from assistant.phrasing.speech_chunks import LONGEST, seconds_of
from assistant.phrasing.wording import one_of
from assistant.procedure.model import Access, Caution, Check, Fix, ProofStep, Question
from assistant.session.observing.conditions import PARTS

_BRACES = re.compile(r"\{([^{}]*)\}")


def inspect(notes: Notes) -> None:
    """Note prompts too long to hear, and names in braces that mean nothing."""
    longest = dict.fromkeys(notes.groups(), "")
    for place in notes.procedure.places:
        longest[place.group] = max(longest[place.group], place.name, key=len)
    for path, where, text, group in _spoken(notes):
        seconds = seconds_of(text.replace("{place}", longest.get(group or "", "")))
        if seconds > LONGEST:
            told = f"This takes about {ceil(seconds)} seconds to say. Say it in {LONGEST:.0f} or less."
            notes.add(path, where, told, remark=True)
        for name in _BRACES.findall(text):
            if name != "place":
                notes.add(path, where, f"'{{{name}}}' means nothing. Only {{place}} is filled in.")
            elif group is None:
                notes.add(
                    path, where, "{place} stands here, but this has no place. Write each = ..., or take it out."
                )


def _spoken(notes: Notes) -> Iterator[tuple[Path, str, str, str | None]]:
    """Every spoken text as it is put together: its path, how messages call it, itself, and the group of its place."""
    procedure = notes.procedure
    yield ("title",), "title", _said("greeting", procedure.title), None
    yield ("summary",), "summary", procedure.summary, None
    yield ("complaint",), "complaint", _said("complaint", procedure.complaint), None
    for path, where, row in notes.rows():
        group: str | None = getattr(row, "each", None) if getattr(row, "kind", "") != "place" else None
        if isinstance(row, Access | Caution | Fix | ProofStep):
            yield (*path, "say"), f"{where} / say", _with_answer(row), group
        if isinstance(row, Access | Check | Fix | ProofStep) and row.cautions:
            yield (*path, "cautions"), f"{where} / cautions", _again(notes, row.cautions, group), group
        if isinstance(row, Check | Question):
            yield (*path, "ask"), f"{where} / ask", row.ask, group
        yield (*path, "help"), f"{where} / help", getattr(row, "help", ""), group
        if isinstance(row, Question):
            for answer, why in row.declines.items():
                yield (*path, "declines", answer), f"{where} / declines", why, None
        if isinstance(row, Check):
            yield from _asked_about(path, where, row, group)
            yield (*path, "conditions"), f"{where} / conditions", _conditions(row), group
            yield (*path, "leads"), f"{where} / leads", _leads(row), group
        if isinstance(row, Access | Fix):
            yield from _put_back(notes, path, where, row)
    if procedure.in_hand:
        yield ("in_hand",), "in_hand", PHRASES["in_hand"].format(items="; ".join(procedure.in_hand)), None
    for key, items in (("put_back_first", procedure.put_back_first), ("put_back", procedure.put_back)):
        for item in items:
            yield (key,), key, _said("put_back_item", item), None
    yield ("proof", "limits"), "proof / limits", _said("not_shown", procedure.proof.limits), None


def _asked_about(
    path: Path, where: str, check: Check, group: str | None
) -> Iterator[tuple[Path, str, str, str | None]]:
    """What is said of a tool at fault and of a reading that shows nothing."""
    for outcome, what in check.tools.items():
        yield (*path, "tools", outcome), f"{where} / tools", what, group
    if check.zero:
        yield (*path, "zero"), f"{where} / zero", _said("zero", check.zero), group
    if check.beyond is not None:
        yield (*path, "beyond"), f"{where} / beyond", _said("zero", check.beyond.ask), group


def _put_back(notes: Notes, path: Path, where: str, row: Access | Fix) -> Iterator[tuple[Path, str, str, str | None]]:
    """Items of the put-back list, and the cautions before it."""
    for key, items in (("put_back", row.put_back), ("put_back_last", row.put_back_last)):
        for item in items:
            yield (*path, key), f"{where} / {key}", _said("put_back_item", item), row.each
    if row.put_back_cautions:
        again = _again(notes, row.put_back_cautions, row.each)
        yield (*path, "put_back_cautions"), f"{where} / put_back_cautions", again, row.each


def _said(key: str, text: str) -> str:
    """A text of the file in the phrase that says it."""
    return PHRASES[key].format(text=text) if text else ""


def _with_answer(row: Access | Caution | Fix | ProofStep) -> str:
    """What is to be done, with the words that tell how to answer."""
    if isinstance(row, Caution):
        key = "caution"
    elif isinstance(row, ProofStep):
        key = "ask" if row.kind == "choice" else "quiet" if row.quiet else "do"
    else:
        key = "fix" if isinstance(row, Fix) else "do"
    if isinstance(row, Fix) and row.ways:
        return PHRASES["fix_way"].format(text=row.say, ways=one_of([way.name for way in row.ways]))
    plain = {"caution": "caution_told", "fix": "fix"}.get(key, "ask")
    return _said(plain if asks_itself(row.say) else key, row.say)


def _again(notes: Notes, names: tuple[str, ...], group: str | None) -> str:
    """Cautions that are due again, as they are said all at once."""
    known = {caution.name: caution.short or caution.name for caution in notes.procedure.cautions}
    text = ", ".join(known.get(name, name) for name in names)
    if group is None:
        return _said("same_cautions", text)
    return PHRASES["same_cautions_at"].format(place="{place}", text=text)


def _conditions(check: Check) -> str:
    return " ".join(condition_text(name, value) for name, value in check.conditions.items())


def _leads(check: Check) -> str:
    if check.leads is None:
        return ""
    return "".join(lead(name, getattr(check.leads, name)) for name in PARTS)
