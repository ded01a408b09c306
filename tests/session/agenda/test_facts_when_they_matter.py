"""Facts about the unit are asked when the step depends on them or the answer is worth it, and not before."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from assistant import catalog
from assistant.diagnosis.asking import best_question
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.diagnosis.prior import share_of
from assistant.diagnosis.problem_layout import lay_out
from assistant.diagnosis.progress import progress_of
from assistant.messages import HistoryTold, Why
from assistant.messages.decisions import CheckChosen, FactAnswered, FactWithdrawn, QuestionChosen
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure
from assistant.session.agenda.facts_to_ask import AS_LAST_TIME, as_it_was
from assistant.session.agenda.next_action import view_of, whats_left
from assistant.session.context import Context
from assistant.verdict.uncertainty import Meter
from tests.session.conversation import PROCEDURE, Conversation, context, keys


def later(*facts: dict[str, Any], **changes: Any) -> Procedure:
    """The bench with its facts asked when they matter, and these beside them."""
    own = [{key: value for key, value in one.items() if key != "first"} for one in PROCEDURE["facts"]]
    return Procedure.model_validate({**PROCEDURE, "facts": [*own, *facts], **changes})


def at_finding(procedure: Procedure, **changes: Any) -> Conversation:
    """A talk behind the first caution."""
    return Conversation(replace(context(), procedure=procedure, **changes)).begin().dialog(("ready", "yes"))


TELLS = {
    "name": "noise",
    "ask": "Does it squeal?",
    "choices": [{"name": "yes"}, {"name": "no"}],
}
"""A fact that speaks for one fault a hundred to one."""


def with_factor() -> Procedure:
    faults = [
        {**fault, "factors": [{"when": {"noise": "yes"}, "times": 100}]} if fault["name"] == "bad ground" else fault
        for fault in PROCEDURE["faults"]
    ]
    return later(TELLS, faults=faults)


def asked_facts(dialog: Conversation) -> list[str]:
    return [one.fact for one in dialog.decisions if isinstance(one, FactAnswered)]


def test_no_fact_is_asked_before_it_matters() -> None:
    """The bench's brakes matter for the drum alone: the first prompt is a check, and nobody was asked anything."""
    dialog = at_finding(later())
    assert dialog.prompt.startswith(("check:", "access:"))
    assert asked_facts(dialog) == []


def test_a_fact_is_asked_before_the_step_that_depends_on_it_and_its_caution() -> None:
    """The drum is opened on drum brakes only, and the dust caution holds for them only."""
    dialog = at_finding(later())
    for _ in range(12):
        if dialog.prompt.startswith("fact:"):
            break
        said = "yes" if dialog.prompt.startswith(("caution", "confirm")) else "next"
        said = {"check:ground drop": "0.05", "check:code": "none"}.get(dialog.prompt, said)
        said = "0.05" if dialog.prompt.startswith("check:output") else said
        said = "1200" if dialog.prompt.startswith("check:sensor ohms") else said
        dialog.hear(said)
    assert dialog.prompt == "fact:brakes"
    assert asked_facts(dialog) == []
    dialog.hear("drum")
    assert dialog.prompt in ("caution:dust", "fact:shields") or dialog.prompt.startswith(("access", "fix"))
    assert dialog.folded() == dialog.now.settled()


def test_an_answer_that_is_worth_it_is_asked_for_and_says_why() -> None:
    dialog = at_finding(with_factor())
    assert dialog.prompt == "fact:noise"
    chosen = [one for one in dialog.decisions if isinstance(one, QuestionChosen)]
    assert [one.fact for one in chosen] == ["noise"]
    assert chosen[0].minutes > 0.25
    assert chosen[0].because.why is Why.SAVES
    dialog.hear("yes")
    assert isinstance(dialog.now.action, CheckChosen)
    left = dict(whats_left(dialog.context, dialog.now, 9))
    # Bayes' rule by hand: 2 of 16 by weight; the answer is given 100 to 1 with it, evenly without
    assert left["bad ground"] == pytest.approx(2 * 100 / 101 / (2 * 100 / 101 + 14 / 2), abs=0.02)
    assert dialog.folded() == dialog.now.settled()


