"""The machine that serves the page is restarted in mid-session: a screen takes it up itself, answers count once."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from assistant.messages import Heard
from assistant.web.access.tokens import Tokens
from assistant.web.server import open_socket
from tests.records.samples import session_in
from tests.web.browser import PHONE, WAIT, Served, served, wait_for_turn
from tests.web.conftest import CODE
from tests.web.test_browser import look

pytestmark = [pytest.mark.browser]
Serves = Callable[[], AbstractContextManager[Served]]


@pytest.fixture
def serve(browser: Browser, lamp_shop: Path, tmp_path: Path) -> Serves:
    """Serves the same page each time: port, records and paired screens stay."""
    assert lamp_shop.is_dir()
    with open_socket("127.0.0.1", 0) as free:
        port = int(free.getsockname()[1])
    return lambda: served(browser, tmp_path / "records", port=port, tokens=Tokens(tmp_path / "paired.json"))


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone that outlives the server."""
    context = browser.new_context(**PHONE)
    context.set_default_timeout(WAIT)
    yield context
    context.close()


def begun(phone: BrowserContext, floor: Served) -> tuple[Page, str]:
    """A session that was begun on a phone."""
    page = phone.new_page()
    page.goto(f"{floor.base}/pair#{CODE}")
    page.wait_for_url(f"{floor.base}/")
    return page, floor.start(page)


def said(records: Path, session: str) -> list[str]:
    """What stands in the record as said."""
    facts = [entry.fact for _, entry in session_in(records, session).entries()]
    return [fact.hypotheses[0].words for fact in facts if isinstance(fact, Heard)]


def test_an_answer_given_while_the_machine_restarts_is_sent_once(
    serve: Serves, phone: BrowserContext, tmp_path: Path
) -> None:
    """Nothing is set aside by it: the question stays, the answer is kept, corrected and sent when it is back."""
    with serve() as floor:
        page, session = begun(phone, floor)
    expect(page.locator("#line")).to_have_text("off line, trying again")
    expect(page.locator("#prompt")).to_have_text("Ready?")
    page.click("#answers button >> nth=0")
    expect(page.locator("#notice")).to_contain_text("\u201cready\u201d is kept and sent")
    with serve():
        expect(page.locator("#prompt")).to_have_text("Disc or drum?")
        expect(page.locator("#over")).to_be_hidden()
        expect(page.locator("#notice")).to_have_text("")
        expect(page.locator("#line")).to_have_text("on line")
    expect(page.locator("#line")).to_have_text("off line, trying again")
    for button in ("Drum", "Disc"):  # a slip of the thumb: nobody has seen the first
        page.locator("#answers button", has_text=button).click()
    page.close()
    with serve() as floor:
        page = phone.new_page()
        page.goto(f"{floor.base}/session/{session}")
        expect(page.locator("#over-text")).to_contain_text(
            "not open on the machine"
        )  # a new tab did not have it open
        page.click("#again")
        expect(page.locator("#prompt")).to_have_text("Disc or drum?")
    assert said(tmp_path / "records", session) == ["ready"]


def test_an_answer_that_was_logged_before_the_restart_is_not_logged_again(
    serve: Serves, phone: BrowserContext, tmp_path: Path
) -> None:
    """Its fate never came; the record tells it. Another answer in its place is named."""
    with serve() as floor:
        page, session = begun(phone, floor)
        page.click("#answers button >> nth=0")
        wait_for_turn(page, 2)
        page.evaluate(
            """id => sessionStorage.setItem("leadsman-unsent-" + id,
            JSON.stringify(["ready", "no"].map((text, at) => ({
              id: "identity-" + at, epoch: "the-run-before", answered: 0, sent: true,
              message: { kind: "answer", id: "identity-" + at, turn: 1, prompt: "ready", text } }))))""",
            session,
        )
    with serve():
        page.reload()
        expect(page.locator("#prompt")).to_have_text("Disc or drum?")
        expect(page.locator("#notice")).to_contain_text("Another screen answered first: \u201cready\u201d.")
        assert page.evaluate("id => sessionStorage.getItem('leadsman-unsent-' + id)", session) == "[]"
        answer = page.locator("#answers button", has_text="Disc")
        page.wait_for_function("() => !document.querySelector('#answers button[aria-disabled]')")
        answer.click()
        wait_for_turn(page, 2)
    assert said(tmp_path / "records", session) == ["ready", "disc"]


