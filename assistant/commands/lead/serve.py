"""``leadsman serve``: the page, on this machine or on the shop's network."""

from __future__ import annotations

import contextlib
import signal
import sys
import threading
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, cast

import click
import platformdirs

from assistant import catalog, library
from assistant.clock import SystemClock
from assistant.commands.completion import complete_meters
from assistant.commands.lead.serving_offline import Returning, open_store_or_wait
from assistant.commands.records.places import place_options
from assistant.commands.terminal import can_show, echo
from assistant.errors import OperatorError
from assistant.setup.model import ModelIdentity
from assistant.web.access.pairing import CODE_SECONDS, Pairing
from assistant.web.access.tokens import Tokens
from assistant.web.page_voice import PageVoice
from assistant.web.ports import Hears

if TYPE_CHECKING:  # its library is loaded only where a database is asked for
    from assistant.records.store.postgresql import DatabaseStore

PORT = 8421
"""Port that is listened on unless another is named."""
GRAMMARS = 64
"""Grammars kept ready for all sessions: four for each that may run, some twenty megabytes together."""


@click.command(epilog="Example: leadsman serve --host 0.0.0.0 --port 8421 --meter shop")
@click.option("--host", default="127.0.0.1", help="Address to listen on. 0.0.0.0: every network of this machine.")
@click.option("--port", default=PORT, type=click.IntRange(0, 65535), help=f"Port. Default: {PORT}; 0 takes any.")
@click.option("--name", "names", multiple=True, help="A further host name under which this machine is reached.")
@click.option("--certificate", type=click.Path(path_type=Path), help="PEM file of a certificate. Default: our own.")
@click.option("--key", type=click.Path(path_type=Path), help="PEM file of the certificate's private key.")
@click.option("--no-pairing", is_flag=True, help="Ask no code of browsers on this machine (not with another --host).")
@click.option("--new-pairing", is_flag=True, help="Let every screen go that was paired before.")
@click.option(
    "--meter", shell_complete=complete_meters, help="The meter in hand, by its name in the table of meters."
)
@click.option("--shop", default="", help="Name of the shop, for the head of its reports (see leadsman config).")
@click.option(
    "--keep-sound",
    is_flag=True,
    help="Keep the sound of each accepted spoken answer beside its entry. Default: no sound is kept.",
)
@place_options
def serve(
    host: str,
    port: int,
    names: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    no_pairing: bool,
    new_pairing: bool,
    meter: str | None,
    shop: str,
    keep_sound: bool,
    records: Path | None,
    store: str,
) -> None:
    """Serve the page: sessions on a phone or a desktop, typed or spoken.

    Only this machine reaches it unless --host names another address; then it is always encrypted, with the given
    certificate or with one that this machine makes for itself and whose fingerprint is shown. Whoever opens the page
    types the pairing code shown here, or points a phone's camera at the picture of it. A code lets in one screen,
    then the next code is shown; Enter shows a new one, too. It is asked on this machine too, since other people and
    programs on it can open the page as well; the link that is shown pairs by itself, so that one click is enough.
    --no-pairing leaves it out. A paired screen stays paired for 16 hours, also when the page is served anew;
    --new-pairing ends that. Where the shop's database is away, sessions are kept on this machine and go to it once
    it is back.
    """
    from assistant.web.access.certificate import given_certificate, own_certificate
    from assistant.web.routes import House, make_app
    from assistant.web.server import LOOPBACK, open_socket, own_names, serving

    if (certificate is None) != (key is None):
        raise click.UsageError("Give --certificate and --key together.")
    near = host in LOOPBACK
    if no_pairing and not near:
        raise click.UsageError("--no-pairing works on this machine only: on a network the code keeps strangers out.")
    if meter:
        catalog.load_meter(meter)
    folder = records or library.records_folder()
    place, away = open_store_or_wait(folder, store, lambda text: echo(text, err=True))
    private = Path(platformdirs.user_data_dir("leadsman", appauthor=False)) / "page"
    with ExitStack() as stack:
        listening = open_socket(host, port)
        stack.callback(listening.close)
        kept = private / f"pairing-{port}.json" if port else None  # another port next time is another page
        port = int(listening.getsockname()[1])
        known = (*names, *own_names(host))
        used = None
        if certificate is not None and key is not None:
            used = given_certificate(certificate, key)
        elif not near:
            used = own_certificate(private, known, SystemClock().wall())
        base = f"{'https' if used else 'http'}://{_in_link(known[0])}:{port}"
        echo(f"The page: {base}/")
        if used is not None:
            _tell_certificate(used.fingerprint, own=used.own)

        pairing = None if no_pairing else Pairing(partial(_show, base, near), tokens=_tokens(kept, anew=new_pairing))
        hearing, model, deaf = _hearing(stack)
        voice = _voice(stack)
        from assistant.commands.lead.serving import ShopFloor
        from assistant.records.journal.sound import NOTICE

        floor = ShopFloor(place, meter or "", model, folder if keep_sound else None, shop)
        house = House(
            shop=floor,
            pairing=pairing,
            hearing=hearing,
            deaf_because=deaf,
            names=frozenset(known),
            secure=used is not None,
            link="" if near else base,
            voice=voice,
            port=port,
        )
        if deaf:
            echo(f"({deaf} Typed answers work.)", err=True)
        echo(f"Records: {place.where}")
        if keep_sound:
            echo(f"{NOTICE} Erase it with: leadsman forget ID")
        echo("Stop with Ctrl-C; sessions are kept and can be taken up again.")
        if store != "folder":
            there = None if away else cast("DatabaseStore", place)
            stack.enter_context(Returning(folder, floor.move, echo, there=there).waiting())
        _offer_new_codes(pairing)
        with serving(make_app(house), listening, used, lambda told: echo(told, err=True)):
            _wait_for_the_end()
        echo("Stopped.")