def test_what_an_answer_is_worth_is_what_it_saves() -> None:
    """A fact with even answers that nothing hangs on is worth nothing; one that names the fault is worth minutes."""
    procedure = with_factor()
    seen = fault_model(procedure, {})
    weights = dict(zip(seen.suspects, seen.priors.tolist(), strict=True))
    progress = progress_of(seen, ())
    told = best_question(seen, weights, progress, procedure.facts)
    assert told is not None
    assert told.fact == "noise"
    even = later(TELLS)
    plain = fault_model(even, {})
    same = dict(zip(plain.suspects, plain.priors.tolist(), strict=True))
    assert best_question(plain, same, progress_of(plain, ()), even.facts) is None
    sure = {suspect: float(suspect == Suspect("bad ground")) for suspect in seen.suspects}
    assert best_question(seen, sure, progress, procedure.facts) is None
    assert len(lay_out(seen, seen.priors, progress)[0].groups)


def test_a_fault_counts_by_how_common_the_units_are_that_can_have_it() -> None:
    """Not asked and not sure are the same: the fault's weight times the share of the answers that let it be."""
    rows = [{"name": "drum", "share": 3}, {"name": "disc"}]
    facts = [{**PROCEDURE["facts"][0], "choices": rows}]
    faults = [{**PROCEDURE["faults"][2], "when": {"brakes": "drum"}}, *PROCEDURE["faults"][:2]]
    procedure = Procedure.model_validate(
        {**PROCEDURE, "facts": facts, "faults": faults, "cautions": PROCEDURE["cautions"]}
    )
    assert share_of(procedure, {"brakes": "drum"}, {}) == pytest.approx(0.75)
    assert share_of(procedure, {"brakes": "drum"}, {"brakes": "drum"}) == 1.0
    seen = fault_model(procedure, {})
    ground = seen.priors[seen.suspect_index[Suspect("bad ground")]]
    opened = seen.priors[seen.suspect_index[Suspect("open sensor", "left")]]
    assert ground / opened == pytest.approx(2 * 0.75 / 3)


def test_a_fact_that_is_deleted_is_asked_again_at_once() -> None:
    dialog = at_finding(with_factor()).dialog(["no"])
    before = dialog.prompt
    said = dialog.hear("scratch that")
    assert keys(said)[0] == "withdrawn"
    assert dialog.prompt == "fact:noise"
    assert any(isinstance(one, FactWithdrawn) for one in dialog.decisions)
    dialog.hear("no")
    assert dialog.prompt == before
    assert dialog.folded() == dialog.now.settled()


def test_the_table_of_the_meter_answers_for_its_lowest_range() -> None:
    question = {
        "name": "lowest AC range",
        "ask": "Lowest AC range?",
        "choices": [{"name": "two volts"}, {"name": "twenty volts"}, {"name": "two hundred volts"}],
        "first": True,
    }
    lowest = {"unit": "V", "ac": True, "top": Decimal("199.9"), "resolution": Decimal("0.1"), "accuracy": "1%+5"}
    table = {"name": "bench", "range": [lowest]}
    assert at_finding(later(question)).prompt == "fact:lowest AC range"
    dialog = at_finding(later(question), meter=Meter.from_table(table))
    assert dialog.prompt != "fact:lowest AC range"
    assert dialog.now.facts["lowest AC range"] == "two hundred volts"


def lasting() -> Procedure:
    facts = [{**one, "lasts": True} for one in PROCEDURE["facts"][:2]]
    return Procedure.model_validate({**PROCEDURE, "facts": [*facts, PROCEDURE["facts"][2]]})


def offered(**known: str) -> Context:
    return replace(context(), procedure=lasting(), last_facts=known, last_seen="in March")


def test_what_lasts_is_offered_in_one_sentence_and_a_yes_answers_all_of_it() -> None:
    dialog = Conversation(offered(brakes="drum", shields="no")).begin().dialog(["ready"])
    said = dialog.hear("yes")
    assert dialog.text(said).endswith("Last time: brakes drum, shields no, in March. Same?")
    dialog.hear("same")
    assert dialog.now.facts["brakes"] == "drum"
    assert dialog.now.facts["shields"] == "no"
    assert dialog.prompt == "fact:coil temperature"
    assert dialog.folded() == dialog.now.settled()
    dialog.hear("scratch that")
    assert "brakes" not in dialog.now.facts
    assert dialog.prompt == f"fact:{AS_LAST_TIME}"


def test_a_no_to_what_lasts_leaves_each_to_be_asked() -> None:
    dialog = Conversation(offered(brakes="drum")).begin().dialog(["ready", "yes", "no"])
    assert "brakes" not in dialog.now.facts
    assert dialog.prompt == "fact:brakes"


