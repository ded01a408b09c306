"""Commands, in every phase: what each does, and that none of them loses anything."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.messages import Command, Reason, Why, check_prompt
from assistant.messages.decisions import (
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
from assistant.phrasing.reasons import reason_text
from tests.session.conversation import TO_FINDING, Conversation, keys

OHMS = (*TO_FINDING, "next", "yes", "0.05")
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
    Command.SAY_LESS: "keep it short",
    Command.SAY_MORE: "tell me more",
    Command.SAY_USUAL: "the usual",
}


def at(phase: str) -> Conversation:
    """A talk in this phase."""
    return Conversation().begin().dialog(PHASES[phase])


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("command", list(Command))
def test_every_command_in_every_phase(phase: str, command: Command) -> None:
    """It is answered, what is written folds to the live state, and real work stays done."""
    dialog = at(phase)
    done = [one for one in dialog.now.work if isinstance(one, FixDone | AccessOpened)]
    said = dialog.hear(WORDS[command])
    if command is not Command.RESUME:
        assert said
    assert dialog.folded() == dialog.now.settled()
    assert [one for one in dialog.now.work if isinstance(one, FixDone | AccessOpened)][: len(done)] == done


@pytest.mark.parametrize("phase", PHASES)
def test_hold_ignores_everything_but_resume(phase: str) -> None:
    dialog = at(phase)
    prompt, observations = dialog.prompt, dialog.now.observations
    dialog.hear("hold on")
    assert (dialog.prompt, dialog.waits) == ("held", None)
    count = len(dialog.records)
    for words in ("yes", "next", "1180", "stop", "skip", "drum", "note that", "the cat sat"):
        assert keys(dialog.hear(words)) == ["on_hold"]
    dialog.hear("the cat sat", snr=20.0)
    assert not dialog.hear("the cat sat", snr=20.0), "who talks to others on hold is told once"
    assert len(dialog.records) == count
    dialog.hear("resume")
    assert dialog.prompt == prompt
    assert dialog.now.observations == observations
    assert [type(one) for one in dialog.decisions if isinstance(one, Held | Released)] == [Held, Released]


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("words", ["where are we", "what's left"])
def test_where_we_are_and_what_is_left_are_told_on_hold_and_it_stays_held(phase: str, words: str) -> None:
    dialog = at(phase)
    prompt, observations = dialog.prompt, dialog.now.observations
    at_work = dialog.hear(words)
    dialog.hear("hold on")
    said = dialog.hear(words)
    assert [one.key for one in said[:-1]] == [one.key for one in at_work if one.key in {one.key for one in said[:-1]}]
    assert len(said) > 1
    assert said[-1].key == "held"
    assert (dialog.prompt, dialog.waits) == ("held", None)
    assert keys(dialog.hear("1180")) == ["on_hold"]
    dialog.hear("resume")
    assert dialog.prompt == prompt
    assert dialog.now.observations == observations
    assert dialog.folded() == dialog.now.settled()


@pytest.mark.parametrize("phase", PHASES)
def test_a_note_comes_back_to_the_prompt(phase: str) -> None:
    dialog = at(phase)
    prompt = dialog.prompt
    dialog.dialog(["note", "green powder in the plug"])
    assert NoteTaken("green powder in the plug") in dialog.decisions
    assert dialog.prompt == prompt
    dialog.hear("note that the clip is worn")
    assert NoteTaken("the clip is worn") in dialog.decisions
    assert dialog.prompt == prompt


def test_note_said_twice_asks_for_one_note() -> None:
    dialog = at("finding").dialog(["note", "note", "green powder"])
    assert [one.text for one in dialog.decisions if isinstance(one, NoteTaken)] == ["green powder"]
    assert dialog.prompt == "check:sensor ohms:left"


@pytest.mark.parametrize("phase", PHASES)
def test_stop_ends_only_after_a_yes(phase: str) -> None:
    dialog = at(phase)
    prompt = dialog.prompt
    assert keys(dialog.hear("stop")) == ["stop"]
    dialog.hear("no")
    assert (dialog.prompt, dialog.finished) == (prompt, "")
    dialog.dialog(["stop", "yes"])
    assert dialog.finished == "stopped"
    assert Ended(Ending.STOPPED, Reason(Why.STOPPED)) in dialog.decisions


def test_stop_says_what_is_still_open() -> None:
    dialog = at("repairing")
    text = dialog.text(dialog.dialog(["stop"]).hear("yes"))
    assert "drum and wheels on, left" in text


@pytest.mark.parametrize("phase", PHASES)
def test_say_again_says_the_question_again(phase: str) -> None:
    dialog = at(phase)
    first = dialog.hear("say again")
    assert first == dialog.hear("say again")


def test_why_comes_from_the_planner_and_is_in_the_record() -> None:
    dialog = at("finding")
    action = dialog.now.action
    assert action is not None
    said = dialog.hear("why")
    assert reason_text(action.because) in dialog.text(said)
    assert any(isinstance(one, Remarked) for one in dialog.records[-1].decisions)
    assert "29 CFR 1910.1001" in dialog.text(Conversation().begin().dialog(FIX[:-2]).hear("why"))


def test_whats_left_names_suspects_with_their_shares() -> None:
    text = at("finding").text(at("finding").hear("what's left"))
    assert "left" in text
    assert "percent" in text


def test_withdraw_after_the_verdict_takes_the_reading_back_and_asks_it_again() -> None:
    dialog = at("finding").dialog(["eleven eighty"])
    assert dialog.prompt != "check:sensor ohms:left"
    number = dialog.now.observations[-1].number
    dialog.hear("scratch that")
    assert ObservationWithdrawn(number, Reason(Why.SCRATCHED)) in dialog.decisions
    assert dialog.prompt == "check:sensor ohms:left"
    assert len(dialog.now.observations) == 1
    dialog.hear("1200")
    assert dialog.now.observations[-1].number == number + 1


def test_withdraw_twice_goes_further_back() -> None:
    dialog = at("finding").dialog(["1180", "scratch that", "scratch that"])
    assert not dialog.now.observations
    assert dialog.prompt == "check:output:left"


def test_withdraw_never_undoes_work() -> None:
    dialog = at("measuring again").dialog(["scratch that"])
    assert [done.fix for done in dialog.now.fixes] == ["replace sensor"]
    assert ("drum", "left") in dialog.now.opened
    assert dialog.prompt == "check:sensor ohms:left"
    dialog.hear("1150")
    assert dialog.now.fixes


def test_withdraw_of_a_reading_made_while_proving_measures_it_again() -> None:
    dialog = at("putting back")
    assert dialog.prompt == "close:put back"
    dialog.hear("scratch that")
    assert dialog.prompt.startswith("check:")
    dialog.hear("0.7" if "output" in dialog.prompt else "1160")
    assert dialog.prompt == "close:put back"


def test_what_was_put_back_is_opened_again_for_a_reading_taken_back_later() -> None:
    dialog = at("proving")
    assert dialog.prompt == "proof:clear"
    dialog.hear("scratch that")
    assert dialog.prompt == "access:plug:left"
    dialog.dialog(["next", "0.7"])
    assert dialog.prompt == "close:put back"
    assert "plug clipped in, left" in dialog.text(dialog.hear("say again"))
    assert "drum and wheels on, left" not in dialog.text(dialog.hear("say again"))


def test_withdraw_of_a_step_of_the_running_proof() -> None:
    dialog = at("proving").dialog(["next", "scratch that"])
    assert dialog.prompt == "proof:clear"
    assert dialog.folded() == dialog.now.settled()


def test_withdraw_of_a_fact_asks_it_again() -> None:
    dialog = at("opening").dialog(["scratch that"])
    assert FactWithdrawn("coil temperature") in dialog.decisions
    assert dialog.prompt == "fact:coil temperature"
    dialog.hear("70")
    assert dialog.prompt.startswith("access:")


def test_withdraw_with_nothing_to_take_back() -> None:
    assert keys(at("cautions").hear("scratch that"))[0] == "nothing_to_take_back"


def test_withdraw_drops_what_is_only_in_doubt() -> None:
    dialog = at("finding").dialog(["over range", "scratch that"])
    assert dialog.prompt == "check:sensor ohms:left"
    assert len(dialog.now.observations) == 1
    assert not [one for one in dialog.decisions if isinstance(one, ObservationWithdrawn)]


@pytest.mark.parametrize("words", ["correction twelve hundred", "correction 1200"])
def test_correction_in_one_breath_replaces_the_last_reading(words: str) -> None:
    """Even when the prompt that follows waits for another unit, or for no number at all."""
    dialog = at("finding").dialog(["1180"])
    number = dialog.now.observations[-1].number
    dialog.hear(words)
    assert ObservationWithdrawn(number, Reason(Why.CORRECTED)) in dialog.decisions
    assert dialog.now.observations[-1].value == Decimal(1200)
    assert dialog.now.observations[-1].check == "sensor ohms"


def test_correction_first_then_the_value() -> None:
    dialog = at("finding").dialog(["1180"])
    assert keys(dialog.hear("correction"))[0] == "correction_of"
    assert dialog.prompt == "check:sensor ohms:left"
    dialog.hear("1200")
    assert [seen.value for seen in dialog.now.observations] == [Decimal("0.05"), Decimal(1200)]


def test_a_correction_inside_one_utterance_is_a_plain_answer() -> None:
    dialog = at("finding").dialog(["eleven hundred I mean twelve hundred"])
    assert [seen.value for seen in dialog.now.observations] == [Decimal("0.05"), Decimal(1200)]


def test_a_correction_that_condemns_needs_a_yes_and_loses_nothing_before() -> None:
    dialog = at("finding").dialog(["1180", "correction", "over range"])
    assert dialog.prompt == "confirm:check:sensor ohms:left"
    assert dialog.now.observations[-1].value == Decimal(1180)
    dialog.hear("yes")
    assert dialog.now.observations[-1].display == "over_range"


def test_go_back_keeps_the_answer_until_a_new_one_is_given() -> None:
    dialog = at("finding").dialog(["1180"])
    prompt = dialog.prompt
    assert keys(dialog.hear("go back"))[0] == "back"
    assert dialog.prompt == "check:sensor ohms:left"
    assert len(dialog.now.observations) == 2
    dialog.hear("next")
    assert dialog.prompt == prompt
    dialog.dialog(["go back", "1300"])
    assert dialog.now.observations[-1].value == Decimal(1300)
    assert len(dialog.now.observations) == 2


def test_go_back_and_back_again() -> None:
    dialog = at("finding").dialog(["go back", "go back", "go back"])
    assert dialog.prompt == "fact:shields"
    dialog.hear("yes")
    assert dialog.now.facts["shields"] == "yes"
    assert dialog.prompt == "check:sensor ohms:left" or dialog.prompt.split(":")[0] in ("check", "access", "caution")
    assert dialog.folded() == dialog.now.settled()


def test_skip_asks_the_reason_and_can_be_called_off() -> None:
    dialog = at("finding")
    dialog.hear("skip")
    assert dialog.prompt == "skip:check:sensor ohms:left"
    dialog.hear("no")
    assert dialog.prompt == "check:sensor ohms:left"
    dialog.dialog(["skip", "pins are corroded"])
    assert Skipped(check_prompt("sensor ohms", "left"), "pins are corroded") in dialog.decisions
    assert "sensor ohms:left" not in dialog.prompt


def test_a_typing_slip_of_a_command_is_asked_about() -> None:
    dialog = at("finding")
    dialog.hear("scratch taht")
    if dialog.prompt.startswith("confirm:"):
        dialog.hear("yes")
        assert dialog.prompt == "check:output:left"


def test_a_number_taken_back_in_its_own_breath_takes_nothing_else_back() -> None:
    dialog = at("finding").dialog(["eleven hundred scratch that"])
    assert dialog.prompt == "check:sensor ohms:left"
    assert len(dialog.now.observations) == 1


def test_numbers_of_observations_are_never_used_again() -> None:
    dialog = at("finding").dialog(["1180", "scratch that", "1190", "scratch that", "1200"])
    numbers = [one.number for one in dialog.decisions if isinstance(one, Observed)]
    assert numbers == sorted(set(numbers))
