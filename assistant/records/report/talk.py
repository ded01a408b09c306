"""What both sides said in a session, in order."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.messages import Heard
from assistant.phrasing.wording import wall
from assistant.records.journal.format import Attempt, Entry
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
    """What a record has of the talk."""
    turns = []
    for line in session.lines:
        if isinstance(line.body, Attempt):
            turns.append(Turn(line.mono, "mark", f"taken up again {wall(line.wall)}"))
        elif isinstance(line.body, Entry):
            fact = line.body.fact
            if isinstance(fact, Heard) and fact.hypotheses:
                turns.append(Turn(line.mono, "you", fact.hypotheses[0].words))
            turns += [Turn(line.mono, "us", said) for said in line.body.said if said]
    return tuple(turns)
