"""Commands, in every phase: what each does, and that none of them loses anything."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.engine.decisions import (
    AccessOpened,
    Ended,
    Ending,
    FactWithdrawn,
    FixDone,
    Held,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    Released,
    Remarked,
    Skipped,
)
from assistant.messages import Command
from tests.engine.conversation import TO_FINDING, Conversation, keys

OHMS = (*TO_FINDING, "next", "yes", "0.05", "yes")
FIX = (*OHMS, "over range", "yes", "yes", "next")
REPAIRED = (*FIX, "next")
MEASURED = (*REPAIRED, "1150", "0.6")
PROVING = (*MEASURED, "yes")
PHASES: dict[str, tuple[str, ...]] = {
    "cautions": ("ready",),
    "facts": ("ready", "yes"),
    "opening": TO_FINDING,
    "finding": OHMS,
    "repairing": FIX,
    "measuring again": REPAIRED,
    "putting back": MEASURED,
    "proving": PROVING,
    "closing": (*PROVING, "next", "next", "out"),
}
WORDS = {
    Command.SAY_AGAIN: "say again",
    Command.GO_BACK: "go back",
    Command.SKIP: "skip",
    Command.HOLD: "hold on",
    Command.RESUME: "resume",
    Command.WITHDRAW: "scratch that",
    Command.YES: "yes",
    Command.NO: "no",
    Command.STOP: "stop",
    Command.HELP: "help",
    Command.WHY: "why",
    Command.WHATS_LEFT: "what's left",
    Command.NEXT: "next",
    Command.CORRECTION: "correction",
    Command.NOTE: "note that it rains",
    Command.WHERE: "where are we",
}


def at(phase: str) -> Conversation:
    """A talk in this phase."""
    return Conversation().begin().talk(PHASES[phase])


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("command", list(Command))
def test_every_command_in_every_phase(phase: str, command: Command) -> None:
    """It is answered, what is written folds to the live state, and real work stays done."""
    talk = at(phase)
    done = [one for one in talk.now.work if isinstance(one, FixDone | AccessOpened)]
    said = talk.hear(WORDS[command])
    if command is not Command.RESUME:
        assert said
    assert talk.folded() == talk.now.settled()
    assert [one for one in talk.now.work if isinstance(one, FixDone | AccessOpened)][: len(done)] == done


@pytest.mark.parametrize("phase", PHASES)
def test_hold_ignores_everything_but_resume(phase: str) -> None:
    talk = at(phase)
    prompt, observations = talk.prompt, talk.now.observations
    talk.hear("hold on")
    assert (talk.prompt, talk.waits) == ("held", None)
    count = len(talk.records)
    for words in ("yes", "next", "1180", "stop", "skip", "drum", "note that", "the cat sat"):
        assert not talk.hear(words)
    assert len(talk.records) == count
    talk.hear("resume")
    assert talk.prompt == prompt
    assert talk.now.observations == observations
    assert [type(one) for one in talk.decisions if isinstance(one, Held | Released)] == [Held, Released]


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("words", ["where are we", "what's left"])
def test_where_we_are_and_what_is_left_are_told_on_hold_and_it_stays_held(phase: str, words: str) -> None:
    talk = at(phase)
    prompt, observations = talk.prompt, talk.now.observations
    at_work = talk.hear(words)
    talk.hear("hold on")
    said = talk.hear(words)
    assert [one.key for one in said[:-1]] == [one.key for one in at_work if one.key in {one.key for one in said[:-1]}]
    assert len(said) > 1
    assert said[-1].key == "held"
    assert (talk.prompt, talk.waits) == ("held", None)
    assert not talk.hear("1180")
    talk.hear("resume")
    assert talk.prompt == prompt
    assert talk.now.observations == observations
    assert talk.folded() == talk.now.settled()


@pytest.mark.parametrize("phase", PHASES)
def test_a_note_comes_back_to_the_prompt(phase: str) -> None:
    talk = at(phase)
    prompt = talk.prompt
    talk.talk(["note", "green powder in the plug"])
    assert NoteTaken("green powder in the plug") in talk.decisions
    assert talk.prompt == prompt
    talk.hear("note that the clip is worn")
    assert NoteTaken("the clip is worn") in talk.decisions
    assert talk.prompt == prompt


@pytest.mark.parametrize("phase", PHASES)
def test_stop_ends_only_after_a_yes(phase: str) -> None:
    talk = at(phase)
    prompt = talk.prompt
    assert keys(talk.hear("stop")) == ["stop"]
    talk.hear("no")
    assert (talk.prompt, talk.finished) == (prompt, "")
    talk.talk(["stop", "yes"])
    assert talk.finished == "stopped"
    assert Ended(Ending.STOPPED, "the person stopped it") in talk.decisions


def test_stop_says_what_is_still_open() -> None:
    talk = at("repairing")
    text = talk.text(talk.talk(["stop"]).hear("yes"))
    assert "drum and wheels on, left" in text


@pytest.mark.parametrize("phase", PHASES)
def test_say_again_says_the_question_again(phase: str) -> None:
    talk = at(phase)
    first = talk.hear("say again")
    assert first == talk.hear("say again")


def test_why_comes_from_the_planner_and_is_in_the_record() -> None:
    talk = at("finding")
    action = talk.now.action
    assert action is not None
    said = talk.hear("why")
    assert action.because in talk.text(said)
    assert any(isinstance(one, Remarked) for one in talk.records[-1].decisions)
    assert "29 CFR 1910.1001" in talk.text(Conversation().begin().talk(FIX[:-2]).hear("why"))


def test_whats_left_names_suspects_with_their_shares() -> None:
    text = at("finding").text(at("finding").hear("what's left"))
    assert "left" in text
    assert "percent" in text


def test_withdraw_after_the_verdict_takes_the_reading_back_and_asks_it_again() -> None:
    talk = at("finding").talk(["eleven eighty"])
    assert talk.prompt != "check:sensor ohms:left"
    number = talk.now.observations[-1].number
    talk.hear("scratch that")
    assert ObservationWithdrawn(number, "taken back") in talk.decisions
    assert talk.prompt == "check:sensor ohms:left"
    assert len(talk.now.observations) == 1
    talk.hear("1200")
    assert talk.now.observations[-1].number == number + 1


def test_withdraw_twice_goes_further_back() -> None:
    talk = at("finding").talk(["1180", "scratch that", "scratch that"])
    assert not talk.now.observations
    assert talk.prompt == "check:output:left"


def test_withdraw_never_undoes_work() -> None:
    talk = at("measuring again").talk(["scratch that"])
    assert [done.fix for done in talk.now.fixes] == ["replace sensor"]
    assert ("drum", "left") in talk.now.opened
    assert talk.prompt == "check:sensor ohms:left"
    talk.hear("1150")
    assert talk.now.fixes


def test_withdraw_of_a_reading_made_while_proving_measures_it_again() -> None:
    talk = at("putting back")
    assert talk.prompt == "close:put back"
    talk.hear("scratch that")
    assert talk.prompt.startswith("check:")
    talk.hear("0.7" if "output" in talk.prompt else "1160")
    assert talk.prompt == "close:put back"


def test_what_was_put_back_is_opened_again_for_a_reading_taken_back_later() -> None:
    talk = at("proving")
    assert talk.prompt == "proof:clear"
    talk.hear("scratch that")
    assert talk.prompt == "access:plug:left"
    talk.talk(["next", "0.7"])
    assert talk.prompt == "close:put back"
    assert "plug clipped in, left" in talk.text(talk.hear("say again"))
    assert "drum and wheels on, left" not in talk.text(talk.hear("say again"))


def test_withdraw_of_a_step_of_the_running_proof() -> None:
    talk = at("proving").talk(["next", "scratch that"])
    assert talk.prompt == "proof:clear"
    assert talk.folded() == talk.now.settled()


def test_withdraw_of_a_fact_asks_it_again() -> None:
    talk = at("opening").talk(["scratch that"])
    assert FactWithdrawn("coil temperature") in talk.decisions
    assert talk.prompt == "fact:coil temperature"
    talk.hear("70")
    assert talk.prompt.startswith("access:")


def test_withdraw_with_nothing_to_take_back() -> None:
    assert keys(at("cautions").hear("scratch that"))[0] == "nothing_to_take_back"


def test_withdraw_drops_what_is_only_in_doubt() -> None:
    talk = at("finding").talk(["over range", "scratch that"])
    assert talk.prompt == "check:sensor ohms:left"
    assert len(talk.now.observations) == 1
    assert not [one for one in talk.decisions if isinstance(one, ObservationWithdrawn)]


@pytest.mark.parametrize("words", ["correction twelve hundred", "correction 1200"])
def test_correction_in_one_breath_replaces_the_last_reading(words: str) -> None:
    """Even when the prompt that follows waits for another unit, or for no number at all."""
    talk = at("finding").talk(["1180"])
    number = talk.now.observations[-1].number
    talk.hear(words)
    assert ObservationWithdrawn(number, "correction") in talk.decisions
    assert talk.now.observations[-1].value == Decimal(1200)
    assert talk.now.observations[-1].check == "sensor ohms"


def test_correction_first_then_the_value() -> None:
    talk = at("finding").talk(["1180"])
    assert keys(talk.hear("correction"))[0] == "correction_of"
    assert talk.prompt == "check:sensor ohms:left"
    talk.hear("1200")
    assert [seen.value for seen in talk.now.observations] == [Decimal("0.05"), Decimal(1200)]


def test_a_correction_inside_one_utterance_is_a_plain_answer() -> None:
    talk = at("finding").talk(["eleven hundred I mean twelve hundred"])
    assert [seen.value for seen in talk.now.observations] == [Decimal("0.05"), Decimal(1200)]


def test_a_correction_that_condemns_needs_a_yes_and_loses_nothing_before() -> None:
    talk = at("finding").talk(["1180", "correction", "over range"])
    assert talk.prompt == "confirm:check:sensor ohms:left"
    assert talk.now.observations[-1].value == Decimal(1180)
    talk.hear("yes")
    assert talk.now.observations[-1].display == "over_range"


def test_go_back_keeps_the_answer_until_a_new_one_is_given() -> None:
    talk = at("finding").talk(["1180"])
    prompt = talk.prompt
    assert keys(talk.hear("go back"))[0] == "back"
    assert talk.prompt == "check:sensor ohms:left"
    assert len(talk.now.observations) == 2
    talk.hear("next")
    assert talk.prompt == prompt
    talk.talk(["go back", "1300"])
    assert talk.now.observations[-1].value == Decimal(1300)
    assert len(talk.now.observations) == 2


def test_go_back_and_back_again() -> None:
    talk = at("finding").talk(["go back", "go back", "go back"])
    assert talk.prompt == "fact:shields"
    talk.hear("yes")
    assert talk.now.facts["shields"] == "yes"
    assert talk.prompt == "check:sensor ohms:left" or talk.prompt.split(":")[0] in ("check", "access", "caution")
    assert talk.folded() == talk.now.settled()


def test_skip_asks_the_reason_and_can_be_called_off() -> None:
    talk = at("finding")
    talk.hear("skip")
    assert talk.prompt == "skip:check:sensor ohms:left"
    talk.hear("no")
    assert talk.prompt == "check:sensor ohms:left"
    talk.talk(["skip", "pins are corroded"])
    assert Skipped("check:sensor ohms:left", "pins are corroded") in talk.decisions
    assert "sensor ohms:left" not in talk.prompt


def test_a_typing_slip_of_a_command_is_asked_about() -> None:
    talk = at("finding")
    talk.hear("scratch taht")
    if talk.prompt.startswith("confirm:"):
        talk.hear("yes")
        assert talk.prompt == "check:output:left"


def test_a_number_taken_back_in_its_own_breath_takes_nothing_else_back() -> None:
    talk = at("finding").talk(["eleven hundred scratch that"])
    assert talk.prompt == "check:sensor ohms:left"
    assert len(talk.now.observations) == 1


def test_numbers_of_observations_are_never_used_again() -> None:
    talk = at("finding").talk(["1180", "scratch that", "1190", "scratch that", "1200"])
    numbers = [one.number for one in talk.decisions if isinstance(one, Observed)]
    assert numbers == sorted(set(numbers))
