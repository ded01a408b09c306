"""What a session is made of: procedure, words, meter, journal; put together from the command line's options."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import lru_cache, partial
from pathlib import Path
from random import Random, SystemRandom

from assistant import __version__, catalog, library, preferences
from assistant.clock import Clock
from assistant.errors import DefectError, DocumentError, Finding, OperatorError
from assistant.inspection import inspected
from assistant.messages import Talk
from assistant.messages.decisions import (
    CheckChosen,
    Decision,
    FixChosen,
    FixDeclined,
    FixDone,
    Observed,
    ProofStepDone,
)
from assistant.numerals.vin import well_formed
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.load import Loaded, locate, parse_procedure, read_procedure
from assistant.procedure.model import Procedure
from assistant.records.index.start import history_of, index_session, next_ordinal
from assistant.records.index.weights import Told
from assistant.records.journal.lines import Header
from assistant.records.journal.names import new_session_id
from assistant.records.journal.ports import OpenJournal
from assistant.records.journal.reader import parse
from assistant.records.journal.writer import must_be_writable
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import Store, identify
from assistant.session.context import Context
from assistant.session.fold import State, begin, fold
from assistant.session.unprompted.breath import told_in
from assistant.setup.model import ModelIdentity

_TEMPERATURE = re.compile(r"\s*([+-]?\d+(?:\.\d+)?)\s*°?\s*([CFcf]?)\s*")
_WRITE = "Write 75F or 24C; a bare number is Fahrenheit."


@dataclass(frozen=True)
class Work:
    """One session ready to run."""

    context: Context
    state: State
    journal: OpenJournal
    header: Header
    told: str = ""
    """What the history of the unit named at the start says; '' when it was never here."""
    history: Callable[[str], Told] | None = None
    """Looks up the history of a unit whose number is told in the session; None when that is not wanted."""
    remarks: str = ""
    """How to see the remarks on its procedure file; '' where there are none."""
    keep_talk: Callable[[State], None] = lambda _: None
    """Keeps how much is said for the technician's next session, where that was changed in this one."""


def parse_temperature(text: str) -> Decimal:
    """Degrees Fahrenheit of ``75``, ``75F`` or ``24C``.

    Raises:
        OperatorError: it is not a temperature, or none that a shop can have.
    """
    match = _TEMPERATURE.fullmatch(text)
    if match is None:
        raise OperatorError(f"'{text}' is not a temperature.", remedy=_WRITE)
    degrees = Decimal(match[1])
    if match[2].upper() == "C":
        degrees = degrees * 9 / 5 + 32
    if not -80 <= degrees <= 150:
        raise OperatorError(f"{text} is no air temperature.", remedy=_WRITE)
    return degrees


def load_sound_procedure(name: str, vocabulary: Vocabulary) -> Loaded:
    """A procedure that has no faults of its own, inspected as ``leadsman inspect`` does but for the model's words.

    Raises:
        OperatorError: there is none of that name.
        DocumentError: everything that makes it unfit, at once; what is only a remark is counted.
    """
    path = locate(name)
    file, text = read_procedure(path)
    procedure, findings = _inspected(text, file, vocabulary)
    unfit = [one for one in findings if not one.remark]
    remarks = len(findings) - len(unfit)
    if unfit or procedure is None:
        raise DocumentError(file, unfit, remarks_of(name, remarks))
    return Loaded(procedure, text, hashlib.sha256(text.encode()).hexdigest(), path, remarks)


@lru_cache(maxsize=32)
def _inspected(text: str, file: str, vocabulary: Vocabulary) -> tuple[Procedure | None, tuple[Finding, ...]]:
    """Kept for the last few: a page begins the same procedures all day."""
    procedure, findings = inspected(text, file, vocabulary=vocabulary)
    return procedure, tuple(findings)


def remarks_of(name: str, count: int) -> str:
    """How to see the remarks on a procedure file, '' where there are none."""
    if not count:
        return ""
    return f"leadsman inspect {name} shows {count} remark{'' if count == 1 else 's'} that need not stop you."


def grammar_hashes() -> dict[str, str]:
    """File name to SHA-256 of each grammar file in use."""
    patterns = ("*.toml", catalog.SAYINGS, catalog.ANSWERS)
    used = [path for pattern in patterns for path in library.files("grammars", pattern)]
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in used}


