"""A record run through today's engine: the first place where it would decide differently.

The record keeps the words that were accepted. Words that only led there (a 'skip' whose reason followed, a 'no, I
mean', a number that had two meanings) are not kept. So each entry is tried on its own words first and then behind the
few openers that its decisions show to have been said; the talk that gives the recorded decisions is the one that
counts. When none does, the plainest try is shown. Remarks (``Remarked``) change nothing and are not compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from assistant.errors import DefectError
from assistant.messages import Fact, Heard, Hypothesis, Recorded
from assistant.messages.decisions import (
    Decision,
    DetailTold,
    Ended,
    Ending,
    FactAnswered,
    FactWithdrawn,
    FixDeclined,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    Record,
    Remarked,
    Skipped,
)
from assistant.records.journal.differences import describe
from assistant.records.journal.lines import Attempt, Entry, Line
from assistant.records.journal.reader import Session
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.fold import State, apply_all, begin
from assistant.session.step import step

_STEPS_BACK = 6
"""How often 'go back' is tried before an answer that replaces an earlier one."""
_PATIENCE = 4
"""How often words that change nothing are repeated before their record must have come."""
_PARTS = 60
"""Most parts or items of a put-back list: each takes a word of its own, and only the last is recorded."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Where today's engine leaves the record."""

    seq: int
    """Number of the entry."""
    at: float
    """Seconds since the session began."""
    heard: str
    """The words of the entry, or the kind of its fact."""
    recorded: str
    """What stands in the record, from the first decision that differs."""
    today: str
    """What the engine decides now."""


@dataclass(frozen=True, slots=True)
class Replay:
    """What came of running a record again."""

    session_id: str
    compared: int
    """Entries whose decisions came out the same."""
    entries: int
    """Entries in the record."""
    difference: Difference | None = None
    """The first one, None when all are the same."""
    stopped: str = ""
    """Why the rest could not be run (an entry is lost), '' when all was."""

    @property
    def same(self) -> bool:
        """True when every entry came out as recorded."""
        return self.difference is None and not self.stopped


@dataclass(frozen=True, slots=True)
class _Try:
    """One way the entry may have been talked into the record."""

    state: State
    decisions: tuple[Decision, ...]
    problem: str = ""


def replay(session: Session, context: Context) -> Replay:
    """Run every fact of a record through the engine, with the procedure, meter and weights of its header."""
    entries = sum(1 for _ in session.entries())
    state, compared, before = begin(context), 0, 0
    for line in session.lines:
        if line.seq != before + 1:
            return Replay(session.header.session_id, compared, entries, None, _lost(before + 1))
        before = line.seq
        if isinstance(line.body, Attempt):
            state = state.settled()
            continue
        if not isinstance(line.body, Entry):
            continue
        try:
            found = _same(context, state, line, line.body)
        except DefectError as error:  # what the record names, its procedure does not have
            stopped = f"Entry {line.seq} does not fit the procedure kept in the record: {error}."
            return Replay(session.header.session_id, compared, entries, None, stopped)
        if found is None:
            plainest = _run(context, state, (line.body.fact,), line)
            difference = _difference(line, line.body, plainest)
            return Replay(session.header.session_id, compared, entries, difference)
        state, compared = found.state, compared + 1
    stopped = str(session.damage[0]) if session.damage else ""
    return Replay(session.header.session_id, compared, entries, None, stopped)


def _lost(seq: int) -> str:
    return f"Entry {seq} is lost, so what follows cannot be run again."


def _same(context: Context, state: State, line: Line, entry: Entry) -> _Try | None:
    """The talk under which the engine decides what is recorded, None when there is none."""
    wanted = _telling(entry.decisions)
    for facts in _ways(entry):
        found = _run(context, state, facts, line)
        if not found.problem and _alike(_telling(found.decisions), wanted):
            return found
    if not wanted:
        # only a remark: the words it answers were not kept, and nothing follows from it
        return _Try(apply_all(context, state, entry.decisions), ())
    for facts in _by_value(entry):
        found = _run(context, state, facts, line)
        if not found.problem and _alike(_unheard(_telling(found.decisions)), _unheard(wanted)):
            return replace(found, state=_rejoin(context, state, found.state, entry))
    return None


def _rejoin(context: Context, before: State, after: State, entry: Entry) -> State:
    """The state by the record itself, with the talk of the run: the heard words differ."""
    return replace(apply_all(context, before, entry.decisions), dialog=after.dialog)


