"""A session that is begun without words asks what is wrong: spoken, typed or tapped away."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.web.browser import PHONE, served, wait_for_turn
from tests.web.conftest import FakeHearing, Floor, FloorMaker, Line, noise, voice
from tests.web.test_websocket import speak, words_in_record

ASKED = "fact:own complaint"


def asked(line: Line) -> dict[str, object]:
    """Answer that everything is in hand, and the question after it."""
    line.answer("answer-1", line.standing(1), "next")
    line.fate("answer-1")
    return line.standing(2)


def test_it_is_asked_once_and_what_is_typed_is_the_complaint(floor: Floor) -> None:
    session = floor.start(words="")
    with floor.talk(session) as socket:
        line = Line(socket)
        question = asked(line)
        assert question["prompt"] == ASKED
        assert question["answers"] == [{"say": "not sure", "label": "Don't know"}]
        line.answer("answer-2", question, "right lamp goes out over bumps")
        assert line.fate("answer-2")["fate"] == "taken"
        after = line.standing(3)
        assert after["prompt"] == "fact:brakes"
        line.answer("answer-3", after, "stop")
        line.answer("answer-4", line.standing(4), "yes")
        line.until(lambda one: one["kind"] == "over")
    assert "right lamp goes out over bumps" in floor.client.get(f"/record/{session}").text


def test_it_is_spoken(make_floor: FloorMaker) -> None:
    """Own words that were heard get a yes before they count, as a name does."""
    floor = make_floor(hearing=FakeHearing("lamp is dark in the rain"))
    floor.pair()
    session = floor.start(words="")
    with floor.talk(session) as socket:
        line = Line(socket)
        speak(line, "spoken-1", asked(line), noise(0.3) + voice(0.4) + noise(1.2), held=False)
        assert line.fate("spoken-1")["words"] == "lamp is dark in the rain"
        doubted = line.standing(3)
        assert doubted["prompt"] == f"confirm:{ASKED}"
        line.answer("answer-3", doubted, "yes")
        assert line.standing(4)["prompt"] == "fact:brakes"
    assert "lamp is dark in the rain" in words_in_record(floor, session)


def test_it_is_not_asked_where_it_was_told(floor: Floor) -> None:
    session = floor.start(words="it is dark")
    with floor.talk(session) as socket:
        assert asked(Line(socket))["prompt"] == "fact:brakes"


@pytest.mark.browser
def test_it_is_tapped_away(browser: Browser, lamp_shop: Path, tmp_path: Path) -> None:
    assert lamp_shop.is_dir()
    with served(browser, tmp_path / "records") as floor:
        page = floor.screen(**PHONE)
        floor.start(page, words="")
        page.wait_for_timeout(400)  # until taps are taken
        page.get_by_role("group", name="Answers").get_by_role("button", name="Ready").tap()
        wait_for_turn(page, 2)
        assert page.inner_text("#prompt") == "What's it doing?"
        page.wait_for_timeout(400)
        page.get_by_role("button", name="Type it").tap()
        assert page.locator("#text").is_visible()
        page.get_by_role("button", name="Don't know").tap()
        wait_for_turn(page, 3)
        assert page.inner_text("#prompt") == "Disc or drum?"
        assert floor.troubles == []
