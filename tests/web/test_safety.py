"""The page's safety, clause by clause: what other files of this folder do not show already.

| clause | shown by |
| --- | --- |
| this machine only unless told otherwise | here |
| on a network always encrypted, with the fingerprint shown | here, ``test_server``, ``test_certificate`` |
| a code that expires and locks after misses | ``test_middleware``, ``test_page_pairing`` |
| paired over a restart, within a shift, key file private | here, ``test_page_pairing`` |
| host and origin | ``test_middleware`` |
| a strict policy on every answer, nothing inline | ``test_middleware``, ``test_routes`` |
| escaped text | here, ``test_routes`` |
| size and rate | ``test_middleware``, ``test_limits``, ``test_websocket`` |
| no path from a request to a file | ``test_routes``, here for kept sound |
| photos: by content, pixels alone, counted before they are unpacked, private | ``test_photos`` |
| the machine's voice says nothing that a request brings | ``test_page_voice`` |
| what shows the way in to one more screen is for paired ones | ``test_page_install`` |
| a stranger sees nothing | ``test_middleware``, here over a real line |
"""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import ssl
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from assistant.commands.lead.serve import serve as serve_command
from assistant.web.access.middleware import OPEN_PATHS
from assistant.web.server import open_socket
from tests.web.conftest import FakeHearing, FloorMaker
from tests.web.test_shop_floor import spoken_session

Answered = tuple[int, http.client.HTTPMessage, bytes]


class Serving:
    """A page served by the real command."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        found = re.search(r"The page: (\S+)/", shown)
        assert found is not None, shown
        self.base = urlsplit(found[1])
        code = re.search(r"Pairing code: (\d{4}) (\d{4})", shown)
        assert code is not None, shown
        self.code = code[1] + code[2]

    def ask(
        self, method: str, path: str, body: str = "", **headers: str
    ) -> tuple[int, http.client.HTTPMessage, bytes]:
        """One request over its own line."""
        secure = self.base.scheme == "https"
        port = self.base.port or 0
        trusting = ssl.create_default_context()
        trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE  # the fingerprint is compared elsewhere
        line = (
            http.client.HTTPSConnection("127.0.0.1", port, context=trusting, timeout=60)
            if secure
            else http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        )
        sent = {"origin": f"{self.base.scheme}://127.0.0.1:{port}", "content-type": "application/json", **headers}
        line.request(method, path, body or None, sent)
        answer = line.getresponse()
        told = answer.status, answer.headers, answer.read()
        line.close()
        return told


@contextmanager
def serve(home: Path, *options: str) -> Iterator[Serving]:
    """The real command in a process of its own, with a home of its own."""
    process = subprocess.Popen(
        [sys.executable, "-u", "-m", "assistant", "serve", "--records", str(home / "records"), *options],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env={**os.environ, "XDG_DATA_HOME": str(home / "data"), "HOME": str(home), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert process.stdout is not None
    try:
        shown = ""
        for line in process.stdout:
            shown += line
            if "Stop with Ctrl-C" in line:
                break
        yield Serving(shown)
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=60) == 0
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def test_only_this_machine_unless_told_otherwise() -> None:
    """The host that is listened on when none is named."""
    host = next(one for one in serve_command.params if one.name == "host")
    assert host.default == "127.0.0.1"


@pytest.mark.skipif(sys.platform == "win32", reason="asks for file modes")
def test_on_a_network_it_is_encrypted_and_a_screen_stays_paired_over_a_restart(tmp_path: Path) -> None:
    """The real command: fingerprint shown, a stranger gets nothing, the keys are private, the cookie outlives it."""
    with open_socket("127.0.0.1", 0) as free:
        port = int(free.getsockname()[1])
    options = ("--host", "0.0.0.0", "--port", str(port))  # noqa: S104 - what is tested
    with serve(tmp_path, *options) as first:
        assert first.base.scheme == "https"
        assert re.search(r"SHA-256 fingerprint: (?:[0-9A-F]{2}:){16}", first.shown)
        assert "Or point the phone's camera here:\n\N{FULL BLOCK}" in first.shown
        status, headers, body = first.ask("GET", "/record/20260101-000000-xyz")
        assert (status, headers["location"], body) == (303, "/pair", b"")
        assert first.ask("GET", "/api/home")[0] == 401
        for path in OPEN_PATHS - {"/api/pair"}:
            assert first.ask("GET", path)[0] == 200
        status, headers, _ = first.ask("POST", "/api/pair", json.dumps({"code": first.code}))
        assert status == 200
        cookie = headers["set-cookie"].split(";")[0]
        assert first.ask("GET", "/api/home", cookie=cookie)[0] == 200
    keys = [path for path in (tmp_path / "data").rglob("*") if path.is_file() and "certificate" not in path.name]
    assert {path.name for path in keys} >= {"page-key.pem", f"pairing-{port}.json"}
    assert all(stat.S_IMODE(path.stat().st_mode) == 0o600 for path in keys)
    with serve(tmp_path, *options) as second:
        assert second.code != first.code
        assert second.ask("GET", "/api/home", cookie=cookie)[0] == 200
        assert second.ask("GET", "/api/home", cookie=f"{cookie}0")[0] == 401


def test_kept_sound_cannot_be_fetched(make_floor: FloorMaker) -> None:
    """It lies beside the records, and no request leads there, paired or not."""
    floor = make_floor(hearing=FakeHearing("[unclear]", "next"), keep_sound=True)
    session = spoken_session(floor)
    kept = [path.relative_to(floor.records).as_posix() for path in floor.records.rglob("*.flac")]
    assert kept
    for path in (*kept, f"record/{session}/sound", f"api/record/{session}/sound", f"record/{session}/../{kept[0]}"):
        assert floor.client.get(f"/{path}").status_code in (404, 400), path


@pytest.mark.parametrize("path", ["/", "/api/home", "/assets/base.css", "/api/pair"])
@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS"])
def test_other_methods_do_nothing(make_floor: FloorMaker, method: str, path: str) -> None:
    """Neither for a stranger nor for a paired screen."""
    floor = make_floor()
    headers = {"origin": "http://localhost:8421"}
    assert floor.client.request(method, path, headers=headers).status_code in (401, 405)
    floor.pair()
    answer = floor.client.request(method, path, headers=headers)
    assert answer.status_code == 405
    assert "access-control-allow-origin" not in answer.headers
