"""``leadsman serve``: what it refuses, what it shows, and that it ends cleanly."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import click
import pytest

from assistant.__main__ import cli, main
from assistant.commands.lead.serve import _tokens


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