def as_store(place: Path | Store) -> Store:
    """A folder as a store."""
    return FolderStore(place) if isinstance(place, Path) else place


@dataclass(frozen=True, slots=True)
class Papers:
    """What the papers of a session are found by, as far as it is known at the start."""

    shop: str = ""
    work_order: str = ""
    vin: str = ""
    odometer: str = ""
    """Miles."""


def papers_from(shop: str, work_order: str, vin: str, odometer: str) -> Papers:
    """What was given on the command line.

    Raises:
        OperatorError: it is no VIN, or the odometer shows no number.
    """
    plain = vin.replace(" ", "").replace("-", "").upper()
    if plain and not well_formed(plain):
        raise OperatorError(f"'{vin}' is no VIN.", remedy="It has 17 letters and digits, without I, O and Q.")
    miles = odometer.replace(",", "").strip()
    if miles and not (miles.isascii() and miles.isdigit()):
        raise OperatorError(f"'{odometer}' is no odometer reading.", remedy="Give the miles, such as 312450.")
    return Papers(" ".join(shop.split()), " ".join(work_order.split()), plain, miles)


def new_session(
    procedure: str,
    folder: Path | Store,
    clock: Clock,
    *,
    meter: str | None = None,
    unit: str = "",
    air_fahrenheit: Decimal | None = None,
    source: str = "typed",
    model: ModelIdentity | None = None,
    invented: bool = False,
    random: Random | None = None,
    technician: str = "",
    history: bool = True,
    talk: Talk | None = None,
    papers: Papers = Papers(),
    own_words: str = "",
    asks_words: bool = False,
) -> Work:
    """Begin a session and its record.

    ``technician`` is kept outside the chain. With ``history`` earlier records of the unit, of the same kind (invented
    or not), shift the suspects' weights; see ``records.index.weights``. ``talk`` is how much is said; None: as the
    technician had it last. ``own_words`` tell what is wrong, as the person said it; with ``asks_words`` they are
    asked for where there are none.

    Raises:
        OperatorError: the procedure or the meter is not there, or the record cannot be written.
        DocumentError: the procedure, a grammar or the table of meters has faults.
    """
    vocabulary = catalog.load_vocabulary()
    loaded = load_sound_procedure(procedure, vocabulary)
    chosen = catalog.load_meter(meter) if meter else None
    store, started = as_store(folder), clock.wall()
    length = talk or (Talk.USUAL if invented else preferences.talk_of(beside(store), technician) or Talk.USUAL)
    told = history_of(store, unit if history else "", loaded.procedure, started, invented=invented)
    context = Context(
        procedure=loaded.procedure,
        vocabulary=vocabulary,
        meter=chosen,
        unit_number=unit,
        air_fahrenheit=air_fahrenheit,
        weights={(weight.fault, weight.place): weight.times for weight in told.weights},
        found_before=told.found,
        last_facts=told.facts,
        last_seen=told.seen,
        own_words=" ".join(own_words.split()),
        asks_words=asks_words and not own_words.split(),
        asks_history=history,
        talk=length,
        simulated=invented,
    )
    context = replace(context, told_facts=told_in(context, context.own_words)) if context.own_words else context
    header = Header(
        session_id=new_session_id(store, started, random or SystemRandom()),
        started=started.isoformat(timespec="seconds"),
        procedure=loaded.procedure.name,
        procedure_toml=loaded.text,
        procedure_sha256=loaded.sha256,
        grammars=grammar_hashes(),
        model=model.name if model else "",
        model_sha256=model.sha256 if model else "",
        meter=chosen,
        unit=unit,
        air_fahrenheit=air_fahrenheit,
        weights=told.weights,
        found_before=told.found,
        last_facts=dict(told.facts),
        last_seen=told.seen,
        own_words=context.own_words,
        asks_words=context.asks_words,
        told_facts=dict(context.told_facts),
        asks_history=history,
        talk=length,
        shop=papers.shop,
        work_order=papers.work_order,
        vin=papers.vin,
        odometer=papers.odometer,
        invented=invented,
        source=source,
        program=__version__,
        ordinal=next_ordinal(store),
    )
    journal = store.create(header, clock)
    if technician.strip():
        store.name_technician(header.session_id, technician.strip())
    journal.on_close = partial(index_session, store)
    inside = _asked_inside(store, context, header)
    remarks = remarks_of(procedure, loaded.remarks)
    keep = _talk_keeper(store, technician, length)
    return Work(context, begin(context), journal, header, told.text, inside, remarks, keep)


