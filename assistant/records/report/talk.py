"""What both sides said in a session, in order."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.messages import Heard
from assistant.phrasing.wording import wall
from assistant.records.journal.lines import Attempt, Entry, Line
from assistant.records.journal.reader import Session


@dataclass(frozen=True, slots=True)
class Turn:
    """Something that was said."""

    at: float
    """Seconds since the session began."""
    who: str
    """``us``, ``you``, or ``mark`` where the session was taken up again."""
    text: str


def turns_of(session: Session) -> tuple[Turn, ...]:
    """What a record has of the talk: everything asked and answered, questions about an answer and their yes, too."""
    turns: list[Turn] = []
    for line in session.lines:
        if isinstance(line.body, Attempt):
            turns.append(Turn(line.mono, "mark", f"taken up again {wall(line.wall)}"))
        elif isinstance(line.body, Entry):
            turns += [*before(line, line.body), *after(line, line.body)]
    return tuple(turns)


def before(line: Line, entry: Entry) -> list[Turn]:
    """What was said on the way to an entry, its own words last or among it."""
    if entry.talk:
        return [Turn(one.at, one.who, one.text) for one in entry.talk]
    if isinstance(entry.fact, Heard) and entry.fact.hypotheses:
        return [Turn(line.mono, "you", entry.fact.hypotheses[0].words)]
    return []


def after(line: Line, entry: Entry) -> list[Turn]:
    """What was said once it was written."""
    return [Turn(line.mono, "us", said) for said in entry.said if said]
