"""The error tree: what the operator can mend, what an editor of a file can mend, and what is our own bug.

Misheard speech is never an error: it is an outcome (see ``messages.Understanding``).
Every message is a whole sentence for the person who can act on it: what was wrong, where, and what to do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class LeadsmanError(Exception):
    """Base of every error that this project raises on purpose."""

    exit_code = 1
    """Exit code of the command line when this error ends it."""


class OperatorError(LeadsmanError):
    """Something the person at the keyboard can mend: a wrong argument, a missing model, a full disk."""

    exit_code = 2

    def __init__(self, problem: str, *, remedy: str = "") -> None:
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{problem} {remedy}".strip())


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault of a file, in the terms of the person who edits it."""

    where: str
    """Where it stands: the table and key, such as ``check 'sensor ohms' / low``."""
    text: str
    """What is wrong and what to do about it, as one sentence."""
    line: int | None = None
    """Line number, counted from 1, or None when it is not known."""
    remark: bool = False
    """True for what makes a session clumsy and not wrong, such as a sentence too long to hear: it stops none."""

    def __str__(self) -> str:
        place = f"line {self.line}, {self.where}" if self.line else self.where
        return f"{place}: {self.text}"


class DocumentError(LeadsmanError):
    """A procedure, a grammar, a table or a record is wrong; all findings are carried at once."""

    exit_code = 3

    def __init__(self, name: str, findings: Sequence[Finding], more: str = "") -> None:
        self.name = name
        self.findings = tuple(findings)
        count = len(self.findings)
        head = f"{name} has {count} fault{'' if count == 1 else 's'}:"
        super().__init__("\n".join([head, *(f"  {finding}" for finding in self.findings), *([more] if more else [])]))


class DefectError(LeadsmanError):
    """Our own bug: an illegal step, a broken promise between rooms. Nothing recorded is lost."""

    exit_code = 70
