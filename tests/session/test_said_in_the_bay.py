"""What technicians say at a prompt beside its answers, and what comes of it: nothing wrong is ever logged.

A row is a scene (``tests.session.scenes``), what is said there (several lines divided by ``//``), what the last line
logs (``check@place=value``, ``fact=value``; '' for nothing) and a word that the last reply must say.
"""

from __future__ import annotations

import pytest

from assistant.messages.decisions import Decision, FactAnswered, ObservationWithdrawn, Observed
from tests.session.scenes import at

ALONE = "battery-and-charging check battery alone@second battery; fact batteries=four batteries"
BANK = f"{ALONE}; battery alone@first battery=12.7"
RING = "trailer-abs-light-on check sensor against ring@left front; fact sensors wired=two"
WIRE = "trailer-abs-light-on check look at the wire@left front; fact sensors wired=two"
OHMS = "trailer-abs-light-on check sensor ohms@left rear; fact sensors wired=four"


def logged(made: list[Decision]) -> str:
    """What was logged, as in the table."""
    found = []
    for one in made:
        if isinstance(one, Observed):
            value = one.choice or one.display or ("" if one.value is None else f"{one.value.normalize():f}")
            found.append(f"{one.check}@{one.place or ''}={value}")
        elif isinstance(one, FactAnswered):
            found.append(f"{one.fact}={one.value}")
        elif isinstance(one, ObservationWithdrawn):
            found.append("taken back")
    return "; ".join(found)


def check_row(scene: str, said: str, logs: str, says: str) -> None:
    """Play one row."""
    talk = at(scene)
    *before, last = (line.strip() for line in said.split("//"))
    talk.dialog(before)
    done = len(talk.decisions)
    replies = talk.text(talk.hear(last))
    assert logged(talk.decisions[done:]) == logs, replies
    assert says.lower() in replies.lower()


@pytest.mark.parametrize("said", [
    "right rear one is loose, I can spin it with my fingers", "right rear's backed way off",
    "the right rear sensor's hanging loose, bracket's broke off", "on the right rear it's touching",
    "left rear is touching", "it's the right rear that's backed off", "right one's backed off a quarter inch",
    "rear one's backed off", "it's backed off on the right hand side wheel", "the other side is backed off",
])  # fmt: skip
def test_a_wheel_that_is_named_is_never_logged_at_the_one_asked(said: str) -> None:
    check_row(RING, said, "", "")


@pytest.mark.parametrize("said", [
    "right rear wire's cut", "it's the rear one that's cut", "curb side rear is chafed through", "right rear is fine",
])  # fmt: skip
def test_nor_where_its_wire_is_looked_at(said: str) -> None:
    check_row(WIRE, said, "", "left front")


@pytest.mark.parametrize(("said", "logs"), [
    ("12.6 on the second one", "battery alone@second battery=12.6"),
    ("next one's 12.6", "battery alone@second battery=12.6"),
    ("number two is 12.6", "battery alone@second battery=12.6"),
    ("second battery is 12.6", "battery alone@second battery=12.6"),
    ("twelve six on number two", "battery alone@second battery=12.6"),
    ("the second one's at twelve six", "battery alone@second battery=12.6"),
    ("12.6 after a second", None),
    ("second 12.6 third 10.6 fourth 12.5",
     "battery alone@second battery=12.6; battery alone@third battery=10.6; battery alone@fourth battery=12.5"),
    ("12.6, third one 10.6, fourth 12.5",
     "battery alone@second battery=12.6; battery alone@third battery=10.6; battery alone@fourth battery=12.5"),
    ("third one is 12.6", "battery alone@third battery=12.6"),
])  # fmt: skip
def test_batteries_are_named_as_people_do(said: str, logs: str | None) -> None:
    if logs is not None:
        check_row(BANK, said, logs, "12.6")
        return
    talk = at(BANK)
    talk.hear(said)
    assert logged(talk.decisions) in ("", "battery alone@second battery=12.6")


@pytest.mark.parametrize("said", [
    "no no that 10.6 was the third one, second is 12.6", "oops that 10.6 was number three",
    "scratch the 10.6 on number two, that was number three", "wait, that was number three",
    "I had the wrong battery, that was the third one", "my bad, 10.6 was number three",
    "that's number three's reading not number two's", "no, ten six was battery three",
])  # fmt: skip
def test_a_value_that_was_of_another_battery_is_moved_after_a_yes(said: str) -> None:
    check_row(BANK, f"10.6 // {said}", "", "was that third battery, not second battery?")
    check_row(BANK, f"10.6 // {said} // yes", "taken back; battery alone@third battery=10.6", "")


@pytest.mark.parametrize("said", ["scratch that, I was on the wrong battery", "strike that, wrong battery"])
def test_what_is_scratched_is_the_last_answer(said: str) -> None:
    check_row(BANK, f"12.6 // {said}", "taken back", "how many volts")
