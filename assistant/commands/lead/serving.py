"""What the page works with, put together from the other rooms: sessions and records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from assistant import catalog
from assistant.clock import Clock, SystemClock
from assistant.commands.lead.left_open import left_open, told
from assistant.commands.lead.offered import OfferedProcedures
from assistant.commands.lead.shop_rows import ShopRows
from assistant.commands.records.report import context_of
from assistant.composition import (
    Papers,
    Work,
    beside,
    load_sound_procedure,
    new_session,
    parse_temperature,
    resume_session,
)
from assistant.errors import OperatorError
from assistant.loop import Loop, Writer
from assistant.messages import Fact, Heard, Resumed
from assistant.messages.decisions import Record
from assistant.procedure.choosing import nearest
from assistant.records.index.board import BoardRow, Stand, board_of
from assistant.records.index.index import plain_errors
from assistant.records.index.queries import comebacks, visits, work_on
from assistant.records.journal.names import journal_path, no_session
from assistant.records.journal.sound import NOTICE, SoundKeepingJournal
from assistant.records.report.exhibits import exhibits_of
from assistant.records.report.page import Told, customer_element, heading, record_html
from assistant.records.report.path import path_of
from assistant.records.report.photos import addresses
from assistant.records.report.talk import Turn, turns_of
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import Store, find
from assistant.records.summary.collect import summarize
from assistant.records.summary.sessions import Summary
from assistant.records.summary.summary import LEFT
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.setup.model import ModelIdentity
from assistant.web.answers import PageListener
from assistant.web.ports import LeftOffer, Offer, Opened, RecordPage, UnitPast
from assistant.web.teller import PageTeller

PRACTICE = (
    "Practice: an invented unit with a hidden fault. What it shows stands in brackets; say it in your own words. "
    "Nothing is to be done to a real unit."
)


class AnswerCount:
    """Writes through, and counts the answers that stand in the record.

    Args:
        writer: writes the record.
        answers: what stands in it already.
    """

    def __init__(self, writer: Writer, answers: int) -> None:
        self._writer, self.answers = writer, answers

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry."""
        number = self._writer.append(record, said, at)
        self.answers += isinstance(record.fact, Heard) and bool(record.fact.hypotheses)
        return number


