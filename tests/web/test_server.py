"""The socket and the encryption: a real server on this machine, asked over a real line."""

from __future__ import annotations

import hashlib
import http.client
import socket
import ssl
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.commands.lead.serving import ShopFloor
from assistant.errors import OperatorError
from assistant.records.store.folder import FolderStore
from assistant.web.access.certificate import own_certificate
from assistant.web.access.pairing import Pairing
from assistant.web.routes import House, make_app
from assistant.web.server import open_socket, own_names, serving
from tests.web.conftest import CODE


def test_encrypted_with_our_own_certificate(lamp_shop: Path, tmp_path: Path) -> None:
    """What the line shows has the fingerprint that the terminal shows; the cookie is for encrypted lines only."""
    assert lamp_shop.is_dir()
    certificate = own_certificate(tmp_path / "page", own_names("127.0.0.1"), datetime.now(UTC))
    listening = open_socket("127.0.0.1", 0)
    port = int(listening.getsockname()[1])
    pairing = Pairing(lambda *_: None, make_code=lambda: CODE)
    house = House(
        ShopFloor(FolderStore(tmp_path / "records")), pairing, names=frozenset({"localhost"}), secure=True, port=port
    )
    with serving(make_app(house), listening, certificate):
        shown = ssl.PEM_cert_to_DER_cert(ssl.get_server_certificate(("127.0.0.1", port)))
        assert hashlib.sha256(shown).hexdigest() == certificate.fingerprint.replace(":", "").lower()
        trusting = ssl.create_default_context(cafile=str(certificate.certificate))
        line = http.client.HTTPSConnection("127.0.0.1", port, context=trusting, timeout=20)
        headers = {"content-type": "application/json", "origin": f"https://127.0.0.1:{port}"}
        line.request("POST", "/api/pair", f'{{"code": "{CODE}"}}', headers)
        answer = line.getresponse()
        answer.read()
        cookie = answer.headers["set-cookie"]
        assert answer.status == 200
        assert cookie.startswith(f"__Host-leadsman-{port}=")
        assert all(part in cookie.lower() for part in ("secure", "httponly", "samesite=strict", "path=/"))
        assert answer.headers["server"] is None
        assert f"wss://127.0.0.1:{port}" in answer.headers["content-security-policy"]
        line.request("GET", "/", headers={"cookie": cookie.split(";")[0]})
        answer = line.getresponse()
        assert (answer.status, b"Sessions and records" in answer.read()) == (200, True)
        line.request("POST", "/api/pair", "{}", {**headers, "origin": f"http://127.0.0.1:{port}"})
        assert line.getresponse().status == 403
        line.close()
        plain = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        plain.request("GET", "/pair")
        with pytest.raises((http.client.HTTPException, OSError)):
            plain.getresponse()
        plain.close()
    with pytest.raises(OSError, match=r".*"):
        socket.create_connection(("127.0.0.1", port), timeout=2)


def test_a_port_that_is_taken_and_a_host_that_is_not_ours_are_sentences() -> None:
    """With what to do."""
    with open_socket("127.0.0.1", 0) as taken, pytest.raises(OperatorError, match="another --port"):
        open_socket("127.0.0.1", int(taken.getsockname()[1]))
    with pytest.raises(OperatorError, match=r"--host"):
        open_socket("192.0.2.1", 0)
    with pytest.raises(OperatorError, match="no address of this machine"):
        open_socket("not a host", 0)


def test_names_of_this_machine() -> None:
    """On this machine alone no other name counts; on a network the given address comes first."""
    assert own_names("localhost")[0] == "localhost"
    assert set(own_names("::1")) == set(own_names("127.0.0.1")) == {"127.0.0.1", "localhost", "::1"}
    named = own_names("192.0.2.7")
    assert named[0] == "192.0.2.7"
    assert socket.gethostname().lower() in named
    assert "0.0.0.0" not in own_names("0.0.0.0")  # noqa: S104 - listened on by nobody here
