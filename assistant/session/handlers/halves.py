"""A bare yes or no where one of several answers is to be said: 'cleared, or could you not clear them?'"""

from __future__ import annotations

from assistant.messages import Command, Expects, Outcome, Say, Understanding
from assistant.phrasing.wording import first_up
from assistant.session.handlers.finding import confirm
from assistant.session.ledger import NOT_SURE
from assistant.session.turn import Result, Turn, reask

HALF = "half"
"""Why a yes is asked for: a yes or a no that names none of several answers."""
_MOST = 2
"""Answers of which a yes may mean the first: of three it names none."""


def half(turn: Turn) -> Result:
    """Whether it is the first of the answers, or after a no the second of two: asked in a word, never guessed."""
    wanted, yes = turn.expectation, turn.meant.command is not Command.NO
    names = [one.name for one in wanted.choices if one.name != NOT_SURE] if wanted is not None else []
    if wanted is None or wanted.expects is not Expects.CHOICE or not 1 < len(names) <= _MOST:
        return reask(turn, Say("not_asked"))
    name = names[0 if yes else -1]
    meant = Understanding(Outcome.CHOICE, turn.meant.heard, choice=name, confirm=True)
    return confirm(turn, meant, Say("half", {"text": first_up(name)}), HALF)
