"""The feed: numbered, in order, the newest standing only, and safe from any thread."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from assistant.web.feed import KEPT, Feed


def test_missed_messages_arrive_in_order_and_the_state_only_once() -> None:
    """A screen that slept gets all the talk and how things stand now, not how they stood."""
    feed = Feed()
    feed.add("talk", text="one")
    feed.stand("standing", turn=1)
    last = feed.add("talk", text="two")
    feed.stand("standing", turn=2)
    assert [(one["seq"], one["kind"]) for one in feed.after(0)] == [(1, "talk"), (3, "talk"), (4, "standing")]
    assert [one.get("turn") for one in feed.after(last)] == [2]
    assert feed.after(feed.last) == []


def test_old_talk_is_dropped() -> None:
    """The record has it; memory does not grow."""
    feed = Feed()
    for number in range(KEPT + 5):
        feed.add("talk", text=str(number))
    assert len(feed.after(0)) == KEPT
    assert feed.after(0)[-1]["seq"] == feed.last == KEPT + 5


def test_every_thread_gets_its_own_numbers_and_wakers_are_called() -> None:
    """No number twice, none left out."""
    feed = Feed()
    woken: list[int] = []
    leave = feed.subscribe(lambda: woken.append(1))
    with ThreadPoolExecutor(4) as pool:
        numbers = list(pool.map(lambda number: feed.add("talk", text=str(number)), range(200)))
    assert sorted(numbers) == list(range(1, 201))
    assert len(woken) == 200
    leave()
    feed.add("talk", text="after")
    assert len(woken) == 200
