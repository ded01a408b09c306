"""Use: nothing in the file leads nowhere, and nothing is reached in a circle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from assistant.inspection.notes import Notes, Path, can_meet, shares_of, values_of
from assistant.procedure.model import Access, Check, Fault, Fix, Procedure, ProofStep, When


def inspect(notes: Notes) -> None:
    """Note circles, and tables that nothing uses."""
    procedure = notes.procedure
    _circles(notes, "access", "needs", {access.name: access.needs for access in procedure.access})
    _circles(notes, "access", "back_after", _goes_back_after(procedure))
    _circles(notes, "checks", "after", {check.name: check.after for check in procedure.checks})
    _pointed_at(notes)
    _never(notes)
    _unused(notes)


def _goes_back_after(procedure: Procedure) -> dict[str, tuple[str, ...]]:
    """For each access the accesses that go back before it: those that need it and those that it names."""
    names = {access.name for access in procedure.access}
    return {
        one.name: (
            *(name for name in one.back_after if name in names),
            *(other.name for other in procedure.access if one.back_after and one.name in other.needs),
        )
        for one in procedure.access
    }


def _circles(notes: Notes, table: str, key: str, before: Mapping[str, Iterable[str]]) -> None:
    word = "access" if table == "access" else "check"
    reported: set[frozenset[str]] = set()
    for number, name in enumerate(before):
        circle = _circle(name, before)
        if circle and frozenset(circle) not in reported:
            reported.add(frozenset(circle))
            way = " > ".join((*circle, circle[0]))
            text = f"This can never be reached: {way} is a circle. Take one of them out of '{key}'."
            notes.add((table, number, key), f"{word} '{name}' / {key}", text)


def _circle(start: str, before: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    ways: list[tuple[str, ...]] = [(start,)]
    seen: set[str] = set()
    while ways:
        way = ways.pop()
        for name in before.get(way[-1], ()):
            if name == start:
                return way
            if name not in seen:
                seen.add(name)
                ways.append((*way, name))
    return ()


def _pointed_at(notes: Notes) -> None:
    fixes = {fix.name: fix for fix in notes.procedure.fixes}
    for number, fault in enumerate(notes.procedure.faults):
        path, where = ("faults", number), f"fault '{fault.name}'"
        pointing = [check for check in notes.procedure.checks if _points(check, fault)]
        trial = fault.fix in fixes and fixes[fault.fix].trial
        if not pointing and not trial:
            text = "No check points to this fault, so it can never be found. Name it in the finds of a check."
            notes.add(path, where, text)
        elif pointing and not any(can_meet(check.when, fault.when) for check in pointing):
            text = "The checks that point to this fault never apply where it can be. Compare their 'when'."
            notes.add(path, where, text)


def _never(notes: Notes) -> None:
    """What could never occur: checks and faults without a matching place or fault, and hidden conditions."""
    procedure = notes.procedure
    fixes = {fix.name: fix for fix in procedure.fixes}
    for path, where, row in notes.rows():
        if isinstance(row, Check | Fault | Access) and row.each is not None:
            places = [place for place in procedure.places if place.group == row.each]
            if places and not any(can_meet(place.when, row.when) for place in places):
                notes.add(
                    (*path, "when"), where, f"No {row.each} can be there when this applies. Compare their 'when'."
                )
        if isinstance(row, Fix) and row.tried and not row.as_test:
            text = "Only a trial that puts in a part is a test where it does not help. Write trial = true and a part."
            notes.add((*path, "tried"), f"{where} / tried", text)
        if isinstance(row, Fault) and row.fix in fixes and fixes[row.fix].each not in (None, row.each):
            each = fixes[row.fix].each
            text = f"Its fix is done at a {each}, and this fault has none. Write each = '{each}', or change the fix."
            notes.add((*path, "fix"), f"{where} / fix", text)
        if isinstance(row, Check):
            pointed = [fault for fault in procedure.faults if _points(row, fault)]
            if pointed and not any(can_meet(row.when, fault.when) for fault in pointed):
                text = "The faults that this check points to never are where it applies. Compare their 'when'."
                notes.add((*path, "when"), where, text)
            _behind(notes, (*path, "limits_when"), f"{where} / limits_when", [one.when for one in row.limits_when])
        if isinstance(row, Access):
            _behind(notes, (*path, "minutes_when"), f"{where} / minutes_when", [one.when for one in row.minutes_when])


def _behind(notes: Notes, path: Path, where: str, conditions: Sequence[When]) -> None:
    """The first condition that holds wins, so one that follows a wider one is never reached."""
    for number, later in enumerate(conditions):
        if any(_wider(earlier, later) for earlier in conditions[:number]):
            text = "This is never reached: one above it holds whenever this does. Put the narrower one first."
            notes.add((*path, number), where, text)


def _wider(earlier: When, later: When) -> bool:
    return all(
        name in later and set(values_of(later[name])) <= set(values_of(wanted)) for name, wanted in earlier.items()
    )


def _points(check: Check, fault: Fault) -> bool:
    entries = [finds[fault.name] for finds in (check.finds, check.elsewhere) if fault.name in finds]
    return any(set(shares_of(entry)) != {check.otherwise} for entry in entries)


def _unused(notes: Notes) -> None:
    used = _used(notes)
    messages = {
        "access": "Nothing needs this access. Name it in 'needs', or remove it.",
        "fixes": "No fault names this fix. Remove it, or name it in a fault.",
        "cautions": "Nobody would speak this caution. Name it in 'cautions', or write: first = true.",
        "places": "Nothing is done at places of this group. Name the group in 'each', or remove the place.",
    }
    for path, where, row in notes.rows():
        table = str(path[0])
        if table not in messages or (table == "cautions" and getattr(row, "first", False)):
            continue
        name = getattr(row, "group", row.name) if table == "places" else row.name
        if name not in used[table]:
            notes.add(path, where, messages[table])


def _used(notes: Notes) -> dict[str, set[str]]:
    used: dict[str, set[str]] = {"access": set(), "fixes": set(), "cautions": set(), "places": set()}
    for _, _, row in notes.rows():
        if isinstance(row, Access | Check | Fix):
            used["access"].update(row.needs)
        if isinstance(row, Access | Check | Fix | ProofStep):
            used["cautions"].update(row.cautions)
        if isinstance(row, Access | Fix):
            used["cautions"].update(row.put_back_cautions)
        if isinstance(row, Access | Check | Fault | Fix) and row.each is not None:
            used["places"].add(row.each)
        if isinstance(row, Fault):
            used["fixes"].add(row.fix)
    return used
