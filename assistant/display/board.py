"""What stays in sight under the typed chat: the question, its limit, the last reading, the suspects, the microphone.

Pure: a session's state in, at most four lines out, each no wider than asked.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.display.view import standing
from assistant.messages import Command, Expectation
from assistant.numerals.vocabulary import Vocabulary
from assistant.session.context import Context
from assistant.session.fold import State


@dataclass(frozen=True, slots=True)
class Board:
    """The session's state while it waits for an answer."""

    ask: str
    """The question in full."""
    limits: str
    """Limits of the reading, '' without any."""
    last: str
    """The last reading and its verdict, '' before the first."""
    suspects: tuple[str, ...]
    """What is suspected, likeliest first."""
    answers: tuple[str, ...]
    """Answers that can be given by name."""

    def lines(self, width: int, microphone: str) -> list[str]:
        """At most four lines for the foot of the screen."""
        second = [f"Limit {self.limits}" if self.limits else "", f"last {self.last}" if self.last else ""]
        suspected = "Suspected: " + ", ".join(self.suspects) if self.suspects else ""
        rows = [self.ask, " | ".join(one for one in second if one), suspected, f"Microphone: {microphone}"]
        return [_cut(row, width) for row in rows if row]


EMPTY = Board("", "", "", (), ())


def board(context: Context, state: State, expectation: Expectation) -> Board:
    """The board of a session that waits for this answer."""
    stands = standing(context, state, expectation)
    last = stands["last"]
    told = ""
    if last:
        told = ", ".join(part for part in (last["title"], last["text"], last["verdict"]) if part)
    suspects = tuple(f"{one['title']} {one['percent']}%" for one in stands["suspects"][:3])
    answers = tuple(str(one["say"]) for one in stands["answers"])
    choices = tuple(choice.name for choice in expectation.choices)
    return Board(str(stands["ask"]["text"]), str(stands["limits"]), told, suspects, tuple({*answers, *choices}))


def words_to_complete(now: Board, vocabulary: Vocabulary) -> list[str]:
    """Answers first, then the usual form of each command."""
    commands = [vocabulary.commands[command][0] for command in Command if vocabulary.commands.get(command)]
    return list(dict.fromkeys([*sorted(now.answers), *commands, "voice on", "voice off"]))


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: max(1, width - 1)].rstrip() + "\N{HORIZONTAL ELLIPSIS}"
