"""How a session stands on real screens: everything needed for an answer is seen at once, nothing covered or cut.

A key is at least 15 mm wide and high, for gloves, on the glass that is held: a phone of 390 CSS px is about 71 mm
wide (common practice, no source), so that is 82.4 px; on a desk a CSS inch has 96 px (CSS Values and Units, section
6.2), and it is 56.7 px. The one screen that is too low for such keys beside words that are read stands in
``geometry.js``. Capitals of the big view are at least 12 mm, 45.4 px, high.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.web.browser import Served
from tests.web.screen.prompts import PROCEDURES, Standing, every_prompt_of, longest_of, prompts_of
from tests.web.screen.screens import Shown

pytestmark = [pytest.mark.browser]
MEASURE = (Path(__file__).parent / "geometry.js").read_text(encoding="utf-8")
SCREENS = {
    "small phone": (360, 640), "low phone": (360, 740), "usual phone": (360, 800), "phone": (390, 844),
    "large phone": (430, 932), "phone sideways": (844, 390), "small phone sideways": (740, 360),
    "tablet": (768, 1024), "tablet sideways": (1024, 768), "desk": (1280, 900),
}  # fmt: skip
TIGHTEST = ("small phone", "small phone sideways")
"""Here every prompt is measured; on the others, and with large text, the longest of each kind."""
LARGE = 32
"""Pixels of a letter where the device's text is set to twice the usual 16 (WCAG 2.2, 1.4.4: text up to 200 %)."""
CAPITALS = """() => [...document.querySelectorAll('#last .value, #last .verdict, #place, #act')]
    .filter((one) => one.getClientRects().length && one.textContent)
    .map((one) => {
      const pen = document.createElement('canvas').getContext('2d');
      const style = getComputedStyle(one);
      pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      return [one.id || one.className, pen.measureText('H').actualBoundingBoxAscent];
    })"""


BROKEN = """() => {
  const tell = document.getElementById('tell');
  const seen = [...tell.children].filter((one) => one.getClientRects().length);
  const wide = seen.filter((one) => one.getBoundingClientRect().right > tell.getBoundingClientRect().right + 1);
  const lines = [...document.querySelectorAll('#act, #place, #last .value')]
    .filter((one) => one.scrollWidth > one.clientWidth + 1);
  const cut = tell.scrollHeight > tell.clientHeight + 1 ? ['cut'] : [];
  return [...wide, ...lines].map((one) => one.id || one.className).concat(cut);
}"""


def screen(floor: Served, name: str, **more: Any) -> Page:
    """A screen of that size; all but the desk's are touched."""
    width, height = SCREENS[name]
    touched = {} if name == "desk" else {"has_touch": True, "is_mobile": True}
    return floor.screen(
        permissions=["microphone"], viewport={"width": width, "height": height}, **{**touched, **more}
    )


def with_large_text(page: Page, pixels: int = LARGE) -> Page:
    """The same screen on a device whose text is set larger."""
    sizes = {"standard": pixels, "fixed": pixels}
    page.context.new_cdp_session(page).send("Page.setFontSizes", {"fontSizes": sizes})
    return page


def wrong_on(page: Page, floor: Served, prompts: tuple[Standing, ...]) -> list[str]:
    """What stands wrong, prompt by prompt."""
    return Shown(page, floor.base).measured(prompts, MEASURE)


def every_prompt() -> tuple[Standing, ...]:
    """The prompts of all procedures."""
    return tuple(one for name in PROCEDURES for one in every_prompt_of(name))


@pytest.mark.parametrize("name", ["small phone", "small phone sideways", "desk"])
def test_a_session_stands_on_the_screen(floor: Served, name: str) -> None:
    """The first prompts of the main procedure and a survey in fractions of an inch."""
    prompts = prompts_of("trailer-abs-light-on", 1)[:40] + prompts_of("pushrod-stroke", 1)[:12]
    assert wrong_on(screen(floor, name), floor, prompts) == []


