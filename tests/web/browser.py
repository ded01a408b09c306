"""A real Chromium on a real page, for tests: one browser, a served shop floor, screens as browser contexts."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import numpy as np
import soundfile
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from assistant.audio.vad import make_detector
from assistant.commands.lead.serving import ShopFloor
from assistant.records.store.folder import FolderStore
from assistant.web.access.pairing import Pairing
from assistant.web.access.tokens import Tokens
from assistant.web.page_voice import PageVoice
from assistant.web.routes import House, make_app
from assistant.web.server import open_socket, serving
from tests.conftest import missing
from tests.web.conftest import CODE

PHONE: dict[str, Any] = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESKTOP: dict[str, Any] = {"viewport": {"width": 1280, "height": 900}}
RATE = 48000
WAIT = 60_000
_FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
)  # fmt: skip


def chromium_path() -> str | None:
    """Where Debian's or another Chromium lies."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


def installed() -> str:
    """The same; the test is skipped, or fails in CI, where there is none."""
    path = chromium_path()
    if path is None:
        missing("Chromium is not installed (Debian: apt-get install chromium)")
    return path


@contextlib.contextmanager
def chromium(path: str, microphone: Path) -> Iterator[Browser]:
    """A browser whose microphone plays a file, from its beginning each time it is opened."""
    flags = [*_FLAGS, f"--use-file-for-fake-audio-capture={microphone}%noloop"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        try:
            yield browser
        finally:
            browser.close()


@contextlib.contextmanager
def quiet_browser(folder: Path) -> Iterator[Browser]:
    """The browser that is installed, with a microphone that hears nothing; without one the test is skipped."""
    microphone = folder / "said.wav"
    say_into(microphone, None)
    with chromium(installed(), microphone) as made:
        yield made


def say_into(microphone: Path, sound: Path | None) -> None:
    """Have the microphone play a recording, with quiet around it; None for quiet alone."""
    levels = np.zeros(0)
    rate = RATE
    if sound is not None:
        levels, rate = soundfile.read(sound, dtype="float64", always_2d=True)
        levels = levels.mean(axis=1)
    quiet = np.random.default_rng(3).normal(0, 3e-4, int(rate * 2.5))
    # the file starts when the device is opened, a busy machine hears it a second later
    before = quiet[: int(rate * 1.2)]
    soundfile.write(microphone, np.concatenate([before, levels, quiet]), rate, subtype="PCM_16")


@dataclass
class Served:
    """A page that is served, and what went wrong on the screens that looked at it."""

    base: str
    house: House
    records: Path
    browser: Browser
    troubles: list[str] = field(default_factory=list)
    asked: set[str] = field(default_factory=set)
    contexts: list[BrowserContext] = field(default_factory=list)

    def screen(self, *, paired: bool = True, dark: bool = False, **options: Any) -> Page:
        """A new screen, as a person of its own would have it."""
        scheme: Literal["dark", "light"] = "dark" if dark else "light"
        context = self.browser.new_context(color_scheme=scheme, reduced_motion="reduce", **(options or DESKTOP))
        self.contexts.append(context)
        context.set_default_timeout(WAIT)
        page = context.new_page()
        page.on("pageerror", lambda error: self.troubles.append(str(error)))
        page.on("console", lambda one: self.troubles.append(one.text) if one.type in ("error", "warning") else None)
        page.on("request", lambda one: self.asked.add(one.url))
        if paired and self.house.pairing is not None:
            page.goto(f"{self.base}/pair#{CODE}")
            page.wait_for_url(f"{self.base}/")
        return page

    def start(self, page: Page, unit: str = "4471", words: str = "it is dark") -> str:
        """Start the lamp session on a screen."""
        page.goto(f"{self.base}/")
        page.fill("#words", words)
        if words:
            page.wait_for_function("() => document.getElementById('words-note').textContent !== ''")
        page.check("input[value=lamp]")
        page.fill("#unit", unit)
        page.click("#begin")
        page.wait_for_url("**/session/*")
        wait_for_turn(page, 1)
        return page.url.rsplit("/", 1)[1]


def wait_for_turn(page: Page, turn: int) -> None:
    """Wait until a screen shows a turn, or one after it."""
    page.wait_for_function("turn => Number(document.getElementById('ask')?.dataset.turn) >= turn", arg=turn)


def turn_of(page: Page) -> int:
    """The turn that a screen shows."""
    return int(page.get_attribute("#ask", "data-turn") or "0")


@contextlib.contextmanager
def served(
    browser: Browser,
    records: Path,
    hearing: Any = None,
    *,
    pairing: bool = True,
    detector: Any = None,
    port: int = 0,
    tokens: Tokens | None = None,
    voice: PageVoice | None = None,
) -> Iterator[Served]:
    """Serve a page for a while; on a port with the tokens of an earlier one it is the same page, restarted."""
    listening = open_socket("127.0.0.1", port)
    port = listening.getsockname()[1]
    code = Pairing(lambda *_: None, make_code=lambda: CODE, tokens=tokens) if pairing else None
    house = House(
        ShopFloor(FolderStore(records)),
        code,
        hearing,
        "" if hearing else "No model.",
        frozenset({"localhost"}),
        False,
        voice=voice,
        link=f"http://127.0.0.1:{port}",
        port=port,
        detector=detector or make_detector,
    )
    with serving(make_app(house), listening):
        made = Served(f"http://127.0.0.1:{port}", house, records, browser)
        try:
            yield made
        finally:
            for context in made.contexts:
                context.close()
