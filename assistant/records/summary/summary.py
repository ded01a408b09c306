"""What a session came to, as data: readings, repairs, cause, what was not proven, minutes. Text comes second."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from assistant.messages import Detail, HistoryWeight
from assistant.messages.decisions import Ending, Observed
from assistant.phrasing.reasons import deleted_because
from assistant.phrasing.wording import at_place, ending_words, minutes, read
from assistant.records.summary.gaps import Gap, Lacks
from assistant.records.summary.minutes import RULE
from assistant.session.results.signs import Checks

LEFT = "left"
"""Ending of a session that nobody ended."""
NAMED = 3
"""Findings of a survey that stand in one line of a list."""
_MARKS = {
    Ending.CURED_AND_PROVEN.value: "good",
    Ending.SURVEYED.value: "good",
    Ending.NOT_FOUND.value: "bad",
    Ending.WAITING.value: "bad",
}
"""Endings that are plainly good or bad; every other leaves something open."""


PHASES = {
    "cautions": "setting up", "facts": "setting up", "surveying": "survey", "repairing": "repair",
    "proving": "verifying",
}  # fmt: skip
"""Parts of a session that are named otherwise than in the record."""
DETAILS = {Detail.WORK_ORDER: "work order", Detail.VIN: "VIN", Detail.ODOMETER: "odometer"}
"""The numbers that papers go by, as they are named."""
VERIFIED = {
    "measured": "measured good afterwards",
    "seen": "found good afterwards",
    "proven": "verified by the closing test",
}
"""How a repair was verified, in words."""


FAILED_BEFORE = "the closing test before failed: {steps}"
"""Stands beside the ending where a closing test did not pass before the last one."""
NOT_PASSED = "{answer}; not passed, and the search went on"
"""Answer of a step of the closing test that failed before the last one."""
NO_HELP = "did not help"
"""What is said of a known good part that was tried in vain."""
TYPICAL_METER = "Its accuracy is a typical figure, not from your meter's manual."
"""Stands behind a meter of the table that comes with the program."""
UNNAMED_METER = "Not named: readings are judged with the accuracy of a usual handheld meter."
"""Stands where no meter was named, and something was read with one."""


def plain_meter(title: str) -> str:
    """A meter's title without what earlier tables wrote behind it: what is invented is told of the record."""
    return title.removesuffix(" (invented)")


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
    mark: str = ""
    """Its color and shape: ``good``, ``bad``, ``close``, '' where it says nothing; of looks, too."""
    verdict: str = ""
    """The same in a word or two."""
    spoken: bool = True
    """False when it was typed, so that nothing was heard."""

    @property
    def deleted(self) -> str:
        """That it does not count, and why; '' when it does."""
        return deleted_because(self.withdrawn) if self.withdrawn else ""


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
    """``measured`` when the failed reading was good afterwards, ``seen`` when a look was, ``proven`` when the proof
    passed, else ''."""
    fix: str = ""
    """Name of the fix in the procedure."""
    fault_name: str = ""
    """Name of the fault in the procedure, '' when nobody proposed it."""
    in_vain: bool = False
    """True when the same place was still bad afterwards, so that a passed proof speaks for a later repair."""
    stood: bool = False
    """True when the closing test failed after it and no reading speaks for it."""
    test: bool = False
    """True where a known good part was only tried and did not help: a test, and no repair."""
    found_by: tuple[int, ...] = ()
    """Numbers of the readings and looks that were not good before it, at its place."""
    again: tuple[tuple[int, int], ...] = ()
    """Numbers of readings before it, each with the one that was taken anew after it."""

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
class Needed:
    """A part for work that was proposed and not done."""

    part: str
    place: str | None
    waits: bool
    """True where the work was put off: the part, or somebody who may decide on it, is waited for."""

    @property
    def told(self) -> str:
        """The part, its place and that it is waited for."""
        return at_place(self.part, self.place) + (" (waiting)" if self.waits else "")


