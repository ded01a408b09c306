"""The page for who drives or owns the unit: the same record in plain words, as sections of sentences."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.messages.decisions import Ending, Observed
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing import customer as words
from assistant.phrasing.wording import at_place, first_up, limits_of, read
from assistant.records.summary.gaps import Gap, Lacks
from assistant.records.summary.positions import positions_table
from assistant.records.summary.summary import Reading, Repair, SessionSummary

FOR_ONE, FOR_MORE = 2, 1
"""Readings that are shown for the only repair, and for each of several."""
_CHECKED = 8
"""Good checks that are named."""
_MEANT = 4
"""Words of the trade that are explained."""


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its sentences."""

    title: str
    lines: tuple[str, ...]
    quoted: bool = False
    """True for somebody's own words."""


def sections_of(one: SessionSummary, vocabulary: Vocabulary | None = None) -> list[Section]:
    """What the page tells, in order; a section without a sentence is left out."""
    found, done = _found(one, vocabulary), _done(one)
    fixed = one.mark == "good" and not one.survey
    shown = [] if one.survey else _shown(one, vocabulary, fixed=fixed)
    told = Section("What you told us", (one.complaint,), quoted=True)
    asked = bool(shown) and not fixed
    left = [gap for gap in one.gaps if not (asked and gap.why in _NOT_FIXED)]
    sections = [
        told
        if one.complaint_title
        else Section(
            "What was asked for" if one.survey else "What was wrong", (one.complaint or first_up(one.title),)
        ),
        Section("What we found", tuple(found)),
        Section("What we did", () if one.survey else tuple(done)),
        Section("How we know that it is fixed" if fixed else "Is it fixed?", tuple(shown)),
        Section("What we did not check", tuple(filter(None, map(_unchecked, left)))),
        Section("What comes next", tuple(_next(one))),
        Section("What to watch for", tuple(_watch(one, fixed=fixed))),
    ]
    meant = _meanings(line for each in sections[1:4] for line in each.lines)
    sections.append(Section("What the words mean", tuple(meant)))
    return [each for each in sections if each.lines]


def cautions_of(one: SessionSummary) -> tuple[str, ...]:
    """What is to be kept in mind whatever was found."""
    return (words.CAUTION,) if one.mark == "good" else (words.DOUBT, words.CAUTION)


def _found(one: SessionSummary, vocabulary: Vocabulary | None) -> list[str]:
    if one.survey:
        table = positions_table(one, vocabulary)
        counted = [f"{table.found}.".replace("read:", "checked:")] if table else []
        return counted + [_sentence(each.observed, vocabulary) for each in one.not_good]
    by_number = _by_number(one)
    shown = {cause: f"{first_up(cause)}." for cause in one.causes}
    for repair in one.repairs:
        if repair.confirmed and repair.cause in shown:
            numbers = [first for first, _ in _pairs(one, repair)] or list(repair.found_by[-_most(one) :])
            seen = [by_number[number] for number in numbers if number in by_number]
            told = [_sentence(each, vocabulary) for each in _once(seen, vocabulary) if not _said_by(repair, each)]
            shown[repair.cause] = " ".join([shown[repair.cause], *told])
    lines = [*shown.values()]
    if lines:
        return lines
    bad = [reading.observed for reading in one.not_good if reading.mark == "bad"]
    bad = [seen for seen in bad if seen.check not in one.code_checks] or bad
    lines += [_sentence(seen, vocabulary) for seen in bad[-FOR_ONE:]]
    waits = one.ending == Ending.WAITING.value
    lines += [(words.WAITS if waits else words.SUSPECTED).format(what=text) for text in one.suspected]
    good = dict.fromkeys(
        reading.observed.title for reading in one.readings if _counts(reading) and reading.mark == "good"
    )
    if not bad and good:
        lines += [words.ALL_GOOD, *(f"{first_up(title)}." for title in [*good][:_CHECKED])]
        lines += [words.AND_MORE.format(count=len(good) - _CHECKED)] if len(good) > _CHECKED else []
    return lines if bad or one.suspected else [*lines, words.NO_CAUSE]


def _said_by(repair: Repair, seen: Observed) -> bool:
    """True where the cause has the look's own words: 'sensor backed off' needs no 'backed off' behind it."""
    return seen.choice is not None and seen.choice in repair.fault


def _done(one: SessionSummary) -> list[str]:
    lines = []
    for repair in one.repairs:
        work = first_up(at_place(repair.title, repair.place))
        told = words.PART.format(work=work, part=repair.part) if repair.part else f"{work}."
        lines.append(f"{told} {words.IN_VAIN}" if repair.in_vain or repair.stood else told)
    tests = [words.TRIED.format(what=first_up(told)) for told in one.tests_told]
    return [*tests, *(lines or [words.NOTHING_DONE])]


