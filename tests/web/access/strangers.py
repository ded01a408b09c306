"""A page that is really served, and a paired screen that goes on asking."""

from __future__ import annotations

import contextlib
import http.client
import json
import ssl
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from assistant.commands.lead.serving import ShopFloor
from assistant.records.store.folder import FolderStore
from assistant.web.access.certificate import Certificate
from assistant.web.access.pairing import Pairing
from assistant.web.routes import House, make_app
from assistant.web.server import open_socket, serving


@dataclass
class Page:
    """A page that is really served."""

    port: int
    pairing: Pairing
    house: House
    secured: ssl.SSLContext | None
    told: list[str] = field(default_factory=list)

    def line(self, source: str = "127.0.0.1") -> http.client.HTTPConnection:
        """A connection from an address of this machine."""
        at = (source, 0)
        if self.secured is not None:
            return http.client.HTTPSConnection(
                "127.0.0.1", self.port, context=self.secured, timeout=20.0, source_address=at
            )
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=20.0, source_address=at)

    def pair(self, line: http.client.HTTPConnection, code: str | None = None) -> tuple[int, str]:
        """Try a code; returns the status and the cookie."""
        origin = f"http{'s' if self.secured else ''}://127.0.0.1:{self.port}"
        body = json.dumps({"code": self.pairing.code if code is None else code})
        line.request("POST", "/api/pair", body, {"content-type": "application/json", "origin": origin})
        answer = line.getresponse()
        answer.read()
        return answer.status, (answer.headers["set-cookie"] or "").split(";")[0]


@contextlib.contextmanager
def served(records: Path, certificate: Certificate | None = None) -> Iterator[Page]:
    """Serve a page on a loopback port."""
    listening = open_socket("127.0.0.1", 0)
    port = int(listening.getsockname()[1])
    pairing = Pairing(lambda *_: None)
    house = House(ShopFloor(FolderStore(records)), pairing, secure=certificate is not None, port=port)
    trusting = ssl.create_default_context(cafile=str(certificate.certificate)) if certificate else None
    page = Page(port, pairing, house, trusting)
    with serving(make_app(house), listening, certificate, page.told.append):
        yield page


def ask(line: http.client.HTTPConnection, cookie: str) -> float:
    """Ask for what the home page shows; returns the seconds that it took, and fails when it was refused."""
    begun = time.perf_counter()
    line.request("GET", "/api/home", headers={"cookie": cookie})
    answer = line.getresponse()
    answer.read()
    assert answer.status == 200, answer.status
    return time.perf_counter() - begun
