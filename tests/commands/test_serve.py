"""``leadsman serve``: what it refuses, what it shows, and that it ends cleanly."""

from __future__ import annotations

import hashlib
import http.client
import io
import os
import re
import signal
import ssl
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import click
import numpy as np
import pytest

from assistant.__main__ import cli, main
from assistant.audio.devices import Problem
from assistant.audio.sound import RATE
from assistant.commands.lead import serve as serve_command
from assistant.commands.lead.serve import _tokens
from assistant.errors import OperatorError
from assistant.messages import Expectation, Expects
from assistant.records.journal.sound import NOTICE
from assistant.setup.model import identity
from assistant.web.access.pairing import Pairing
from tests.commands.running import Run
from tests.inputs.fakes import FakeSynthesizer


@pytest.mark.parametrize(
    ("arguments", "code", "part"),
    [
        (["--host", "0.0.0.0", "--no-pairing"], 2, "keeps strangers out"),  # noqa: S104 - refused
        (["--certificate", "c.pem"], 2, "together"),
        (["--certificate", "c.pem", "--key", "k.pem", "--port", "0"], 2, "Cannot read c.pem"),
        (["--host", "192.0.2.1"], 2, "--host"),
        (["--meter", "nonesuch"], 2, "There is no meter"),
        (["--port", "70000"], 2, "70000"),
    ],
)
def test_what_it_refuses(arguments: list[str], code: int, part: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each with a sentence and an exit code, before anything listens."""
    with pytest.raises(SystemExit) as caught:
        main(["serve", *arguments])
    assert caught.value.code == code
    assert part in capsys.readouterr().err


def test_the_help_says_when_the_code_is_asked() -> None:
    """And what keeps strangers out of the network."""
    serve = cli.get_command(click.Context(cli), "serve")
    assert serve is not None
    text = " ".join(str(serve.help).split())
    assert "It is asked on this machine too" in text
    assert "always encrypted" in text


def test_it_shows_address_code_and_link_serves_and_ends(tmp_path: Path) -> None:
    """The link carries the code; being told to end ends it with everything let go."""
    process = subprocess.Popen(
        [sys.executable, "-u", "-m", "assistant", "serve", "--port", "0", "--records", str(tmp_path)],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "XDG_DATA_HOME": str(tmp_path / "data")},
    )  # fmt: skip
    assert process.stdout is not None
    try:
        shown = ""
        for line in process.stdout:
            shown += line
            if "Stop with Ctrl-C" in line:
                break
        found = re.search(r"Pairing code: (\d{4}) (\d{4})", shown)
        assert found is not None
        link = re.search(r"Or open: (http://127\.0\.0\.1:\d+)/pair#([\w-]{22})\n", shown)
        assert link is not None
        with urllib.request.urlopen(f"{link[1]}/pair", timeout=20) as page:  # noqa: S310 - our own address
            assert b"Pair this screen" in page.read()
        process.send_signal(signal.SIGTERM)
        rest = process.stdout.read()
        assert process.wait(timeout=20) == 0
        assert "Stopped." in rest
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def test_a_new_pairing_lets_every_screen_go(tmp_path: Path) -> None:
    """The key of before is replaced; without the option it is kept."""
    path = tmp_path / "page" / "pairing-8421.json"
    token = _tokens(path, anew=False).make()
    assert _tokens(path, anew=False).age(token) is not None
    assert _tokens(path, anew=True).age(token) is None
    assert _tokens(path, anew=False).age(token) is None


class Told:
    """The threading module with an event for which nobody waits: it looks at the page, and then ends it."""

    def __init__(self, look: Callable[[], None]) -> None:
        self.look = look
        self.Thread = threading.Thread

    def Event(self) -> Told:  # noqa: N802 - the module's name
        return self

    def set(self) -> None:
        self.over = True

    def wait(self, seconds: float) -> bool:
        """As long as it is led; then this process is told to end, as by Ctrl-C."""
        assert seconds
        self.over = False
        self.look()
        signal.raise_signal(signal.SIGINT)
        return self.over


@pytest.fixture
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keys and certificates in a folder of the test's own; no model and no speech library."""

    def none() -> Path:
        raise OperatorError("There is no speech model.", remedy="Run: leadsman setup")

    monkeypatch.setattr("platformdirs.user_data_dir", lambda *_, **__: str(tmp_path / "data"))
    monkeypatch.setattr("assistant.setup.model.model_folder", none)
    lacking = Problem("The speech library is missing.", "Run: sudo apt install espeak-ng")
    monkeypatch.setattr("assistant.audio.devices.speech_problem", lambda: lacking)
    return tmp_path


@pytest.fixture
def served(run: Run, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Served]:
    """Serves the page in this process, looks at it, and ends it by a signal."""

    def go(*arguments: str, asks: str = "/pair") -> Served:
        shown: list[str] = []
        pages: list[tuple[int, str]] = []
        before = signal.getsignal(signal.SIGINT)

        def look() -> None:
            shown.extend(capsys.readouterr())
            address = re.search(r"The page: https?://[^/]*:(\d+)/", shown[0])
            assert address is not None
            scheme = "https" if "https://" in shown[0] else "http"
            context = ssl.create_default_context()
            context.check_hostname, context.verify_mode = False, ssl.CERT_NONE  # looked at by its fingerprint instead
            connection = (
                http.client.HTTPSConnection("127.0.0.1", int(address[1]), context=context, timeout=20)
                if scheme == "https"
                else http.client.HTTPConnection("127.0.0.1", int(address[1]), timeout=20)
            )
            connection.request("GET", asks)
            answer = connection.getresponse()
            pages.append((answer.status, answer.read().decode()))
            connection.close()

        monkeypatch.setattr(serve_command, "threading", Told(look))
        ran = run("serve", "--port", "0", *arguments)
        assert ran.code == 0
        assert signal.getsignal(signal.SIGINT) == before, "what Ctrl-C did before it does again"
        return Served(shown[0], ran.out, shown[1], *pages[0])

    return go


@dataclass(frozen=True)
class Served:
    """What the terminal showed and what a browser got."""

    shown: str
    after: str
    """When it was told to end."""
    err: str
    status: int
    page: str


def test_it_serves_says_what_is_missing_and_ends_by_ctrl_c(served: Callable[..., Served], own_folders: Path) -> None:
    found = served("--records", str(own_folders / "records"))
    assert (found.status, "Pair this screen" in found.page) == (200, True)
    assert f"Records: {own_folders / 'records'}\n" in found.shown
    assert "(Spoken answers are not understood. There is no speech model." in found.err
    assert "Typed answers work.)" in found.err
    assert found.after == "Stopped.\n"


def test_without_pairing_a_browser_on_this_machine_is_let_in_at_once(
    served: Callable[..., Served], own_folders: Path
) -> None:
    found = served("--no-pairing", "--records", str(own_folders / "records"), asks="/")
    assert (found.status, "Sessions and records" in found.page) == (200, True)
    assert "Pairing code" not in found.shown


def test_where_sound_is_kept_it_is_told_with_the_way_to_erase_it(
    served: Callable[..., Served], own_folders: Path
) -> None:
    assert NOTICE not in served("--records", str(own_folders / "records")).shown
    found = served("--keep-sound", "--records", str(own_folders / "records"))
    assert f"{NOTICE} Erase it with: leadsman forget ID" in found.shown


def test_on_a_network_it_is_encrypted_and_shows_fingerprint_and_picture(
    served: Callable[..., Served], own_folders: Path
) -> None:
    """The certificate is made once and kept; where the terminal cannot draw the picture there is only the code."""
    found = served("--host", "0.0.0.0", "--name", "bay-3.example")  # noqa: S104 - that it is encrypted is the point
    assert "The page: https://bay-3.example:" in found.shown
    assert "so a browser warns once. Compare before you go on:" in found.shown
    printed = re.search(r"SHA-256 fingerprint: ([0-9A-F:]{48})\n +([0-9A-F:]{47})\n", found.shown)
    assert printed is not None
    [certificate] = (own_folders / "data" / "page").glob("*certificate*.pem")
    der = ssl.PEM_cert_to_DER_cert(certificate.read_text(encoding="ascii"))
    assert (printed[1] + printed[2]).replace(":", "").lower() == hashlib.sha256(der).hexdigest()
    assert "Or point the phone's camera here:\n" in found.shown
    assert "Or open:" not in found.shown, "a link with its secret is for this machine alone"


@pytest.mark.parametrize(("can", "picture"), [(True, True), (False, False)])
def test_a_code_is_shown_with_what_the_terminal_can_draw(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *, can: bool, picture: bool
) -> None:
    monkeypatch.setattr(serve_command, "can_show", lambda _: can)
    serve_command._show("https://192.0.2.7:8421", False, "12345678", "s" * 22)
    out = capsys.readouterr().out
    assert "Pairing code: 1234 5678   (for one screen, good for 15 minutes)" in out
    assert ("Or point the phone's camera here:" in out) == picture


def test_enter_shows_a_new_code_while_the_terminal_is_there(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Once for each time that it is pressed; a terminal that goes away is no error, and a pipe is none."""
    asked: list[str] = []
    over = threading.Event()

    class Terminal:
        def isatty(self) -> bool:
            return True

        def __iter__(self) -> Iterator[str]:
            yield from ("\n", "\n")
            over.set()
            raise OSError("gone")

    class Codes:
        def show_new_code(self) -> None:
            asked.append("new")

    pairing = cast("Pairing", Codes())
    monkeypatch.setattr(sys, "stdin", Terminal())
    serve_command._offer_new_codes(pairing)
    assert over.wait(20)
    assert asked == ["new", "new"]
    assert capsys.readouterr().out == "Press Enter for a new pairing code.\n"
    serve_command._offer_new_codes(None)
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n"))
    serve_command._offer_new_codes(pairing)
    assert capsys.readouterr().out == ""
    assert asked == ["new", "new"]


@pytest.mark.model
def test_answers_are_heard_and_spoken_by_what_this_machine_has(
    speech_model: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The model that is named in records is the one that is loaded; the voice comes as it was set."""
    monkeypatch.setenv("LEADSMAN_MODEL", str(speech_model))
    monkeypatch.setattr("assistant.audio.devices.speech_problem", lambda: None)
    synthesizer = FakeSynthesizer()
    monkeypatch.setattr("assistant.commands.lead.voice.chosen_synthesizer", lambda: synthesizer)
    with ExitStack() as stack:
        hearing, model, deaf = serve_command._hearing(stack)
        assert (model, deaf) == (identity(speech_model), "")
        assert hearing is not None
        hearing.prepare(Expectation(Expects.COMMAND))
        voice = serve_command._voice(stack)
        assert voice is not None
    with pytest.raises(OperatorError):
        hearing.hear(np.zeros(RATE, dtype=np.int16), Expectation(Expects.COMMAND)).result()


def test_addresses_of_the_newer_protocol_stand_in_brackets() -> None:
    """RFC 3986, section 3.2.2."""
    assert serve_command._in_link("2001:db8::5") == "[2001:db8::5]"
    assert serve_command._in_link("shop-pc.local") == "shop-pc.local"
