"""A unit that a procedure does not fit: asked about, declined in a clear sentence, and nothing is measured."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant import catalog
from assistant.messages.decisions import Ended, Ending, FactAnswered
from assistant.phrasing.reasons import reason_text
from assistant.procedure.load import load_procedure
from assistant.session.context import Context
from tests.session.conversation import Conversation, context, keys

SEVEN_WAY = ["seven-way-power-and-grounds", "seven-way-survey"]


def at_the_plug(name: str) -> Conversation:
    """A session of the procedure at its question about the plug."""
    dialog = Conversation(Context(load_procedure(name).procedure, catalog.load_vocabulary())).begin()
    for _ in range(12):
        if dialog.prompt == "fact:plug":
            return dialog
        dialog.hear({"ready": "ready", "fact:unit number": "4019"}.get(dialog.prompt, "yes"))
    raise AssertionError(dialog.prompt)


@pytest.mark.parametrize("name", SEVEN_WAY)
@pytest.mark.parametrize(
    ("answer", "words"), [("flat blades", "electric brakes"), ("a light trailer", "electric brakes"),
                          ("twenty four volts", "12 volts")],
)  # fmt: skip
def test_a_light_trailers_plug_and_a_24_volt_one_are_declined(name: str, answer: str, words: str) -> None:
    dialog = at_the_plug(name)
    said = dialog.hear(answer)
    assert keys(said)[0] == "declines"
    assert not dialog.finished, "a slip ends no session"
    end = dialog.text(dialog.hear("yes"))
    assert dialog.finished == "does not fit this unit"
    assert words in end
    assert "Put back" not in end
    ended = [one for one in dialog.decisions if isinstance(one, Ended)]
    assert ended[0].ending is Ending.DOES_NOT_FIT
    assert words in reason_text(ended[0].because)
    assert dialog.folded() == dialog.now.settled()


@pytest.mark.parametrize("name", SEVEN_WAY)
def test_the_heavy_duty_plug_goes_on_and_a_slip_is_taken_back(name: str) -> None:
    dialog = at_the_plug(name).dialog(["flat blades", "no"])
    assert dialog.prompt == "fact:plug"
    assert not any(isinstance(one, FactAnswered) and one.fact == "plug" for one in dialog.decisions)
    dialog.hear("round pins")
    assert dialog.prompt != "fact:plug"
    assert not dialog.finished


def test_a_fact_put_right_later_may_decline_too() -> None:
    plain = context()
    first = plain.procedure.facts[0]
    declines = {first.choices[1].name: "Not for those. Take the other procedure."}
    facts = (first.model_copy(update={"declines": declines}), *plain.procedure.facts[1:])
    dialog = Conversation(replace(plain, procedure=plain.procedure.model_copy(update={"facts": facts}))).begin()
    dialog.dialog(["ready", "yes", first.choices[0].name, "scratch that"])
    dialog.dialog([first.choices[1].name, "yes"])
    assert dialog.finished == "does not fit this unit"
    assert "Take the other procedure." in dialog.text(dialog.said)
