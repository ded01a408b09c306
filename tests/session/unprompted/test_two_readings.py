"""Two readings in one breath: what can be taken is taken, the rest is asked for or said aloud, nothing is dropped."""

from __future__ import annotations

from assistant.messages.decisions import Observed
from tests.session.conversation import Conversation
from tests.session.said_tables import scene


def heard(name: str, *lines: str) -> tuple[Conversation, str]:
    """What comes of some lines at a scene, and what was said at the last of them."""
    start = scene(name)
    dialog, said = Conversation(start.context, start.now), ""
    for line in lines:
        said = dialog.text(dialog.hear(line))
    return dialog, said


def taken(dialog: Conversation) -> list[tuple[str | None, str]]:
    """Places that were logged, each with what was shown."""
    seen = [one for one in dialog.decisions if isinstance(one, Observed)]
    return [(one.place, one.display or f"{one.value}") for one in seen]


def test_both_are_taken_and_read_back() -> None:
    dialog, said = heard("ohms left rear", "left rear is twelve hundred and right rear eleven ninety")
    assert taken(dialog) == [("left rear", "1200"), ("right rear", "1190")]
    assert said.startswith("I have left rear 1,200 ohms, good; right rear 1,190 ohms, good.")


def test_over_range_is_no_way_to_a_place() -> None:
    """'Right rear over range' lost its 'over' as in 'over on the right rear', and nothing was left of it."""
    dialog, _ = heard("ohms left rear", "left rear twelve hundred, right rear over range")
    assert taken(dialog) == [("left rear", "1200"), ("right rear", "over_range")]
    dialog, _ = heard("ohms left rear", "twelve hundred, and over on the right rear eleven ninety")
    assert taken(dialog) == [("left rear", "1200"), ("right rear", "1190")]


def test_a_bad_one_that_is_read_twice_anyway_is_taken_too() -> None:
    dialog, said = heard("ohms left rear", "left rear over range, right rear over range")
    assert taken(dialog) == [("left rear", "over_range"), ("right rear", "over_range")]
    assert "right rear over range, out of limits" in said


def test_words_after_a_comma_are_of_the_place_before() -> None:
    dialog, said = heard("ohms left rear", "left rear twelve hundred, right rear nothing, open")
    assert taken(dialog) == [("left rear", "1200")]
    assert said == "I have left rear 1,200 ohms, good. Right rear, the same: how many ohms?"


def test_a_place_that_was_read_before_is_said_and_its_reading_stays() -> None:
    dialog, _ = heard("two kinds", "left rear four nine and right rear four eight")
    assert taken(dialog) == [("left rear", "4.9"), ("right rear", "4.8")]
    while not dialog.prompt.startswith("check:port volts"):
        dialog.hear("skip" if dialog.prompt.startswith("check") else "yes")
        if dialog.prompt.startswith("skip"):
            dialog.hear("no reason")
    before = len(taken(dialog))
    said = dialog.text(dialog.hear("left front four seven and right rear three nine"))
    assert "Nothing taken at right rear: it was read before" in said
    assert taken(dialog)[before:] == [("left front", "4.7")]


def test_two_bare_numbers_are_asked_about() -> None:
    for words in ("twelve hundred and eleven ninety", "four point nine volts and twelve hundred ohms"):
        dialog, _ = heard("ohms left rear", words)
        assert not taken(dialog)
        assert dialog.prompt.endswith("check:sensor ohms:left rear")
