"""The transcript that people review: the summary, the readings, and both sides of the talk."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Sequence
from itertools import zip_longest

from assistant.messages import Heard
from assistant.messages.decisions import ObservationWithdrawn, Observed, Phase, PhaseEntered
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.reasons import reason_text
from assistant.phrasing.verdicts import graded
from assistant.phrasing.wording import at_place, clock, limits_of, minutes, read, wall
from assistant.records.journal.format import Attempt, Entry, Line
from assistant.records.journal.reader import Session
from assistant.records.summary.collect import summarize
from assistant.records.summary.decided import decided
from assistant.records.summary.labels import Titles, titles_of
from assistant.records.summary.layout import WIDTH, block, under
from assistant.records.summary.positions import PositionsTable, positions_table, positions_text
from assistant.records.summary.summary import Reading, SessionSummary, history_lines

_LABEL = 13
_TALK = 16
_PHASES = {
    Phase.CAUTIONS: "cautions",
    Phase.FACTS: "facts about the unit",
    Phase.SURVEYING: "survey",
    Phase.FINDING: "finding the fault",
    Phase.REPAIRING: "repairing",
    Phase.PROVING: "proving the cure",
    Phase.CLOSING: "closing",
}


def transcript(
    session: Session,
    vocabulary: Vocabulary | None = None,
    *,
    since: float = 0.0,
    readings_only: bool = False,
    alternatives: bool = False,
) -> str:
    """A whole record as text for reading, at most 100 columns wide.

    Args:
        session: the record.
        vocabulary: how units are said.
        since: seconds since the session began; what came before is left out, and so is the head.
        readings_only: only the table of readings.
        alternatives: show what else each answer could have been by its sound.
    """
    parts = [readings_table(session, vocabulary, since)]
    if not readings_only:
        parts.append(talk(session, vocabulary, since, alternatives=alternatives))
        if not since:
            found = summarize(session)
            table = positions_table(found, vocabulary)
            parts = [summary_text(found, table), positions_text(table) if table else "", *parts]
    return "\n\n".join(part for part in parts if part)


def summary_text(one: SessionSummary, table: PositionsTable | None = None) -> str:
    """The head of a record: what it came to, and what it does not show."""
    lines = [f"Session {one.session_id}"]
    if one.invented:
        lines.append("INVENTED: a demonstration. The unit, the fault and every reading are made up.")
    unit = f"Unit {one.unit}" if one.unit else "Unit not named"
    lines += block("", f"{unit}. {one.title or 'Procedure not known'}. Began {wall(one.started)}.")
    lines.append("")
    for label, texts in head_rows(one, table):
        for number, text in enumerate(texts):
            lines += block(f"{label if number == 0 else '':<{_LABEL}}", text)
    return "\n".join(lines)


def head_rows(one: SessionSummary, table: PositionsTable | None = None) -> list[tuple[str, list[str]]]:
    """What a session came to, as labels with their texts; those without a text are left out."""
    confirmed = {repair.cause: repair.confirmed for repair in one.repairs if repair.confirmed}
    causes = [f"{cause} (repair {confirmed[cause]})" for cause in one.causes]
    ending = one.ending if not one.because else f"{one.ending}: {one.because}"
    rows: list[tuple[str, list[str]]] = [
        ("Complaint", [one.complaint] if one.complaint else []),
        ("Found", [table.found] if table else []),
        ("Cause", [] if one.survey else causes or ["not confirmed"]),
        ("Correction", [] if one.survey else list(one.correction) or ["none"]),
        ("Parts", list(one.parts)),
        ("Ending", [ending]),
        ("Not proven", list(one.not_proven)),
        ("Minutes", [_minutes(one)]),
        ("Meter", [one.meter] if one.meter else []),
        ("Air", [f"{one.air_fahrenheit} degrees Fahrenheit"] if one.air_fahrenheit else []),
        ("Heard with", [one.model] if one.model else []),
        ("History", history_lines(one.weights, one.fault_titles)),
        ("Facts", [f"{fact.what}: {fact.detail}" for fact in one.facts]),
        ("Not asked", [", ".join(one.not_asked)] if one.not_asked else []),
        ("Cautions", [_counted([caution.what for caution in one.cautions])] if one.cautions else []),
        ("Skipped", [f"{skip.what}: {skip.detail}" if skip.detail else skip.what for skip in one.skipped]),
        ("Declined", [f"{item.what}: {item.detail}" if item.detail else item.what for item in one.declined]),
        ("Notes", [note.what for note in one.notes]),
        ("Clock", list(one.clock_jumps)),
        ("Damage", list(one.damage)),
    ]
    return [(label, texts) for label, texts in rows if texts]


def _counted(names: Sequence[str]) -> str:
    """Each name once, with how often it came."""
    return ", ".join(name if times == 1 else f"{name} ({times} times)" for name, times in Counter(names).items())


def _minutes(one: SessionSummary) -> str:
    phases = [f"{phase} {minutes(spent)}" for phase, spent in one.minutes_by_phase.items() if spent]
    if one.minutes_held:
        phases.append(f"on hold {minutes(one.minutes_held)}")
    attempts = f" in {one.attempts} attempts" if one.attempts > 1 else ""
    detail = f": {', '.join(phases)}" if phases else ""
    return f"{minutes(one.minutes)}{attempts}{detail}"


def readings_table(session: Session, vocabulary: Vocabulary | None = None, since: float = 0.0) -> str:
    """Every reading with conditions, limits, source, verdict and meter; '' when there are none."""
    readings = [one for one in summarize(session).readings if one.at >= since]
    if not readings:
        return ""
    lines = ["Readings", f"   #  time   {'check':<36} {'read':<18} {'limits':<18} verdict"]
    for reading in readings:
        lines += _reading(reading, vocabulary)
    return "\n".join(lines)


def _reading(reading: Reading, vocabulary: Vocabulary | None) -> list[str]:
    one = reading.observed
    verdict = "withdrawn" if reading.withdrawn else graded(one)
    cells = (at_place(one.title, one.place), read(one, vocabulary), limits_of(one, vocabulary), verdict)
    widths = (36, 18, 18, 11)
    columns = [
        textwrap.wrap(cell, width, break_on_hyphens=False) or [""] for cell, width in zip(cells, widths, strict=True)
    ]
    lines = []
    for number, row in enumerate(zip_longest(*columns, fillvalue="")):
        head = " " * 12 if number else f"{one.number:>4}  {clock(reading.at)} "
        texts = " ".join(text.ljust(width) for text, width in zip(row, widths, strict=True))
        lines.append(f"{head} {texts}".rstrip())
    details = under(one, vocabulary)
    if reading.withdrawn:
        details.insert(0, f"taken back: {reading.withdrawn}")
    if one.proof:
        details.insert(0, "measured again after a repair")
    if details:
        lines += block(" " * 15, "; ".join(details))
    return lines


def talk(
    session: Session, vocabulary: Vocabulary | None = None, since: float = 0.0, *, alternatives: bool = False
) -> str:
    """Both sides of the talk in order, with what was understood and decided between them."""
    titles = titles_of(session.header)
    lines = ["Talk"]
    taken_back = {
        decision.number: reason_text(decision.because)
        for _, entry in session.entries()
        for decision in entry.decisions
        if isinstance(decision, ObservationWithdrawn)
    }
    before = 0
    for line in session.lines:
        missing = line.seq - before - 1
        if line.mono < since:
            before = line.seq
            continue
        if missing > 0:
            lines += ["", f"---- {missing} {'entry' if missing == 1 else 'entries'} lost here ----"]
        before = line.seq
        if isinstance(line.body, Attempt):
            lines += _attempt(line, line.body)
        elif isinstance(line.body, Entry):
            lines += _entry(line, line.body, titles, taken_back, vocabulary, alternatives=alternatives)
    return "\n".join(lines) if len(lines) > 1 else ""


def _attempt(line: Line, attempt: Attempt) -> list[str]:
    torn = f", {attempt.set_aside} bytes of a torn end set aside" if attempt.set_aside else ""
    lines = ["", f"---- taken up again {wall(line.wall)}, attempt {attempt.number}{torn} ----"]
    for finding in attempt.findings:
        lines += block("     ", finding)
    return lines


def _entry(
    line: Line,
    entry: Entry,
    titles: Titles,
    taken_back: dict[int, str],
    vocabulary: Vocabulary | None,
    *,
    alternatives: bool,
) -> list[str]:
    lines: list[str] = []
    time = clock(line.mono)
    if isinstance(entry.fact, Heard) and entry.fact.hypotheses:
        best, *others = (one.words for one in entry.fact.hypotheses)
        also = [words for words in dict.fromkeys([*others, *entry.fact.alternatives]) if words != best][:2]
        beside = f"   [or: {'; '.join(also)}]" if also and alternatives else ""
        lines += block(f"{time}  you".ljust(_TALK), f'"{best}"{beside}')
    for decision in entry.decisions:
        if isinstance(decision, PhaseEntered):
            name = _PHASES.get(decision.phase)
            lines += ["", f"-- {name} ".ljust(WIDTH // 2, "-")] if name else []
            continue
        text = decided(decision, titles, vocabulary)
        if isinstance(decision, Observed) and decision.number in taken_back:
            text += f"   [withdrawn later: {taken_back[decision.number]}]"
        if text:
            lines += block(" " * (_TALK - 2) + "= ", text)
    for said in entry.said:
        lines += block(f"{time}  Leadsman".ljust(_TALK), said)
    return lines
