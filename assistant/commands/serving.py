"""What the page works with, put together from the other rooms: sessions, records, and the one recogniser."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from assistant import library
from assistant.app import Loop
from assistant.clock import Clock, SystemClock
from assistant.commands.record_view import record_view
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import sound_of_samples
from assistant.engine.setting import Setting
from assistant.errors import DocumentError, OperatorError
from assistant.log.entries import Entry
from assistant.log.journal import journal_path
from assistant.log.sessions import Session, list_sessions, read_session
from assistant.messages import Expectation, Fact, Heard, Resumed
from assistant.page.ports import Ear, Heed, Offer, Opened, PastTurn, RecordRow, Runs, Teller
from assistant.procedure.load import list_procedures, load_procedure
from assistant.setup.model import ModelIdentity
from assistant.wiring import Work, new_session, parse_temperature, resume_session


class ShopFloor:
    """Sessions and records of this machine.

    Args:
        folder: where records lie.
        meter: name of the meter in hand unless another is named.
        model: the model that spoken answers are heard with, None when nothing can be heard.
    """

    def __init__(self, folder: Path, meter: str = "", model: ModelIdentity | None = None) -> None:
        self._folder, self._meter, self._model = folder, meter, model
        self._titles: dict[str, str] = {}

    @property
    def meter(self) -> str:
        """Name of the meter in hand, '' for none."""
        return self._meter

    def offers(self) -> Sequence[Offer]:
        """Procedures that can be started; one with faults is left out, 'leadsman inspect' names them."""
        found = []
        for path in list_procedures():
            try:
                procedure = load_procedure(path).procedure
            except (DocumentError, OperatorError):
                continue
            self._titles[procedure.name] = procedure.title
            found.append(Offer(path.stem, procedure.title, procedure.summary))
        return found

    def meters(self) -> Sequence[tuple[str, str]]:
        """Name and title of each meter."""
        return [(name, meter.title) for name, meter in sorted(library.load_meters().items())]

    def records(self) -> Sequence[RecordRow]:
        """Every record, newest first."""
        return [
            RecordRow(
                one.id,
                one.started,
                one.unit,
                self._titles.get(one.procedure, one.procedure),
                one.ending,
                one.cause,
                one.minutes,
                one.damaged,
                one.invented,
            )
            for one in list_sessions(self._folder)
        ]

    def record(self, session_id: str) -> dict[str, Any] | None:
        """One record as plain data, None when there is none of exactly that identity."""
        try:
            path = journal_path(self._folder, session_id)
        except OperatorError:
            return None
        return record_view(read_session(path), library.load_lexicon()) if path.is_file() else None

    def start(self, procedure: str, unit: str, meter: str, air: str) -> Opened:
        """Begin a session."""
        clock = SystemClock()
        work = new_session(
            procedure,
            self._folder,
            clock,
            meter=meter or None,
            unit=unit,
            air_fahrenheit=parse_temperature(air) if air else None,
            source="page",
            model=self._model,
        )
        told = (PastTurn(0.0, "us", work.told),) if work.told else ()
        return _opened(work, clock, None, told)

    def resume(self, session_id: str) -> Opened:
        """Take up a session that was left."""
        path = journal_path(self._folder, session_id)
        if not path.is_file():
            raise OperatorError(f"There is no session {session_id}.")
        past = past_turns(read_session(path))
        work, clock = resume_session(self._folder, session_id, SystemClock)
        return _opened(work, clock, Resumed(at=clock.now()), past)


def past_turns(session: Session) -> tuple[PastTurn, ...]:
    """Both sides of the talk as a record has them."""
    turns = []
    for line in session.lines:
        if not isinstance(line.body, Entry):
            continue
        fact = line.body.fact
        if isinstance(fact, Heard) and fact.hypotheses:
            turns.append(PastTurn(line.mono, "you", fact.hypotheses[0].words))
        turns += [PastTurn(line.mono, "us", said) for said in line.body.said if said]
    return tuple(turns)


def _opened(work: Work, clock: Clock, opening: Fact | None, past: tuple[PastTurn, ...]) -> Opened:
    def make_loop(ear: Ear, teller: Teller) -> Runs:
        return Loop(work.setting, work.state, work.journal, ear, teller, clock, history=work.history)

    setting: Setting = work.setting
    return Opened(work.header.session_id, setting, clock.now, opening, past, make_loop, work.journal.close)


class SharedHearing:
    """One recogniser for every session: its thread takes one utterance after another."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser

    def prepare(self, expectation: Expectation) -> None:
        """Get the grammar of a prompt ready."""
        self._recogniser.prepare(expectation)

    def hear(self, samples: bytes, expectation: Expectation) -> Heed:
        """Hear 16-bit little-endian mono sound at 16 kHz as an answer to a prompt."""
        levels = np.frombuffer(samples[: len(samples) // 2 * 2], dtype="<i2")
        sound = sound_of_samples(levels, where="That")
        hearing = self._recogniser.hear(sound, expectation)
        return Heed(hearing.hypotheses, hearing.snr_db, " ".join(hearing.warnings))
