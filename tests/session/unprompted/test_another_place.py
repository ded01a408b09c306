"""An answer that names another place than the one that is asked is never logged at the asked one."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import ObservationWithdrawn, Observed
from tests.session.conversation import Conversation, keys
from tests.session.said_tables import plug_asked


def logged(talk: Conversation) -> list[tuple[str | None, str | None]]:
    """Places and what was logged there."""
    return [(one.place, one.choice) for one in talk.decisions if isinstance(one, Observed)]


@pytest.mark.parametrize(
    "said",
    [
        "right front plug is corroded",
        "corroded, and it's the right front one not the left front",
        "the right front is green",
        "right front: corroded",
    ],
)
def test_it_is_logged_where_it_was_seen(said: str) -> None:
    talk = plug_asked("left front")
    talk.hear(said)
    assert logged(talk) == [("right front", "corroded")]


def test_what_stands_there_otherwise_is_asked_about() -> None:
    talk = plug_asked("left front")
    assert keys(talk.hear("left rear plug is corroded"))[-1] == "mend_choice"
    assert logged(talk) == []
    talk.hear("yes")
    assert logged(talk) == [("left rear", "corroded")]


def test_what_stands_there_anyway_is_not_logged_here() -> None:
    talk = plug_asked("left front")
    assert "place_not_asked" in keys(talk.hear("left rear is clean"))
    assert logged(talk) == []


def test_a_side_alone_is_asked_about_with_the_place() -> None:
    talk = plug_asked("left front")
    asked = talk.hear("green on the left side")[-1]
    assert asked.key == "is_it_there"
    assert "left front" in str(asked.slots["title"])


@pytest.mark.parametrize(
    "said",
    ["no wait, that was the right front", "oops, that was the right side", "that should have been right front"],
)
def test_the_last_answer_moves_after_a_yes(said: str) -> None:
    talk = plug_asked("left front")
    talk.hear("clean")
    assert keys(talk.hear(said))[-1] == "move_it"
    assert logged(talk) == [("left front", "clean")]
    talk.hear("yes")
    assert logged(talk) == [("left front", "clean"), ("right front", "clean")]
    assert [one for one in talk.decisions if isinstance(one, ObservationWithdrawn)]
    assert {one.place for one in talk.now.observations if one.check == "look at the plug"} == {
        "left rear",
        "right front",
    }


def test_a_no_leaves_it_where_it_is() -> None:
    talk = plug_asked("left front")
    talk.hear("clean")
    talk.hear("no wait, that was the right front")
    talk.hear("no")
    assert logged(talk) == [("left front", "clean")]


def test_nothing_moves_onto_what_stands() -> None:
    talk = plug_asked("left front")
    talk.hear("clean")
    assert "move_taken" in keys(talk.hear("that was the left rear"))