@pytest.mark.parametrize("known", [{"brakes": "air over oil"}, {"coil temperature": "70"}, {"gone": "yes"}])
def test_what_is_no_answer_now_or_does_not_last_is_not_offered(known: dict[str, str]) -> None:
    dialog = Conversation(offered(**known)).begin().dialog(["ready", "yes"])
    assert as_it_was(dialog.context, dialog.now) == {}
    assert dialog.prompt == "fact:brakes"


def test_a_unit_named_in_the_session_is_offered_what_its_history_knows() -> None:
    known = replace(context(unit_number="", asks_history=True), procedure=lasting())
    dialog = Conversation(known).begin().dialog(["ready", "yes", "0419"])
    said = dialog.feed(HistoryTold(4, "0419", "It was here.", facts={"brakes": "disc"}, seen="in May"))
    assert "Last time: brakes disc, in May. Same?" in dialog.text(said)
    dialog.hear("yes")
    assert view_of(dialog.context, dialog.now).facts["brakes"] == "disc"
    assert dialog.folded() == dialog.now.settled()


def test_late_facts_told_in_one_breath_are_taken_back_together_and_asked_again() -> None:
    noise = {**TELLS, "choices": [{"name": "squeals"}, {"name": "quiet"}]}
    rows = {fault["name"]: fault for fault in PROCEDURE["faults"]}
    rows["bad ground"] = {**rows["bad ground"], "factors": [{"when": {"noise": "squeals"}, "times": 100}]}
    dialog = at_finding(later(noise, faults=list(rows.values())))
    assert dialog.prompt == "fact:noise"
    dialog.hear("quiet, drum brakes")
    assert dialog.now.facts["noise"] == "quiet"
    assert dialog.now.facts["brakes"] == "drum"
    assert dialog.prompt.startswith(("check:", "access:", "caution:"))
    dialog.hear("scratch that")
    assert "noise" not in dialog.now.facts
    assert "brakes" not in dialog.now.facts
    assert dialog.prompt == "fact:noise"
    assert dialog.folded() == dialog.now.settled()


@pytest.mark.parametrize("said", ["no they are not", "yes they are", "no, drum brakes"])
def test_an_answer_to_what_lasts_is_no_answer_to_another_question(said: str) -> None:
    """The bench asks a yes or a no of its own (the shields), which a yes to 'Same?' must not answer."""
    dialog = Conversation(offered(brakes="disc")).begin().dialog(["ready", "yes"])
    assert dialog.prompt == f"fact:{AS_LAST_TIME}"
    dialog.hear(said)
    assert "shields" not in dialog.now.facts


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("One active, left rear sensor open", ["active", "one", "left rear", "open or short"]),
        ("one active and it says left rear sensor open", ["active", "one", "left rear", "open or short"]),
        ("active, left rear, low signal", ["active", "left rear", "low or no signal"]),
    ],
)
def test_a_code_with_its_wheel_and_its_kind_is_taken_in_one_breath_and_taken_back_in_one(
    words: str, told: list[str]
) -> None:
    plain = Context(load_procedure("trailer-abs-light-on").procedure, catalog.load_vocabulary(), unit_number="4207")
    dialog = Conversation(plain).begin().dialog(["ready", "yes", "drum", "fixed", "at once"])
    assert dialog.prompt == "fact:codes"
    dialog.hear(words)
    logged = next(one for one in dialog.said if one.key == "facts_logged")
    assert logged.slots["items"] == tuple(told)
    seen = {one.check: one.choice for one in dialog.now.observations}
    assert seen == {"code names a wheel": "left rear", "kind of the code": told[-1]}
    assert "code" not in dialog.prompt
    dialog.hear("scratch that")
    assert dialog.prompt == "fact:codes"
    assert not dialog.now.observations


def test_the_wheel_and_the_kind_are_taken_together_where_the_wheel_is_asked() -> None:
    plain = Context(load_procedure("trailer-abs-light-on").procedure, catalog.load_vocabulary(), unit_number="4207")
    dialog = Conversation(plain).begin().dialog(["ready", "yes", "drum", "fixed", "at once", "active"])
    assert dialog.prompt == "check:code names a wheel"
    dialog.hear("left rear sensor open")
    seen = {one.check: one.choice for one in dialog.now.observations}
    assert seen == {"code names a wheel": "left rear", "kind of the code": "open or short"}
