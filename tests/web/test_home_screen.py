"""Home, records and the customer's page on real screens: what comes first, what covers nothing, what prints."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from assistant.records.store.folder import FolderStore
from tests.records.index.test_found_before import FAULT, WAITS
from tests.records.units import play_unit
from tests.web.browser import PHONE, Served, served
from tests.web.screen.test_geometry import with_large_text

pytestmark = [pytest.mark.browser]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop's records (invented, but for that they do not say so): one waits, one is mended."""
    folder = tmp_path_factory.mktemp("shop")
    now = datetime.now(UTC)
    play_unit(folder, FAULT, number="T-5012", started=now - timedelta(days=9), invented=False)
    play_unit(folder, FAULT, says=WAITS, number="4019", started=now - timedelta(days=3), invented=False)
    return folder


@pytest.fixture
def floor(browser: Browser, shop: Path) -> Iterator[Served]:
    """A page with these records; no screen may meet an error."""
    with served(browser, shop) as made:
        yield made
    assert made.troubles == []


def home(floor: Served, *, pixels: int = 16) -> Page:
    page = floor.screen(**PHONE)
    if pixels != 16:
        with_large_text(page, pixels)
    page.goto(f"{floor.base}/")
    page.locator("#records li").first.wait_for()
    return page


def too_wide(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollWidth - screen.width"))


def test_the_board_is_the_first_thing_on_a_phone(floor: Served) -> None:
    page = home(floor)
    tops = [
        page.eval_on_selector(one, "e => e.getBoundingClientRect().top") for one in ("#open", "#start", "#records")
    ]
    assert tops == sorted(tops)
    assert tops[0] < 200
    page.get_by_role("link", name="Records", exact=True).tap()
    expect(page.locator("#records-title")).to_be_in_viewport()


def test_start_covers_nothing_and_stands_by_what_is_chosen(floor: Served) -> None:
    page = home(floor)
    last = page.locator(".offer").last
    last.scroll_into_view_if_needed()
    covered = """e => { const at = e.getBoundingClientRect();
      const there = document.elementFromPoint(at.left + at.width / 2, at.top + at.height / 2);
      return !e.contains(there); }"""
    for offer in page.locator(".offer").all():
        offer.scroll_into_view_if_needed()
        assert not offer.evaluate(covered)
    last.tap()
    row, start = last.bounding_box(), page.locator("#begin").bounding_box()
    assert row is not None
    assert start is not None
    assert 0 <= start["y"] - (row["y"] + row["height"]) < 30


def test_practice_is_not_hit_with_start(floor: Served) -> None:
    page = home(floor)
    page.locator("#else").wait_for()
    assert page.evaluate("() => parseFloat(getComputedStyle(document.getElementById('go')).rowGap)") >= 24


def test_a_work_orders_number_goes_into_the_record(floor: Served, shop: Path) -> None:
    """The same field of the record as from the command line."""
    page = home(floor)
    page.fill("#unit", "88")
    page.locator("#else summary").tap()
    page.fill("#order", "WO 4711")
    page.locator(".offer").first.tap()
    page.click("#begin")
    page.wait_for_url("**/session/*")
    session = page.url.rsplit("/", 1)[1]
    store = FolderStore(shop)
    assert b'"work_order":"WO 4711"' in store.data(session).partition(b"\n")[0].replace(b'": "', b'":"')
    page.click("#open-more")
    page.click("#leave")
    expect(page.locator("#prompt")).to_have_text("Set aside")
    expect(page.locator("#unit")).to_have_text("Unit 88")
    floor.house.workers.find(session).join()  # type: ignore[union-attr]
    page.context.new_page().close()
    fresh = floor.screen(**PHONE)
    floor.house.workers._workers.clear()
    fresh.goto(f"{floor.base}/session/{session}")
    expect(fresh.locator("#unit")).to_have_text("Unit 88")


def test_the_customers_page_is_reached_from_the_record_and_prints(floor: Served) -> None:
    page = home(floor)
    page.locator("#records a", has_text="T-5012").tap()
    page.get_by_role("link", name="Customer's page").tap()
    expect(page.locator(".record.customer h1")).to_have_text("Unit T-5012")
    expect(page.locator(".record.customer")).to_contain_text("What we did")
    page.evaluate("window.print = () => { window.printed = true; }")
    page.get_by_role("button", name="Print").tap()
    assert page.evaluate("window.printed")
    page.get_by_role("link", name="The whole record").tap()
    expect(page.locator(".record .three")).to_be_visible()
    page.get_by_role("link", name="All records").tap()
    expect(page.locator("#records-title")).to_be_in_viewport()


def test_no_record_and_no_customers_page_of_what_is_not_there(floor: Served) -> None:
    page = floor.screen(**PHONE)
    for path in ("/record/20260101-080000-zzz/customer", "/record/none/customer"):
        answer = page.request.get(f"{floor.base}{path}")
        assert answer.status == 404
    assert page.request.get(f"{floor.base}/api/unit-of/20260101-080000-zzz").json() == {"unit": ""}


@pytest.mark.parametrize("pixels", [16, 32])
def test_nothing_is_wider_than_the_phone(floor: Served, pixels: int) -> None:
    """With twice the text, too; a chart is as wide as the screen."""
    page = home(floor, pixels=pixels)
    assert too_wide(page) <= 0
    record = page.locator("#records a", has_text="T-5012").get_attribute("href")
    for path in (record, f"{record}/customer", "/unit?number=T-5012"):
        page.goto(f"{floor.base}{path}")
        assert too_wide(page) <= 0, path
    page.goto(f"{floor.base}{record}")
    charts = page.locator(".record figure:has(h3) svg")
    assert charts.count()
    for chart in charts.all():
        box = chart.bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= 390


def test_times_are_told_on_a_clock_of_twelve_hours(floor: Served) -> None:
    """As the shop's wall clock showed it, whatever the zone of the device that reads it."""
    page = floor.screen(**PHONE, timezone_id="Asia/Tokyo")
    page.goto(f"{floor.base}/")
    told = {"00:05": "12:05 a.m.", "11:59": "11:59 a.m.", "12:00": "12:00 p.m.", "14:23": "2:23 p.m."}
    for written, shown in told.items():
        made = page.evaluate(
            "async text => (await import('/assets/common.js')).when(text)", f"2026-01-31T{written}:00-05:00"
        )
        assert made == f"Jan 31, 2026, {shown}"
    note = page.locator("#records li .note").first
    expect(note).to_have_text(re.compile(r"^[A-Z][a-z]{2} \d{1,2}, \d{4}, \d{1,2}:\d\d [ap]\.m\.,"))
