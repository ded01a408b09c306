"""A dead meter, a zero that cannot be, ports that differ from system to system, a wheel that the facts exclude."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from assistant.messages.decisions import Observed
from assistant.procedure.model import Procedure
from assistant.session.agenda.next_action import shares
from assistant.session.context import Context
from tests.session.conversation import PROCEDURE, Conversation, keys, vocabulary

TOOLS = {
    "name": "meter and load", "title": "meter and load", "ask": "On a battery: both good, meter dead, or load dead?",
    "kind": "choice", "minutes": 1, "otherwise": "both good",
    "choices": [{"name": "both good"}, {"name": "meter dead"}, {"name": "load dead"}],
    "tools": {"meter dead": "Look at the leads and the fuse.", "load dead": "Clean the clips."},
}  # fmt: skip
PORT = {
    "name": "port volts", "title": "volts at the port", "ask": "{place} port: how many volts?", "each": "wheel",
    "unit": "V", "span": ["-30", "30"], "minutes": 0.1, "condemns": ["low"],
    "limits": {"low": "1", "usual": ["4", "6"], "usual_source": "from memory", "source": "from memory"},
    "compare": {"check": "port volts", "within": 0.25},
    "finds": {"open sensor": "low"},
}  # fmt: skip


def talk(*checks: dict[str, Any], **changed: Any) -> Conversation:
    """A talk up to the first check of the invented bench, with these checks alone."""
    given = Procedure.model_validate({**PROCEDURE, "checks": list(checks), "facts": [], **changed})
    setting = Context(given, vocabulary(), unit_number="0419", air_fahrenheit=Decimal(72))
    return Conversation(setting).begin().dialog(["ready", "yes"])


def ground(**changed: Any) -> dict[str, Any]:
    return {**PROCEDURE["checks"][0], **changed}


def test_a_dead_meter_is_put_right_and_proven_again_before_anything_is_read() -> None:
    dialog = talk(TOOLS, ground(after=["meter and load"]))
    assert dialog.prompt == "check:meter and load"
    told = dialog.text(dialog.hear("meter dead"))
    assert "Look at the leads and the fuse." in told
    assert dialog.prompt == "check:meter and load"
    dialog.hear("both good")
    assert dialog.prompt == "check:ground drop"


def test_a_dead_meter_says_nothing_about_the_unit() -> None:
    dialog = talk(TOOLS, ground(after=["meter and load"]))
    before = shares(dialog.context, dialog.now)
    dialog.dialog(["load dead", "both good"])
    assert shares(dialog.context, dialog.now) == pytest.approx(before)


def test_a_zero_that_cannot_be_is_questioned_once() -> None:
    dialog = talk(ground(zero="Does the load draw?"))
    assert keys(dialog.hear("0.0"))[-1] == "zero"
    assert dialog.prompt == "confirm:check:ground drop"
    assert not any(isinstance(one, Observed) for one in dialog.decisions)
    dialog.hear("0.08")
    assert [one.value for one in dialog.decisions if isinstance(one, Observed)] == [Decimal("0.08")]
    once = talk(ground(zero="Does the load draw?")).dialog(["0.0", "yes"])
    assert [one.value for one in once.decisions if isinstance(one, Observed)] == [Decimal("0.0")]


def test_more_than_can_be_is_questioned_once() -> None:
    """13.4 volts told of a battery at rest are a charge: said to be good, they would pass an empty one."""
    more = ground(beyond={"above": "13.0", "ask": "Is the charger off?"}, span=["-20", "20"])
    dialog = talk(more)
    assert "Is the charger off?" in dialog.text(dialog.hear("13.4"))
    assert not any(isinstance(one, Observed) for one in dialog.decisions)
    dialog.hear("0.08")
    assert [one.value for one in dialog.decisions if isinstance(one, Observed)] == [Decimal("0.08")]
    at_most = talk(more)
    assert "Is the charger off?" not in at_most.text(at_most.hear("13.0"))


def test_where_every_port_shows_half_none_is_condemned() -> None:
    dialog = talk(PORT).dialog(["2.4", "2.4"])
    seen = [one for one in dialog.decisions if isinstance(one, Observed)]
    assert [one.weights for one in seen] == [{"good": 1.0}, {"good": 1.0}]
    assert seen[1].limit_source == "within 25% of volts at the port, left"
    assert str(seen[1].limit_low) == "1.8", "as many places as were read"


@pytest.mark.parametrize(("first", "second"), [("5.0", "2.4"), ("2.4", "0.0")])
def test_a_port_that_differs_from_its_neighbor_is_low(first: str, second: str) -> None:
    dialog = talk(PORT).dialog([first, second, "yes"])
    seen = [one for one in dialog.decisions if isinstance(one, Observed)]
    assert [list(one.weights) for one in seen] == [["good"], ["low"]]


def test_a_code_that_names_an_excluded_wheel_takes_the_facts_back() -> None:
    axle = {
        "name": "axle",
        "ask": "Which side has sensors?",
        "choices": [{"name": "left side"}, {"name": "right side"}],
    }
    places = [
        {"name": "left", "group": "wheel", "when": {"axle": "left side"}},
        {"name": "right", "group": "wheel", "when": {"axle": "right side"}},
    ]
    checks = [{**PROCEDURE["checks"][3], "minutes": 0.1}, {**PROCEDURE["checks"][2], "after": ["code"]}]
    given = Procedure.model_validate({**PROCEDURE, "checks": checks, "facts": [axle], "places": places})
    dialog = Conversation(Context(given, vocabulary(), unit_number="0419")).begin()
    dialog.dialog(["ready", "yes", "left side"])
    assert dialog.prompt == "check:code"
    assert "right down as without a sensor" in dialog.text(dialog.hear("right"))
    assert dialog.now.facts["axle"] == "not sure"
    assert dialog.folded().facts["axle"] == "not sure"
    assert [one.choice for one in dialog.decisions if isinstance(one, Observed)][-1] == "right"


def test_nothing_is_mended_that_was_never_seen() -> None:
    """A quick try and a stored code are no ground: what would show it is looked for, and then it ends."""
    code = {**PROCEDURE["checks"][3], "reads_codes": True, "complaint": [], "slip": 0.02}
    output = {**PROCEDURE["checks"][2], "complaint": ["low"], "needs": []}
    push = {**PROCEDURE["fixes"][1], "trial": True, "needs": []}
    fixes = [PROCEDURE["fixes"][0], push, PROCEDURE["fixes"][2]]
    dialog = talk(code, output, ground(), fixes=fixes, read_twice=0.002)
    for _ in range(30):
        if dialog.finished:
            break
        answer = {"check:code": "left", "check:ground drop": "0.05"}.get(dialog.prompt, "0.6")
        dialog.hear(answer if dialog.prompt.startswith("check") else "yes" if "caution" in dialog.prompt else "next")
        assert not dialog.prompt.startswith("fix"), dialog.prompt
    assert dialog.finished == "not present today"
