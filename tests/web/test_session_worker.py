"""A session's worker on the page: what ends one session ends no other, and a machine that closes takes no new one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from assistant.errors import OperatorError
from assistant.loop import Loop
from assistant.web.answers import PageListener
from assistant.web.ports import Opened
from assistant.web.session_worker import MOST_RUNNING, OVER_KEPT, SessionWorkers
from assistant.web.teller import PageTeller
from tests.web.conftest import Floor, Line

FAULT = ZeroDivisionError("on purpose")
SENTENCE = OperatorError("The record was changed by another program.", remedy="Take the session up again.")


def breaking(opened: Opened, error: Exception) -> Opened:
    """The same session, whose loop ends with an error."""

    def make(listener: PageListener, teller: PageTeller) -> Loop:  # type: ignore[type-arg]
        loop = opened.make_loop(listener, teller)

        def fails(_opening: object = None) -> str:
            raise error

        loop.run = fails  # type: ignore[method-assign, assignment]
        return loop

    return replace(opened, make_loop=make)


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (FAULT, "The session met a fault of the program's own (ZeroDivisionError). What was logged is kept."),
        (SENTENCE, "The record was changed by another program. Take the session up again."),
    ],
)
def test_a_session_that_breaks_says_so_on_its_screen_and_the_others_go_on(
    floor: Floor, monkeypatch: pytest.MonkeyPatch, error: Exception, told: str
) -> None:
    whole = floor.start("key-of-the-whole", unit="12")
    shop = floor.house.shop
    start: Callable[..., Opened] = shop.start
    with monkeypatch.context() as patch:
        patch.setattr(shop, "start", lambda *asked: breaking(start(*asked), error))
        broken = floor.start("key-of-the-broken")
    with floor.talk(broken) as socket:
        over = Line(socket).until(lambda one: one["kind"] == "over")
    assert (over["ending"], over["text"]) == ("left", told)
    worker = floor.house.workers.find(broken)
    assert worker is not None
    assert not worker.running
    with floor.talk(whole) as socket:
        line = Line(socket)
        line.answer("answer-1", line.standing(1), "next")
        assert line.fate("answer-1")["fate"] == "taken"
    assert floor.post("/api/resume", {"id": broken, "key": "key-of-the-second"}).json() == {"id": broken}


def test_a_machine_that_closes_takes_no_new_session_and_leaves_the_others(floor: Floor) -> None:
    """Nobody set them aside, so nobody is told so; they can be taken up again."""
    session = floor.start()
    workers = floor.house.workers
    worker = workers.find(session)
    assert worker is not None
    workers.close()
    assert worker.ending == "left"
    assert "over" not in [one["kind"] for one in worker.feed.after(0)]
    refused = floor.post("/api/start", {"procedure": "lamp", "unit": "9", "key": "key-too-late-1", "words": "dark"})
    assert (refused.status_code, "Leadsman is closing." in refused.json()["error"]) == (409, True)


def test_sessions_that_are_over_are_kept_for_their_screens_up_to_a_number(floor: Floor) -> None:
    """So that a shop that runs for weeks does not fill the memory."""
    names = []
    for number in range(OVER_KEPT + 3):
        names.append(floor.start(f"key-number-{number}", unit=str(100 + number)))
        assert floor.post("/api/leave", {"id": names[-1]}).json() == {"left": True}
    last = floor.start("key-of-the-last-one")
    kept = [name for name in names if floor.house.workers.find(name) is not None]
    assert kept == names[-OVER_KEPT:]
    assert floor.house.workers.find(last) is not None
    assert MOST_RUNNING > OVER_KEPT
    assert SessionWorkers().find(last) is None
