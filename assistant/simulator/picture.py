"""A picture of a procedure: faults against checks, each field colored by what the fault would make the check show."""

from __future__ import annotations

from assistant.diagnosis.fault_model import FaultModel
from assistant.procedure.model import Procedure
from assistant.svg import Drawing, titled

_CELL = 20
_LEFT = 260
_TOP = 340
STYLE = """
svg text { font-size: 12px; } svg text.head { font-size: 16px; }
.paper { fill: #fbfaf6; } .usual { fill: none; stroke: #d8d4c8; }
.low { fill: #2b6ca3; stroke: #2b6ca3; } .high { fill: #b4541a; stroke: #b4541a; }
.over_range { fill: #5b2a86; stroke: #5b2a86; } .unsteady { fill: #8a7d2c; stroke: #8a7d2c; }
.other { fill: #2f7d5b; stroke: #2f7d5b; }
@media screen and (prefers-color-scheme: dark) {
.paper { fill: #071216; } .usual { stroke: #33474d; }
.low { fill: #7db7e8; stroke: #7db7e8; } .high { fill: #f0a070; stroke: #f0a070; }
.over_range { fill: #c79bf0; stroke: #c79bf0; } .unsteady { fill: #e0d27a; stroke: #e0d27a; }
.other { fill: #7fd0ac; stroke: #7fd0ac; }
}
"""
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
    width = max(_LEFT + _CELL * len(checks) + 170, 720)
    height = _TOP + _CELL * len(faults) + 70
    drawing = Drawing(width, height, f"{procedure.title}: faults against checks", style=STYLE, fixed=True)
    drawing.rect(0, 0, width, height, "paper")
    drawing.text(20, 26, f"{procedure.title}: what each fault shows", "head")
    for column, check in enumerate(checks):
        x = _LEFT + column * _CELL + 14
        drawing.text(0, 0, check.title, transform=f"translate({x} {_TOP - 8}) rotate(-60)")
    for row, fault in enumerate(faults):
        y = _TOP + row * _CELL
        drawing.text(_LEFT - 8, y + 15, fault.title, anchor="end")
        for column, check in enumerate(checks):
            outcome, chance = _unusual(seen, fault.name, check.name)
            x = _LEFT + column * _CELL
            if chance < 0.05:
                drawing.rect(x + 1, y + 1, 18, 18, "usual")
                continue
            kind = outcome if outcome in _WORDS else "other"
            field = drawing.rect(x + 1, y + 1, 18, 18, kind, fill_opacity=f"{chance:.2f}")
            titled(field, f"{fault.title}: {check.title}: {outcome.replace('_', ' ')}, {chance:.0%}")
    x, y = 20, height - 34
    for kind, words in _WORDS.items():
        drawing.rect(x, y, 14, 14, kind)
        drawing.text(x + 20, y + 12, words)
        x += 40 + 7 * len(words)
    return drawing.svg() + "\n"


def _unusual(seen: FaultModel, fault: str, check: str) -> tuple[str, float]:
    """The likeliest outcome that a fault shows beyond the usual one, and its chance, at one place."""
    suspect = next(one for one in seen.suspects if one.fault == fault)
    tasks = [task for task in seen.tasks if task.check == check]
    task = next((one for one in tasks if one.place == suspect.place), tasks[0] if tasks else None)
    if task is None:
        return "", 0.0
    usual = seen.checks[check].otherwise
    shares = {
        outcome: float(seen.likelihood(task, outcome, suspect)) for outcome in seen.outcomes(task) if outcome != usual
    }
    if not shares:
        return "", 0.0
    outcome = max(shares, key=lambda name: shares[name])
    return outcome, shares[outcome]
