"""A report as a phone shows it: nothing is cut at the side, and the letters in its pictures can be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.commands.records.report import context_of
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.report.exhibits import exhibits_of
from assistant.records.report.page import Told, customer_html, html_report
from assistant.records.report.path import path_of
from assistant.records.report.talk import turns_of
from assistant.records.summary.collect import summarize
from tests.records.units import play_unit
from tests.web.browser import quiet_browser

CUT = """(width) => [...document.querySelectorAll("main, main *")]
  .filter((one) => one.getBoundingClientRect().right > width + 1
    || (!one.closest("svg") && one.scrollWidth > one.clientWidth + 1))
  .filter((one) => !one.closest("thead, .unseen, .wide") && getComputedStyle(one).display !== "inline")
  .map((one) => `${one.tagName} ${one.className} ${one.textContent.trim().slice(0, 40)}`).reverse()"""
LETTERS = """() => [...document.querySelectorAll("main svg text")]
  .map((one) => one.getBoundingClientRect().height).filter((one) => one > 0)"""
LEAST = 7.0
"""Pixels of a line of letters in a picture, the numbers above bars among them."""


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory, vocabulary: Vocabulary) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("phone")
    session = play_unit(
        folder, ("sensor open", "right front"), ("sensor backed off", "left rear"), facts={"brakes": "disc"}
    )
    one, context = summarize(session), context_of(session)
    told = Told(path_of(session, context), turns_of(session), exhibits=exhibits_of(session, context, one))
    made = {"record": html_report(one, vocabulary, told), "customer": customer_html(one, vocabulary)}
    for name, html in made.items():
        (folder / f"{name}.html").write_text(html, encoding="utf-8")
    return {name: folder / f"{name}.html" for name in made}


@pytest.mark.sweep
def test_nothing_is_cut_at_the_side_and_every_letter_can_be_read(
    pages: dict[str, Path], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Phone, letters of twice the size on it (WCAG 2.2, 1.4.4), a desktop at 200 percent, tablet, desktop."""
    with quiet_browser(tmp_path_factory.mktemp("browser")) as browser:
        for name, path in pages.items():
            for width, letters in ((360, 14), (390, 14), (390, 28), (550, 14), (760, 14), (1100, 14)):
                page = browser.new_page(viewport={"width": width, "height": 800})
                page.goto(path.as_uri())
                page.add_style_tag(content=f"body.sheet {{ font-size: {letters}px !important; }}")
                where = f"{name} at {width} with {letters}"
                assert page.evaluate("document.documentElement.scrollWidth") <= width, where
                assert page.evaluate(CUT, width) == [], where
                heights = page.evaluate(LETTERS)
                assert (name == "customer") == (not heights)
                assert min(heights, default=LEAST) >= LEAST, where
                page.close()