@pytest.mark.sweep
@pytest.mark.parametrize("name", TIGHTEST)
def test_every_prompt_of_every_procedure_stands_on_the_screen(floor: Served, name: str) -> None:
    assert wrong_on(screen(floor, name), floor, every_prompt()) == []


@pytest.mark.sweep
@pytest.mark.parametrize("name", [one for one in SCREENS if one not in TIGHTEST])
def test_the_longest_prompts_stand_on_the_screen(floor: Served, name: str) -> None:
    assert wrong_on(screen(floor, name), floor, longest_of(every_prompt())) == []


@pytest.mark.parametrize("name", ["phone", "phone sideways", "tablet"])
def test_with_large_text_the_question_stays_in_sight(floor: Served, name: str) -> None:
    """Twice the text: nothing is wider than the screen; question, limits and last reading are seen at once."""
    prompts = prompts_of("trailer-abs-light-on", 1)
    assert wrong_on(with_large_text(screen(floor, name)), floor, prompts) == []


@pytest.mark.sweep
@pytest.mark.parametrize(
    ("name", "pixels"),
    [*((one, LARGE) for one in SCREENS), *((one, 20) for one in TIGHTEST), ("small phone", 24)],
)
def test_the_longest_prompts_with_large_text(floor: Served, name: str, pixels: int) -> None:
    assert wrong_on(with_large_text(screen(floor, name), pixels), floor, longest_of(every_prompt())) == []


def test_a_browser_that_is_zoomed_to_twice_the_size(floor: Served) -> None:
    """Twice the size halves the screen (WCAG 2.2, 1.4.10 asks for 320 wide; a phone has less)."""
    page = floor.screen(viewport={"width": 195, "height": 422}, has_touch=True, is_mobile=True)
    shown = Shown(page, floor.base)
    for one in prompts_of("trailer-abs-light-on", 1):
        shown.show(one)
        assert page.evaluate("() => document.documentElement.scrollWidth <= 195"), one["prompt"]
        box = page.locator("#prompt").bounding_box()
        rail = page.locator("#rail").bounding_box()
        assert box is not None
        assert rail is not None
        assert box["y"] >= 0
        assert box["y"] + min(box["height"], 60) <= rail["y"], one["prompt"]


def test_a_question_over_a_reading_has_large_keys_and_no_number_pad(floor: Served) -> None:
    """What is asked back over a reading is answered with yes or no, at 15 mm and more."""
    page = screen(floor, "phone")
    shown = Shown(page, floor.base)
    reading = next(one for one in prompts_of("trailer-abs-light-on", 1) if one["expects"] == "reading")
    answers = [{"say": "yes", "label": "Yes"}, {"say": "no", "label": "No"}]
    asked = {**reading["ask"], "before": [], "text": "That means a bad part. Did I get that right?"}
    shown.show({**reading, "mode": "confirm", "answers": answers, "ask": asked, "limits": ""})
    assert page.locator("#pad").is_hidden()
    for label in ("Yes", "No"):
        box = page.get_by_role("group", name="Answers").get_by_role("button", name=label, exact=True).bounding_box()
        assert box is not None
        assert box["width"] >= 100
        assert box["height"] >= 80
    assert page.evaluate(MEASURE) == []
    page.get_by_role("button", name="Another value").tap()
    assert page.locator("#pad").is_visible()


def test_what_the_readings_point_to_is_large_and_right_after_them(floor: Served) -> None:
    page = screen(floor, "phone")
    shown = Shown(page, floor.base)
    one = next(one for one in prompts_of("trailer-abs-light-on", 4) if one["found"] and one["mode"] != "fix")
    shown.show(one)
    assert page.inner_text("#found-text") == one["found"]["text"]
    assert page.evaluate("""() => {
      const size = (id) => parseFloat(getComputedStyle(document.getElementById(id)).fontSize);
      const top = (id) => document.getElementById(id).getBoundingClientRect().top;
      return size("found-text") > size("prompt") && top("found") < top("prompt") && top("found") > top("last-part")
        && document.querySelector("#found svg").getBoundingClientRect().width > 20;
    }""")