def beside(store: Store) -> Path:
    """Where preferences lie: in the folder of the records, or where records of this machine would lie."""
    return store.folder if isinstance(store, FolderStore) else library.records_folder()


def _talk_keeper(store: Store, technician: str, before: Talk) -> Callable[[State], None]:
    def keep(state: State) -> None:
        if state.talk is not before:
            preferences.keep_talk(beside(store), technician, state.talk)

    return keep


def _asked_inside(store: Store, context: Context, header: Header) -> Callable[[str], Told] | None:
    """What looks up a unit's history in the session: as of its start, in records of the same kind."""
    if not context.asks_history:
        return None
    started = datetime.fromisoformat(header.started)
    procedure, but = context.procedure, header.session_id
    return lambda unit: history_of(store, unit, procedure, started, invented=header.invented, but=but)


def context_from(header: Header) -> Context:
    """What a recorded session works with, from its header and today's grammars.

    Raises:
        OperatorError: the header has lost its procedure.
        DocumentError: the procedure kept in it is none.
    """
    if not header.procedure_toml:
        raise OperatorError(
            f"Session {header.session_id} has lost its beginning, so its procedure is not known.",
            remedy=f"What is left of it can be read: leadsman show {header.session_id}.",
        )
    return Context(
        procedure=parse_procedure(header.procedure_toml, f"the procedure kept in {header.session_id}"),
        vocabulary=catalog.load_vocabulary(),
        meter=header.meter,
        unit_number=header.unit,
        air_fahrenheit=header.air_fahrenheit,
        weights={(weight.fault, weight.place): weight.times for weight in header.weights},
        found_before=header.found_before,
        last_facts=header.last_facts,
        last_seen=header.last_seen,
        own_words=header.own_words,
        asks_words=header.asks_words,
        told_facts=header.told_facts,
        asks_history=header.asks_history,
        talk=header.talk,
        simulated=header.invented,
    )


def _must_fit(context: Context, decisions: Iterable[Decision]) -> None:
    """Everything that a record names stands in its procedure.

    Raises:
        DefectError: something does not.
    """
    for decision in decisions:
        match decision:
            case CheckChosen() | Observed():
                context.check(decision.check)
            case FixChosen() | FixDone() | FixDeclined():
                context.fix(decision.fix)
            case ProofStepDone():
                context.proof_step(decision.step)


def resume_session(folder: Path | Store, session_id: str, clock_from: Callable[[float], Clock]) -> tuple[Work, Clock]:
    """Take up a session where its record ends; the procedure is the one kept in the record.

    Args:
        folder: where records lie.
        session_id: which one.
        clock_from: makes a clock that has so many seconds behind it.

    Raises:
        OperatorError: it is ended, damaged beyond use, or written by another process.
    """
    store = as_store(folder)
    session_id = identify(store, session_id)
    session = parse(store.data(session_id), session_id)
    must_be_writable(session, session_id)
    header = session.header
    if not header.procedure_toml:
        raise OperatorError(
            f"Session {session_id} has lost its beginning and cannot go on.", remedy="Start a new one for the unit."
        )
    context = context_from(header)
    decisions = [decision for _, entry in session.entries() for decision in entry.decisions]
    ended = next((decision for decision in decisions if decision.kind == "ended"), None)
    if ended is not None:
        raise OperatorError(
            f"Session {session_id} is over ({ended.ending}).", remedy=f"Read it with: leadsman show {session_id}"
        )
    try:
        _must_fit(context, decisions)
        state = fold(context, decisions)
    except DefectError as error:
        raise OperatorError(
            f"Session {session_id} does not fit the procedure that is kept in it: {error}.",
            remedy=f"It can be read: leadsman show {session_id}.",
        ) from None
    last = max((line.mono for line in session.lines), default=0.0)
    clock = clock_from(last)
    journal = store.open(session_id, clock)
    journal.on_close = partial(index_session, store)
    inside = _asked_inside(store, context, header)
    keep = _talk_keeper(store, store.technician(session_id), state.talk)
    return Work(context, state, journal, header, history=inside, keep_talk=keep), clock
