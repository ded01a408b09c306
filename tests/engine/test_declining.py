"""A unit that a procedure does not fit: asked about, declined in a clear sentence, and nothing is measured."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant import library
from assistant.engine.decisions import Ended, Ending, FactAnswered
from assistant.engine.setting import Setting
from assistant.procedure.load import load_procedure
from tests.engine.conversation import Conversation, keys, setting

SEVEN_WAY = ["seven-way-power-and-grounds", "seven-way-survey"]


def at_the_plug(name: str) -> Conversation:
    """A session of the procedure at its question about the plug."""
    talk = Conversation(Setting(load_procedure(name).procedure, library.load_lexicon())).begin()
    for _ in range(12):
        if talk.prompt == "fact:plug":
            return talk
        talk.hear({"ready": "ready", "fact:unit number": "4019"}.get(talk.prompt, "yes"))
    raise AssertionError(talk.prompt)


@pytest.mark.parametrize("name", SEVEN_WAY)
@pytest.mark.parametrize(
    ("answer", "words"), [("flat blades", "electric brakes"), ("a light trailer", "electric brakes"),
                          ("twenty four volts", "12 volts")],
)  # fmt: skip
def test_a_light_trailers_plug_and_a_24_volt_one_are_declined(name: str, answer: str, words: str) -> None:
    talk = at_the_plug(name)
    said = talk.hear(answer)
    assert keys(said)[0] == "declines"
    assert not talk.finished, "a slip ends no session"
    end = talk.text(talk.hear("yes"))
    assert talk.finished == "stopped"
    assert words in end
    assert "Put back" not in end
    ended = [one for one in talk.decisions if isinstance(one, Ended)]
    assert ended[0].ending is Ending.STOPPED
    assert words in ended[0].because
    assert talk.folded() == talk.now.settled()


@pytest.mark.parametrize("name", SEVEN_WAY)
def test_the_heavy_duty_plug_goes_on_and_a_slip_is_taken_back(name: str) -> None:
    talk = at_the_plug(name).talk(["flat blades", "no"])
    assert talk.prompt == "fact:plug"
    assert not any(isinstance(one, FactAnswered) and one.fact == "plug" for one in talk.decisions)
    talk.hear("round pins")
    assert talk.prompt != "fact:plug"
    assert not talk.finished


def test_a_fact_put_right_later_may_decline_too() -> None:
    plain = setting()
    first = plain.procedure.facts[0]
    declines = {first.choices[1].name: "Not for those. Take the other procedure."}
    facts = (first.model_copy(update={"declines": declines}), *plain.procedure.facts[1:])
    talk = Conversation(replace(plain, procedure=plain.procedure.model_copy(update={"facts": facts}))).begin()
    talk.talk(["ready", "yes", first.choices[0].name, "scratch that"])
    talk.talk([first.choices[1].name, "yes"])
    assert talk.finished == "stopped"
    assert "Take the other procedure." in talk.text(talk.said)
