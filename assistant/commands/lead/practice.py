"""``leadsman practice``: a session on a simulated unit with a hidden fault, and what it cost at the end."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import TextIO

import click

from assistant import catalog, library
from assistant.clock import Clock, ScriptedClock, SystemClock
from assistant.commands.completion import complete_procedures
from assistant.commands.lead.ending import survey_end
from assistant.commands.lead.live import Live, Wishes, model_used, open_live, tell
from assistant.commands.lead.practicing import hide, outcome
from assistant.commands.records.places import records_option
from assistant.commands.terminal import echo, is_terminal
from assistant.composition import load_sound_procedure, new_session, remarks_of
from assistant.display.board import board
from assistant.display.terminal import Screen
from assistant.inputs.console import ConsoleListener
from assistant.inputs.ports import Listener
from assistant.loop import Loop
from assistant.messages import Expectation
from assistant.simulator.cost_breakdown import minutes_of
from assistant.simulator.partner import SAME, Partner
from assistant.simulator.technician import UnitRecord

GREETING = (
    "Practice: an invented unit with a hidden fault. What it shows stands in brackets; say it in your own words, "
    f"or type {SAME} to say just that. Nothing is to be done to a real unit."
)


WATCHED = (
    "Practice: an invented unit with a hidden fault, which answers by itself. What it shows stands in brackets; the "
    "clock runs as long as the work would take."
)
ANSWER_SECONDS = 4.0
"""What asking and answering takes on the clock of a session that is only watched; from memory, no source."""
WORDS_A_MINUTE = 240
"""How fast a watched session is shown, so that it can be read along: about how fast adults read silently (Brysbaert
2019, from memory)."""


@click.command("practice", epilog="Example: leadsman practice trailer-abs-light-on --typed --seed 7")
@click.argument("procedure", shell_complete=complete_procedures)
@click.option("--fault", help="The hidden fault, as in 'sensor open @ left rear'; else drawn by how common it is.")
@click.option("--seed", type=click.IntRange(0), help="The same seed hides the same fault in the same unit.")
@click.option(
    "--typed", is_flag=True, help="Type the answers. Default: at a terminal the microphone and the keyboard."
)
@click.option("--listen", is_flag=True, help="Listen to the microphone, also where nobody sits at a terminal.")
@click.option("--watch", is_flag=True, help="The unit answers by itself, so that you can read how it is led.")
@click.option(
    "--pace",
    type=click.IntRange(0, 1000),
    metavar="WORDS",
    help=f"With --watch: words a minute, 0 for all at once. Default: {WORDS_A_MINUTE} at a terminal.",
)
@records_option
def practice_command(
    procedure: str,
    fault: str | None,
    seed: int | None,
    typed: bool,
    listen: bool,
    watch: bool,
    pace: int | None,
    records: Path | None,
) -> None:
    """Practice PROCEDURE on a simulated unit with a hidden fault: it shows the readings, you say them.

    At the end: what it was, the minutes you used against the best possible, and where the time went.
    """
    if pace is not None and not watch:
        raise click.UsageError("--pace goes with --watch: elsewhere you set the pace.")
    if sum([typed, listen, watch]) > 1:
        raise click.UsageError("Give only one of --typed, --listen and --watch.")
    read = load_sound_procedure(procedure, catalog.load_vocabulary())
    loaded = read.procedure
    if read.remarks:
        echo(remarks_of(procedure, read.remarks), err=True)
    hidden = hide(loaded, fault, seed)
    with ExitStack() as stack:
        clock = ScriptedClock(SystemClock().wall()) if watch else SystemClock()
        screen, person, live = _edges(stack, clock, typed=typed, listen=listen, watch=watch, pace=pace)
        folder = records or library.records_folder() / "practice"
        work = new_session(procedure, folder, clock, unit="0000", invented=True, history=False)
        stack.callback(work.journal.close)
        record = UnitRecord(hidden.unit, work.journal)
        partner = Partner(hidden.unit, screen.notice, clock.now, person)
        stack.callback(partner.close)
        screen.notice(WATCHED if watch else GREETING)
        loop = Loop(work.context, work.state, record, partner, screen, clock)

        def on_listen(expectation: Expectation) -> None:
            partner.show(expectation)
            if isinstance(clock, ScriptedClock):
                clock.advance(ANSWER_SECONDS + 60 * minutes_of(loaded, expectation.prompt))
            if live is not None and live.chat is not None:
                live.chat.show(board(loop.context, loop.state, expectation), expectation.hint)

        loop.on_listen = on_listen
        ending = loop.run()
    echo()
    echo(survey_end(work.header, loop.state), nl=False)
    for line in outcome(hidden, work.context, record, partner.shown, ending):
        echo(line)
    echo(f"Record: {work.journal.where}")


class PacedScreen(Screen):
    """Shows the talk no faster than it is read.

    Args:
        words_a_minute: how fast that is.
        wait: lets so many seconds pass.
    """

    def __init__(
        self, words_a_minute: int, out: TextIO | None = None, wait: Callable[[float], None] = time.sleep
    ) -> None:
        super().__init__(out=out)
        self._words, self._wait = words_a_minute, wait

    def line(self, at: float, speaker: str, text: str, mark: str = "") -> None:
        """One turn, and the time to read it."""
        super().line(at, speaker, text, mark)
        self._wait(60 * len(text.split()) / self._words)

    def notice(self, text: str) -> None:
        """What the unit shows, the same way."""
        super().notice(text)
        self._wait(60 * len(text.split()) / self._words)


def _edges(
    stack: ExitStack, clock: Clock, *, typed: bool, listen: bool, watch: bool, pace: int | None
) -> tuple[Screen, Listener | None, Live | None]:
    """The screen, where the person's answers come from, and what is live where there is such."""
    if watch:
        words = pace if pace is not None else WORDS_A_MINUTE if sys.stdout.isatty() else 0
        return (PacedScreen(words) if words else Screen()), None, None
    if not (listen or is_terminal()):
        return Screen(), ConsoleListener(clock.now), None
    wishes = Wishes(True if listen else False if typed else None, headset=False, speak=False if typed else None)
    model_used(wishes)
    live = open_live(stack, clock.now, wishes, tell)
    return Screen(live.voice, interactive=live.chat is None and is_terminal()), live.listener, live
