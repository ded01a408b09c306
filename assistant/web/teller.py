"""What a session shows and says goes to the feed of its screens."""

from __future__ import annotations

from collections.abc import Callable

from assistant.display.view import standing
from assistant.messages import Expectation, Heard
from assistant.phrasing.phrase import Sentence
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.web.answers import PageListener
from assistant.web.feed import Feed

NOISY_DB = 8.0
"""Signal-to-noise ratio in decibels below which a screen marks an answer as said in noise."""


class PageTeller:
    """Passes what both sides say, and the session's current state, to the feed.

    Args:
        context: what the session works with.
        now: seconds since it began.
        feed: where it goes.
        listener: counts the turns.
        look: the session's state now.
        answered: answers that stand in the record.
    """

    def __init__(
        self,
        context: Context,
        now: Callable[[], float],
        feed: Feed,
        listener: PageListener,
        look: Callable[[], State],
        answered: Callable[[], int],
    ) -> None:
        self._context, self._now, self._feed, self._listener, self._look = context, now, feed, listener, look
        self._answered = answered

    def say(self, at: float, sentence: Sentence) -> None:
        """Show our sentence; a screen that has a voice speaks it."""
        if sentence.shown:
            self._feed.add("talk", at=at, who="us", text=sentence.shown, spoken=sentence.spoken)

    def heard(self, at: float, fact: Heard) -> None:
        """Show what came in."""
        words = fact.hypotheses[0].words if fact.hypotheses else "(nothing understood)"
        aloud = fact.snr_db is not None
        noise = fact.snr_db is not None and fact.snr_db < NOISY_DB
        self._feed.add("talk", at=at, who="you", text=words, aloud=aloud, noise=noise)

    def notice(self, text: str) -> None:
        """Show a remark about the machine."""
        self._feed.add("talk", at=self._now(), who="us", text=text, spoken="")

    def listening(self, expectation: Expectation) -> None:
        """Show the current state and that an answer is awaited.

        ``answered`` is what an answer that was kept through a restart is known by: turns begin anew, the record does
        not.
        """
        turn = self._listener.expect(expectation)
        now = standing(self._context, self._look(), expectation)
        self._feed.stand("standing", turn=turn, answered=self._answered(), **now)
