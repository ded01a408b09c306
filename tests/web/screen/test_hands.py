"""Pictures of where the hands go on the page: shapes alone, shown where there is room, never in the way."""

from __future__ import annotations

import json
import re

import pytest

from assistant.web.pages import ASSETS
from tests.web.browser import Served
from tests.web.screen.prompts import Standing, prompts_of
from tests.web.screen.screens import Shown

MAIN = "trailer-abs-light-on"


def drawn() -> list[Standing]:
    """Prompts of four sessions that have pictures."""
    return [one for one in prompts_of(MAIN, 4) if one["pictures"]]


def test_a_picture_is_shapes_and_nothing_that_acts() -> None:
    known = json.loads(re.search(r"const TAGS = (\[[^\]]*\])", (ASSETS / "session" / "draw.js").read_text())[1])  # type: ignore[index]
    prompts = drawn()
    assert len(prompts) >= 10
    for prompt in prompts:
        for picture in prompt["pictures"]:
            assert picture["told"]
            for tag, attributes, text in picture["shapes"]:
                assert tag in known
                assert not [name for name in attributes if name.startswith("on") or name in ("href", "style")]
                assert isinstance(text, str)
        assert len(json.dumps(prompt)) < 40_000


def test_a_reading_says_where_both_tips_go_and_what_is_off() -> None:
    readings = [one for one in drawn() if one["mode"] == "check" and one["expects"] == "reading"]
    assert readings
    for one in readings:
        kinds = [picture["kind"] for picture in one["pictures"]]
        assert kinds[0] == "circuit"
        assert "meter" in kinds
        told = one["pictures"][0]["told"]
        assert "Red probe:" in told
        assert "Black probe:" in told


def test_a_circuit_is_drawn_only_where_the_step_is_about_it() -> None:
    """Earlier steps leave plugs open; that draws no circuit where plugs are tagged or codes are read."""
    kinds = {one["prompt"]: [each["kind"] for each in one["pictures"]] for one in prompts_of(MAIN, 4)}
    for prompt, made in kinds.items():
        if prompt in (
            "access:module plugs",
            "check:code names a wheel",
            "proof:read codes",
            "check:kind of the code",
        ):
            assert "plugs" not in made
            assert "circuit" not in made
    assert "access:module plugs" in kinds
    assert any("plugs" in made for made in kinds.values()), "a plug that the step itself opens is drawn"


def test_nothing_is_drawn_on_hold() -> None:
    assert not [one for one in prompts_of(MAIN, 1) if one["held"] and one["pictures"]]


@pytest.mark.browser
def test_the_desk_shows_them_beside_the_question(floor: Served) -> None:
    page = floor.screen(viewport={"width": 1280, "height": 900})
    shown = Shown(page, floor.base)
    one = next(each for each in drawn() if any(picture["kind"] == "seven-way" for picture in each["pictures"]))
    shown.show(one)
    assert page.locator("#pictures svg").count() == len(one["pictures"])
    assert page.locator("#pictures").is_visible()
    assert one["pictures"][0]["told"] in page.inner_text("#pictures")
    assert page.locator("#glance").is_hidden()
    red = page.eval_on_selector("#pictures .lead.red", "one => getComputedStyle(one).stroke")
    assert red == "rgb(179, 22, 27)", "the style sheet of the pictures is linked"


@pytest.mark.browser
def test_a_phone_opens_them_from_the_question(floor: Served) -> None:
    page = floor.screen(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    shown = Shown(page, floor.base)
    opened = 0
    for one in drawn()[:8]:
        shown.show(one)
        small = page.evaluate("""() => [...document.querySelectorAll('#glance svg text')]
          .filter((one) => one.getClientRects().length)
          .map((one) => [one, one.getScreenCTM()])
          .map(([one, at]) => [one.textContent, Math.hypot(at.a, at.b) * parseFloat(getComputedStyle(one).fontSize)])
          .filter(([, size]) => size < 10.99)""")
        assert small == [], "what is written on a drawing is read, or it is not drawn"
        if page.locator("#glance").is_visible():
            page.tap("#glance")
            assert page.locator("#pictures svg").first.is_visible()
            page.tap("#back")
            opened += 1
    assert opened, "a phone of this size has room for one of them at least"
