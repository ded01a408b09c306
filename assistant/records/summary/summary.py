"""What a session came to, as data: readings, repairs, cause, what was not proven, minutes. Text comes second."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from assistant.messages import HistoryWeight
from assistant.messages.decisions import Observed
from assistant.phrasing.wording import at_place

LEFT = "left"
"""Ending of a session that nobody ended."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One observation as it stands in the record."""

    at: float
    """Seconds since the session began."""
    observed: Observed
    withdrawn: str = ""
    """Why it was taken back, '' when it counts."""
    repairs_before: int = 0
    """Repairs done before it: readings of one check with different counts are 'before' and 'after'."""


@dataclass(frozen=True, slots=True)
class Repair:
    """Work done in the real world."""

    at: float
    title: str
    """Such as ``sensor replaced``."""
    place: str | None
    part: str | None
    fault: str
    """Title of the suspect that it answered."""
    condemned: bool
    """True when a check had condemned it."""
    because: str
    confirmed: str = ""
    """``measured`` when the failed check was good afterwards, ``proven`` when the proof passed, else ''."""
    fix: str = ""
    """Name of the fix in the procedure."""
    fault_name: str = ""
    """Name of the fault in the procedure, '' when nobody proposed it."""
    in_vain: bool = False
    """True when the same place was still bad afterwards, so that a passed proof speaks for a later repair."""

    @property
    def cause(self) -> str:
        """Fault and place."""
        return at_place(self.fault, self.place)


@dataclass(frozen=True, slots=True)
class Timed:
    """Something said or done, with its time."""

    at: float
    """Seconds since the session began."""
    what: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class SessionSummary:
    """Everything a report needs."""

    session_id: str
    started: str
    """Wall time, ISO 8601."""
    procedure: str
    title: str
    """The procedure's title."""
    complaint: str
    unit: str
    """Number of the truck or trailer, '' when nobody said it."""
    invented: bool
    meter: str
    """Title of the meter, '' when unknown."""
    air_fahrenheit: str
    model: str
    weights: tuple[HistoryWeight, ...] = ()
    ending: str = LEFT
    because: str = ""
    """The engine's sentence on the ending."""
    minutes: float = 0.0
    """Working minutes, holds included, breaks between attempts not."""
    minutes_by_phase: dict[str, float] = field(default_factory=dict)
    """Phase to minutes, holds left out."""
    minutes_held: float = 0.0
    facts: tuple[Timed, ...] = ()
    """Fact and its answer."""
    not_asked: tuple[str, ...] = ()
    """Facts of the procedure that nothing depended on, so that they were never asked."""
    readings: tuple[Reading, ...] = ()
    repairs: tuple[Repair, ...] = ()
    suspected: tuple[str, ...] = ()
    """Faults for which a fix was proposed and not done."""
    declined: tuple[Timed, ...] = ()
    skipped: tuple[Timed, ...] = ()
    """Prompt and reason."""
    notes: tuple[Timed, ...] = ()
    cautions: tuple[Timed, ...] = ()
    """Caution's name and sentence, as acknowledged."""
    opened: tuple[Timed, ...] = ()
    """What was opened, and where."""
    path: tuple[Timed, ...] = ()
    """Checks in the order chosen, with the reason."""
    proof: tuple[Timed, ...] = ()
    """Steps of the last proof: its sentence, and the answer."""
    not_proven: tuple[str, ...] = ()
    """Sentences: what this record does not show."""
    attempts: int = 1
    damage: tuple[str, ...] = ()
    fault_titles: Mapping[str, str] = field(default_factory=dict)
    """What the procedure calls its faults."""
    survey: bool = False
    """True when the procedure reads every position and looks for no fault."""
    checks: tuple[str, ...] = ()
    """Names of the procedure's checks, in its order."""
    places: tuple[str, ...] = ()
    """Names of the procedure's places, in its order."""
    sound: Mapping[str, str] = field(default_factory=dict)
    """Check to the outcome that a sound unit shows; ``good`` where none is named."""
    clock_jumps: tuple[str, ...] = ()
    """Sentences: where the wall clock was set, or the machine slept."""
    seal: str = ""
    """Hash of the last whole line: kept elsewhere, it shows a tail that was cut off, or a chain made anew."""
    causes: tuple[str, ...] = ()
    """Every fault whose fix was verified, in the order of the fixes."""

    @property
    def correction(self) -> tuple[str, ...]:
        """What was done, one phrase a repair."""
        return tuple(at_place(one.title, one.place) for one in self.repairs)

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts replaced."""
        return tuple(one.part for one in self.repairs if one.part)


def history_lines(weights: Sequence[HistoryWeight], titles: Mapping[str, str]) -> list[str]:
    """What the unit's history changes, a line for each reason with the suspects that it changes alike."""
    alike: dict[tuple[str | None, float, str], list[str]] = {}
    for one in weights:
        alike.setdefault((one.place, one.times, one.because), []).append(titles.get(one.fault, one.fault))
    lines = []
    for (place, times, because), names in alike.items():
        where = f" at {place}" if place else ""
        reason = f" ({because.rstrip('.')})" if because else ""
        lines.append(f"suspicion times {times:g}{where}{reason}: {', '.join(names)}")
    return lines
