"""Where the time of a session went: its phases, what was on hold, and long silences, which are no work.

A silence counts as work for :data:`SILENCE`, or for :data:`TIMES` times the minutes that the procedure gives what was
done in it where that is longer (a drum takes its time); what goes beyond is a break, and no labor.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.messages.decisions import Decision, Phase
from assistant.records.journal.lines import Entry, Line

SILENCE = 15.0
"""Minutes for which a silence counts as work whatever was done. Chosen; common practice, no source."""
TIMES = 2.0
"""The same as a multiple of the procedure's minutes. Chosen; not measured."""
RULE = (
    f"A silence counts as work for {SILENCE:.0f} minutes, or for twice the minutes of the step where that is longer"
)
"""How it is told where minutes are."""


class Minutes:
    """Seconds by phase, those on hold, and those in which nobody answered."""

    def __init__(self, allowed: Mapping[tuple[str, str], float]) -> None:
        """Args: allowed: kind and name of a step to the procedure's minutes of it."""
        self.allowed = allowed
        self.seconds: dict[str, float] = {}
        self.held = 0.0
        self.silent = 0.0
        self._before = 0.0
        self._heard = 0.0
        self._silent = 0.0
        self._open = 0.0
        """Minutes of what was opened and not yet put back."""

    def entry(self, line: Line, entry: Entry, *, held: bool) -> None:
        """Look at the silences before an entry."""
        if line.mono - self._heard <= 60 * SILENCE:  # nearly always
            for decision in entry.decisions:
                if decision.kind in ("access_opened", "put_back_done"):
                    self._minutes(decision)
            if entry.fact.kind != "went_quiet":
                self._heard = line.mono
            return
        step = SILENCE
        for decision in entry.decisions:
            step = max(step, TIMES * self._minutes(decision))
        for at in sorted(_heard(line, entry)):
            silent = at - self._heard - 60 * step
            if silent > 0 and not held:
                self._silent += silent
            self._heard = max(self._heard, at)

    def book(self, at: float, phase: Phase | None, *, held: bool) -> None:
        """Book the seconds since the last booking: the session was in this phase, or held."""
        spent, self._before = at - self._before, at
        silent, self._silent = self._silent, 0.0
        if held:
            self.held += spent
            return
        self.silent += silent
        if phase is not None and phase is not Phase.ENDED:
            self.seconds[phase.value] = self.seconds.get(phase.value, 0.0) + spent - silent

    def _minutes(self, one: Decision) -> float:
        """The procedure's minutes of what a decision says was done; what was opened is put back in as many."""
        match one.kind:
            case "access_opened":
                self._open += one.minutes
                return one.minutes
            case "put_back_done":
                opened, self._open = self._open, 0.0
                return opened
            case "observed":
                return self.allowed.get(("check", one.check), 0.0)
            case "fix_done":
                return self.allowed.get(("fix", one.fix), 0.0)
            case "proof_step_done":
                return self.allowed.get(("step", one.step), 0.0)
            case _:
                return 0.0


def _heard(line: Line, entry: Entry) -> Iterable[float]:
    """When somebody was heard on the way to an entry, and when it was written: not where only silence led to it."""
    spoken = [one.at for one in entry.talk if one.who == "you" and one.at <= line.mono]
    return spoken if entry.fact.kind == "went_quiet" else [*spoken, line.mono]
