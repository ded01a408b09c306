"""The transcript that people review: the summary, the readings, and both sides of the talk."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Sequence
from itertools import zip_longest

from assistant.messages import Heard
from assistant.messages.decisions import Ended, ObservationWithdrawn, Observed, Phase, PhaseEntered
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.reasons import deleted
from assistant.phrasing.wording import at_place, clock, first_up, limits_of, miles, read, wall
from assistant.records.journal.lines import Attempt, Entry, Line
from assistant.records.journal.reader import Session
from assistant.records.report.talk import Turn, after, before
from assistant.records.summary.collect import summarize
from assistant.records.summary.decided import decided
from assistant.records.summary.labels import INVENTED, Titles, titles_of
from assistant.records.summary.layout import WIDTH, block, under
from assistant.records.summary.positions import PositionsTable, positions_table, positions_text
from assistant.records.summary.sources import Footnotes, footnotes
from assistant.records.summary.summary import VERIFIED, Pictured, Reading, SessionSummary, history_lines

_LABEL = 13
_TALK = 16
_PHASES = {
    Phase.CAUTIONS: "cautions",
    Phase.FACTS: "facts about the unit",
    Phase.SURVEYING: "survey",
    Phase.FINDING: "finding the fault",
    Phase.REPAIRING: "repairing",
    Phase.PROVING: "verifying the repair",
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
        lines.append(INVENTED)
    unit = f"Unit {one.unit}" if one.unit else "Unit not named"
    lines += block("", f"{unit}. {first_up(one.title or 'procedure not known')}. Began {wall(one.started)}.")
    lines.append("")
    for label, texts in head_rows(one, table):
        for number, text in enumerate(texts):
            lines += block(f"{label if number == 0 else '':<{_LABEL}}", text)
    return "\n".join(lines)


def head_rows(one: SessionSummary, table: PositionsTable | None = None) -> list[tuple[str, list[str]]]:
    """What a session came to, as labels with their texts; those without a text are left out."""
    confirmed = {repair.cause: repair.confirmed for repair in one.repairs if repair.confirmed}
    causes = [f"{cause} ({VERIFIED[confirmed[cause]]})" for cause in one.causes]
    causes += one.causes_told[len(causes) :]
    ending = f"{one.ended}: {one.because}" if one.because else one.ended
    rows: list[tuple[str, list[str]]] = [
        ("Shop", [one.shop] if one.shop else []),
        ("Work order", [one.work_order] if one.work_order else []),
        ("VIN", [one.vin] if one.vin else []),
        ("Odometer", [miles(one.odometer)] if one.odometer else []),
        ("Complaint", [text for text in (one.complaint, one.complaint_title) if text]),
        ("Found", [table.found] if table else []),
        ("Cause", [] if one.survey else causes or ["not confirmed"]),
        ("Correction", [] if one.survey else list(one.correction) or ["none"]),
        ("Tests", list(one.tests_told)),
        ("Parts", list(one.parts)),
        ("Parts needed", list(one.needed_told)),
        ("Ending", [ending]),
        ("Not verified", list(one.not_proven)),
        ("Time spent", [one.spent]),
        ("Meter", [one.meter_told] if one.meter_told else []),
        ("Air", [f"{one.air_fahrenheit} degrees Fahrenheit"] if one.air_fahrenheit else []),
        ("Heard with", [one.model] if one.model else []),
        ("History", history_lines(one.weights, one.fault_titles)),
        ("Facts", [f"{fact.what}: {fact.detail}" for fact in one.facts]),
        ("Not asked", [", ".join(one.not_asked)] if one.not_asked else []),
        ("Cautions", [_counted([caution.what for caution in one.cautions])] if one.cautions else []),
        ("Skipped", [f"{skip.what}: {skip.detail}" if skip.detail else skip.what for skip in one.skipped]),
        ("Declined", [f"{item.what}: {item.detail}" if item.detail else item.what for item in one.declined]),
        ("Notes", [note.what for note in one.notes]),
        ("Photos", [_photo_words(photo) for photo in one.photos]),
        ("Clock", list(one.clock_jumps)),
        ("Damage", list(one.damage)),
    ]
    return [(label, texts) for label, texts in rows if texts]


def _photo_words(photo: Pictured) -> str:
    reading = f" (reading {photo.observation})" if photo.observation is not None else ""
    return f"{photo.of}{reading}{', erased' if photo.erased else ''}"


def _counted(names: Sequence[str]) -> str:
    """Each name once, with how often it came."""
    return ", ".join(name if times == 1 else f"{name} ({times} times)" for name, times in Counter(names).items())


def readings_table(session: Session, vocabulary: Vocabulary | None = None, since: float = 0.0) -> str:
    """Every reading with conditions, limits, source, verdict and meter; '' when there are none."""
    one = summarize(session)
    readings = [reading for reading in one.readings if reading.at >= since]
    if not readings:
        return ""
    notes = footnotes(readings)
    lines = ["Readings", f"   #  time   {'check':<36} {'read':<17} {'limits':<20} verdict"]
    for reading in readings:
        lines += _reading(reading, vocabulary, notes, one.meter)
    for sign, text in notes.lines:
        lines += block(f"{sign:>4}  ", text)
    return "\n".join(lines)


def _reading(reading: Reading, vocabulary: Vocabulary | None, notes: Footnotes, meter: str) -> list[str]:
    one = reading.observed
    limits = " ".join(part for part in (limits_of(one, vocabulary), notes.sign(one.limit_source)) if part)
    verdict = "deleted" if reading.withdrawn else reading.verdict
    cells = (at_place(one.title, one.place), read(one, vocabulary), limits, verdict)
    widths = (36, 17, 20, 11)
    columns = [
        textwrap.wrap(cell, width, break_on_hyphens=False) or [""] for cell, width in zip(cells, widths, strict=True)
    ]
    lines = []
    for number, row in enumerate(zip_longest(*columns, fillvalue="")):
        head = " " * 12 if number else f"{one.number:>4}  {clock(reading.at)} "
        texts = " ".join(text.ljust(width) for text, width in zip(row, widths, strict=True))
        lines.append(f"{head} {texts}".rstrip())
    details = under(reading, vocabulary, meter)
    if reading.deleted not in ("", "deleted"):
        details.insert(0, reading.deleted)
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
        decision.number: deleted(decision.because)
        for _, entry in session.entries()
        for decision in entry.decisions
        if isinstance(decision, ObservationWithdrawn)
    }
    last = 0
    for line in session.lines:
        missing = line.seq - last - 1
        if line.mono < since:
            last = line.seq
            continue
        if missing > 0:
            lines += ["", f"---- {missing} {'entry' if missing == 1 else 'entries'} lost here ----"]
        last = line.seq
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
    for turn in before(line, entry):
        lines += _turn(turn, entry if alternatives else None)
    for decision in entry.decisions:
        if isinstance(decision, PhaseEntered):
            name = _PHASES.get(decision.phase)
            lines += ["", f"-- {name} ".ljust(WIDTH // 2, "-")] if name else []
            continue
        if isinstance(decision, Ended) and entry.said:
            continue  # what is said next says it
        text = decided(decision, titles, vocabulary)
        if isinstance(decision, Observed) and decision.number in taken_back:
            text += f"   [later {taken_back[decision.number]}]"
        if text:
            lines += block(" " * (_TALK - 2) + "= ", text)
    for turn in after(line, entry):
        lines += _turn(turn)
    return lines


def _turn(turn: Turn, entry: Entry | None = None) -> list[str]:
    """One side of the talk; behind the words that an entry has for its own, what else they could have been."""
    time = clock(turn.at)
    if turn.who == "us":
        return block(f"{time}  Leadsman".ljust(_TALK), turn.text)
    beside = ""
    if entry is not None and isinstance(entry.fact, Heard) and entry.fact.hypotheses:
        best, *others = (one.words for one in entry.fact.hypotheses)
        also = [words for words in dict.fromkeys([*others, *entry.fact.alternatives]) if words != best][:2]
        beside = f"   [or: {'; '.join(also)}]" if also and turn.text == best else ""
    return block(f"{time}  you".ljust(_TALK), f'"{turn.text}"{beside}')
