"""Every procedure proven at once, without and with slips or mishearings, against the goals that the house has set."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.prove import prove
from assistant.simulator.prove_report import Report
from assistant.simulator.slips import SlipCounts
from assistant.simulator.trial import Trial

SLIP = 0.02
"""Chance that a hand slips at a check, in the second half of the sessions."""
SOUND, TOOLS = 0.1, 0.05
"""Shares of the sessions on units with nothing wrong, and with a dead meter or a dead load."""
FOUND = {0.0: 0.99, SLIP: 0.97}
FALSE_CAUSES = {0.0: 0.0, SLIP: 0.001}
GOOD_PARTS = {0.0: 0.0, SLIP: 0.005}
NOTICED = 0.99
"""Goals, by the chance of a slip: shares of sessions."""


@dataclass(frozen=True)
class Row:
    """One procedure with one chance of slips."""

    procedure: str
    """Its name; 'all' for the sum."""
    slip: float
    """Chance of a slip at a check."""
    sessions: int
    """Sessions led on units with a fault."""
    found: int
    """Those of them that ended with the true cause mended and verified."""
    unrecognized: int
    """Units that were whole again and not taken for it."""
    false_causes: int
    """False causes in records, over all sessions."""
    good_parts: int
    """Good parts replaced, over all sessions."""
    sound: int
    """Sessions with nothing wrong."""
    sound_ended_so: int
    """Those of them that ended 'not present today'."""
    tools: int
    """Sessions in which a tool at fault was needed."""
    noticed: int
    """Those of them in which it was noticed."""
    minutes: float
    """Median minutes of what was found."""
    worst: tuple[str, float]
    """Fault whose median takes the longest, and its minutes."""
    on_truck: bool
    """True when the units know nothing of the procedure."""
    sound_minutes: tuple[float, float] = (0.0, 0.0)
    """Median and most working minutes of sessions with nothing wrong."""
    slips: SlipCounts = SlipCounts()  # noqa: RUF009 - frozen
    """Slips of the hand and how they came out."""
    slipped: int = 0
    """Units that were found both without slips or mishearings and with at least one."""
    slip_minutes: float = 0.0
    """Mean minutes that those took more with their slips than without."""
    noise: str = ""
    """Level of noise in which answers are misheard; '' for none."""
    misheard: int = 0
    """Answers that were heard as something else, over all sessions."""

    @property
    def all_sessions(self) -> int:
        """Sessions of every kind."""
        return self.sessions + self.sound + self.tools

    @property
    def missed(self) -> tuple[str, ...]:
        """Goals that were missed, in words."""
        whole = max(1, self.all_sessions)
        goals = (
            (self.found < FOUND[self.slip] * self.sessions, "verified"),
            (self.unrecognized > 0, "healthy and not recognized"),
            (self.false_causes > FALSE_CAUSES[self.slip] * whole, "false causes"),
            (self.good_parts > GOOD_PARTS[self.slip] * whole, "good parts"),
            (self.slip == 0 and self.sound_ended_so < self.sound, "nothing wrong"),
            (self.noticed < NOTICED * self.tools, "dead meter or load"),
        )
        return tuple(words for not_reached, words in goals if not_reached)


def prove_all(
    sessions: int,
    *,
    seed: int = 0,
    workers: int = 1,
    cluster: str = "",
    progress: Callable[[int, int], None] | None = None,
    procedures: Sequence[Procedure] | None = None,
    noise: str = "",
) -> tuple[Row, ...]:
    """Lead so many sessions without slips, and as many with, over all procedures that look for a fault.

    Args:
        sessions: sessions for each chance of slips, shared evenly by the procedures.
        seed: of everything drawn.
        workers: processes that share them.
        cluster: address of a Dask scheduler whose workers share them instead.
        progress: called with sessions done and sessions to do.
        procedures: what is proven; None: every one that there is.
        noise: instead of slips, answers are misheard as at this level, on the same units.
    """
    given = [load_procedure(path).procedure for path in list_procedures()] if procedures is None else procedures
    finding = [one for one in given if one.faults]
    each = sessions // len(finding)
    rows: list[Row] = []
    without: dict[str, tuple[Trial, ...]] = {}
    for slip, level in ((0.0, ""), (0.0, noise) if noise else (SLIP, "")):
        for procedure in finding:
            before = len(rows) * each

            def told(done: int, _: int, before: int = before) -> None:
                if progress is not None:
                    progress(min(before + done, 2 * each * len(finding)), 2 * each * len(finding))

            sound, tools = round(SOUND * each), round(TOOLS * each)
            report = prove(
                procedure, units=each - sound - tools, sound=sound, tools=tools, slip=slip, seed=seed,
                noise=level, workers=workers, cluster=cluster, progress=told,
            )  # fmt: skip
            if not slip and not level:
                without[procedure.name] = report.trials
            rows.append(_row(report, slip, without[procedure.name], level))
    return tuple(rows)


def _row(report: Report, slip: float, without: Sequence[Trial], noise: str) -> Row:
    longer = [
        one.minutes - before.minutes
        for before, one in zip(without, report.trials, strict=True)
        if (one.slips or one.misheard) and before.found and one.found
    ]
    slowest = max(report.faults, key=lambda one: one.minutes, default=None)
    return Row(
        procedure=report.procedure,
        slip=slip,
        sessions=report.runs,
        found=round(report.found * report.runs),
        unrecognized=report.unrecognized,
        false_causes=report.false_causes,
        good_parts=report.good_parts + report.sound_parts,
        sound=report.sound_runs,
        sound_ended_so=report.sound_ended_so,
        tools=report.tool_runs,
        noticed=report.tool_noticed,
        minutes=report.minutes_median,
        worst=("", 0.0) if slowest is None else (slowest.fault, slowest.minutes),
        on_truck=report.on_truck,
        sound_minutes=report.sound_minutes,
        slips=report.slips,
        slipped=len(longer),
        slip_minutes=statistics.fmean(longer) if longer else 0.0,
        noise=noise,
        misheard=report.misheard,
    )


def row_fields(row: Row) -> dict[str, Any]:
    """A row as JSON fields."""
    return {**asdict(row), "missed": list(row.missed)}


def all_text(rows: Sequence[Row]) -> str:
    """The rows as a table for a person, with the goals that were missed."""
    lines = []
    for slip, noise in dict.fromkeys((row.slip, row.noise) for row in rows):
        chosen = [row for row in rows if (row.slip, row.noise) == (slip, noise)]
        sessions = sum(row.sessions for row in chosen)
        goals = (
            f"verified {FOUND[slip]:.0%}, false causes at most {FALSE_CAUSES[slip]:.1%}, "
            f"good parts at most {GOOD_PARTS[slip]:.1%}"
        )
        lines += [
            f"{sum(row.all_sessions for row in chosen)} sessions, {_what(slip, noise)} (goals: {goals})",
            _cells("procedure", "verified", "healthy", "false", "good", "nothing", "tools", "minutes")
            + f"{'nothing wrong,':>15}  slowest fault",
            _cells("", "", "unseen", "causes", "parts", "wrong", "noticed", "median") + f"{'median worst':>15}",
        ]
        for row in chosen:
            cells = _cells(
                row.procedure + ("" if row.on_truck else " *"),
                f"{row.found / max(1, row.sessions):.1%}",
                *(str(one) for one in (row.unrecognized, row.false_causes, row.good_parts)),
                f"{row.sound_ended_so}/{row.sound}",
                f"{row.noticed}/{row.tools}",
                f"{row.minutes:.0f}",
            )
            missed = f"  MISSED: {', '.join(row.missed)}" if row.missed else ""
            nothing = f"{row.sound_minutes[0]:.0f} {row.sound_minutes[1]:.0f}"
            lines.append(f"{cells}{nothing:>15}  {row.worst[0]} {row.worst[1]:.0f}{missed}")
        lines.append(_cells("all", f"{sum(row.found for row in chosen) / max(1, sessions):.1%}"))
        lines += _slip_lines(chosen)
        lines += _misheard_lines(chosen)
    return "\n".join([*lines, "* answers come out of the procedure itself: no truck for it yet."])


def _what(slip: float, noise: str) -> str:
    if not noise:
        return f"slips {slip:.0%}"
    return "misheard as in quiet" if noise == "quiet" else f"misheard as at {noise} dB"


def _misheard_lines(rows: Sequence[Row]) -> list[str]:
    """How often answers were misheard, and what it cost, where any were."""
    if not any(row.misheard for row in rows):
        return []
    told = [_cells(row.procedure, str(row.misheard), str(row.slipped), f"{row.slip_minutes:+.1f}") for row in rows]
    return ["mishearings, and what they cost", _cells("procedure", "made", "units", "minutes"), *told]


def _slip_lines(rows: Sequence[Row]) -> list[str]:
    """How the slips of the hand came out, where any were made."""
    if not any(row.slips.made for row in rows):
        return []
    lines = [
        "slips of the hand: how they came out, and what they cost",
        _cells("procedure", "made", "harmless", "asked", "tool", "2nd look", "no such", "minutes"),
    ]
    for row in rows:
        slips = row.slips
        shown = (slips.made, slips.harmless, slips.asked, slips.tool, slips.again, slips.unnoticed)
        lines.append(_cells(row.procedure, *(str(one) for one in shown), f"{row.slip_minutes:+.1f}"))
    return lines


def _cells(name: str, *others: str) -> str:
    return f"  {name:<32}" + "".join(f"{other:>9}" for other in others)
