"""Is a record whole? The first line that is not, and everything else that is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.errors import Finding
from assistant.records.journal.reader import Session

_SIGNS = 8
"""Fewer signs of a seal would fit by chance."""


@dataclass(frozen=True, slots=True)
class Verification:
    """What the chain of hashes says about one record."""

    session_id: str
    entries: int
    """Entries and attempts that are whole, without the header."""
    findings: tuple[Finding, ...]
    """Everything that is wrong, the first line of the file first."""
    last_hash: str
    """Seal of the last whole line: written down elsewhere, it shows a tail that was cut off later."""

    @property
    def whole(self) -> bool:
        """True when nothing is damaged, missing or changed."""
        return not self.findings

    def sentences(self) -> list[str]:
        """The result for a person, its first line saying it all."""
        count = f"{self.entries} {'entry' if self.entries == 1 else 'entries'}"
        if self.whole:
            return [
                f"Session {self.session_id} is whole: {count}, none damaged, lost or moved.",
                f"Seal of the last line: {self.last_hash}",
                "This shows damage, and not a forger, who can make every hash anew, nor lines cut off the end.",
                f"Both show against a seal from a report: leadsman verify {self.session_id} --seal SEAL",
            ]
        first, *others = (str(finding) for finding in self.findings)
        head = f"Session {self.session_id} is damaged. First broken: {first}"
        more = [f"Also: {text}" for text in others]
        return [head, *more, f"What is whole ({count}) can be read with: leadsman show {self.session_id}"]


def verify(session: Session) -> Verification:
    """Name everything that is wrong with a record as read."""
    findings = sorted(session.damage, key=lambda finding: finding.line or 1 << 60)
    return Verification(session.header.session_id, len(session.lines), tuple(findings), session.last_hash)


def holds_seal(session: Session, seal: str) -> bool:
    """True when a line with this seal, or its first eight signs and more, still stands in the record."""
    wanted = seal.strip().lower()
    return len(wanted) >= _SIGNS and any(
        found.startswith(wanted) for found in (session.header_hash, *(line.hash for line in session.lines))
    )