def _shown(one: SessionSummary, vocabulary: Vocabulary | None, *, fixed: bool) -> list[str]:
    """The evidence that it is fixed, or what is missing."""
    if not one.repairs and not fixed:
        return []
    by_number = _by_number(one)
    lines = []
    for repair in one.repairs:
        again = [by_number[second] for _, second in _pairs(one, repair) if repair.confirmed and second in by_number]
        lines += [_again(one, seen, vocabulary) for seen in _once(again, vocabulary)]
        what = first_up(at_place(repair.title, repair.place))
        if (repair.in_vain or repair.stood) and not fixed:
            lines.append(words.STILL_BAD.format(what=what))
        elif not repair.confirmed and not fixed:
            lines.append(words.NOT_MEASURED_AGAIN.format(what=what))
    lines += [words.TESTED.format(what=first_up(told)) for told in one.tested]
    lines += [words.MAY_MISS.format(percent=one.missed)] if fixed and one.missed else []
    lines = [*dict.fromkeys(lines)]
    why = next((gap.text for gap in one.gaps if gap.why in _NOT_FIXED), words.NOT_SHOWN)
    return lines if fixed else [why, *lines]


_NOT_FIXED = (Lacks.END, Lacks.PROOF, Lacks.COMPLAINT, Lacks.FIT)
"""What stands first where it is asked whether it is fixed."""
_HERE = {
    Lacks.COMPLAINT: "",  # what was found says so
    Lacks.CHANCE: "",  # and so does the evidence
    Lacks.FACTS: "",  # the shop's own question
    Lacks.FIT: words.AS_IT_IS,
    Lacks.CHECKS: words.AS_IT_IS,
    Lacks.MARGIN: words.NEAR_LIMIT,
}
"""A gap of the record as it stands here, '' where it does not; every other in the record's own words."""


def _unchecked(gap: Gap) -> str:
    template = _HERE.get(gap.why)
    return gap.text if template is None else first_up(template.format(what=gap.what))


def _watch(one: SessionSummary, *, fixed: bool) -> list[str]:
    miles = [found.group(1) for item in one.put_back for found in [words.TORQUE_AGAIN.search(item)] if found]
    lines = [words.TORQUE.format(miles=each) for each in dict.fromkeys(miles)]
    if one.survey:
        return lines
    return [words.WATCH if fixed or one.ending == "not present today" else words.WATCH_OPEN, *lines]


def _next(one: SessionSummary) -> list[str]:
    """What is to be done after a survey, or before a repair that waits."""
    parts = "; ".join(one.needed_told)
    if one.ending == Ending.WAITING:
        return [words.NEXT_WAITS + (f" {words.NEEDS.format(parts=parts)}" if parts else "")]
    if not one.survey:
        return [words.NEEDED.format(parts=parts)] if parts else []
    marks = {reading.mark for reading in one.readings if _counts(reading)}
    lines = [words.NEXT_BAD] if "bad" in marks else []
    lines += [words.NEXT_CLOSE] if "close" in marks else []
    lines += [words.NEXT_UNREAD] if one.ending != Ending.SURVEYED.value else []
    return lines or [words.NEXT_GOOD]


def _meanings(lines: Iterable[str]) -> list[str]:
    text = " ".join(lines).lower()
    return [meaning for pattern, meaning in words.MEANINGS if re.search(pattern, text)][:_MEANT]


def _most(one: SessionSummary) -> int:
    return FOR_ONE if len(one.repairs) == 1 else FOR_MORE


def _pairs(one: SessionSummary, repair: Repair) -> Sequence[tuple[int, int]]:
    """The readings before and after that speak most plainly for a repair: the last ones before it, and no codes."""
    by_number = _by_number(one)
    pairs = [pair for pair in repair.again if pair[0] in by_number]
    plain = [pair for pair in pairs if by_number[pair[0]].check not in one.code_checks] or pairs
    return sorted(plain)[-_most(one) :]


def _by_number(one: SessionSummary) -> dict[int, Observed]:
    return {reading.observed.number: reading.observed for reading in one.readings}


def _counts(reading: Reading) -> bool:
    return not reading.withdrawn


def _once(each: Iterable[Observed], vocabulary: Vocabulary | None) -> list[Observed]:
    """Readings, of those with the same figure at the same place only the first: one was taken once more."""
    found: dict[tuple[str | None, str, str], Observed] = {}
    for seen in each:
        found.setdefault((seen.place, read(seen, vocabulary), seen.title if seen.value is None else ""), seen)
    return [*found.values()]


def _again(one: SessionSummary, seen: Observed, vocabulary: Vocabulary | None) -> str:
    """A reading after the work with its verdict: its limits may differ from those before, and would only confuse."""
    mark = next((each.mark for each in one.readings if each.observed.number == seen.number), "")
    template = words.SEEN_AGAIN if seen.verdict is None else words.MEASURED_AGAIN
    if seen.verdict is not None and mark == "good":
        template = words.GOOD_AGAIN
    return template.format(what=at_place(seen.title, seen.place), value=_plainly(seen, vocabulary))


def _sentence(seen: Observed, vocabulary: Vocabulary | None) -> str:
    limits = limits_of(seen, vocabulary)
    template = words.MEASURED if limits else words.SEEN
    value = _plainly(seen, vocabulary)
    return first_up(template.format(what=at_place(seen.title, seen.place), value=value, limits=limits))


def _plainly(seen: Observed, vocabulary: Vocabulary | None) -> str:
    """What was read, without the meter's own words."""
    if seen.display == "over_range":
        return words.OPEN_CIRCUIT if seen.unit in ("ohm", "kohm", "Mohm") else words.BEYOND
    return read(seen, vocabulary)
