"""The report as one HTML file: nothing in it is fetched from anywhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from assistant.messages import Grade
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.report.path import Point
from assistant.records.report.pictures import path_picture, reading_pictures
from assistant.records.report.style import STYLE, paper
from assistant.records.report.survey import positions_html
from assistant.records.summary.layout import clock, first_up, graded, limits, minutes, shown, under, wall
from assistant.records.summary.positions import PositionsTable, positions_table
from assistant.records.summary.summary import LEFT, Reading, SessionSummary, Timed, at_place, history_lines

_MARKS = {Grade.GOOD: "good", Grade.BAD_LOW: "bad", Grade.BAD_HIGH: "bad", Grade.TOO_CLOSE: "close"}


@dataclass(frozen=True, slots=True)
class Kept:
    """The kept sound of one answer."""

    at: float
    """Seconds since the session began."""
    words: str
    """What was heard in it."""
    address: str
    """Where it is: relative to the report, or ``data:``."""


def html_report(
    one: SessionSummary,
    path: tuple[Point, ...] = (),
    vocabulary: Vocabulary | None = None,
    *,
    technician: str = "",
    sounds: Sequence[Kept] = (),
    paper_name: str = "",
) -> str:
    """The whole report.

    Args:
        one: what the session came to.
        path: the suspects after each observation.
        vocabulary: how units are said.
        technician: the name kept outside the chain.
        sounds: answers whose sound was kept.
        paper_name: ``letter`` or ``a4`` to fix the page size; '' leaves it to the printer.
    """
    unit = f"Unit {one.unit}" if one.unit else "Unit not named"
    table = positions_table(one, vocabulary)
    parts = [
        _invented(one),
        f"<h1>{_t(unit)}</h1><p class='soft'>{_t(_began(one))}</p>",
        _three(one, table),
        _open_points(one.not_proven),
        _facts(one, technician),
        positions_html(table),
        _readings(one.readings, vocabulary, {kept.at: kept.address for kept in sounds}),
        _pictures(one, path, vocabulary),
        _work(one),
        *_ended([*_listed(one), _kept(one, sounds)], f"{_signatures(technician)}<footer>{_t(_foot(one))}</footer>"),
    ]
    title = _t(f"{unit}: {one.title}")
    head = f"<meta charset='utf-8'><meta name='viewport' content='width=device-width'><title>{title}</title>"
    sheet = STYLE + (paper(paper_name) if paper_name else "")
    body = "\n".join(part for part in parts if part)
    top = f"<!doctype html>\n<html lang='en-US'><head>{head}<style>{sheet}</style></head>"
    return f"{top}\n<body>\n{body}\n</body></html>\n"


def _began(one: SessionSummary) -> str:
    title = first_up(one.title or "procedure not known")
    return f"{title}. Began {wall(one.started)}. Session {one.session_id}."


def _foot(one: SessionSummary) -> str:
    name = one.session_id
    return f"Made by Leadsman from the record {name}, which is the original. Check it with: leadsman verify {name}"


def _t(text: object) -> str:
    return escape(str(text))


def _invented(one: SessionSummary) -> str:
    if not one.invented:
        return ""
    return "<div class='invented'>INVENTED: a demonstration. The unit, the fault and every reading are made up.</div>"


def _three(one: SessionSummary, table: PositionsTable | None) -> str:
    how = {repair.cause: repair.confirmed for repair in one.repairs if repair.confirmed}
    causes = "".join(f"<p>{_t(first_up(cause))}</p><p class='soft'>repair {how[cause]}</p>" for cause in one.causes)
    work = "".join(f"<p>{_t(first_up(text))}</p>" for text in one.correction) or "<p>none</p>"
    ending = "left before its end" if one.ending == LEFT else one.ending
    if one.survey:
        return (
            "<div class='three'>"
            f"<section><h2>Survey</h2><p>{_t(one.complaint or 'not recorded')}</p></section>"
            f"<section><h2>Found</h2><p>{_t(table.found if table else 'nothing was read')}</p></section>"
            f"<section><h2>Ending</h2><p>{_t(first_up(ending))}</p></section></div>"
        )
    return (
        "<div class='three'>"
        f"<section><h2>Complaint</h2><p>{_t(one.complaint or 'not recorded')}</p></section>"
        f"<section><h2>Cause</h2>{causes or '<p>not confirmed</p>'}</section>"
        f"<section><h2>Correction</h2>{work}<p class='soft'>{_t(ending)}</p></section></div>"
    )


def _open_points(sentences: Sequence[str]) -> str:
    if not sentences:
        return ""
    items = "".join(f"<li>{_t(text)}</li>" for text in sentences)
    return f"<h2>Not proven by this record</h2><div class='open'><ul>{items}</ul></div>"


def _facts(one: SessionSummary, technician: str) -> str:
    wide = [
        ("Ending", f"{one.ending}: {one.because}" if one.because else one.ending),
        ("Meter", one.meter),
        ("Heard with", one.model),
        ("Damage", "; ".join(one.damage)),
        ("History", ". ".join(first_up(line) for line in history_lines(one.weights, one.fault_titles))),
    ]
    rows = [("Technician", technician), ("Air", f"{one.air_fahrenheit} °F" if one.air_fahrenheit else "")]
    rows += [(first_up(fact.what), fact.detail) for fact in one.facts]
    cells = "".join(f"<dt>{_t(name)}</dt><dd class='long'>{_t(value)}</dd>" for name, value in wide if value)
    cells += "".join(f"<dt>{_t(name)}</dt><dd>{_t(value)}</dd>" for name, value in rows if value)
    return f"<h2>The unit and the session</h2><dl>{cells}</dl>"


def _readings(readings: Sequence[Reading], vocabulary: Vocabulary | None, sounds: Mapping[float, str]) -> str:
    if not readings:
        return "<h2>Readings</h2><p>None were taken.</p>"
    rows = "".join(_reading(reading, vocabulary, sounds.get(reading.at, "")) for reading in readings)
    return (
        "<h2>Readings</h2><div class='wide'><table><thead><tr><th class='n'>#</th><th>Time</th><th>Check</th>"
        f"<th>Read</th><th>Limits</th><th>Verdict</th></tr></thead><tbody>{rows}</tbody></table></div>"
    )


SHORT = 22
"""Characters of a reading that stay on one line."""


def _reading(reading: Reading, vocabulary: Vocabulary | None, sound: str) -> str:
    one = reading.observed
    details = under(one, vocabulary)
    if one.proof:
        details.insert(0, "measured again after a repair")
    mark = _MARKS.get(one.verdict.grade, "") if one.verdict else ""
    verdict = graded(one)
    if reading.withdrawn:
        why = reading.withdrawn.removeprefix("taken back")
        mark, verdict = "", f"taken back: {why}" if why else "taken back"
    player, seen = _player(sound) if sound else "", shown(one, vocabulary)
    return (
        f"<tr{' class=back' if reading.withdrawn else ''}><td class='n'>{one.number}</td><td>{clock(reading.at)}</td>"
        f"<td>{_t(at_place(one.title, one.place))}<span class='under'>{_t('; '.join(details))}</span></td>"
        f"<td class='read{' short' if len(seen) <= SHORT else ''}'>{_t(seen)}{player}</td>"
        f"<td class='limits'>{_t(limits(one, vocabulary))}</td>"
        f"<td class='v {mark}'>{_t(verdict)}</td></tr>"
    )


def _pictures(one: SessionSummary, path: tuple[Point, ...], vocabulary: Vocabulary | None) -> str:
    made = []
    pictures = reading_pictures(one.readings, vocabulary)
    if pictures:
        made.append(
            "<h2>Readings against their limits</h2><p class='key'>The band is what is good, its dashed edges "
            "the limits; a whisker is the uncertainty. Dot: good. Square: outside. Diamond: too close to call. "
            "Arrow at the right: over range. The number before the value is the reading's.</p>"
        )
        made += [f"<figure><h3>{_t(first_up(title))}</h3>{picture}</figure>" for title, picture in pictures]
    picture = path_picture(path)
    if picture:
        steps = _columns([f"<li>{_t(_step(point))}</li>" for point in path])
        made.append(
            "<h2>The path through the suspects</h2><p class='key'>Each row is a suspect. Each column is what was "
            "suspected after a reading (by its number), a reading taken back (-), or work (shaded). "
            "Percent stand above the bars.</p>"
            f"<figure>{picture}</figure>{steps}"
        )
    return "\n".join(made)


def _step(point: Point) -> str:
    best = max(point.shares.items(), key=lambda item: item[1], default=("", 0.0))
    sign = f"reading {point.label}, " if point.label.isdigit() else ""
    return f"{clock(point.at)} {sign}{point.what}. Then: {best[0]}, {100 * best[1]:.0f} percent."


def _work(one: SessionSummary) -> str:
    rows = "".join(
        f"<tr><td>{clock(repair.at)}</td><td>{_t(first_up(at_place(repair.title, repair.place)))}"
        f"<span class='under'>{_t(repair.because)}</span></td><td>{_t(repair.part or 'none')}</td>"
        f"<td>{'condemned by a check' if repair.condemned else 'tried on suspicion'}</td>"
        f"<td class='v {'good' if repair.confirmed else 'close'}'>"
        f"{_confirmed(repair.confirmed, repair.in_vain)}</td></tr>"
        for repair in one.repairs
    )
    table = (
        "<table><thead><tr><th>Time</th><th>Work</th><th>Part</th><th>Why</th><th>Confirmed</th></tr></thead>"
        f"<tbody>{rows}</tbody></table>"
        if rows
        else "<p>No repair was made.</p>"
    )
    spent = "".join(
        f"<dt>{_t(first_up(phase))}</dt><dd>{minutes(value)}</dd>" for phase, value in one.minutes_by_phase.items()
    )
    held = f"<dt>On hold</dt><dd>{minutes(one.minutes_held)}</dd>" if one.minutes_held else ""
    attempts = f" in {one.attempts} attempts" if one.attempts > 1 else ""
    return f"<h2>Work and parts</h2>{table}<h2>Minutes: {minutes(one.minutes)}{attempts}</h2><dl>{spent}{held}</dl>"


def _confirmed(how: str, in_vain: bool) -> str:
    return {"measured": "measured good", "proven": "proven"}.get(how, "still bad afterwards" if in_vain else "no")


def _with_detail(what: str, detail: str) -> str:
    """A sentence keeps its own end: what was answered to it stands behind that."""
    if not detail:
        return what
    return f"{what} Answer: {detail}" if what.endswith((".", "?", "!")) else f"{what}: {detail}"


def _ended(blocks: Sequence[str], end: str) -> list[str]:
    """The signatures stay on one page with some lines of what they are for, so that they never stand there alone."""
    before = [block for block in blocks if block]
    kept: list[str] = []
    while before and sum(block.count("<li>") for block in kept) < COMPANY:
        kept.insert(0, before.pop())
    return [*before, f"<div class='end'>{''.join(kept)}{end}</div>"]


COMPANY = 5
"""Lines that the signatures have with them at least."""
FEW = 12
"""Items of a list that stay on one page, side by side."""


def _columns(items: Sequence[str]) -> str:
    """A list in two columns, in parts that no page's end divides."""
    parts = []
    for start in range(0, len(items), FEW):
        part = items[start : start + FEW]
        half = (len(part) + 1) // 2
        parts.append(f"<div class='cols'><ul>{''.join(part[:half])}</ul><ul>{''.join(part[half:])}</ul></div>")
    return "".join(parts)


