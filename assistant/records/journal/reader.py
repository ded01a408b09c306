"""A journal's bytes to a session: tolerant, and naming everything that is damaged."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from assistant.errors import Finding
from assistant.records.journal.bounds import LINES_MOST
from assistant.records.journal.format import BrokenLineError, decode_line, decode_lines, header_without_seal
from assistant.records.journal.lines import FORMAT, Attempt, Entry, Header, Line

_EACH = 20
"""Lines lost in a row that are named one by one."""
_CANDIDATE = re.compile(rb'\{"seq":(?:(?!\{"seq":).)*?,"hash":"[0-9a-f]{64}"\}', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Session:
    """A journal as read. What is damaged is named in ``damage``; everything else is kept."""

    header: Header
    lines: tuple[Line, ...] = ()
    """Entries and attempts in order of their numbers, without the header."""
    damage: tuple[Finding, ...] = ()
    """Empty for a whole journal. ``where`` is ``entry 5``, ``entry 9 and after`` or ``line 3``."""
    whole_size: int = 0
    """Bytes up to the end of the last line that is to stay; what follows is a torn end."""
    newline_missing: bool = False
    """True when the last line that is to stay lacks its newline."""
    broken_tail: int = 0
    """Damaged whole lines at the end, each of which took a number."""
    header_read: bool = True
    """False when the header is lost and ``header`` is only a stand-in."""
    header_hash: str = ""
    """Hash of the header's line, '' when that is damaged."""

    @property
    def last_hash(self) -> str:
        """Hash of the last whole line, '' where there is none."""
        return self.lines[-1].hash if self.lines else self.header_hash

    def other_than(self, name: str) -> str:
        """What this is where its whole header names another session than its file does; '' where both agree."""
        if not self.header_hash or not self.header_read or self.header.session_id == name:
            return ""
        return f"a copy of session {self.header.session_id}, or that one renamed"

    def entries(self) -> Iterator[tuple[Line, Entry]]:
        """Every entry with its line."""
        for line in self.lines:
            if line.body.kind == "entry":
                yield line, line.body

    def attempts(self) -> Iterator[tuple[Line, Attempt]]:
        """Every later attempt with its line."""
        for line in self.lines:
            if line.body.kind == "attempt":
                yield line, line.body


@dataclass(frozen=True, slots=True)
class _Piece:
    """One physical line: what could be read of it, and why not the rest."""

    number: int
    good: tuple[Line, ...]
    problem: str = ""
    torn: bool = False


def parse(data: bytes, session_id: str, *, light: bool = False) -> Session:
    """Read a journal's bytes. Never fails: what cannot be read is named in ``damage``.

    ``light`` leaves out the replies' slots, which only a replay of the voice needs.
    """
    findings: list[Finding] = []
    if len(data) > LINES_MOST and data.count(b"\n") > LINES_MOST:  # counting them in a short one takes its time too
        data, findings = _first_lines(data)
    session = None if findings else _unbroken(data, replies=not light)
    if session is not None:
        return session
    body = data.rstrip(b"\0")
    whole = body.rfind(b"\n") + 1
    pieces = [_piece(raw, number, light=light) for number, raw in enumerate(body[:whole].split(b"\n")[:-1], 1)]
    if whole < len(data):
        pieces.append(_tail(data[whole:], len(pieces) + 1))
    newline_missing = whole < len(data) and bool(pieces[-1].good)
    header, read, faults = _header(pieces, data, session_id)
    findings += faults
    lines = _ordered(pieces, findings)
    broken_tail = 0
    for piece in reversed(pieces):
        if piece.good:
            break
        broken_tail += 0 if piece.torn else 1
    sealed = [line.hash for piece in pieces for line in piece.good if isinstance(line.body, Header)]
    stays = len(body) if newline_missing else whole
    seal = sealed[0] if sealed else ""
    return Session(header, lines, tuple(findings), stays, newline_missing, broken_tail, read, seal)


def lines_of(data: bytes) -> tuple[list[tuple[int, str, bytes]], int, bool]:
    """Number, hash and bytes of each sealed line, how many lines are damaged, and whether the record is invented."""
    known, broken, invented = [], 0, False
    for raw in data.split(b"\n"):
        if not raw.strip(b"\0"):
            continue
        try:
            line = decode_line(raw)
        except BrokenLineError:
            broken += 1
            continue
        invented = invented or getattr(line.body, "invented", False)
        known.append((line.seq, line.hash, raw + b"\n"))
    return known, broken, invented


def _first_lines(data: bytes) -> tuple[bytes, list[Finding]]:
    """As many lines as any session could have, and what is said of the rest."""
    end = 0
    for _ in range(LINES_MOST):
        end = data.index(b"\n", end) + 1
    text = f"It has more lines than any session ({LINES_MOST}); the rest is not read."
    return data[:end], [Finding("file", text, LINES_MOST + 1)]


def _unbroken(data: bytes, *, replies: bool) -> Session | None:
    """The short way, for nearly every journal: all lines whole, each following from the one before; else None."""
    if not data.endswith(b"\n"):
        return None
    try:
        top, *rest = decode_lines(data[:-1].split(b"\n"), replies=replies)
    except BrokenLineError:
        return None
    if not isinstance(top.body, Header) or top.seq != 0 or top.prev:
        return None
    seal = top.hash
    for number, line in enumerate(rest, 1):
        if line.seq != number or line.prev != seal or isinstance(line.body, Header):
            return None
        seal = line.hash
    return Session(top.body, tuple(rest), tuple(_check_header(top.body)), len(data), header_hash=top.hash)


