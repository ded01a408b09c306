"""What only a person can decide: to hand a long hunt over, and to mend at once what an earlier session found."""

from __future__ import annotations

from assistant.messages import Why
from assistant.messages.decisions import Ended, Ending, FixChosen, Offered
from assistant.session.agenda.offering import spent_minutes
from assistant.session.dialog_state import Mode
from assistant.session.fold import results
from tests.session.conversation import TO_FINDING, Conversation, context, keys
from tests.session.transitions.rows import FOUND, OHMS, long_hunt


def test_a_hunt_longer_than_nine_in_ten_is_offered_to_be_handed_over_in_one_short_sentence() -> None:
    dialog = Conversation(long_hunt()).begin().dialog(OHMS[:-1])
    said = dialog.hear(OHMS[-1])
    assert dialog.prompt == "offer:hand over"
    assert keys(said)[-1] == "offer_hand_over"
    assert dialog.text(said[-1:]) == "4 minutes by now; nine in ten take less. Hand it over? Yes or no."
    assert spent_minutes(dialog.context, dialog.now) == 1 + 3, "the plug and the output, by the file"
    assert dialog.folded() == dialog.now.settled()


def test_handed_over_it_ends_with_what_is_left_and_what_was_read() -> None:
    dialog = Conversation(long_hunt()).begin().dialog([*OHMS, "yes"])
    assert dialog.prompt == "close:put back", "what is open is closed first"
    said = dialog.hear("yes")
    assert dialog.finished == "not found"
    assert "whats_left" in keys(said)
    end = dialog.decisions[-1]
    assert isinstance(end, Ended)
    assert end.ending is Ending.NOT_FOUND
    assert end.because.why is Why.HANDED_OVER
    assert set(end.because.slots["suspects"]) == {"sensor backed off, left", "open sensor, left"}  # type: ignore[arg-type]
    assert "Handed over after 4 minutes." in dialog.text(said)
    assert [one.check for one in results(dialog.context, dialog.now).standing] == ["output"]


def test_not_handed_over_it_goes_on_and_is_offered_again_half_as_far_on() -> None:
    dialog = Conversation(long_hunt()).begin().dialog([*TO_FINDING, "next", "yes", "0.5"])
    offered: list[float] = []
    for _ in range(12):
        if dialog.finished:
            break
        if dialog.prompt == "offer:hand over":
            offered.append(spent_minutes(dialog.context, dialog.now))
            dialog.hear("no")
            assert dialog.mode is not Mode.OFFER, "not again before more was done"
        else:
            answers = {"output": "0.5", "ground drop": "0.05", "code": "none"}
            kind, _, name = dialog.prompt.partition(":")
            dialog.hear(answers.get(name.split(":")[0], "1180") if kind == "check" else "yes")
    assert offered == [4, 6, 9], "the output, the ground too, then the right plug and its resistance"


def test_a_repair_that_a_reading_calls_for_is_not_held_up() -> None:
    dialog = Conversation(long_hunt()).begin().dialog([*OHMS, "no", "over range", "yes", "yes"])
    assert isinstance(dialog.now.action, FixChosen)
    assert len([one for one in dialog.decisions if isinstance(one, Offered)]) == 1


def test_without_declared_figures_nothing_is_offered() -> None:
    dialog = Conversation().begin().dialog([*OHMS, "1180"])
    assert not [one for one in dialog.decisions if isinstance(one, Offered)]


def test_what_was_found_before_is_offered_once_the_unit_is_known() -> None:
    dialog = Conversation(context(found_before=FOUND)).begin().dialog(TO_FINDING[:-1])
    said = dialog.hear(TO_FINDING[-1])
    assert dialog.prompt == "offer:found before"
    assert dialog.text(said[-1:]) == (
        "Open sensor, left was found on March 3. It waited: part on order. Repair it now? Yes or no."
    )


def test_taken_it_goes_straight_to_the_repair_and_the_proof() -> None:
    dialog = Conversation(context(found_before=FOUND)).begin().dialog([*TO_FINDING, "yes"])
    for _ in range(30):
        if dialog.finished:
            break
        dialog.hear({"fact": "72", "proof": "next"}.get(dialog.prompt.split(":")[0], "yes"))
        if dialog.prompt == "proof:light":
            dialog.hear("out")
    assert dialog.finished == "cured and proven"
    assert not dialog.now.observations, "nothing is measured anew before it"
    titles = {"open sensor": "open sensor"}
    assert [cause.words(titles) for cause in results(dialog.context, dialog.now).causes] == ["open sensor, left"]
    assert dialog.folded() == dialog.now.settled()


def test_put_off_once_more_it_waits_once_more() -> None:
    dialog = Conversation(context(found_before=FOUND)).begin().dialog([*TO_FINDING, "yes", "skip", "still on order"])
    for _ in range(9):
        if dialog.finished:
            break
        dialog.hear("yes")
    assert dialog.finished == "found, waiting"


def test_not_taken_the_search_begins_as_always() -> None:
    dialog = Conversation(context(found_before=FOUND)).begin().dialog([*TO_FINDING, "no"])
    assert dialog.mode is Mode.ACCESS
    assert not [one for one in dialog.decisions if isinstance(one, FixChosen)]
    dialog.dialog(["next", "yes", "0.05", "yes"])
    assert len([one for one in dialog.decisions if isinstance(one, Offered)]) == 1, "it is offered once"
