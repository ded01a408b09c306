"""A picture of a procedure: faults against checks, each field colored by what the fault would make the check show."""

from __future__ import annotations

from html import escape

from assistant.diagnosis.fault_model import FaultModel, Suspect, Task
from assistant.procedure.model import Procedure

_CELL = 20
_LEFT = 260
_TOP = 340
_INKS = {
    "low": "#2b6ca3",
    "high": "#b4541a",
    "over_range": "#5b2a86",
    "unsteady": "#8a7d2c",
    "other": "#2f7d5b",
}
"""Colors chosen to differ in lightness too, so that the picture survives a black-and-white printer."""
_WORDS = {
    "low": "reads low",
    "high": "reads high",
    "over_range": "over range",
    "unsteady": "unsteady",
    "other": "another answer than usual",
}


def draw(seen: FaultModel, procedure: Procedure) -> str:
    """The picture as SVG: one row a fault, one column a check, at the first place that each has.

    A field's depth is the chance of its likeliest unusual outcome; an empty field says that the check stays as usual.
    """
    checks = [check for check in procedure.checks if check.name in seen.checks]
    faults = [fault for fault in procedure.faults if fault.name in seen.faults]
    width = _LEFT + _CELL * len(checks) + 170
    height = _TOP + _CELL * len(faults) + 70
    body: list[str] = []
    for column, check in enumerate(checks):
        x = _LEFT + column * _CELL + 14
        body.append(f'<text transform="translate({x} {_TOP - 8}) rotate(-60)">{escape(check.title)}</text>')
    for row, fault in enumerate(faults):
        y = _TOP + row * _CELL
        body.append(f'<text x="{_LEFT - 8}" y="{y + 15}" text-anchor="end">{escape(fault.title)}</text>')
        for column, check in enumerate(checks):
            outcome, chance = _unusual(seen, fault.name, check.name)
            x = _LEFT + column * _CELL
            if chance < 0.05:
                body.append(f'<rect x="{x + 1}" y="{y + 1}" width="18" height="18" fill="none" stroke="#d8d4c8"/>')
                continue
            ink = _INKS.get(outcome, _INKS["other"])
            said = f"{fault.title}: {check.title}: {outcome.replace('_', ' ')}, {chance:.0%}"
            body.append(
                f'<rect x="{x + 1}" y="{y + 1}" width="18" height="18" fill="{ink}" fill-opacity="{chance:.2f}" '
                f'stroke="{ink}"><title>{escape(said)}</title></rect>'
            )
    y = height - 34
    x = 20
    for kind, words in _WORDS.items():
        body.append(f'<rect x="{x}" y="{y}" width="14" height="14" fill="{_INKS[kind]}"/>')
        body.append(f'<text x="{x + 20}" y="{y + 12}">{words}</text>')
        x += 40 + 7 * len(words)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{max(width, 720)}" height="{height}" '
        f'font-family="DejaVu Sans, Verdana, sans-serif" font-size="12" role="img" '
        f'aria-label="{escape(procedure.title)}: faults against checks">\n'
        f'<rect width="100%" height="100%" fill="#fbfaf6"/>\n'
        f'<text x="20" y="26" font-size="16">{escape(procedure.title)}: what each fault shows</text>\n'
        + "\n".join(body)
        + "\n</svg>\n"
    )


def _unusual(seen: FaultModel, fault: str, check: str) -> tuple[str, float]:
    """The likeliest outcome that a fault shows beyond the usual one, and its chance, at one place."""
    suspect = next(one for one in seen.suspects if one.fault == fault)
    tasks = [task for task in seen.tasks if task.check == check]
    task = next((one for one in tasks if one.place == suspect.place), tasks[0] if tasks else None)
    if task is None:
        return "", 0.0
    usual = seen.checks[check].otherwise
    shares = {outcome: _chance(seen, task, outcome, suspect) for outcome in seen.outcomes(task) if outcome != usual}
    if not shares:
        return "", 0.0
    outcome = max(shares, key=lambda name: shares[name])
    return outcome, shares[outcome]


def _chance(seen: FaultModel, task: Task, outcome: str, suspect: Suspect) -> float:
    return float(seen.likelihood(task, outcome, suspect))
