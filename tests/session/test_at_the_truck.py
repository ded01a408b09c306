"""What a technician who had not read the code said at the truck, and what the tool must make of it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pytest

from assistant.messages import Grade
from assistant.messages.decisions import ProofStepDone
from assistant.procedure.load import load_procedure
from assistant.session.context import Context
from assistant.verdict.uncertainty import accuracy_unnamed
from tests.session.conversation import Conversation, vocabulary
from tests.session.rows import MEASURED


def led(name: str, said: Mapping[str, str], *, until: str = "", most: int = 60) -> Conversation:
    """A session of a procedure that ships: each prompt answered by its name, work done, cautions taken.

    Args:
        name: the procedure.
        said: what is said, by the name of a fact, a check or a step.
        until: the prompt before which it stops, as text.
        most: prompts at most.
    """
    talk = Conversation(Context(load_procedure(name).procedure, vocabulary(), air_fahrenheit=Decimal(72))).begin()
    for _ in range(most):
        if talk.finished or (until and talk.prompt.startswith(until)):
            return talk
        kind, _, rest = talk.prompt.partition(":")
        name_of = rest.split(":")[0]
        if kind in ("caution", "confirm", "ready", "offer"):
            talk.hear("yes")
        elif kind in ("access", "fix", "close"):
            talk.hear("done")
        elif name_of == "unit number":
            talk.hear("0419")
        else:
            talk.hear(said[name_of])
    raise AssertionError(f"{until} never came; it stands at {talk.prompt}")


BATTERY = {
    "complaint": "doesn't crank", "batteries": "two", "how often": "every time", "lately": "nothing",
    "rested": "all night", "air": "warm",
    "battery kind": "flooded", "posts and cables": "all tight", "belt": "tight", "rest volts": "12.7",
    "cranks": "not at all", "starter amps": "low", "start circuit drop": "5.2 volts",
    "power drop cranking": "0.01", "ground drop cranking": "0.01", "cranking volts": "12.6",
}  # fmt: skip


def asked(talk: Conversation) -> str:
    return talk.text(talk.said)


def test_a_truck_that_does_not_crank_is_not_told_to_start_its_engine() -> None:
    talk = led("battery-and-charging", BATTERY, until="fix:")
    told = asked(talk)
    assert "Start the engine" not in told
    assert "just ran:" not in told
    assert "crank for five seconds" not in told
    assert "holds the key at start" in told
    assert talk.prompt == "fix:mend the start circuit"


def test_what_just_ran_has_its_surface_charge_taken_off_first() -> None:
    talk = led("battery-and-charging", {**BATTERY, "rested": "just shut it off"}, until="check:rest volts")
    assert "headlamps on for two minutes" in asked(talk)


def test_rest_volts_near_the_limit_with_a_meter_nobody_named_are_too_close_to_call() -> None:
    answers = {**BATTERY, "complaint": "slow cranking"}
    talk = led("battery-and-charging", answers, until="check:rest volts")
    assert "Too close to call" in talk.text(talk.hear("12.4"))
    talk.hear("12.4")
    seen = next(one for one in talk.now.observations if one.check == "rest volts")
    assert seen.verdict is not None
    assert seen.verdict.grade is Grade.TOO_CLOSE
    assert "rest volts" not in talk.prompt, "the same meter tells no more of it a third time"


@pytest.mark.parametrize(("volts", "grade"), [("12.1", Grade.BAD_LOW), ("12.7", Grade.GOOD)])
def test_what_is_clear_stays_clear(volts: str, grade: Grade) -> None:
    talk = led("battery-and-charging", BATTERY, until="check:rest volts")
    talk.hear(volts)
    if talk.prompt.startswith("confirm"):
        talk.hear("yes")
    seen = next(one for one in talk.now.observations if one.check == "rest volts")
    assert seen.verdict is not None
    assert seen.verdict.grade is grade


def test_what_no_meter_reads_has_no_accuracy_of_one() -> None:
    assert accuracy_unnamed("in") is None
    assert accuracy_unnamed("psi") is None
    volts = accuracy_unnamed("V")
    assert volts is not None
    assert volts.half_width(Decimal("12.4")) == Decimal("0.062")


def proving(*said: str) -> Conversation:
    """The bench's sensor replaced, at its proof, with what was said there."""
    return Conversation().begin().dialog((*MEASURED, "yes", "next", "next", *said))


@pytest.mark.parametrize(("words", "named", "answer"), [("yes", "Out?", "out"), ("yep", "Out?", "out")])
def test_a_bare_yes_to_one_of_two_is_asked_about_in_a_word(words: str, named: str, answer: str) -> None:
    talk = proving()
    assert talk.text(talk.hear(words)) == named
    assert not [one for one in talk.decisions if isinstance(one, ProofStepDone) and one.step == "light"]
    talk.hear("yes")
    assert [one.answer for one in talk.decisions if isinstance(one, ProofStepDone)][-1] == answer


def test_a_bare_no_to_one_of_two_asks_about_the_other_and_fails_nothing_by_itself() -> None:
    talk = proving()
    assert talk.text(talk.hear("no")) == "On?"
    talk.hear("no")
    assert talk.prompt == "proof:light"
    assert not [one for one in talk.decisions if isinstance(one, ProofStepDone) and one.step == "light"]
