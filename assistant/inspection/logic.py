"""Logic: what checks find adds up, and every outcome means something."""

from __future__ import annotations

import re

from assistant.inspection.notes import HERE, Finds, Notes, Path, did_you_mean, shares_of
from assistant.procedure.model import Check, Fix, ProofStep, Question


def inspect(notes: Notes) -> None:
    """Note checks whose outcomes say nothing, and probabilities that do not add up."""
    groups = {fault.name: fault.each for fault in notes.procedure.faults}
    for number, check in enumerate(notes.procedure.checks):
        path: Path = ("checks", number)
        where = f"check '{check.name}'"
        _kind(notes, path, where, check)
        _sums(notes, (*path, "finds"), f"{where} / finds", check.finds)
        _sums(notes, (*path, "elsewhere"), f"{where} / elsewhere", check.elsewhere)
        _elsewhere(notes, path, where, check, groups)
        if notes.procedure.kind != "survey":
            _healthy(notes, path, where, check)
            _telling(notes, path, where, check)
            _nowhere(notes, path, where, check)
        for outcome in check.condemns:
            if outcome in ("good", check.otherwise):
                text = f"'{outcome}' is what a sound part shows, so it condemns nothing. Take it out."
                notes.add((*path, "condemns"), f"{where} / condemns", text)
    _proof(notes)
    for number, fix in enumerate(notes.procedure.fixes):
        _also_cures(notes, ("fixes", number), f"fix '{fix.name}'", fix)
    for path, where, row in notes.rows():
        if isinstance(row, Question | ProofStep):
            _question(notes, path, where, row)


def _kind(notes: Notes, path: Path, where: str, check: Check) -> None:
    _answered(notes, path, where, check)
    if check.kind == "reading":
        if check.limits is None:
            notes.add(path, where, "A reading needs limits. Add [checks.limits] with low, high and source.")
        if check.choices:
            notes.add((*path, "choices"), where, "A reading has no choices. Remove them, or write kind = 'choice'.")
    elif check.kind == "place" and check.each is None:
        notes.add(path, where, "A check of kind 'place' names a place: write each = and the group of places.")
    if check.kind != "reading" and (check.limits is not None or check.unit is not None):
        notes.add(path, where, "Only a reading has a unit and limits. Remove them, or write kind = 'reading'.")


_TROUBLE = re.compile(
    r"^(?:it is )?(?:the )?same$|\b(?:stays on|stays dark|dark|lit|moved|still|dead|dim|bad|fails?)\b"
)
"""Words of an answer that a sound unit hardly gives; whether it does must be said."""


def _healthy(notes: Notes, path: Path, where: str, check: Check) -> None:
    """What a sound unit shows is said where ``otherwise``, which units with another fault show, need not be it."""
    if check.kind == "reading" and check.healthy:
        text = "A reading is healthy when it is good. Take healthy out."
        notes.add((*path, "healthy"), f"{where} / healthy", text)
    elif check.kind != "reading" and not check.healthy and _TROUBLE.search(check.otherwise):
        text = (
            f"Units with another fault show '{check.otherwise}'; a sound unit may not. "
            "Say what it shows: healthy = [...]."
        )
        notes.add(path, where, text)


def _telling(notes: Notes, path: Path, where: str, check: Check) -> None:
    """A check that tells nothing is never asked; in a survey every check is asked, whatever it finds."""
    entries = (*check.finds.values(), *check.elsewhere.values())
    if not check.tools and not any(set(shares_of(entry)) != {check.otherwise} for entry in entries):
        notes.add(path, where, "This check points to no fault, so it would never be asked. Say what it finds.")


def _also_cures(notes: Notes, path: Path, where: str, fix: Fix) -> None:
    """What a fix takes away beside its own faults fits their places, and what its hands renew."""
    fixes = {row.name: row for row in notes.procedure.fixes}

    def note(text: str) -> None:
        notes.add((*path, "also_cures") if fix.also_cures else path, f"{where} / also_cures", text)

    for fault in notes.procedure.faults:
        own = fixes.get(fault.fix)
        if own is None or (own is fix and fault.name not in fix.also_cures):
            continue
        named = fault.name in fix.also_cures
        if own is fix:
            note(f"'{fault.name}' names this fix as its own. Take it out of also_cures.")
        elif named and fix.each is not None and fault.each != fix.each:
            note(f"'{fault.name}' does not sit at a place of '{fix.each}', where this fix is done. Take it out.")
        elif fix.hands and own.hands and own.hands.renew:
            renews = set(own.hands.renew) <= set(fix.hands.renew)
            if renews and not named and fix.each == own.each:
                note(f"It renews all that '{own.name}' renews, so it cures '{fault.name}' as well. Add it.")
            elif named and not set(own.hands.renew) & set(fix.hands.renew):
                note(f"It renews nothing that '{own.name}' renews, so it cannot cure '{fault.name}'. Take it out.")