class ShopFloor:
    """Sessions and records, of this machine or of the whole shop.

    Args:
        store: where records are.
        meter: name of the meter in hand unless another is named.
        model: the model that spoken answers are heard with, None when nothing can be heard.
        sound: folder of the records beside which the sound of accepted answers is kept; None to keep none.
        shop: name of the shop, for the head of its reports.
    """

    def __init__(
        self,
        store: Store,
        meter: str = "",
        model: ModelIdentity | None = None,
        sound: Path | None = None,
        shop: str = "",
    ) -> None:
        self._papers = Papers(shop)
        self._store, self._meter, self._model, self._sound = store, meter, model, sound
        self._before: Store | None = None
        self._practice = FolderStore(beside(store) / "practice")
        self._procedures, self._rows = OfferedProcedures(), ShopRows(store)

    def move(self, store: Store) -> None:
        """Keep new sessions there from here; those that are open go on where they were begun."""
        self._before, self._store, self._rows = self._store, store, ShopRows(store)

    @property
    def meter(self) -> str:
        """Name of the meter in hand, '' for none."""
        return self._meter

    def offers(self) -> Sequence[Offer]:
        """Procedures that can be started; one with faults is left out, 'leadsman inspect' names them.

        What leads through the most comes first, surveys last.
        """
        found = sorted(
            self._procedures.without_faults(),
            key=lambda one: (one[1].kind, -len(one[1].faults) - len(one[1].checks), one[1].title),
        )
        return [Offer(path.stem, one.title, one.summary, one.kind) for path, one in found]

    def about(self, words: str) -> Sequence[str]:
        """Names of the procedures that a complaint in own words may be about, the nearest first."""
        return [one.name for one in nearest(words, [procedure for _, procedure in self._procedures.without_faults()])]

    def meters(self) -> Sequence[tuple[str, str]]:
        """Name and title of each meter."""
        return [(name, meter.title) for name, meter in sorted(catalog.load_meters().items())]

    def records(self) -> Sequence[Summary]:
        """The newest records, newest first, each with the title of its procedure where that is known."""
        rows = [row for row, _ in self._rows.read()]
        return [replace(one, procedure=self._procedures.title(one.procedure)) for one in rows]

    def board(self) -> Sequence[BoardRow]:
        """What of the shop's sessions was left or waits, or is led elsewhere."""
        rows = [(row.unit, row.procedure, stands) for row, stands in self._rows.read()]
        with plain_errors("The board cannot be read"):
            found = board_of(rows, SystemClock().wall())
            led = self._store.in_use([one.id for one in found if one.stand is Stand.LEFT])
        return [replace(one, stand=Stand.ELSEWHERE, waits_for="") if one.id in led else one for one in found]

    def unit(self, number: str) -> UnitPast | None:
        """What the records know of a unit, None when it was never here."""
        with plain_errors("The history cannot be read"):
            index = self._store.index()
            index.refresh(self._store)
            with index.connect() as connection:
                past = visits(connection, number, invented=False)
                done = work_on(connection, number, invented=False)
        if not past:
            return None
        past = [replace(one, procedure=self._procedures.title(one.procedure)) for one in past]
        return UnitPast(number, tuple(past), tuple(done), tuple(comebacks(past, done, number)))

    def unit_of(self, session_id: str) -> str:
        """Number of the unit that a session is on, '' where there is none."""
        try:
            journal_path(Path(), session_id)  # refuses what is no identity
        except OperatorError:
            return ""
        place = self._place_of(session_id)
        return "" if place is None else summarize(find(place, session_id)).unit

    def record(self, session_id: str, *, customer: bool = False) -> RecordPage | None:
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
        if customer:
            return RecordPage(heading(one), customer_element(one, catalog.load_vocabulary()), left=False)
        photos = addresses(
            one, lambda name: place.photo(session_id, name), lambda name, _: f"/record/{session_id}/photo/{name}"
        )
        context = context_of(session)
        told = Told(
            path_of(session, context),
            turns_of(session),
            place.technician(session_id),
            photos=photos,
            exhibits=exhibits_of(session, context, one),
        )
        return RecordPage(
            heading(one),
            record_html(one, catalog.load_vocabulary(), told),
            one.ending == LEFT and place is not self._practice,
        )

    def keep_photo(self, session_id: str, name: str, content: bytes) -> None:
        """Keep a photo's picture where its record lies."""
        self._must_be_at(session_id).keep_photo(session_id, name, content)

    def photo(self, session_id: str, name: str) -> bytes | None:
        """A photo's picture, None where there is none (any more)."""
        return self._must_be_at(session_id).photo(session_id, name)

    def erase_photo(self, session_id: str, name: str) -> bool:
        """Erase one picture; False where there was none."""
        return self._must_be_at(session_id).erase_photo(session_id, name)

    def left(self, procedure: str, unit: str) -> LeftOffer | None:
        """The newest session of a procedure that was left on this unit, None when no unit is named."""
        found = left_open(self._store, procedure, unit, SystemClock().wall()) if unit else None
        if found is None:
            return None
        asked = told(found, catalog.load_vocabulary(), question=True)
        return LeftOffer(found.id, asked.shown, asked.spoken)

    def start(self, procedure: str, unit: str, meter: str, air: str, words: str = "", order: str = "") -> Opened:
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
            papers=replace(self._papers, work_order=" ".join(order.split())),
            own_words=words,
            asks_words=True,
        )
        return self._opened(work, clock, None, ())

    def practice(self, procedure: str) -> Opened:
        """Begin a session on an invented unit with a hidden fault; its record lies beside the shop's."""
        from assistant.commands.lead.practicing import hide, outcome
        from assistant.simulator.partner import Partner
        from assistant.simulator.technician import UnitRecord

        clock = SystemClock()
        loaded = load_sound_procedure(procedure, catalog.load_vocabulary()).procedure
        hidden = hide(loaded)
        work = new_session(
            procedure,
            self._practice,
            clock,
            unit="0000",
            source="page",
            model=self._model,
            invented=True,
            history=False,
        )
        record, partners = UnitRecord(hidden.unit, work.journal), list[Partner]()
        opened = self._opened(work, clock, None, (), writer=record)

        def make_loop(listener: PageListener, teller: PageTeller) -> Loop[Context, State]:
            loop = opened.make_loop(listener, teller)
            partner = Partner(hidden.unit, lambda text: teller.notice(f"[{text}]"), clock.now, listener)
            partners.append(partner)
            loop.listener, loop.on_listen = partner, partner.show
            return loop

        def after(ending: str) -> tuple[str, ...]:
            return tuple(outcome(hidden, work.context, record, partners[0].shown, ending)) if ending != LEFT else ()

        return replace(opened, make_loop=make_loop, after=after, told=(PRACTICE,), keeps_sound=False)

    def resume(self, session_id: str) -> Opened:
        """Take up a session that was left."""
        place = self._must_be_at(session_id)
        if place is self._practice:
            raise OperatorError(
                "The invented unit of a practice ends with the page that it was begun on.",
                remedy="Begin another one.",
            )
        session = find(place, session_id)
        past = tuple(turn for turn in turns_of(session) if turn.who != "mark")
        work, clock = resume_session(place, session_id, SystemClock)
        answers = sum(isinstance(one.fact, Heard) and bool(one.fact.hypotheses) for _, one in session.entries())
        return self._opened(work, clock, Resumed(at=clock.now()), past, answers)

    def _must_be_at(self, session_id: str) -> Store:
        """Where a session is kept.

        Raises:
            OperatorError: there is none of that identity.
        """
        journal_path(Path(), session_id)  # refuses what is no identity
        place = self._place_of(session_id)
        if place is None:
            raise no_session(session_id)
        return place

    def _place_of(self, session_id: str) -> Store | None:
        """Where a session is kept, by its whole identity: neither a part of one nor 'last' names it to a request."""
        kept = (self._store, self._before, self._practice)
        places = [place for place in kept if place is not None and session_id != "last"]
        return next((place for place in places if place.has(session_id)), None)

    def _opened(
        self,
        work: Work,
        clock: Clock,
        opening: Fact | None,
        past: tuple[Turn, ...],
        answers: int = 0,
        writer: Writer | None = None,
    ) -> Opened:
        """A session ready to run, with what its record has already; ``writer`` keeps it where the journal alone does
        not."""
        running: list[Loop[Context, State]] = []
        counted: list[AnswerCount] = []

        def make_loop(listener: PageListener, teller: PageTeller) -> Loop[Context, State]:
            kept = writer or work.journal
            if self._sound is not None and writer is None:
                session_id = work.header.session_id
                kept = SoundKeepingJournal(work.journal, self._sound, session_id, listener.sound_of, teller.notice)
            counted.append(AnswerCount(kept, answers))
            loop = Loop(work.context, work.state, counted[0], listener, teller, clock, history=work.history)
            loop.moved = work.journal.moved
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
            answered=lambda: counted[0].answers,
            told=tuple(one for one in first if one),
            keeps_sound=self._sound is not None,
        )