def _ways(entry: Entry) -> Iterator[tuple[Fact, ...]]:
    """The entry's fact alone, then behind what may have been said before it."""
    fact = entry.fact
    yield (fact,)
    if not isinstance(fact, Heard):
        return
    for opener in _openers(entry.decisions):
        yield (*(_said(fact, words) for words in opener), fact)
        if opener != ("no",):
            yield (_said(fact, "no"), *(_said(fact, words) for words in opener), fact)


def _openers(decisions: tuple[Decision, ...]) -> Iterator[tuple[str, ...]]:
    kinds = {type(decision) for decision in decisions}
    if kinds & {Skipped, FixDeclined}:
        yield ("skip",)
    if NoteTaken in kinds:
        yield ("note",)
    if any(isinstance(one, Ended) and one.ending is Ending.STOPPED for one in decisions):
        yield ("stop",)
    if kinds & {ObservationWithdrawn, FactWithdrawn}:
        yield ("correction",)
        for times in range(1, _STEPS_BACK + 1):
            yield ("go back",) * times
    yield ("no",)  # a confirmation that was refused, in one breath with nothing else


def _by_value(entry: Entry) -> Iterator[tuple[Fact, ...]]:
    """A reading by the value that was settled on, for words that meant something only after a question."""
    fact = entry.fact
    if not isinstance(fact, Heard):
        return
    for decision in entry.decisions:
        if isinstance(decision, Observed):
            for words in _plain_words(decision):
                yield (replace(fact, hypotheses=(Hypothesis(words),)),)
                yield (_said(fact, "go back"), replace(fact, hypotheses=(Hypothesis(words),)))
        elif isinstance(decision, FactAnswered):
            yield (replace(fact, hypotheses=(Hypothesis(decision.value),)),)


def _plain_words(seen: Observed) -> Iterator[str]:
    unit = f" {seen.unit}" if seen.unit else ""
    if seen.value is not None:
        yield f"{seen.value:f}{unit}"
    elif seen.low_end is not None and seen.high_end is not None:
        yield f"jumping between {seen.low_end:f} and {seen.high_end:f}{unit}"
    elif seen.choice is not None:
        yield seen.choice
    elif seen.display:
        yield {"over_range": "O L", "unsteady": "unsteady"}.get(seen.display, seen.display)


def _run(context: Context, state: State, facts: tuple[Fact, ...], line: Line) -> _Try:
    """Feed facts until the record comes; a question about the answer is answered with yes."""
    pending = list(facts)
    last = facts[-1]
    idle = 0
    for _ in range(len(facts) + _PARTS):
        fact = pending.pop(0) if pending else last
        before = state.dialog
        try:
            state, effects = step(context, state, fact)
        except DefectError as error:
            return _Try(state, (), str(error))
        record = next((effect for effect in effects if isinstance(effect, Record)), None)
        if record is not None:
            written = Recorded(at=line.mono, number=line.seq)
            if pending:
                return _Try(state, record.decisions, "it was recorded too early")
            state, _ = step(context, state, written)
            return _Try(state, record.decisions)
        idle += (state.dialog.item, state.dialog.part) == (before.item, before.part)
        if not pending and idle > _PATIENCE:
            break
        if not pending and isinstance(last, Heard):
            asks = state.dialog.overlay is not None and state.dialog.overlay.mode is Mode.CONFIRM
            pending.append(_said(last, "yes") if asks else last)
        elif not pending:
            break
    return _Try(state, (), "nothing is recorded for these words")


def _said(fact: Heard, words: str) -> Heard:
    return Heard(fact.at, (Hypothesis(words),))


def _telling(decisions: tuple[Decision, ...]) -> tuple[Decision, ...]:
    return tuple(decision for decision in decisions if not isinstance(decision, Remarked))


def _unheard(decisions: tuple[Decision, ...]) -> tuple[Decision, ...]:
    """Decisions without the words that they came from."""
    return tuple(
        replace(one, heard="", approximate=False)
        if isinstance(one, Observed)
        else replace(one, heard="")
        if isinstance(one, FactAnswered | DetailTold)
        else one
        for one in decisions
    )


def _alike(first: tuple[Decision, ...], second: tuple[Decision, ...]) -> bool:
    """Equal, numbers as they compare and floats to a billionth, which is where ties break."""
    return describe(first, second) is None


def _difference(line: Line, entry: Entry, found: _Try) -> Difference:
    heard = entry.fact.hypotheses[0].words if isinstance(entry.fact, Heard) and entry.fact.hypotheses else ""
    recorded, today = _telling(entry.decisions), _telling(found.decisions)
    told = describe(recorded, today)
    if found.problem and not today:
        told = (", ".join(decision.kind for decision in recorded), found.problem)
    first, second = told or ("", "")
    return Difference(line.seq, line.mono, heard or str(entry.fact.kind), first, second)
