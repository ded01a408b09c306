"""How a session stands on real screens: everything needed for an answer is seen at once, nothing covered or cut.

A key is at least 15 mm wide and high, for gloves; a CSS inch has 96 px (CSS Values and Units, section 6.2), so that
is 56.7 px. Capitals of the floor view are at least 12 mm, 45.4 px, high.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.conftest import missing
from tests.web.browser import Served, chromium, chromium_path, say_into, served
from tests.web.screens import Shown, Standing, prompts_of

pytestmark = [pytest.mark.browser]
MEASURE = (Path(__file__).parent / "geometry.js").read_text(encoding="utf-8")
SCREENS = {
    "small phone": (360, 640), "phone": (390, 844), "large phone": (430, 932), "phone sideways": (844, 390),
    "small phone sideways": (740, 360), "tablet": (768, 1024), "tablet sideways": (1024, 768),
    "desk": (1280, 900),
}  # fmt: skip
CAPITALS = """() => [...document.querySelectorAll('#last .value, #last .verdict, #place, #act')]
    .filter((one) => one.getClientRects().length && one.textContent)
    .map((one) => {
      const pen = document.createElement('canvas').getContext('2d');
      const style = getComputedStyle(one);
      pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      return [one.id || one.className, pen.measureText('H').actualBoundingBoxAscent];
    })"""


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """One browser for all of these tests."""
    path = chromium_path()
    if path is None:
        missing("Chromium is not installed (Debian: apt-get install chromium)")
    microphone = tmp_path_factory.mktemp("microphone") / "said.wav"
    say_into(microphone, None)
    with chromium(path, microphone) as made:
        yield made


@pytest.fixture
def floor(browser: Browser, lamp_shop: Path, tmp_path: Path) -> Iterator[Served]:
    """A page; no screen may meet an error."""
    assert lamp_shop.is_dir()
    with served(browser, tmp_path / "records") as made:
        yield made
    assert made.troubles == []


def screen(floor: Served, name: str, **more: Any) -> Page:
    """A screen of that size; all but the desk's are touched."""
    width, height = SCREENS[name]
    touched = {} if name == "desk" else {"has_touch": True, "is_mobile": True}
    return floor.screen(
        permissions=["microphone"], viewport={"width": width, "height": height}, **{**touched, **more}
    )


def wrong_on(page: Page, floor: Served, prompts: tuple[Standing, ...]) -> list[str]:
    """What stands wrong, prompt by prompt."""
    shown, wrong = Shown(page, floor.base), []
    for one in prompts:
        shown.show(one)
        wrong += [f"{one['prompt']}: {found}" for found in page.evaluate(MEASURE)]
    return wrong


@pytest.mark.parametrize("name", ["small phone", "small phone sideways", "desk"])
def test_a_session_stands_on_the_screen(floor: Served, name: str) -> None:
    """The first prompts of the main procedure and a survey in fractions of an inch."""
    prompts = prompts_of("trailer-abs-light-on", 1)[:40] + prompts_of("pushrod-stroke", 1)[:12]
    assert wrong_on(screen(floor, name), floor, prompts) == []


@pytest.mark.sweep
@pytest.mark.parametrize("procedure", ["trailer-abs-light-on", "pushrod-stroke", "battery-and-charging"])
@pytest.mark.parametrize("name", [one for one in SCREENS if one != "desk"])
def test_the_prompts_of_whole_sessions_stand_on_the_screen(floor: Served, name: str, procedure: str) -> None:
    assert wrong_on(screen(floor, name), floor, prompts_of(procedure, 4)) == []


def test_a_key_that_is_covered_or_small_is_found(floor: Served) -> None:
    """The measure itself: what it is there to find, it finds."""
    page = screen(floor, "phone")
    reading = next(
        one for one in prompts_of("trailer-abs-light-on", 1) if one["expects"] == "reading" and one["limits"]
    )
    Shown(page, floor.base).show(reading)
    assert page.evaluate(MEASURE) == []
    style(page, "#rail", position="fixed", bottom="6rem")
    assert any("is covered by" in one for one in page.evaluate(MEASURE))
    style(page, "#pad", alignItems="start")
    style(page, "#pad button", minHeight="2rem")
    assert any(one.startswith("1 is") for one in page.evaluate(MEASURE))


def style(page: Page, which: str, **rules: str) -> None:
    """Set styles on an element itself, which the page's policy allows to a debugger."""
    page.eval_on_selector(which, "(one, rules) => Object.assign(one.style, rules)", rules)


@pytest.mark.parametrize("name", ["phone", "phone sideways", "tablet"])
def test_the_floor_view_is_read_from_the_floor(floor: Served, name: str) -> None:
    page = screen(floor, name)
    shown = Shown(page, floor.base)
    readings = [one for one in prompts_of("trailer-abs-light-on", 1) if one["last"] and one["last"]["verdict"]]
    page.click("#floor")
    for one in [one for one in readings if one["mode"] == "check"][:4]:
        shown.show(one)
        capitals = dict(page.evaluate(CAPITALS))
        assert {"value", "act"} <= {name.split()[0] for name in capitals}
        assert min(capitals.values()) >= 45.4, capitals
        assert page.evaluate("() => document.documentElement.scrollHeight <= window.innerHeight + 1")
    page.reload()
    shown.show(readings[0])
    assert page.get_attribute("#floor", "aria-pressed") == "true", "it is remembered"


def test_a_fraction_is_typed_with_the_keys(floor: Served) -> None:
    """An inch is read off a rule in eighths and sixteenths: 1 3/8 goes in by five taps."""
    page = screen(floor, "phone")
    shown = Shown(page, floor.base)
    inches = next(one for one in prompts_of("pushrod-stroke", 1) if one["unit"].startswith("inch"))
    shown.show(inches)
    for key in ("1", "space, as in one and a half", "3", "over, as in seven eighths", "8"):
        page.get_by_label("Number keys").get_by_role("button", name=key, exact=True).click()
    assert page.input_value("#text") == "1 3/8"


def test_higher_values_stand_higher(floor: Served) -> None:
    page = screen(floor, "desk")
    shown = Shown(page, floor.base)
    base = next(
        one for one in prompts_of("trailer-abs-light-on", 1) if one["last"] and one["last"]["high"] is not None
    )
    depths = []
    for value in (base["last"]["high"] * 1.5, base["last"]["high"] * 0.5):
        shown.show({**base, "last": {**base["last"], "value": value}})
        box = page.locator("#last svg .lead").bounding_box()
        assert box is not None
        depths.append(box["y"])
    assert depths[0] < depths[1]
