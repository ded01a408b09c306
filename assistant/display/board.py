"""What stays in sight under the typed chat: the question, its limit, the last reading, the suspects, the microphone.

Pure: a session's state in, a few lines out, each no wider than asked.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from assistant.display.view import standing
from assistant.messages import Command, Expectation
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import SHAPES
from assistant.session.context import Context
from assistant.session.fold import State


@dataclass(frozen=True, slots=True)
class Board:
    """The session's state while it waits for an answer."""

    ask: str
    """The question in full."""
    limits: str
    """Limits of the reading, '' without any."""
    last: Last | None
    """The last reading and its verdict, None before the first."""
    suspects: tuple[str, ...]
    """What is suspected, likeliest first."""
    answers: tuple[str, ...]
    """Answers that can be given by name."""

    def rows(self, width: int, microphone: str) -> list[Row]:
        """Lines for the foot of the screen: the question, the last reading, what it is up against, the microphone.

        What was read and its verdict come first in their line and are never cut; where they are longer than the
        screen is wide they take another line.
        """
        rows = [Row(_cut(self.ask, width), "ask")] if self.ask else []
        if self.last is not None:
            rows += self.last.rows(width)
        against = [f"Limit {self.limits}" if self.limits else ""]
        against.append("Suspected: " + ", ".join(self.suspects) if self.suspects else "")
        second = " | ".join(one for one in against if one)
        rows += [Row(_cut(second, width))] if second else []
        return [*rows, Row(_cut(f"Microphone: {microphone}", width))]


@dataclass(frozen=True, slots=True)
class Row:
    """One line, and its color: ``ask``, or a verdict's mark."""

    text: str
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Last:
    """The last reading or look."""

    title: str
    text: str
    """What was read."""
    verdict: str
    mark: str

    def rows(self, width: int) -> list[Row]:
        """One line, more where value and verdict do not fit into one."""
        shape = f"{SHAPES[self.mark]} " if self.mark in SHAPES else ""
        told = shape + ", ".join(part for part in (self.text, self.verdict) if part)
        if len(told) <= width:
            return [Row(_cut(f"{told}: {self.title}", width), self.mark)]
        return [Row(part, self.mark) for part in textwrap.wrap(told, width)]


EMPTY = Board("", "", None, (), ())


def board(context: Context, state: State, expectation: Expectation) -> Board:
    """The board of a session that waits for this answer."""
    stands = standing(context, state, expectation)
    one = stands["last"]
    last = Last(one["title"], one["text"], one["verdict"], one["grade"]) if one else None
    suspects = tuple(f"{one['title']} {one['percent']}%" for one in stands["suspects"][:3])
    answers = tuple(str(one["say"]) for one in stands["answers"])
    choices = tuple(choice.name for choice in expectation.choices)
    return Board(str(stands["ask"]["text"]), str(stands["limits"]), last, suspects, tuple({*answers, *choices}))


def words_to_complete(now: Board, vocabulary: Vocabulary) -> list[str]:
    """Answers first, then the usual form of each command."""
    commands = [vocabulary.commands[command][0] for command in Command if vocabulary.commands.get(command)]
    return list(dict.fromkeys([*sorted(now.answers), *commands, "voice on", "voice off"]))


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: max(1, width - 1)].rstrip() + "\N{HORIZONTAL ELLIPSIS}"
