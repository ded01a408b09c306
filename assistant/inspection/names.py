"""Names: each one known, and only once."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from assistant.inspection.notes import Notes, Path, Row, did_you_mean, outcomes_of, shares_of, values_of
from assistant.procedure.base import PLACE
from assistant.procedure.model import Access, Check, Fault, Fix, ProofStep, Question, When


def inspect(notes: Notes) -> None:
    """Note names that are used twice or not known."""
    _twice(notes)
    facts = {fact.name: fact for fact in notes.procedure.facts}
    for path, where, when in notes.conditions():
        _condition(notes, path, where, when, facts)
    for path, where, row in notes.rows():
        if isinstance(row, Access):
            _places(notes, (*path, "when"), f"{where} / when", row.when, row.each)
        _references(notes, path, where, row)
    _asked_in_order(notes)


def _twice(notes: Notes) -> None:
    seen: dict[tuple[str, str], int] = {}
    for path, where, row in notes.rows():
        table = str(path[-2])
        key = (table, row.name.strip().lower())
        seen[key] = seen.get(key, 0) + 1
        if seen[key] == 2:
            notes.add((*path, "name"), where, f"There are two of this name in [[{table}]]. Rename one.")
    for path, where, options in notes.options():
        names = [option.name for option in options]
        for name in sorted({name for name in names if names.count(name) > 1}):
            notes.add(path, where, f"The choice '{name}' stands here twice. Remove one.")


def _condition(notes: Notes, path: Path, where: str, when: When, facts: dict[str, Question]) -> None:
    for name, wanted in when.items():
        values = (wanted,) if isinstance(wanted, str) else wanted
        fact = facts.get(name)
        if fact is None:
            notes.add((*path, name), where, f"There is no fact '{name}'. {did_you_mean(name, facts)}")
        elif fact.kind != "choice":
            notes.add((*path, name), where, f"Fact '{name}' has no choices, so no condition can ask for one.")
        elif not values:
            notes.add((*path, name), where, f"No answer to '{name}' is listed, so this never holds. Name one.")
        else:
            _answers(notes, (*path, name), where, fact, values)


def _answers(notes: Notes, path: Path, where: str, fact: Question, values: Iterable[str]) -> None:
    known = [option.name for option in fact.choices]
    for value in values:
        if value not in known:
            notes.add(path, where, f"Fact '{fact.name}' has no answer '{value}'. {did_you_mean(value, known)}")


def _asked_in_order(notes: Notes) -> None:
    asked: set[str] = set()
    names = {fact.name for fact in notes.procedure.facts}
    for number, fact in enumerate(notes.procedure.facts):
        for name in fact.when:
            if name in names and name not in asked:
                notes.add(
                    ("facts", number, "when"),
                    f"fact '{fact.name}' / when",
                    f"'{name}' is not asked before this fact. Put [[facts]] '{name}' above it.",
                )
        asked.add(fact.name)


def _references(notes: Notes, path: Path, where: str, row: Row) -> None:
    procedure = notes.procedure
    accesses = {access.name for access in procedure.access}
    checks = {check.name for check in procedure.checks}
    cautions = {caution.name for caution in procedure.cautions}

    def known(key: str, used: Iterable[str], among: Collection[str], what: str) -> None:
        for name in used:
            if name not in among:
                text = f"There is no {what} '{name}'. {did_you_mean(name, among)}"
                notes.add((*path, key), f"{where} / {key}", text)

    if isinstance(row, Access | Check | Fix):
        known("needs", row.needs, accesses, "access")
    if isinstance(row, Check | Fix):
        known("after", row.after, checks, "check")
    if isinstance(row, Access | Check | Fix | ProofStep):
        known("cautions", row.cautions, cautions, "caution")
    known("put_back_cautions", getattr(row, "put_back_cautions", ()), cautions, "caution")
    fixes = {fix.name for fix in procedure.fixes}
    known("sums_up", getattr(row, "sums_up", ()), checks, "check")
    known("under", getattr(row, "under", ()), checks, "check")
    known("spoiled_by", getattr(row, "spoiled_by", ()), accesses, "access")
    known("also_cures", getattr(row, "also_cures", ()), {fault.name for fault in procedure.faults}, "fault")
    known("also_changes", getattr(row, "also_changes", ()), checks, "check")
    known("back_after", getattr(row, "back_after", ()), accesses | fixes, "access or fix")
    if isinstance(row, Access | Check | Fault | Fix) and row.each is not None:
        known("each", (row.each,), notes.groups(), "group of places")
    if isinstance(row, Fault):
        known("fix", (row.fix,), fixes, "fix")
        known("same_as", row.same_as, {fault.name for fault in procedure.faults}, "fault")
    if isinstance(row, Check):
        known("compare", (row.compare.check,) if row.compare else (), checks, "check")
        _outcomes(notes, path, where, row)
    if isinstance(row, Question):
        known("assume", (row.assume,) if row.assume else (), [option.name for option in row.choices], "choice")
        known("complaint", row.complaint, [option.name for option in row.choices], "choice")
        known("not_at_rest", row.not_at_rest, [option.name for option in row.choices], "choice")
        known("declines", row.declines, [option.name for option in row.choices], "choice")
    if isinstance(row, ProofStep):
        known("passes", row.passes, [option.name for option in row.choices], "choice")


def _places(notes: Notes, path: Path, where: str, when: When, each: str | None) -> None:
    """The places that a condition names are those of its row."""
    places = [place.name for place in notes.procedure.places if place.group == each]
    for place in sorted(values_of(when.get(PLACE, ()))):
        if place not in places:
            notes.add(path, where, f"There is no place '{place}' here. {did_you_mean(place, places)}")


def _outcomes(notes: Notes, path: Path, where: str, check: Check) -> None:
    faults = [fault.name for fault in notes.procedure.faults]
    places = [place.name for place in notes.procedure.places if place.group == check.each]
    outcomes = outcomes_of(check, places)

    def named(here: Path, key: str, used: Iterable[str]) -> None:
        for outcome in used:
            if outcome not in outcomes:
                text = f"This check has no outcome '{outcome}'. {did_you_mean(outcome, outcomes)}"
                notes.add(here, f"{where} / {key}", text)

    for number, limited in enumerate(check.limits_when):
        here = (*path, "limits_when", number, "when")
        _places(notes, here, f"{where} / limits_when", limited.when, check.each)
    for key, finds in (("finds", check.finds), ("elsewhere", check.elsewhere)):
        for fault, entry in finds.items():
            here = (*path, key, fault)
            if fault not in faults:
                notes.add(here, f"{where} / {key}", f"There is no fault '{fault}'. {did_you_mean(fault, faults)}")
            named(here, key, shares_of(entry))
    for key, used in (
        ("condemns", check.condemns),
        ("healthy", check.healthy),
        ("complaint", check.complaint),
        ("tools", tuple(check.tools)),
        ("otherwise", (check.otherwise,)),
    ):
        named((*path, key), key, used)