@pytest.mark.parametrize("name", ["small phone", "phone"])
def test_the_unit_is_read_in_full(floor: Served, name: str) -> None:
    page = screen(floor, name)
    shown = Shown(page, floor.base)
    prompt = prompts_of("trailer-abs-light-on", 1)[3]
    for number in ("T-5012", "RENTAL 778-24-0013", "4471"):
        shown.show({**prompt, "unit_number": number})
        assert page.inner_text("#unit") == f"Unit {number}"
        assert page.evaluate(MEASURE) == []


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
    style(page, "#pad button", minHeight="80px")
    assert any(one.startswith("1 is") for one in page.evaluate(MEASURE)), "15 mm are 82.4 px here"


def style(page: Page, which: str, **rules: str) -> None:
    """Set styles on an element itself, which the page's policy allows to a debugger."""
    page.eval_on_selector(which, "(one, rules) => Object.assign(one.style, rules)", rules)


@pytest.mark.parametrize("name", ["phone", "phone sideways", "tablet"])
def test_the_floor_view_is_read_from_the_floor(floor: Served, name: str) -> None:
    page = screen(floor, name)
    shown = Shown(page, floor.base)
    readings = [one for one in prompts_of("trailer-abs-light-on", 1) if one["last"] and one["last"]["verdict"]]
    page.click("#floor")
    checks = [one for one in readings if one["mode"] == "check"]
    for one in [*checks[:4], *[one for one in checks if one["expects"] == "reading"][:3]]:
        shown.show(one)
        capitals = dict(page.evaluate(CAPITALS))
        assert {"value", "act"} <= {name.split()[0] for name in capitals}
        assert min(capitals.values()) >= 45.4, capitals
        assert page.evaluate("() => document.documentElement.scrollHeight <= window.innerHeight + 1")
        assert page.evaluate(BROKEN) == [], "no word is broken and nothing is cut"
        if one["expects"] == "reading":  # the meter's setting, the probes and the limits come along
            assert page.locator("#before").is_visible() == bool(one["ask"]["before"])
            assert page.locator("#limits").is_visible() == bool(one["limits"])
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


@pytest.mark.parametrize("name", ["small phone", "phone", "phone sideways"])
def test_what_a_meter_shows_in_place_of_a_number_is_a_key(floor: Served, name: str) -> None:
    """The first among the digits, the others behind one key more, and back to the numbers."""
    page = screen(floor, name)
    shown = Shown(page, floor.base)
    one = next(
        each for each in prompts_of("trailer-abs-light-on", 2) if each["keys"] == ["-", "k"] and each["answers"]
    )
    shown.show(one)
    keys = page.get_by_label("Number keys")
    for label in ("kilo", one["answers"][0]["label"]):
        assert keys.get_by_role("button", name=label, exact=True).is_visible()
    keys.get_by_role("button", name="Other").tap()
    assert page.evaluate(MEASURE) == []
    for label in ("minus", *[answer["label"] for answer in one["answers"][1:]]):
        assert keys.get_by_role("button", name=label, exact=True).is_visible()
    keys.get_by_role("button", name="minus").tap()
    keys.get_by_role("button", name="Numbers").tap()
    keys.get_by_role("button", name="7", exact=True).tap()
    assert page.input_value("#text") == "-7"
    keys.get_by_role("button", name="Other").tap()
    keys.get_by_role("button", name=one["answers"][-1]["label"], exact=True).tap()
    assert page.evaluate("() => window.answered") == [one["answers"][-1]["say"]]


def test_another_value_has_both_answers_among_the_number_keys(floor: Served) -> None:
    page = screen(floor, "phone")
    one = next(each for each in prompts_of("battery-and-charging", 2) if each["mode"] == "confirm")
    Shown(page, floor.base).show(one)
    page.get_by_role("button", name="Another value").tap()
    keys = page.get_by_label("Number keys")
    assert keys.get_by_role("button", name="Yes", exact=True).is_visible()
    keys.get_by_role("button", name="No", exact=True).tap()
    assert page.evaluate("() => window.answered") == ["no"]


