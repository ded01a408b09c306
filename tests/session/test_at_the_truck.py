"""What a technician who had not read the code said at the truck, and what the tool must make of it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pytest

from assistant.messages import Grade, Reason, Say, Why
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    FixDone,
    NoteTaken,
    Observed,
    ProofStepDone,
    PutBackDone,
)
from assistant.procedure.load import load_procedure
from assistant.session.agenda.put_back import put_back_items
from assistant.session.context import Context
from assistant.session.fold import apply
from assistant.verdict.uncertainty import accuracy_unnamed
from tests.session.conversation import Conversation, vocabulary
from tests.session.partner_tables import scene
from tests.session.transitions.rows import MEASURED


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


def judged(talk: Conversation, reading: str) -> list[Say]:
    """A reading with the facts that its verdict hangs on, asked once it is there: what is said to the verdict."""
    said = talk.hear(reading)
    for _ in range(5):
        kind, _, name = talk.prompt.partition(":")
        if kind == "fact":
            said = talk.hear(BATTERY[name])
        elif kind == "confirm":
            said = talk.hear("yes")
        else:
            break
    return said


def rest_volts(talk: Conversation) -> list[Observed]:
    return [one for one in talk.now.observations if one.check == "rest volts"]


def test_a_fact_that_only_judges_is_asked_when_the_reading_shows_that_it_matters() -> None:
    answers = {**BATTERY, "complaint": "slow cranking"}
    talk = led("battery-and-charging", answers, until="check:rest volts")
    assert "battery kind" not in talk.now.facts
    said = talk.hear("12.5")
    assert talk.prompt == "fact:battery kind"
    assert talk.text(said).startswith("I have 12.5 V."), "it is read back while it waits"
    assert not rest_volts(talk), "it does not count without its verdict"
    assert "How cold" in talk.text(talk.hear("glass mat")), "two tenths of a volt lie between warm and zero"
    said = talk.hear("warm")
    assert "Rest voltage of the batteries: 12.5 V. Is that right?" in talk.text(said)
    assert "Key, engine and lamps off" not in talk.text(said), "nobody is sent to read it again"
    assert "Too low" in talk.text(talk.hear("yes"))
    (seen,) = rest_volts(talk)
    assert (seen.value, seen.limit_low) == (Decimal("12.5"), Decimal("12.6"))
    assert seen.verdict is not None
    assert seen.verdict.grade is Grade.BAD_LOW


@pytest.mark.parametrize("volts", ["11.6", "12.9"])
def test_a_reading_that_every_answer_judges_alike_asks_for_none(volts: str) -> None:
    talk = led("battery-and-charging", {**BATTERY, "complaint": "slow cranking"}, until="check:rest volts")
    talk.hear(volts)
    assert not talk.prompt.startswith("fact:battery kind")
    assert "battery kind" not in talk.now.facts


def test_scratch_that_drops_a_reading_that_waits_and_nothing_before_it() -> None:
    talk = led("battery-and-charging", {**BATTERY, "complaint": "slow cranking"}, until="check:rest volts")
    before = dict(talk.now.facts)
    talk.hear("12.5")
    assert "Deleted: rest voltage" in talk.text(talk.hear("scratch that"))
    assert dict(talk.now.facts) == before
    talk.hear("glass mat")
    assert talk.prompt == "check:rest volts", "it is read anew"


def test_what_was_warned_of_at_the_beginning_is_not_asked_again_before_the_first_opening() -> None:
    talk = led("battery-and-charging", {**BATTERY, "complaint": "slow cranking"}, until="access:battery box")
    given = [one.caution for one in talk.decisions if isinstance(one, CautionAcknowledged)]
    assert given.count("ground first") == 1
    alone = CheckChosen("battery alone", "first battery", 1.0, Reason(Why.ASKED_FOR))
    assert "ground first" in apply(talk.context, talk.now, alone).acknowledged
    opened = apply(talk.context, talk.now, AccessOpened("battery box", None, 1.5))
    later = apply(talk.context, opened, alone)
    assert "ground first" not in later.acknowledged, "later, with work in between, it is due again"


def test_rest_volts_near_the_limit_with_a_meter_nobody_named_are_too_close_to_call() -> None:
    answers = {**BATTERY, "complaint": "slow cranking"}
    talk = led("battery-and-charging", answers, until="check:rest volts")
    assert "Too close to call" in talk.text(judged(talk, "12.4"))
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


def chambers(words: str) -> dict[str, str]:
    """What one breath at the question about the chambers of a truck with two axles tells."""
    said = {"unit kind": "truck", "axles": "two"}
    talk = led("pushrod-stroke", said, until="fact:chamber")
    talk.hear(words)
    return {name: value for name, value in talk.now.facts.items() if "chamber" in name or "size" in name}


@pytest.mark.parametrize(
    "words",
    ["all 30s with long stroke", "thirties, long stroke", "long stroke on all, thirties", "long stroke, thirty"],
)
def test_kind_and_size_of_the_chambers_in_one_breath(words: str) -> None:
    assert chambers(words) == {"chamber": "long stroke", "long stroke size": "thirty"}


@pytest.mark.parametrize("words", ["long stroke thirties all the way around", "long stroke 30s front and rear"])
def test_all_the_way_around_tells_the_steer_axle_too(words: str) -> None:
    assert chambers(words) == {
        "chamber": "long stroke", "long stroke size": "thirty",
        "steer chamber": "long stroke", "steer long stroke size": "thirty",
    }  # fmt: skip


def test_a_size_without_a_kind_tells_nothing() -> None:
    assert chambers("all 30s") == {}


def at_work(name: str, words: str) -> Conversation:
    talk = Conversation(scene(name).context, scene(name).now)
    talk.hear(words)
    return talk


@pytest.mark.parametrize("words", ["done, and it reads 1190", "that's done, I read 1190"])
def test_what_is_read_with_the_done_is_asked_about_under_its_own_prompt(words: str) -> None:
    talk = at_work("done plug", words)
    assert [one.access for one in talk.decisions if isinstance(one, AccessOpened)] == ["wheel plug"]
    assert talk.prompt == "confirm:check:sensor ohms:left rear"
    assert "1,190 ohms" in talk.text(talk.said)
    assert not talk.now.observations
    talk.hear("yes")
    assert [(one.check, one.value) for one in talk.now.observations] == [("sensor ohms", Decimal(1190))]


def test_what_is_told_with_the_done_and_answers_nothing_next_is_kept_as_a_note() -> None:
    talk = at_work("done fix", "done, and it reads 1190")
    assert any(isinstance(one, FixDone) for one in talk.decisions)
    assert [one.text for one in talk.decisions if isinstance(one, NoteTaken)] == ["it reads 1190"]


@pytest.mark.parametrize("words", ["okay that's buttoned up", "got her back together", "all done with that one"])
def test_done_in_other_words(words: str) -> None:
    assert any(isinstance(one, FixDone) for one in at_work("done fix", words).decisions)


@pytest.mark.parametrize("words", ["that one's in", "there we go, that's in"])
def test_in_may_be_the_opposite_and_is_asked_about(words: str) -> None:
    talk = at_work("done fix", words)
    assert not talk.decisions
    talk.hear("yes")
    assert any(isinstance(one, FixDone) for one in talk.decisions)


@pytest.mark.parametrize(
    "words", ["how do I do that", "how's that work", "walk me through it", "how do I get that off"]
)
def test_how_is_told_at_more_length_and_counts_nothing(words: str) -> None:
    talk = at_work("done plug", words)
    said = talk.text(talk.said)
    assert "pull on the plug" in said
    assert "You can say" not in said
    assert not talk.decisions
    assert talk.prompt == "access:wheel plug:left rear"


def test_how_at_a_check_tells_its_help() -> None:
    talk = led("battery-and-charging", BATTERY, until="check:posts and cables")
    assert "starter's stud are the power side" in talk.text(talk.hear("how's that work"))


def test_help_tells_what_can_be_said_as_well() -> None:
    talk = at_work("done plug", "help")
    assert "pull on the plug" in talk.text(talk.said)
    assert "You can say" in talk.text(talk.said)


def test_an_unsteady_reading_is_taken_once_more_and_then_stands_with_its_range() -> None:
    talk = led("battery-and-charging", BATTERY, until="check:rest volts")
    assert "Hold the probes still" in talk.text(talk.hear("it's jumping between 3 and 9"))
    assert "points at a joint" in talk.text(talk.hear("still jumping between 4 and 9"))
    seen = [one for one in talk.now.observations if one.check == "rest volts"]
    assert [(one.display, one.low_end, one.high_end) for one in seen] == [("unsteady", Decimal(4), Decimal(9))]


def test_a_reading_that_stands_still_at_the_second_try_counts_alone() -> None:
    talk = led("battery-and-charging", BATTERY, until="check:rest volts").dialog(["jumping between 3 and 9", "12.7"])
    assert [one.value for one in talk.now.observations if one.check == "rest volts"] == [Decimal("12.7")]


def at_the_list() -> Conversation:
    return at_work("done fix", "done")


@pytest.mark.parametrize(
    ("words", "item"),
    [
        ("everything's back on but the left rear plug", "left rear sensor plug"),
        ("all done except for the left rear sensor plug", "left rear sensor plug"),
        ("all back but the cord", "cord in at both ends"),
    ],
)
def test_what_is_named_as_left_is_asked_alone_and_the_rest_is_back(words: str, item: str) -> None:
    talk = at_the_list()
    items = put_back_items(talk.context, talk.now)
    assert item in talk.text(talk.hear(words))
    talk.hear("no")
    assert not [one for one in talk.decisions if isinstance(one, PutBackDone)], "a no waits"
    talk.hear("yes")
    assert [one.items for one in talk.decisions if isinstance(one, PutBackDone)] == [items]


def test_several_that_are_left_come_one_after_another() -> None:
    talk = at_the_list().dialog(["all but the zip ties"])
    for place in ("right rear", "left rear", "right front", "left front"):
        assert place in talk.text(talk.said[-1:])
        talk.hear("yes")
    assert [one for one in talk.decisions if isinstance(one, PutBackDone)]


def test_what_is_left_and_not_on_the_list_has_it_gone_through_one_by_one() -> None:
    talk = at_the_list()
    assert "One by one" in talk.text(talk.hear("everything but the flux capacitor"))


def test_nothing_hung_on_it_is_to_come_off_after_looks_alone() -> None:
    looked = led("battery-and-charging", BATTERY, until="check:rest volts").now
    context = Context(load_procedure("battery-and-charging").procedure, vocabulary())
    assert "tester and clamps off" not in put_back_items(context, looked)
    talk = at_the_list()
    assert put_back_items(talk.context, talk.now)[0] == "test pigtails and loads off"


@pytest.mark.parametrize("name", ["trailer-abs-light-on", "tractor-abs-light-on"])
def test_a_wheel_that_was_off_is_turned_before_the_stands_come_out(name: str) -> None:
    rows = {one.name: one for one in load_procedure(name).procedure.access}
    for access in ("wheel and drum", "hub off"):
        items = rows[access].put_back
        assert items.index("{place} wheel turns free, no drag") > items.index(
            "{place} brake and wheels on, nuts snug in a star"
        )
        assert "wheel up" in rows[access].needs, "the stands go out after it"