@dataclass(frozen=True, slots=True)
class Pictured:
    """A photo in the record; its picture lies outside the chain."""

    at: float
    """Seconds since the session began."""
    name: str
    of: str
    """What it shows, in words."""
    sha256: str
    observation: int | None = None
    """Number of the reading that it shows."""
    erased: bool = False
    """True when the record says that its picture was erased."""
    check: str = ""
    """Name of the check that it shows, '' for a repair, a step or none."""
    place: str = ""


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
    """What was wrong in the technician's or driver's own words, as they were said or typed; without any the
    procedure's."""
    unit: str
    """Number of the truck or trailer, '' when nobody said it."""
    invented: bool
    meter: str
    """Title of the meter, '' when unknown."""
    air_fahrenheit: str
    model: str
    typical_meter: bool = False
    """True where the meter's accuracy is that of a typical kind, and of no maker's."""
    complaint_title: str = ""
    """The procedure's complaint where there are own words before it, else ''."""
    shop: str = ""
    """Name of the shop."""
    work_order: str = ""
    vin: str = ""
    odometer: str = ""
    weights: tuple[HistoryWeight, ...] = ()
    ending: str = LEFT
    because: str = ""
    """The engine's sentence on the ending."""
    missed: int = 0
    """Chance in percent that the passed closing test missed a fault that is still there; 0 where none is told."""
    minutes: float = 0.0
    """Minutes of the session, holds and silences included, breaks between attempts not."""
    minutes_by_phase: dict[str, float] = field(default_factory=dict)
    """Phase to minutes, holds and long silences left out."""
    minutes_held: float = 0.0
    minutes_silent: float = 0.0
    """Minutes that are no work since nobody answered for long, see ``summary.minutes``."""
    facts: tuple[Timed, ...] = ()
    """Fact and its answer."""
    not_asked: tuple[str, ...] = ()
    """Facts of the procedure that nothing depended on, so that they were never asked."""
    readings: tuple[Reading, ...] = ()
    repairs: tuple[Repair, ...] = ()
    tests: tuple[Repair, ...] = ()
    """Known good parts that were tried and did not help: neither a repair nor a part."""
    suspected: tuple[str, ...] = ()
    """Faults for which a fix was proposed and not done."""
    needed: tuple[Needed, ...] = ()
    """Parts that those fixes put in, and those of work that was put off on a mere suspicion."""
    declined: tuple[Timed, ...] = ()
    skipped: tuple[Timed, ...] = ()
    """Prompt and reason."""
    notes: tuple[Timed, ...] = ()
    photos: tuple[Pictured, ...] = ()
    cautions: tuple[Timed, ...] = ()
    """Caution's name and sentence, as acknowledged."""
    opened: tuple[Timed, ...] = ()
    """What was opened, and where."""
    path: tuple[Timed, ...] = ()
    """Checks in the order chosen, with the reason."""
    proof: tuple[Timed, ...] = ()
    """Steps of the last proof: its sentence, and the answer."""
    closing: tuple[Timed, ...] = ()
    """The same by their titles: ``Test drive over 5 miles an hour``, and the answers of those that ask."""
    failed_before: tuple[str, ...] = ()
    """Questions of closing tests before the last one that failed, each with its answer."""
    tested: tuple[str, ...] = ()
    """What the questions of the last proof came to, as statements: ``ABS light after the test drive: out``."""
    gaps: tuple[Gap, ...] = ()
    """What this record does not show."""
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
    rules: Checks = field(default_factory=Checks)
    """What makes a look good or bad."""
    clock_jumps: tuple[str, ...] = ()
    """Sentences: where the wall clock was set, or the machine slept."""
    seal: str = ""
    """Hash of the last whole line: kept elsewhere, it shows a tail that was cut off, or a chain made anew."""
    put_back: tuple[str, ...] = ()
    """What was put back, in order, each once."""
    code_checks: frozenset[str] = frozenset()
    """Names of the checks that read fault codes."""
    causes: tuple[str, ...] = ()
    """Every fault whose fix was verified, in the order of the fixes."""

    @property
    def causes_told(self) -> tuple[str, ...]:
        """The causes (of a survey what is not good), and what was found where its repair waits: ``dead lamp (found,
        not repaired)``. Nothing is confirmed while a session is unfinished, though a reading may have been good after
        the work."""
        if self.survey:
            odd = [
                f"{at_place(one.observed.title, one.observed.place)}: {read(one.observed)}" for one in self.not_good
            ]
            return (*odd[:NAMED], *((f"{len(odd) - NAMED} more",) if len(odd) > NAMED else ()))
        waits = self.suspected if self.ending == Ending.WAITING.value else ()
        failed = any(gap.why is Lacks.PROOF for gap in self.gaps)
        open_end = "closing test not passed" if failed else "session not finished"
        causes = [f"{one} ({open_end})" for one in self.causes] if self.ending == LEFT else self.causes
        return (*causes, *(f"{one} (found, not repaired)" for one in waits))

    @property
    def causes_listed(self) -> str:
        """The same in one line for a list, with the parts that a repair waits for."""
        parts = ", ".join(dict.fromkeys(one.part for one in self.needed))
        needs = f"needs: {parts}" if parts and self.ending == Ending.WAITING else ""
        return "; ".join(filter(None, (*self.causes_told, needs)))

    @property
    def complaint_told(self) -> str:
        """The complaint in one line: own words first, the procedure's behind them."""
        return f"{self.complaint} ({self.complaint_title.rstrip('.')})" if self.complaint_title else self.complaint

    @property
    def meter_told(self) -> str:
        """The meter, and whose figures its uncertainty rests on; '' where nothing was read with an unnamed one."""
        meter = plain_meter(self.meter)
        if not meter and any(one.observed.verdict and one.observed.verdict.uncertainty for one in self.readings):
            return UNNAMED_METER
        return f"{meter}. {TYPICAL_METER}" if meter and self.typical_meter else meter

    @property
    def worked(self) -> float:
        """Minutes of work: without what was on hold, and without silences that were breaks."""
        return max(0.0, self.minutes - self.minutes_held - self.minutes_silent)

    @property
    def spent(self) -> str:
        """How long it took and on what: ``65 minutes in 2 attempts: setting up 2, finding 28, repair 35``. The parts
        add up to the whole; those that come to no minute are left out."""
        attempts = f" in {self.attempts} attempts" if self.attempts > 1 else ""
        parts = {"setting up": 0.0}
        for phase, spent in self.minutes_by_phase.items():
            name = PHASES.get(phase, phase)
            parts[name] = parts.get(name, 0.0) + spent
        parts["on hold"], parts["nobody answered"] = self.minutes_held, self.minutes_silent
        parts["setting up"] += max(0.0, self.minutes - sum(parts.values()))  # before the first phase
        shares = whole_parts(parts, round(self.minutes)) if self.minutes >= 1 and self.minutes_by_phase else {}
        told = ", ".join(f"{name} {spent}" for name, spent in shares.items() if spent)
        whole = f"{minutes(self.minutes)}{attempts}{': ' if told else ''}{told}"
        return f"{whole}. {RULE}" if shares.get("nobody answered") else whole

    @property
    def ended(self) -> str:
        """How it ended, as it is said: ``fixed and verified``."""
        return "left before its end" if self.ending == LEFT else ending_words(self.ending)

    @property
    def mark(self) -> str:
        """The ending's color and shape: ``good`` for what is fixed and verified, ``bad`` for what is not fixed.

        A survey is as bad as the worst that it read.
        """
        if self.survey and self.ending == Ending.SURVEYED:
            marks = {reading.mark for reading in self.readings if not reading.withdrawn}
            return next((mark for mark in ("bad", "close") if mark in marks), "good")
        return _MARKS.get(self.ending, "close")

    @property
    def not_good(self) -> tuple[Reading, ...]:
        """Readings and looks that stand and are bad or too close; of a survey those that count by themselves."""
        standing = {(one.observed.check, one.observed.place): one for one in self.readings if not one.withdrawn}
        counted = {one.number for one in self.rules.counted(one.observed for one in standing.values())}
        return tuple(
            one for one in standing.values() if one.mark in ("bad", "close") and one.observed.number in counted
        )

    @property
    def correction(self) -> tuple[str, ...]:
        """What was done, one phrase a repair."""
        return tuple(at_place(one.title, one.place) for one in self.repairs)

    @property
    def not_proven(self) -> tuple[str, ...]:
        """The same as sentences."""
        return tuple(gap.text for gap in self.gaps)

    @property
    def needed_told(self) -> tuple[str, ...]:
        """Parts that are still needed, each with its place: what waits, and where it is not fixed all the others."""
        return tuple(dict.fromkeys(one.told for one in self.needed if one.waits or self.mark != "good"))

    @property
    def tests_told(self) -> tuple[str, ...]:
        """Known good parts that were tried, each with what came of it."""
        return tuple(f"{at_place(one.title, one.place)}: {NO_HELP}" for one in self.tests)

    @property
    def correction_told(self) -> str:
        """The same in one line; where the complaint did not show, that nothing was repaired, and why."""
        absent = f"complaint {self.ended}; nothing repaired" if self.ending == Ending.NOT_PRESENT.value else ""
        return "; ".join(self.correction) or absent

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts replaced."""
        return tuple(one.part for one in self.repairs if one.part)


def whole_parts(parts: Mapping[str, float], whole: int) -> dict[str, int]:
    """Parts as whole numbers that add up to the whole: each cut, the largest remainders then rounded up."""
    cut = {name: int(part) for name, part in parts.items()}
    by_rest = sorted(parts, key=lambda name: cut[name] - parts[name])
    for name in by_rest[: max(0, whole - sum(cut.values()))]:
        cut[name] += 1
    return cut


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
