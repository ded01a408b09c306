"""The test drive, told in one breath: too slow proves nothing, and what the light did is asked about."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import ProofStepDone
from assistant.procedure.load import load_procedure
from assistant.session.dialog_state import Mode
from tests.session.conversation import Conversation, keys
from tests.session.partner_tables import scene


def rolling() -> Conversation:
    start = scene("done roll")
    return Conversation(start.context, start.now)


def steps(talk: Conversation) -> list[tuple[str, str]]:
    return [(one.step, one.answer) for one in talk.decisions if isinstance(one, ProofStepDone)]


@pytest.mark.parametrize(
    ("said", "light", "asked"),
    [
        ("hit 18 mph, lamp went out", "out", "is_it"),
        ("rolled it, about 20, light's still on", "lit", "fails"),
        ("drove it at eighteen miles an hour and the light is out", "out", "is_it"),
    ],
)
def test_speed_and_light_in_one_breath(said: str, light: str, asked: str) -> None:
    talk = rolling()
    assert keys(talk.hear(said))[-1] == asked
    assert steps(talk) == [("roll", "done")]
    talk.hear("yes")
    assert steps(talk) == [("roll", "done"), ("light", light)]


@pytest.mark.parametrize("said", ["only got it up to 4 mph in the yard", "got up to five, lamp out", "hit 3 mph"])
def test_too_slow_proves_nothing(said: str) -> None:
    talk = rolling()
    assert "too_slow" in keys(talk.hear(said))
    assert steps(talk) == []
    assert talk.mode is Mode.PROOF


@pytest.mark.parametrize("words", ["next", "done", "okay next"])
def test_next_after_a_drive_that_was_too_slow_is_no_faster_drive(words: str) -> None:
    talk = rolling().dialog(["only got it up to 4 mph in the yard"])
    assert keys(talk.hear(words))[-1] == "faster_now"
    assert steps(talk) == []
    talk.hear("no")
    assert steps(talk) == []
    assert keys(talk.hear(words))[-1] == "faster_now", "a no answers for this time only"
    talk.hear("yes")
    assert steps(talk) == [("roll", "done")]


def test_a_faster_drive_told_after_one_that_was_too_slow_counts() -> None:
    talk = rolling().dialog(["hit 3 mph", "got it up to 18 this time"])
    assert steps(talk) == [("roll", "done")]


def test_a_drive_between_both_speeds_counts_and_is_told_what_it_may_miss() -> None:
    talk = rolling()
    said = talk.hear("got it up to 8 mph")
    assert "A wide gap shows better at 15" in talk.text(said)
    assert steps(talk) == [("roll", "done")]


def test_each_procedure_says_its_own_speed() -> None:
    drives = {
        name: step
        for name in ("trailer-abs-light-on", "tractor-abs-light-on", "doubles-and-triples",
                     "trailer-abs-light-never-lights")
        for step in load_procedure(name).procedure.proof.steps
        if step.quiet
    }  # fmt: skip
    assert {name: step.faster_than for name, step in drives.items()} == dict.fromkeys(drives, 5)
    assert drives["trailer-abs-light-never-lights"].better_from is None
    assert drives["trailer-abs-light-on"].better_from == 15


def test_speed_alone_leaves_the_light_to_be_asked() -> None:
    talk = rolling()
    talk.hear("took it up to 20 mph")
    assert steps(talk) == [("roll", "done")]
    assert talk.mode is Mode.PROOF


@pytest.mark.parametrize("said", ["can't drive it, no driver", "no driver today", "we can't roll it in here"])
def test_it_cannot_be_driven(said: str) -> None:
    talk = rolling()
    assert keys(talk.hear(said))[-1] == "reason"
    assert steps(talk) == []


@pytest.mark.parametrize("said", ["going to roll it at 20 now", "drove it two miles"])
def test_what_is_no_speed(said: str) -> None:
    talk = rolling()
    assert "too_slow" not in keys(talk.hear(said))


@pytest.mark.parametrize("said", ["lamp went out", "haven't rolled it yet", "rolled it?"])
def test_what_tells_no_drive(said: str) -> None:
    talk = rolling()
    talk.hear(said)
    assert steps(talk) == []