@pytest.mark.parametrize("name", ["phone", "phone sideways"])
def test_a_yes_to_a_list_waits_until_its_end_was_in_sight(floor: Served, name: str) -> None:
    """With text of twice the size four cautions do not fit; the keyboard's yes is taken as it is."""
    page = with_large_text(screen(floor, name))
    shown = Shown(page, floor.base)
    one = next(each for each in prompts_of("battery-and-charging", 1) if len(each["ask"]["parts"]) >= 4)
    yes = page.get_by_role("group", name="Answers").get_by_role("button", name="Yes", exact=True)
    said = "() => window.answered"
    shown.show(one)
    assert page.evaluate("""() => document.querySelector('#parts li:last-child').getBoundingClientRect().bottom
      > document.getElementById('rail').getBoundingClientRect().top"""), "they do not fit"
    why = "(key) => getComputedStyle(key, '::after').content"
    page.wait_for_timeout(400)  # until taps are taken at all
    if name == "phone":  # there Yes is in sight all the time
        assert "Read to the end first" in yes.evaluate(why)
        yes.tap()
        assert page.evaluate(said) == []
    yes.focus()
    page.keyboard.press("Enter")
    assert page.evaluate(said) == ["yes"]
    shown.show(one)
    page.evaluate("() => window.scrollTo(0, 0)")
    page.wait_for_timeout(400)
    assert yes.evaluate("(key) => key.classList.contains('unread')"), "each list is read anew"
    page.locator("#parts li").last.scroll_into_view_if_needed()
    page.evaluate("() => window.scrollBy(0, 400)")
    page.wait_for_function("() => document.querySelector('#answers .unread') === null")
    yes.tap()
    assert page.evaluate(said) == ["yes", "yes"]


def test_a_yes_to_a_list_that_fits_is_taken_at_once(floor: Served) -> None:
    page = screen(floor, "phone")
    one = next(each for each in prompts_of("battery-and-charging", 1) if len(each["ask"]["parts"]) >= 4)
    Shown(page, floor.base).show(one)
    page.wait_for_timeout(400)
    page.get_by_role("button", name="Yes", exact=True).tap()
    assert page.evaluate("() => window.answered") == ["yes"]


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


WHOLE = """() => [...document.querySelectorAll('#last .value')].every((one) => {
  const range = document.createRange();
  range.selectNodeContents(one);
  const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
  return range.getBoundingClientRect().right <= document.getElementById('last').getBoundingClientRect().right
    && lines.size <= one.textContent.split(' ').length;
})"""


@pytest.mark.parametrize("pixels", [16, LARGE])
def test_a_figure_and_its_unit_are_never_cut(floor: Served, pixels: int) -> None:
    """The longest values, under a question that leaves room for large words."""
    page = with_large_text(screen(floor, "phone"), pixels)
    shown = Shown(page, floor.base)
    one = next(each for each in prompts_of("trailer-abs-light-on", 1) if each["mode"] == "put_back" and each["last"])
    for text in ("1,180 ohms", "13,250 kilohms", "1 7/8 inches", "over range", "\u2212120.5 millivolts"):
        last = {**one["last"], "text": text, "verdict": "out of limits", "grade": "bad"}
        shown.show({**one, "last": last, "ask": {**one["ask"], "parts": [], "text": "Done?"}})
        assert page.evaluate(WHOLE), text
        assert page.evaluate(MEASURE) == []


def test_a_message_leaves_the_limits_in_sight(floor: Served) -> None:
    page = screen(floor, "phone")
    shown = Shown(page, floor.base)
    readings = [one for one in prompts_of("trailer-abs-light-on", 1) if one["expects"] == "reading" and one["limits"]]
    shown.show(max(readings, key=lambda one: len(str(one["ask"]))))
    page.get_by_label("Number keys").get_by_role("button", name="Send", exact=True).click()
    assert page.inner_text("#notice") == "Type the number first."
    assert page.evaluate(MEASURE) == []
    page.get_by_label("Number keys").get_by_role("button", name="7", exact=True).click()
    assert page.inner_text("#notice") == ""


