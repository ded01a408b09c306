"""What the page works with, put together from the other rooms: sessions and records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from assistant import catalog
from assistant.clock import Clock, SystemClock
from assistant.commands.lead.left_open import left_open, told
from assistant.commands.records.report import context_of
from assistant.composition import Work, new_session, parse_temperature, resume_session
from assistant.errors import DocumentError, OperatorError
from assistant.loop import Loop, Writer
from assistant.messages import Fact, Resumed
from assistant.procedure.load import list_procedures, load_procedure
from assistant.records.journal.sound import NOTICE, SoundKeepingJournal
from assistant.records.journal.writer import journal_path
from assistant.records.report.page import Told, heading, record_html
from assistant.records.report.path import path_of
from assistant.records.report.talk import Turn, turns_of
from assistant.records.store.ports import Store, find
from assistant.records.summary.collect import summarize
from assistant.records.summary.sessions import Summary, row_of
from assistant.records.summary.summary import LEFT
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.setup.model import ModelIdentity
from assistant.web.answers import PageListener
from assistant.web.ports import LeftOffer, Offer, Opened, RecordPage
from assistant.web.teller import PageTeller

LISTED = 500
"""Records that are listed, the newest; older ones are found with 'leadsman search'."""


class ShopFloor:
    """Sessions and records, of this machine or of the whole shop.

    Args:
        store: where records are.
        meter: name of the meter in hand unless another is named.
        model: the model that spoken answers are heard with, None when nothing can be heard.
        sound: folder of the records beside which the sound of accepted answers is kept; None to keep none.
    """

    def __init__(
        self, store: Store, meter: str = "", model: ModelIdentity | None = None, sound: Path | None = None
    ) -> None:
        self._store, self._meter, self._model, self._sound = store, meter, model, sound
        self._before: Store | None = None
        self._titles: dict[str, str] = {}
        self._rows: dict[str, tuple[int, Summary]] = {}

    def move(self, store: Store) -> None:
        """Keep new sessions there from here; those that are open go on where they were begun."""
        self._before, self._store, self._rows = self._store, store, {}

    @property
    def meter(self) -> str:
        """Name of the meter in hand, '' for none."""
        return self._meter

    def offers(self) -> Sequence[Offer]:
        """Procedures that can be started; one with faults is left out, 'leadsman inspect' names them.

        What leads through the most comes first, surveys last.
        """
        found = []
        for path in list_procedures():
            try:
                procedure = load_procedure(path).procedure
            except (DocumentError, OperatorError):
                continue
            self._titles[procedure.name] = procedure.title
            offer = Offer(path.stem, procedure.title, procedure.summary, procedure.kind)
            found.append((len(procedure.faults) + len(procedure.checks), offer))
        return [offer for _, offer in sorted(found, key=lambda one: (one[1].kind, -one[0], one[1].title))]

    def meters(self) -> Sequence[tuple[str, str]]:
        """Name and title of each meter."""
        return [(name, meter.title) for name, meter in sorted(catalog.load_meters().items())]

    def records(self) -> Sequence[Summary]:
        """The newest records, newest first, each with the title of its procedure where that is known."""
        return [replace(one, procedure=self._titles.get(one.procedure, one.procedure)) for one in self._summaries()]

    def _summaries(self) -> list[Summary]:
        """One row per record; only records that have grown since the last call are read again."""
        names = self._store.ids()[-LISTED:][::-1]
        sizes = self._store.sizes(names)
        known, fresh = self._rows, {}
        for name in names:
            size, row = known.get(name, (-1, None))
            if row is None or size != sizes.get(name):
                try:
                    row = row_of(find(self._store, name))
                except OperatorError:
                    continue  # deleted since the names were listed, or unreadable: the rest are still listed
            fresh[name] = (sizes.get(name, -1), row)
        self._rows = fresh
        return [row for _, row in fresh.values()]

    def record(self, session_id: str) -> RecordPage | None:
        """One record to show, None unless a record has exactly this identity."""
        try:
            journal_path(Path(), session_id)  # refuses what is no identity
        except OperatorError:
            return None
        place = self._place_of(session_id)
        if place is None:
            return None
        session = find(place, session_id)
        one = summarize(session)
        told = Told(path_of(session, context_of(session)), turns_of(session), place.technician(session_id))
        return RecordPage(heading(one), record_html(one, catalog.load_vocabulary(), told), one.ending == LEFT)

    def left(self, procedure: str, unit: str) -> LeftOffer | None:
        """The newest session of a procedure that was left on this unit, None when no unit is named."""
        found = left_open(self._store, procedure, unit, SystemClock().wall()) if unit else None
        if found is None:
            return None
        asked = told(found, catalog.load_vocabulary(), question=True)
        return LeftOffer(found.id, asked.shown, asked.spoken)

    def start(self, procedure: str, unit: str, meter: str, air: str) -> Opened:
        """Begin a session."""
        clock = SystemClock()
        work = new_session(
            procedure,
            self._store,
            clock,
            meter=meter or None,
            unit=unit,
            air_fahrenheit=parse_temperature(air) if air else None,
            source="page",
            model=self._model,
        )
        return self._opened(work, clock, None, ())

    def resume(self, session_id: str) -> Opened:
        """Take up a session that was left."""
        journal_path(Path(), session_id)  # refuses what is no identity
        place = self._place_of(session_id)
        if place is None:
            raise OperatorError(f"There is no session {session_id}.")
        past = tuple(turn for turn in turns_of(find(place, session_id)) if turn.who != "mark")
        work, clock = resume_session(place, session_id, SystemClock)
        return self._opened(work, clock, Resumed(at=clock.now()), past)

    def _place_of(self, session_id: str) -> Store | None:
        """Where a session is kept, by its whole identity: neither a part of one nor 'last' names it to a request."""
        places = [place for place in (self._store, self._before) if place is not None and session_id != "last"]
        return next((place for place in places if place.has(session_id)), None)

    def _opened(self, work: Work, clock: Clock, opening: Fact | None, past: tuple[Turn, ...]) -> Opened:
        running: list[Loop[Context, State]] = []

        def make_loop(listener: PageListener, teller: PageTeller) -> Loop[Context, State]:
            writer: Writer = work.journal
            if self._sound is not None:
                session_id = work.header.session_id
                writer = SoundKeepingJournal(work.journal, self._sound, session_id, listener.sound_of, teller.notice)
            loop = Loop(work.context, work.state, writer, listener, teller, clock, history=work.history)
            running.append(loop)
            return loop

        def close() -> None:
            for loop in running:
                work.keep_talk(loop.state)
            work.journal.close()

        first = (work.told, NOTICE if self._sound is not None else "")
        return Opened(
            id=work.header.session_id,
            context=work.context,
            now=clock.now,
            opening=opening,
            past=past,
            make_loop=make_loop,
            close=close,
            told=tuple(one for one in first if one),
            keeps_sound=self._sound is not None,
        )