def _sums(notes: Notes, path: Path, where: str, finds: Finds) -> None:
    for fault, entry in finds.items():
        shares = shares_of(entry)
        total = sum(shares.values())
        if any(not 0 <= share <= 1 for share in shares.values()):
            notes.add((*path, fault), where, f"A probability of '{fault}' is not between 0 and 1.")
        elif abs(total - 1) > 1e-6:
            notes.add((*path, fault), where, f"The probabilities of '{fault}' add up to {total:.4g}, not to 1.")


def _elsewhere(notes: Notes, path: Path, where: str, check: Check, groups: dict[str, str | None]) -> None:
    for fault, entry in check.finds.items():
        group = groups.get(fault)
        if HERE in shares_of(entry) and group != check.each:
            text = f"'{fault}' has no place in the group '{check.each}', so 'here' means nothing for it."
            notes.add((*path, "finds", fault), f"{where} / finds", text)
        elif check.kind != "place" and group is not None and check.each is not None and group != check.each:
            text = (
                f"'{fault}' sits at a {group} and this check is done at a {check.each}: write it under 'elsewhere'."
            )
            notes.add((*path, "finds", fault), f"{where} / finds", text)


def _nowhere(notes: Notes, path: Path, where: str, check: Check) -> None:
    shown = {check.otherwise, *check.tools}
    for entry in (*check.finds.values(), *check.elsewhere.values()):
        shown.update(name for name, share in shares_of(entry).items() if share > 0)
    for number, option in enumerate(check.choices):
        if option.name not in shown:
            text = f"The outcome '{option.name}' leads nowhere: no fault shows it. Say which does, or remove it."
            notes.add((*path, "choices", number), f"{where} / choices", text)
    if check.kind != "reading" or check.limits is None:
        return
    for side in ("low", "high"):
        if getattr(check.limits, side) is not None and side not in shown:
            text = f"A reading on the {side} side leads nowhere: no fault shows '{side}'. Say which does."
            notes.add((*path, "limits", side), f"{where} / limits", text)
    if check.limits.over_range == "bad" and not {"over_range", "high"} & shown:
        text = "Over range is bad here and leads nowhere: no fault shows 'over_range'. Say which does."
        notes.add((*path, "limits", "over_range"), f"{where} / limits", text)


def _answered(notes: Notes, path: Path, where: str, row: Check | Question | ProofStep) -> None:
    """What every kind of answer needs, whatever asks for it."""
    if row.kind == "choice" and len(row.choices) < 2:
        notes.add((*path, "choices"), where, "A choice needs at least two choices.")
    if not isinstance(row, ProofStep) and row.kind == "reading" and row.unit is None:
        notes.add(path, where, "A reading needs a unit. Add unit = ...")


def _question(notes: Notes, path: Path, where: str, row: Question | ProofStep) -> None:
    _answered(notes, path, where, row)
    if row.kind != "choice" and row.choices:
        notes.add(
            (*path, "choices"), where, f"Kind '{row.kind}' has no choices. Remove them, or write kind = 'choice'."
        )
    if isinstance(row, ProofStep) and row.kind == "choice" and not row.passes:
        notes.add(path, where, "No answer passes this step, so no cure could be proven. Add passes = [...].")
    if isinstance(row, ProofStep) and row.choices and not row.leaves and not _can_fail(row):
        notes.add((*path, "passes"), where, "Every answer passes this step, so it proves nothing. Take one out.")
    if isinstance(row, ProofStep):
        for answer in sorted({*row.leaves} - {*row.passes}):
            text = f"'{answer}' does not pass this step, so it leaves nothing undone. Name one of passes."
            notes.add((*path, "leaves"), where, text)


def _can_fail(step: ProofStep) -> bool:
    return not {option.name for option in step.choices} <= set(step.passes)


def _proof(notes: Notes) -> None:
    """A proof that asks nothing would call every cure proven."""
    procedure = notes.procedure
    if procedure.kind != "survey" and not any(_can_fail(step) for step in procedure.proof.steps):
        text = "No step of the proof asks anything, so any cure would count as proven. Add choices and passes to one."
        notes.add(("proof",), "proof", text)
    faults = [fault.name for fault in procedure.faults]
    for name in procedure.proof.misses:
        if name not in faults:
            text = f"There is no fault '{name}'. {did_you_mean(name, faults)}"
            notes.add(("proof", "misses", name), "proof / misses", text)
