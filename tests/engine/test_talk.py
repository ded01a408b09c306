"""What a technician hears: nothing twice, nothing that the question says itself, the least handling first."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.engine.asking import expectation
from assistant.engine.checking import ask_check, is_ac, resolution_at
from assistant.engine.decisions import CautionAcknowledged, CheckChosen, FixDone, Observed, ProofFinished
from assistant.engine.planning import shares, to_measure_again
from assistant.engine.prompts import asked_now
from assistant.engine.reading import observed, read_back
from assistant.engine.setting import Setting
from assistant.engine.state import apply
from assistant.engine.view import Suspect, Task
from assistant.messages import Outcome, Resumed, Say, Understanding, WentQuiet
from assistant.mouth.phrasing import phrase
from assistant.procedure.model import Check, Procedure
from assistant.verdict.uncertainty import Meter
from tests.engine.conversation import PROCEDURE, TO_FINDING, Conversation, keys, lexicon, setting

OHMS = (*TO_FINDING, "next", "yes", "0.05", "yes")
LEFT_FIXED = (*OHMS, "over range", "yes", "yes", "next", "next")
METER = Meter.from_table(
    {
        "name": "bench",
        "range": [
            {"unit": "ohm", "top": 1999, "resolution": 1, "accuracy": "1%+5"},
            {"unit": "ohm", "top": 19990, "resolution": 10, "accuracy": "1%+5"},
            {"unit": "V", "top": 19, "resolution": Decimal("0.01"), "accuracy": "1%+1"},
            {"unit": "V", "ac": True, "top": Decimal("1.999"), "resolution": Decimal("0.001"), "accuracy": "2%+10"},
        ],
    }
)


def own(**changes: object) -> Setting:
    """A setting with a bench of its own."""
    return replace(setting(), procedure=Procedure.model_validate({**PROCEDURE, **changes}))


def at_the_other_wheel() -> Conversation:
    """The output was read at the left wheel; now it is to be read at the right one, whose plug was just opened."""
    talk = Conversation().begin().talk(OHMS)
    chosen = CheckChosen("output", "right", 4.0, "It is the other wheel.")
    talk.decisions.append(chosen)
    talk.state = apply(talk.setting, talk.now, chosen)
    return talk.talk(["say again", "next"])


def with_check(**changes: object) -> Check:
    """A check of the bench with changes."""
    return Check.model_validate({**PROCEDURE["checks"][2], **changes})


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("left rear plug off at the module.", "Left rear plug off at the module."),
        ("Key off. left rear plug off.", "Key off. Left rear plug off."),
        ("Is it on? right front next.", "Is it on? Right front next."),
        ("About 12.5 V at 10 A.", "About 12.5 V at 10 A."),
    ],
)
def test_a_sentence_begins_with_a_capital_letter(text: str, shown: str) -> None:
    assert phrase(Say("ask", {"text": text}), lexicon()).shown == shown


def test_a_caution_known_from_another_place_comes_in_a_few_words_and_is_recorded_for_that_place() -> None:
    """The first time in full, one by one, and 'noted' once; then all at once, never left out."""
    talk = at_the_other_wheel()
    assert talk.prompt == "caution:as before:right"
    assert keys(talk.said).count("caution") == 2
    assert "Right, same cautions as before: clear." in talk.text(talk.said[-1:])
    assert "Keep hands clear of the wheel." in talk.text(talk.hear("say again"))
    assert "common practice" in talk.text(talk.hear("why"))
    assert keys(talk.hear("skip"))[0] == "caution_first"
    assert keys(talk.hear("yes"))[0] == "acknowledged"
    given = [one for one in talk.decisions if isinstance(one, CautionAcknowledged)]
    assert given[-1] == CautionAcknowledged("clear", "right", "check:output:right")
    assert given[-2] == CautionAcknowledged("clear", "left", "check:output:left")


def test_noted_is_said_after_the_last_caution_only() -> None:
    ears = {"name": "ears", "say": "Cover your ears.", "source": "from memory", "first": True}
    talk = Conversation(own(cautions=[*PROCEDURE["cautions"], ears])).begin().talk(["ready"])
    assert "acknowledged" not in keys(talk.hear("yes"))
    assert "acknowledged" in keys(talk.hear("yes"))


def test_a_caution_that_says_what_to_say_has_no_tail() -> None:
    said = "Pull the chocks. Say next when parked."
    chocks = {"name": "chocks", "say": said, "source": "from memory", "first": True}
    talk = Conversation(own(cautions=[chocks, *PROCEDURE["cautions"][1:]])).begin().talk(["ready"])
    assert talk.text(talk.said[-1:]) == f"Caution. {said}"
    assert keys(talk.hear("next"))[0] == "acknowledged"


def test_conditions_are_said_again_after_something_was_opened() -> None:
    """An opening may change the key or a plug: nothing is taken as known."""
    assert "Key off. Leave it unplugged." in at_the_other_wheel().text(at_the_other_wheel().hear("yes"))


def test_measured_again_with_the_least_handling_codes_last() -> None:
    """Readings before what names a place; the codes are left to the proof when the procedure says so."""
    talk = Conversation().begin().talk(OHMS)
    code = Observed(talk.now.count + 1, "code", None, "stored code", {"left": 1.0}, "left", choice="left")
    state = apply(talk.setting, talk.now, code)
    talk.state = apply(talk.setting, state, FixDone("replace sensor", "left", "sensor replaced", "sensor"))
    assert to_measure_again(talk.setting, talk.now) == (Task("output", "left"), Task("code", None))
    checks = [*PROCEDURE["checks"][:3], {**PROCEDURE["checks"][3], "at_proof": {"brakes": "drum"}}]
    assert to_measure_again(own(checks=checks), talk.now) == (Task("output", "left"),)


def test_after_a_fix_it_says_why_it_measures_again() -> None:
    talk = Conversation().begin().talk(LEFT_FIXED)
    assert "Logged: sensor replaced. Measure again what failed." in talk.text(talk.said[-5:])


def test_the_missing_temperature_is_said_once_and_again_near_a_limit() -> None:
    cold = [*TO_FINDING[:-1], "not sure", *OHMS[len(TO_FINDING) :]]
    talk = Conversation().begin().talk(cold)
    assert "Not corrected" in talk.text(talk.hear("1180"))
    assert "Not corrected" not in talk.text(talk.hear("correction 1190"))
    verdict = talk.now.observations[-1].verdict
    assert verdict is not None
    assert "Not corrected" in verdict.remark
    assert "Not corrected" in talk.text(talk.hear("correction 860"))


def test_the_meters_finest_digit_shapes_the_answer() -> None:
    """A bad part reads in another range than a good one, so the finest range counts."""
    given = setting(meter=METER)
    ohms, output = Check.model_validate(PROCEDURE["checks"][1]), with_check(leads={"dial": "AC volts"})
    assert resolution_at(given, ohms) == 1
    assert is_ac(output)
    assert resolution_at(given, output) == Decimal("0.001")
    assert resolution_at(given, with_check(leads={"dial": "DC volts"}, limits={"low": "9.5"})) == Decimal("0.01")
    assert resolution_at(setting(), ohms) is None
    talk = Conversation(given).begin().talk(OHMS)
    assert expectation(talk.setting, talk.now).resolution == 1


def test_a_first_reading_too_close_to_call_outlives_a_kill() -> None:
    """It is on disk; after taking up again the second one replaces it."""
    talk = Conversation(setting(meter=METER)).begin().talk([*OHMS, "703"])
    first = talk.now.observations[-1]
    assert first.value == Decimal(703)
    later = Conversation(talk.setting, talk.folded(), decisions=talk.decisions)
    later.feed(Resumed(9))
    assert later.prompt == "check:sensor ohms:left"
    later.hear("704")
    if later.prompt.startswith("confirm:"):
        later.hear("yes")
    assert [seen.value for seen in later.now.observations] == [Decimal("0.05"), Decimal(704)]


def test_where_are_we() -> None:
    talk = Conversation().begin().talk(OHMS)
    text = talk.text(talk.hear("where are we"))
    assert "We were looking for the fault." not in text
    assert "One reading so far." in text
    assert "Still suspected:" in text
    assert talk.prompt == "check:sensor ohms:left"


def test_why_names_minutes_and_what_to_open() -> None:
    talk = Conversation().begin().talk(TO_FINDING)
    text = talk.text(talk.hear("why"))
    assert "minute" in text
    assert "plug" in text


def test_stop_twice_leaves_a_session_that_cannot_be_written() -> None:
    talk = Conversation().begin().talk(OHMS)
    before = talk.now.settled()
    talk.fail = 99
    assert keys(talk.hear("1180")) == ["record_failed"]
    assert keys(talk.hear("stop")) == ["leave_unwritten"]
    assert keys(talk.feed(WentQuiet(20))) == ["record_failed"]
    assert keys(talk.hear("stop")) == ["leave_unwritten"]
    assert not talk.finished
    talk.hear("stop")
    assert talk.finished == "left"
    assert talk.now.settled() == before


def test_a_proof_asks_its_cautions_each_time() -> None:
    steps = [dict(step) for step in PROCEDURE["proof"]["steps"]]
    steps[1]["cautions"] = ["clear"]
    talk = Conversation(own(proof={**PROCEDURE["proof"], "steps": steps})).begin()
    talk.talk([*LEFT_FIXED, "1150", "0.6", "yes", "next"])
    assert talk.prompt == "caution:as before"


def test_nothing_rolls_before_it_is_put_back() -> None:
    talk = Conversation().begin().talk([*LEFT_FIXED, "1150", "0.6"])
    assert talk.prompt == "close:put back"
    assert keys(talk.hear("skip"))[0] == "put_back_needed"
    assert talk.prompt == "close:put back"


def test_a_code_read_after_a_wheel_was_spun_with_the_key_on_counts_for_less() -> None:
    """A wheel spun with the power on can set a code of its own: it is marked, spoken and weighed as half a code."""
    spun = {**PROCEDURE["checks"][2], "conditions": {"key": "on", "pace": "half a turn a second"}}
    codes = {**PROCEDURE["checks"][3], "reads_codes": True}
    talk = Conversation(own(checks=[*PROCEDURE["checks"][:2], spun, codes])).begin().talk(TO_FINDING)
    check = talk.setting.check("code")
    left = Understanding(Outcome.CHOICE, "left", choice="left")
    assert observed(talk.setting, talk.now, check, None, left, None).weights == {"left": 1.0}, "nothing was spun yet"
    turned = Observed(1, "output", "left", "output while turned by hand", {"good": 1.0}, "0.6")
    after = apply(talk.setting, talk.now, turned)
    seen = observed(talk.setting, after, check, None, left, None)
    assert seen.weights == {"left": 0.5, "none": 0.5}
    assert (seen.conditions or {})["perhaps self-made by"] == "output while turned by hand, left"
    assert "self-made, by this: output while turned by hand, left" in talk.text(read_back((turned,), seen))
    none = Understanding(Outcome.CHOICE, "none", choice="none")
    assert observed(talk.setting, after, check, None, none, None).weights == {"none": 1.0}
    proven = apply(talk.setting, after, ProofFinished(passed=False, because="light: on"))
    assert observed(talk.setting, proven, check, None, left, None).weights == {"left": 1.0}


def test_a_good_outcome_of_a_check_for_an_intermittent_never_clears_it() -> None:
    """'Works now' is weak evidence: the share of the intermittent falls by what the file says, never to nothing."""
    fault = {"name": "loose pin", "title": "loose pin", "weight": 3, "fix": "clean ground"}
    flex = {
        "name": "flex", "title": "flexed", "ask": "Flex it. Steady, or does it move?", "kind": "choice", "minutes": 1,
        "choices": [{"name": "steady"}, {"name": "moves"}, {"name": "comes and goes"}, {"name": "only when held"}],
        "otherwise": "steady", "repeatable": True,
        "finds": {"loose pin": {"moves": 0.3, "comes and goes": 0.2, "only when held": 0.1, "steady": 0.4}},
    }  # fmt: skip
    given = own(faults=[*PROCEDURE["faults"], fault], checks=[*PROCEDURE["checks"], flex])
    talk = Conversation(given).begin().talk(TO_FINDING)
    before = shares(given, talk.now)[Suspect("loose pin")]
    state = talk.now
    for number in range(1, 4):
        state = apply(given, state, Observed(number, "flex", None, "flexed", {"steady": 1.0}, "steady"))
        after = shares(given, state)[Suspect("loose pin")]
        assert before / 4 < after < before
        before = after
    held = apply(given, state, Observed(4, "flex", None, "flexed", {"only when held": 1.0}, "only when held"))
    assert shares(given, held)[Suspect("loose pin")] > before


def test_what_is_read_once_more_on_the_same_unit_says_so_and_what_a_repair_came_between_does_not() -> None:
    """Asked again word for word it would sound as if the first answer had not been heard."""
    talk = Conversation().begin().talk(OHMS)
    first = talk.now.observations[-1]
    again = CheckChosen(first.check, first.place, 1.0, "A slip could explain it.")
    plain = listened(talk, again)
    assert plain[0] == "once_more"
    mended = apply(talk.setting, talk.now, FixDone("replace sensor", first.place, "sensor replaced", "sensor"))
    talk.state = mended
    assert "once_more" not in listened(talk, again)


def listened(talk: Conversation, chosen: CheckChosen) -> list[str]:
    """Keys of what is said to ask a chosen check."""
    state = apply(talk.setting, talk.now, chosen)
    return keys(list(ask_check(talk.setting, state, asked_now(talk.setting, state), full=False)))