def _listed(one: SessionSummary) -> list[str]:
    def timed(rows: Sequence[Timed]) -> list[str]:
        return [f"<li>{clock(row.at)} {_t(_with_detail(row.what, row.detail))}</li>" for row in rows]

    cautions = [f"<li>{clock(row.at)} {_t(row.detail or row.what)}</li>" for row in one.cautions]
    blocks = [
        ("Steps of the last proof", timed(one.proof)),
        ("Cautions acknowledged", cautions),
        ("Opened", timed(one.opened)),
        ("Skipped", timed(one.skipped)),
        ("Declined", timed(one.declined)),
        ("Notes", timed(one.notes)),
    ]
    return [f"<h2>{name}</h2>{_columns(items)}" for name, items in blocks if items]


def _kept(one: SessionSummary, sounds: Sequence[Kept]) -> str:
    """Sound of answers that are no readings; that of readings stands in their table."""
    shown = {reading.at for reading in one.readings}
    items = [
        f"<li>{clock(kept.at)} {_t(kept.words)}{_player(kept.address)}</li>"
        for kept in sounds
        if kept.at not in shown
    ]
    return f"<h2>Kept sound of other answers</h2>{_columns(items)}" if items else ""


def _player(address: str) -> str:
    return f"<audio controls preload='none' src='{escape(address, quote=True)}'></audio>"


def _signatures(technician: str) -> str:
    name = f" ({_t(technician)})" if technician else ""
    lines = ("Technician" + name, "Date", "Checked by", "Date")
    return "<div class='signs'>" + "".join(f"<div>{line}</div>" for line in lines) + "</div>"