def _show(base: str, near: bool, code: str, secret: str) -> None:
    """Show what lets one screen in: its code, and a link to follow here or with a phone's camera."""
    from assistant.web.access.pairing_picture import FULL_BLOCK, as_text, pairing_link

    echo(f"Pairing code: {code[:4]} {code[4:]}   (for one screen, good for {CODE_SECONDS / 60:.0f} minutes)")
    if near:
        echo(f"Or open: {pairing_link(base, secret)}")
    elif can_show(FULL_BLOCK):
        echo(f"Or point the phone's camera here:\n{as_text(pairing_link(base, secret))}")


def _tokens(path: Path | None, *, anew: bool) -> Tokens:
    """What knows the screens that are paired."""
    tokens = Tokens(path)
    if anew:
        tokens.start_anew()
    return tokens


def _hearing(stack: ExitStack) -> tuple[Hears | None, ModelIdentity | None, str]:
    """The recognizer for all sessions, the model's identity, and why there is none."""
    from assistant.asr.recognizer import Recognizer
    from assistant.asr.scheduler import SharedRecognizer
    from assistant.setup.model import identity, model_folder

    try:
        model = model_folder()
        recognizer = stack.enter_context(Recognizer(model, catalog.load_vocabulary(), kept=GRAMMARS))
        hearing = SharedRecognizer(recognizer)
        stack.callback(hearing.close)
        return hearing, identity(model), ""
    except OperatorError as error:
        return None, None, f"Spoken answers are not understood. {error}"


def _voice(stack: ExitStack) -> PageVoice | None:
    """This machine's voice, for screens whose browser has none."""
    from assistant.audio.devices import speech_problem
    from assistant.commands.lead.voice import chosen_synthesizer
    from assistant.web.page_voice import PageVoice

    if speech_problem() is not None:
        return None
    synthesizer = chosen_synthesizer()
    stack.callback(synthesizer.close)
    return PageVoice(synthesizer)


def _tell_certificate(fingerprint: str, *, own: bool) -> None:
    if own:
        echo("The certificate is this machine's own, so a browser warns once. Compare before you go on:")
    echo(f"SHA-256 fingerprint: {fingerprint[:48]}\n                     {fingerprint[48:]}")


def _offer_new_codes(pairing: Pairing | None) -> None:
    """Show a new code whenever somebody at the terminal presses Enter, where there is a terminal."""
    if pairing is None or not sys.stdin or not sys.stdin.isatty():
        return

    def wait() -> None:
        with contextlib.suppress(OSError, ValueError):  # the terminal went away
            for _ in sys.stdin:
                pairing.show_new_code()

    echo("Press Enter for a new pairing code.")
    threading.Thread(target=wait, name="leadsman-enter", daemon=True).start()


def _in_link(name: str) -> str:
    return f"[{name}]" if ":" in name else name


def _wait_for_the_end() -> None:
    """Wait for Ctrl-C or for being told to end."""
    over = threading.Event()

    def end(_number: int, _frame: FrameType | None) -> None:
        over.set()

    before = [(number, signal.signal(number, end)) for number in (signal.SIGINT, signal.SIGTERM)]
    try:
        while not over.wait(0.5):
            pass
    finally:
        for number, handler in before:
            signal.signal(number, handler)