def test_no_key_of_the_pad_is_small_or_blank(floor: Served) -> None:
    """Words of 18 px where they fit; a missing key leaves no hole, and no words no empty column."""
    page = screen(floor, "phone")
    shown = Shown(page, floor.base)
    one = next(each for each in prompts_of("trailer-abs-light-on", 1) if each["answers"] and each["keys"] == ["-"])
    for count in (len(one["answers"]), 0):
        shown.show({**one, "answers": one["answers"][:count]})
        assert page.locator("#pad > span").count() == 0
        assert page.evaluate("""() => {
          const edge = (name) => document.querySelector(name).getBoundingClientRect().right;
          const keys = [...document.querySelectorAll('#pad button')].map((key) => key.getBoundingClientRect().right);
          return Math.abs(Math.max(...keys) - edge('#enter')) < 2;
        }""")
        small = page.evaluate("""() => [...document.querySelectorAll('#pad button.word')]
          .filter((key) => parseFloat(getComputedStyle(key).fontSize) < 17.9).map((key) => key.textContent)""")
        assert small == []


@pytest.mark.parametrize("name", ["phone", "phone sideways"])
def test_the_big_view_has_the_keys_of_what_it_asks(floor: Served, name: str) -> None:
    """One or two keys, large; none where the question is not seen, and never the number pad."""
    page = screen(floor, name)
    shown = Shown(page, floor.base)
    page.get_by_role("button", name="Big view").click()
    prompts = prompts_of("trailer-abs-light-on", 1)
    asked = 0
    for one in [
        each for each in prompts if each["mode"] in ("caution", "ready", "access", "fix", "put_back", "proof")
    ][:14]:
        shown.show(one)
        keys = page.locator("#answers button:visible")
        assert page.locator("#pad").is_hidden()
        if keys.count() == 0:
            continue
        asked += 1
        assert [key.inner_text() for key in keys.all()] == [each["label"] for each in one["answers"]]
        assert min(key.bounding_box()["height"] for key in keys.all()) >= 56.6  # type: ignore[index]
        hidden = page.locator("#prompt").is_hidden() and one["ask"]["text"] != page.inner_text("#act")
        assert not hidden, one["prompt"]
        assert page.evaluate(BROKEN) == []
    assert asked >= (8 if name == "phone" else 1)
    shown.show(next(each for each in prompts if each["expects"] == "reading"))
    assert page.locator("#enter").is_hidden()


def test_with_large_text_the_answer_stays_at_the_bottom(floor: Served) -> None:
    """However long the cautions are; and where the tips go stands over the keys of a reading."""
    page = with_large_text(screen(floor, "phone"))
    shown = Shown(page, floor.base)
    prompts = prompts_of("trailer-abs-light-on", 1)
    shown.show(next(each for each in prompts if each["mode"] == "caution"))
    yes = page.get_by_role("button", name="Yes", exact=True).bounding_box()
    rail = page.locator("#rail").bounding_box()
    assert yes is not None
    assert rail is not None
    assert yes["y"] + yes["height"] <= rail["y"]
    page.evaluate("() => { document.getElementById('speak').textContent = 'Speaking\u2026'; }")
    assert page.evaluate("""() => {
      const range = document.createRange();
      range.selectNodeContents(document.getElementById('speak'));
      return range.getClientRects().length === 1;
    }"""), "no word is broken"
    shown.show(next(each for each in prompts if each["expects"] == "reading" and each["ask"]["before"]))
    tops = {one: page.locator(one).bounding_box() for one in ("#before", "#pad")}
    assert tops["#before"]["y"] < tops["#pad"]["y"]  # type: ignore[index]
