"""A shop floor with an invented lamp to mend, and screens that are paired with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from starlette.testclient import TestClient, WebSocketTestSession

from assistant.audio.sound import RATE, Samples
from assistant.commands.lead.serving import ShopFloor
from assistant.messages import Expectation, Hearing, Hypothesis
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import Store
from assistant.web.access.limits import Buckets
from assistant.web.access.pairing import Pairing
from assistant.web.access.tokens import Tokens
from assistant.web.routes import House, make_app
from tests.procedure.small import SMALL

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PORT = 8421
BASE = f"http://localhost:{PORT}"
CODE = "12345678"


class FakeTime:
    """Monotonic seconds that pass only when told to."""

    def __init__(self) -> None:
        self.at = 1000.0

    def __call__(self) -> float:
        return self.at


class FakeHearing:
    """A recognizer that hears what it was told to, whatever the sound; '|' divides what may have been said."""

    def __init__(self, *words: str) -> None:
        self.words = list(words)
        self.heard: list[tuple[int, str]] = []
        self.prepared: list[str] = []
        self.waits = False
        """True to keep what is asked for waiting."""

    def prepare(self, expectation: Expectation) -> None:
        self.prepared.append(str(expectation.prompt))

    def hear(self, samples: Samples, expectation: Expectation) -> Future[Hearing]:
        self.heard.append((len(samples), str(expectation.prompt)))
        future: Future[Hearing] = Future()
        if not self.waits:
            said = [words for words in self.words.pop(0).split("|") if words]
            future.set_result(Hearing(tuple(Hypothesis(one, -float(at)) for at, one in enumerate(said)), 25.0))
        return future


class LoudVoice:
    """A detector that takes whatever is loud for a voice."""

    def likelihood(self, frame: Samples) -> float:
        return 0.95 if np.abs(frame.astype(np.int32)).max() > 1500 else 0.02


RANDOM = np.random.default_rng(7)


def noise(seconds: float, db: float = -60.0) -> bytes:
    level = 10 ** (db / 20) * 32768
    return np.clip(RANDOM.normal(0, level, int(seconds * RATE)), -32768, 32767).astype("<i2").tobytes()


def voice(seconds: float, db: float = -20.0) -> bytes:
    time = np.arange(int(seconds * RATE)) / RATE
    wave = np.sin(2 * np.pi * 180 * time) + 0.5 * np.sin(2 * np.pi * 900 * time)
    return (wave * 10 ** (db / 20) * 20000).astype("<i2").tobytes()


@dataclass
class Floor:
    """A page under test with one screen on it."""

    house: House
    client: TestClient
    time: FakeTime
    records: Path
    codes: list[str] = field(default_factory=list)

    def post(self, path: str, fields: dict[str, Any], **headers: str) -> Any:
        return self.client.post(path, json=fields, headers={"origin": BASE, **headers})

    def pair(self) -> None:
        assert self.post("/api/pair", {"code": CODE}).status_code == 200

    def start(self, key: str = "key-for-one", **fields: str) -> str:
        asked = {"procedure": "lamp", "unit": "4471", "key": key, "words": "it is dark", **fields}
        answer = self.post("/api/start", asked)
        assert answer.status_code == 200, answer.text
        return str(answer.json()["id"])

    def talk(self, session: str, **headers: str) -> AbstractContextManager[WebSocketTestSession]:
        cookie = "; ".join(f"{name}={value}" for name, value in self.client.cookies.items())
        sent = {"host": f"localhost:{PORT}", "origin": BASE, "cookie": cookie, **headers}
        return self.client.websocket_connect(f"/api/session/{session}", headers=sent)


FloorMaker = Callable[..., Floor]


@pytest.fixture
def lamp_shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop folder with one small procedure."""
    folder = tmp_path / "shop"
    (folder / "dialogs").mkdir(parents=True)
    (folder / "dialogs" / "lamp.toml").write_text(
        SMALL.replace("[[facts]]\n", "[[facts]]\nfirst = true\n"), encoding="utf-8"
    )
    monkeypatch.setenv("LEADSMAN_SHOP", str(folder))
    return folder


@pytest.fixture
def make_floor(lamp_shop: Path, tmp_path: Path) -> Iterator[FloorMaker]:
    """Makes pages; every one of them is closed at the end."""
    assert lamp_shop.is_dir()
    opened: list[TestClient] = []

    def make(
        *,
        pairing: bool = True,
        hearing: Any = None,
        rates: Buckets | None = None,
        store: Store | None = None,
        tokens: Tokens | None = None,
        keep_sound: bool = False,
    ) -> Floor:
        time = FakeTime()
        codes: list[str] = []
        records = tmp_path / "records"
        made = Pairing(lambda code, _: codes.append(code), time, lambda: CODE, tokens) if pairing else None
        floor = ShopFloor(store or FolderStore(records), sound=records if keep_sound else None)
        house = House(floor, made, hearing, "No model.", frozenset({"localhost"}), False, PORT, detector=LoudVoice)
        client = TestClient(make_app(house, rates), base_url=BASE, follow_redirects=False)
        client.__enter__()
        opened.append(client)
        return Floor(house, client, time, records, codes)

    yield make
    for client in opened:
        client.__exit__(None, None, None)


@pytest.fixture
def floor(make_floor: FloorMaker) -> Floor:
    """A page with a paired screen."""
    made = make_floor()
    made.pair()
    return made


class Line:
    """One screen's websocket, read message by message."""

    def __init__(self, socket: WebSocketTestSession, epoch: str = "", after: int = 0) -> None:
        self.socket = socket
        self.seen: list[dict[str, Any]] = []
        socket.send_json({"kind": "hello", "epoch": epoch, "after": after})
        self.welcome = self.until(lambda one: one["kind"] == "welcome")

    def until(self, wanted: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        """Read until a message comes that is wanted."""
        for _ in range(200):
            message = self.socket.receive_json()
            self.seen.append(message)
            if wanted(message):
                return dict(message)
        raise AssertionError(f"not among {self.seen}")

    def standing(self, turn: int) -> dict[str, Any]:
        """How things stand at a turn."""
        return self.until(lambda one: one["kind"] == "standing" and one["turn"] >= turn)

    def answer(self, identity: str, standing: dict[str, Any], text: str) -> None:
        """Send one answer for what stands."""
        self.socket.send_json(
            {"kind": "answer", "id": identity, "turn": standing["turn"], "prompt": standing["prompt"], "text": text}
        )

    def fate(self, identity: str) -> dict[str, Any]:
        """What became of an answer."""
        return self.until(lambda one: one["kind"] == "fate" and one["id"] == identity)

    def texts(self) -> list[str]:
        """The talk as it came."""
        return [one["text"] for one in self.seen if one["kind"] == "talk"]


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """One browser for all tests of a file."""
    from tests.web.browser import quiet_browser

    with quiet_browser(tmp_path_factory.mktemp("microphone")) as made:
        yield made
