"""``leadsman start`` and ``resume``: a session by keyboard, from typed answers or from recordings."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import click

from assistant import catalog, library
from assistant.clock import Clock, SystemClock
from assistant.commands.completion import complete_meters, complete_procedures, complete_sessions
from assistant.commands.lead.ending import survey_end
from assistant.commands.lead.left_open import LeftOpen, ask, left_open, told
from assistant.commands.lead.live import Live, Wishes, model_used, open_live, tell
from assistant.commands.lead.voice import open_voice
from assistant.commands.records.places import open_store, open_store_or_folder, place_options
from assistant.commands.shared import options
from assistant.commands.terminal import echo, is_terminal, notice
from assistant.composition import Work, new_session, papers_from, parse_temperature, resume_session
from assistant.display.board import EMPTY, board
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.inputs.console import ConsoleListener, TypedAnswers, read_answers
from assistant.inputs.ports import Listener
from assistant.loop import Loop, Writer
from assistant.messages import Fact, Resumed, Talk
from assistant.numerals.vin import check_digit_fits
from assistant.phrasing.phrase import Sentence
from assistant.procedure.choosing import nearest
from assistant.procedure.load import list_procedures, load_procedure
from assistant.records.index.listing import listed
from assistant.records.journal.sound import NOTICE, Samples, SoundKeepingJournal
from assistant.records.store.ports import Store
from assistant.records.summary.sessions import LEFT
from assistant.session.offer import YES_OR_NO, Answer
from assistant.setup.model import ModelIdentity

ListenerMaker = Callable[[Clock], Listener]


@dataclass(frozen=True, slots=True)
class InputOptions:
    """Where answers come from and whether the voice speaks, as given on the command line; see ``input_options``."""

    listen: bool
    headset: bool
    typed: bool
    answers: Path | None
    audio: Path | None
    keep_sound: bool
    voice: bool | None

    @property
    def prepared(self) -> bool:
        """True when every answer was given beforehand."""
        return self.answers is not None or self.audio is not None


input_options = options(
    click.option("--listen", is_flag=True, help="Listen to the microphone, also where nobody sits at a terminal."),
    click.option("--headset", is_flag=True, help="You wear a headset: 'stop' and 'say again' cut the voice short."),
    click.option(
        "--typed",
        is_flag=True,
        help="Type the answers. Default: at a terminal the microphone and the keyboard, else typed lines.",
    ),
    click.option("--answers", type=click.Path(path_type=Path), help="A file of typed answers, one a line."),
    click.option("--audio", type=click.Path(path_type=Path), help="A folder of recordings, one file an answer."),
    click.option(
        "--keep-sound",
        is_flag=True,
        help="Keep the sound of each accepted answer beside its entry. Default: no sound is kept.",
    ),
    click.option(
        "--voice/--mute",
        default=None,
        help="Speak aloud, or only show. Default: speak at a terminal, or when listening.",
    ),
)
"""Where answers come from, and whether the voice speaks."""


@click.command(epilog="Example: leadsman start trailer-abs-light-on --unit 4207 --meter shop")
@click.argument("procedure", required=False, default="", shell_complete=complete_procedures)
@input_options
@click.option("--unit", default="", help="Number of the truck or trailer; else it is asked.")
@click.option(
    "--complaint",
    default="",
    metavar="TEXT",
    help="What is wrong, in your own words: kept as said, and it chooses the procedure where none is named.",
)
@click.option(
    "--meter",
    shell_complete=complete_meters,
    help="The meter in hand, by its name in the table of meters (see leadsman setup).",
)
@click.option("--technician", default="", help="Your name, kept outside the record so that it can be erased.")
@click.option("--shop", default="", help="Name of the shop, for the head of its reports (see leadsman config).")
@click.option("--work-order", default="", help="Number of the work order; it can also be said in the session.")
@click.option("--vin", default="", help="The unit's VIN; it can also be said or typed in the session.")
@click.option("--odometer", default="", metavar="MILES", help="What the odometer shows.")
@click.option(
    "--talk",
    type=click.Choice([one.value for one in Talk]),
    help="How much is said. Default: as you had it last; 'keep it short' changes it.",
)
@click.option(
    "--air-temperature", metavar="N", help="Air temperature, such as 75F or 24C; a bare number is Fahrenheit."
)
@place_options
def start(
    procedure: str,
    unit: str,
    complaint: str,
    meter: str | None,
    technician: str,
    shop: str,
    work_order: str,
    vin: str,
    odometer: str,
    talk: str | None,
    air_temperature: str | None,
    records: Path | None,
    store: str,
    **given: Any,
) -> None:
    """Start a session with PROCEDURE: a name from 'leadsman procedures', or a file; or by what is wrong."""
    procedure = procedure or _by_complaint(complaint)
    chosen = InputOptions(**given)
    place = open_store_or_folder(records, store)
    air = parse_temperature(air_temperature) if air_temperature else None
    papers = papers_from(shop, work_order, vin, odometer)
    if papers.vin and not check_digit_fits(papers.vin):  # one from elsewhere need not have a check digit
        notice(
            f"VIN {papers.vin}: its ninth character does not fit the others. It is kept; read it off the plate again."
        )
    with ExitStack() as stack:
        edges = _edges(stack, chosen, records)
        clock = SystemClock()
        left = None if chosen.prepared else left_open(place, procedure, unit, clock.wall())
        if left is not None and edges.wishes is None:
            which = told(left, catalog.load_vocabulary(), question=False).shown
            notice(f"{which} Go on with it by: leadsman resume {left.id}")
        elif left is not None:
            answer = _offered(left, *edges.front(clock), clock)
            if answer is Answer.NEITHER:
                echo(f"\nNothing was begun. Go on with that session by: leadsman resume {left.id}")
                return
            if answer is Answer.RESUME:
                _run_resumed(edges, place, left.id)
                return
            clock = SystemClock()
        work = new_session(
            procedure, place, clock, meter=meter, unit=unit, air_fahrenheit=air, source=edges.source,
            model=edges.model, technician=technician, talk=Talk(talk) if talk else None, papers=papers,
            own_words=complaint, asks_words=edges.wishes is not None,
        )  # fmt: skip
        if work.remarks:
            notice(work.remarks)
        _run(edges, work, clock)


def _by_complaint(complaint: str) -> str:
    """Name of the procedure that a complaint calls for.

    Raises:
        OperatorError: there is none, it calls for none, or for several.
    """
    example = 'leadsman start --complaint "trailer ABS light stays on"'
    if not complaint.strip():
        raise OperatorError(
            "There is no procedure and no complaint.",
            remedy=f"Name one (see leadsman procedures), or say what is wrong: {example}",
        )
    found = nearest(complaint, [load_procedure(path).procedure for path in list_procedures()])
    if len(found) == 1:
        notice(f"{found[0].title} ({found[0].name}).")
        return found[0].name
    if not found:
        raise OperatorError("No procedure is about that.", remedy="See them all: leadsman procedures")
    names = "; ".join(f"{one.name} ({one.title})" for one in found[:4])
    raise OperatorError(f"That may be one of several: {names}.", remedy="Name the one it is before --complaint.")


@click.command(epilog="Example: leadsman resume 20260131-142305-k3f")
@click.argument("session_id", metavar="ID", required=False, shell_complete=complete_sessions)
@input_options
@place_options
def resume(session_id: str | None, records: Path | None, store: str, **given: Any) -> None:
    """Go on with a session that was left. Without ID: the one left last."""
    chosen = InputOptions(**given)
    place = open_store(records, store)
    if session_id is None:
        session_id = next((one.id for one in listed(place, left=True) if not place.in_use([one.id])), None)
        if session_id is None:
            raise OperatorError(f"No session in {place.where} was left unfinished.")
    with ExitStack() as stack:
        _run_resumed(_edges(stack, chosen, records), place, session_id)


@dataclass(frozen=True, slots=True)
class _Sound:
    """Where sound is kept, and where it comes from."""

    folder: Path
    """Of the records on this machine."""
    audio: Path | None
    """Recordings that are the answers, None where nothing is heard."""

    def of(self, name: str) -> tuple[Samples, int] | None:
        """The sound of one answer."""
        from assistant.audio.sound import RATE, read_sound

        return None if self.audio is None else (read_sound(self.audio / name).samples, RATE)


@dataclass
class _Edges:
    """Where answers come from and where sentences go, as the options say; what is open is closed with the stack."""

    stack: ExitStack
    options: InputOptions
    wishes: Wishes | None
    """What a live session should do, None for one that is not live."""
    make_listener: ListenerMaker
    """Makes the input of a session that is not live, once its clock runs."""
    model: ModelIdentity | None
    """The model that answers are heard with."""
    source: str
    """How the record names the input."""
    sound: _Sound | None
    """Where sound is kept, None where none is."""
    clock: Clock = field(default_factory=SystemClock)
    """Times what is live: replaced once it is known which session runs."""
    opened: tuple[Live, Screen] | None = None
    """What is live, once it is open."""

    def now(self) -> float:
        """Seconds since the session began that runs."""
        return self.clock.now()

    def front(self, clock: Clock) -> tuple[Live, Screen]:
        """Microphone, voice and keyboard, and the screen, opened when first needed; ``clock`` counts from here."""
        self.clock = clock
        if self.opened is None:
            assert self.wishes is not None  # noqa: S101 - only a live session has a front
            live = open_live(self.stack, self.now, self.wishes, tell)
            self.opened = live, Screen(live.voice, interactive=live.chat is None and is_terminal())
        return self.opened


def _edges(stack: ExitStack, options: InputOptions, records: Path | None) -> _Edges:
    """The edges of one command.

    Raises:
        UsageError: more than one way of answering was asked for.
        OperatorError: what was asked for cannot be had.
    """
    if sum([options.listen, options.typed, options.answers is not None, options.audio is not None]) > 1:
        raise click.UsageError("Give only one of --listen, --typed, --answers and --audio.")
    wishes = None
    if not options.prepared and (options.listen or is_terminal()):
        listen = True if options.listen else False if options.typed else None
        wishes = Wishes(listen, options.headset, options.voice)
    make_listener, model, source = _listener(stack, wishes, options)
    sound = _Sound(records or library.records_folder(), options.audio) if options.keep_sound else None
    return _Edges(stack, options, wishes, make_listener=make_listener, model=model, source=source, sound=sound)


def _listener(
    stack: ExitStack, wishes: Wishes | None, options: InputOptions
) -> tuple[ListenerMaker, ModelIdentity | None, str]:
    """What makes the input once the clock runs, the model it hears with, and how the record names it."""
    if wishes is not None:
        return (
            lambda clock: ConsoleListener(clock.now),
            model_used(wishes),
            "typed" if options.typed else "microphone",
        )
    if options.audio is not None:
        from assistant.asr.recognizer import Recognizer
        from assistant.inputs.recording import RecordedListener, recordings_in
        from assistant.setup.model import identity, model_folder

        files = recordings_in(options.audio)
        model = model_folder()
        recognizer = stack.enter_context(Recognizer(model, catalog.load_vocabulary(), notice=notice))
        return (
            lambda clock: RecordedListener(files, recognizer, clock.now, notice=notice),
            identity(model),
            "recording",
        )
    if options.answers is not None:
        lines = read_answers(options.answers)
        return lambda clock: TypedAnswers(lines, clock.now), None, "typed"
    return lambda clock: ConsoleListener(clock.now), None, "typed"


def _offered(left: LeftOpen, live: Live, screen: Screen, clock: Clock) -> Answer:
    """Whether a session that was left is to be resumed: asked aloud and on the screen, answered by voice or typed."""
    vocabulary = catalog.load_vocabulary()
    if live.chat is not None:
        asked = told(left, vocabulary, question=True).shown
        live.chat.show(replace(EMPTY, ask=asked, answers=("yes", "no")), YES_OR_NO.hint)
    return ask(left, live.listener, screen, clock, vocabulary)


def _run_resumed(edges: _Edges, place: Store, session_id: str) -> None:
    work, clock = resume_session(place, session_id, SystemClock)
    for finding in work.journal.damage:
        echo(f"(record: {finding})", err=True)
    _run(edges, work, clock, Resumed(at=clock.now()))


def _run(edges: _Edges, work: Work, clock: Clock, opening: Fact | None = None) -> None:
    """Lead one session to its end and say where its record lies."""
    edges.stack.callback(work.journal.close)
    if edges.wishes is None:
        live = None
        listener: Listener = edges.make_listener(clock)
        edges.stack.callback(listener.close)
        screen = Screen(open_voice(edges.stack, aloud=bool(edges.options.voice)))
    else:
        live, screen = edges.front(clock)
        listener = live.listener
    if work.told:
        screen.say(clock.now(), Sentence(work.told, work.told))
    writer: Writer = work.journal
    if edges.sound is not None:
        screen.say(clock.now(), Sentence(NOTICE, NOTICE))
        source = live.listener.sound_of if live is not None else edges.sound.of
        writer = SoundKeepingJournal(work.journal, edges.sound.folder, work.header.session_id, source, screen.notice)
    loop = Loop(work.context, work.state, writer, listener, screen, clock, history=work.history)
    loop.moved = work.journal.moved
    if live is not None and live.chat is not None:
        chat = live.chat
        loop.on_listen = lambda expectation: chat.show(board(loop.context, loop.state, expectation), expectation.hint)
    ending = loop.run(opening)
    work.keep_talk(loop.state)
    echo()
    echo(survey_end(work.header, loop.state), nl=False)
    if ending == LEFT:
        echo(f"The session is kept. Go on with: leadsman resume {work.header.session_id}")
    echo(f"Record: {work.journal.where}")
    echo(f"Read it with: leadsman show {work.header.session_id}")