@pytest.mark.sweep
def test_two_screens_take_the_same_session_up_at_once(serve: Serves, phone: BrowserContext, tmp_path: Path) -> None:
    with serve() as floor:
        page, session = begun(phone, floor)
        other = phone.new_page()
        other.goto(f"{floor.base}/session/{session}")
        wait_for_turn(other, 1)
    with serve():
        for one in (page, other):
            expect(one.locator("#line")).to_have_text("on line")
            expect(one.locator("#over")).to_be_hidden()
        page.click("#answers button >> nth=0")
        expect(other.locator("#prompt")).to_have_text("Disc or drum?")
    assert said(tmp_path / "records", session) == ["ready"]


@pytest.mark.sweep
def test_a_machine_that_lost_its_power_in_mid_session(phone: BrowserContext, lamp_shop: Path, tmp_path: Path) -> None:
    """The real command, killed: what was logged stands, the screen takes it up, the answer given counts once."""
    assert lamp_shop.is_dir()
    with open_socket("127.0.0.1", 0) as free:
        port = int(free.getsockname()[1])
    command = [
        sys.executable, "-m", "assistant", "serve", "--no-pairing", "--port", str(port),
        "--records", str(tmp_path / "records"),
    ]  # fmt: skip
    home = {**os.environ, "XDG_DATA_HOME": str(tmp_path / "data")}

    def begin() -> subprocess.Popen[bytes]:
        process = subprocess.Popen(command, env=home, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        assert process.stdout is not None
        assert any(b"Stop with Ctrl-C" in line for line in process.stdout)
        return process

    def lose(process: subprocess.Popen[bytes]) -> None:
        process.kill()
        process.wait()
        if process.stdout is not None:
            process.stdout.close()

    process = begin()
    try:
        page = phone.new_page()
        page.goto(f"http://127.0.0.1:{port}/")
        page.check("input[value=lamp]")
        page.fill("#unit", "4471")
        page.fill("#words", "it is dark")
        page.click("#begin")
        page.wait_for_url("**/session/*")
        for turn in (1, 2, 3):
            wait_for_turn(page, turn)
            page.wait_for_function("() => !document.querySelector('#answers button[aria-disabled]')")
            if turn < 3:
                page.click("#answers button >> nth=0")
        lose(process)
        expect(page.locator("#line")).to_have_text("off line, trying again")
        page.click("#answers button >> nth=0")
        process = begin()
        expect(page.locator("#prompt")).to_have_text("How many volts at left?", timeout=WAIT)
        expect(page.locator("#over")).to_be_hidden()
    finally:
        lose(process)
    assert said(tmp_path / "records", page.url.rsplit("/", 1)[1]) == ["ready", "disc", "whole"]


def kept_offline(page: Page) -> None:
    """Wait until the browser keeps our page."""
    page.evaluate("navigator.serviceWorker.ready.then(() => caches.match('/offline')).then((one) => one.status)")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def test_a_reload_without_the_machine_shows_our_page_and_what_waits(
    serve: Serves,
    phone: BrowserContext,
    tmp_path: Path,
) -> None:
    """Answers are named, and are sent once it is back; the view comes back by itself, under its own address."""
    with serve() as served:
        page, session = begun(phone, served)
        kept_offline(page)
    page.wait_for_function("() => !document.querySelector('#answers button[aria-disabled]')")
    page.click("#answers button >> nth=0")
    expect(page.locator("#notice")).to_contain_text("is kept and sent")
    page.reload()
    expect(page).to_have_title("No line - Leadsman")
    expect(page.locator("#kept")).to_contain_text("Not yet taken")
    expect(page.locator("#answers li")).to_have_text(["\u201cready\u201d"])
    page.click("#again")
    expect(page.locator("#state")).to_contain_text("Still no line")
    assert look(page, "off line") == []
    home = phone.new_page()
    home.goto(f"{page.url.split('/session/')[0]}/")
    expect(home.locator("#kept")).to_have_text("No answer waits on this device.")
    with serve():
        expect(page.locator("#prompt")).to_have_text("Disc or drum?")
        expect(home.locator("#start")).to_be_visible()
    assert said(tmp_path / "records", session) == ["ready"]