def _piece(raw: bytes, number: int, *, light: bool = False) -> _Piece:
    try:
        return _Piece(number, (decode_line(raw, replies=not light),))
    except BrokenLineError as error:
        problem = str(error)
    # two lines may stand in one when their newline was hit: each that is whole is kept
    found = []
    for match in _CANDIDATE.finditer(raw):
        try:
            found.append(decode_line(match[0]))
        except BrokenLineError:
            continue
    return _Piece(number, tuple(found), problem)


def _tail(raw: bytes, number: int) -> _Piece:
    """The end without a newline: a line that only lacks it is kept."""
    piece = _piece(raw.rstrip(b"\0"), number) if raw.strip(b"\0") else _Piece(number, ())
    if piece.good and not piece.problem and not raw.endswith(b"\0"):
        return piece
    return _Piece(number, piece.good, "the end is torn", torn=True)


def _header(pieces: list[_Piece], data: bytes, session_id: str) -> tuple[Header, bool, list[Finding]]:
    for piece in pieces:
        for line in piece.good:
            if isinstance(line.body, Header):
                return line.body, True, _check_header(line.body)
    found = header_without_seal(data.split(b"\n", 1)[0])
    if found is not None:
        found = replace(found, session_id=session_id)  # the file's own name is the safer one
        text = "It was damaged or changed after it was written; it is used as it stands."
        return found, True, [Finding("header", text, 1), *_check_header(found)]
    text = "It cannot be read, so the procedure, the unit and the start are not known."
    return Header(session_id, "", ""), False, [Finding("header", text, 1)]


def _check_header(header: Header) -> list[Finding]:
    findings = []
    if header.format > FORMAT:
        text = f"A later version wrote this record (format {header.format}); read it with that version."
        findings.append(Finding("header", text, 1))
    if header.procedure_sha256 and _sha256_of(header.procedure_toml) != header.procedure_sha256:
        findings.append(Finding("header", "The procedure kept in it is not the one that was used.", 1))
    return findings


@lru_cache(maxsize=16)
def _sha256_of(text: str) -> str:
    """Kept for the last few: a folder of records holds the same few procedures many times."""
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


def _ordered(pieces: list[_Piece], findings: list[Finding]) -> tuple[Line, ...]:
    """Put the lines in order of their numbers, and name what is missing, twice, changed or torn."""
    kept: dict[int, Line] = {}
    whole = {line.seq for piece in pieces for line in piece.good}
    last: Line | None = None
    pending: list[_Piece] = []
    for piece in pieces:
        if piece.problem and (not piece.good or not piece.torn):
            pending.append(piece)
        for line in piece.good:
            findings += _between(last, line, pending, whole, piece.number)
            if line.seq in kept:
                findings.append(Finding(f"entry {line.seq}", "It stands twice; the first is used.", piece.number))
            else:
                kept[line.seq] = line
            pending, last = [], line
        if piece.problem and piece.good and piece.torn:
            pending.append(piece)
    if pending:
        findings.append(_at_end(last, pending))
    return tuple(kept[seq] for seq in sorted(kept) if not isinstance(kept[seq].body, Header))


def _between(last: Line | None, line: Line, pending: list[_Piece], whole: set[int], here: int) -> list[Finding]:
    """What is wrong between two whole lines that follow each other in the file; ``here`` is the line's number."""
    before = -1 if last is None else last.seq
    at = pending[0].number if pending else here
    reason = pending[0].problem if pending else ""
    if line.seq <= before:
        return [Finding(f"entry {line.seq}", f"It stands behind entry {before}: lines were moved.", at)]
    gap = range(before + 1, line.seq)
    text = f"Lost: {reason}." if pending else "They are missing: lines were taken out or lost."
    if len(gap) > _EACH:
        return [Finding(f"entries {gap[0]} to {gap[-1]}", text, at)]
    missing = [seq for seq in gap if seq not in whole]
    findings = []
    for seq in missing:
        text = f"Lost: {reason}." if pending else "It is missing: a line was taken out or lost."
        findings.append(Finding(f"entry {seq}" if seq else "header", text, at))
    if pending and not missing:
        inside = f"entry {line.seq}" if pending[0].good else f"line {at}"
        findings.append(Finding(inside, f"Something that is not an entry stands beside it: {reason}.", at))
    elif not pending and line.seq == before + 1 and line.prev != ("" if last is None else last.hash):
        text = f"It does not follow from entry {before}: one of the two was changed."
        findings.append(Finding(f"entry {line.seq}", text, here))
    return findings


def _at_end(last: Line | None, pending: list[_Piece]) -> Finding:
    seq = 0 if last is None else last.seq + 1
    if pending[0].torn and pending[0].good:
        text = "The end of its line is damaged; the entry itself is whole."
        return Finding(f"entry {seq - 1}", text, pending[0].number)
    if all(piece.torn for piece in pending):
        text = "The end is torn: it was being written when the program stopped, and was not yet confirmed as logged."
        return Finding(f"entry {seq} and after", text, pending[0].number)
    return Finding(f"entry {seq} and after", f"Lost: {pending[0].problem}.", pending[0].number)
