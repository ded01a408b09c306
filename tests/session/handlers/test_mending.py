"""An earlier answer is put right by words: asked about with both values, replaced after a yes, the old one kept."""

from __future__ import annotations

from decimal import Decimal

from assistant.messages import Why
from assistant.messages.decisions import FactAnswered, FixDone, ObservationWithdrawn, Observed
from assistant.session.dialog_state import Mode
from assistant.session.fold import results
from tests.session.conversation import TO_FINDING, Conversation, keys
from tests.session.said_tables import scene
from tests.session.transitions.rows import FIX, MEASURED, OHMS, talk


def readings(dialog: Conversation) -> list[tuple[str, str]]:
    """Readings that stand, each with what was shown, in the order in which they count."""
    return [(one.check, one.display or f"{one.value}") for one in dialog.now.observations]


def test_it_is_asked_about_with_both_values_and_replaced_after_a_yes() -> None:
    dialog = talk(OHMS)
    before = dialog.now.observations[0]
    said = dialog.text(dialog.hear("the output should be point six"))
    assert said == "Output while turned by hand, left: 0.05 V. Change it to 0.6 V? Yes or no."
    assert readings(dialog) == [("output", "0.05")]
    assert "0.6 V" in dialog.text(dialog.hear("yes"))
    assert readings(dialog) == [("output", "0.6")]
    back = dialog.now.ledger.taken_back
    assert [(one.observed.number, one.because.why) for one in back] == [(before.number, Why.CORRECTED)]
    assert dialog.folded().observations == dialog.now.observations


def test_a_no_leaves_it_and_asks_what_was_asked() -> None:
    dialog = talk(OHMS)
    asked = dialog.prompt
    dialog.hear("scratch that, the output was point six")
    assert keys(dialog.hear("no"))[0] == "left_as_it_was"
    assert (dialog.prompt, readings(dialog)) == (asked, [("output", "0.05")])


def test_a_word_back_leaves_it_too() -> None:
    dialog = talk(OHMS)
    asked = dialog.prompt
    dialog.hear("correction, output point six")
    assert keys(dialog.hear("go back"))[0] == "left_as_it_was"
    assert (dialog.prompt, readings(dialog)) == (asked, [("output", "0.05")])


def test_another_value_at_the_question_is_asked_about_again_and_answers_nothing_below() -> None:
    dialog = talk(OHMS)
    dialog.hear("correction, output point six")
    said = dialog.text(dialog.hear("point seven"))
    assert "Change it to 0.7 V?" in said
    assert readings(dialog) == [("output", "0.05")]
    dialog.hear("yes")
    assert readings(dialog) == [("output", "0.7")]


def test_suspects_are_worked_out_anew() -> None:
    dialog = talk(OHMS)
    before = dialog.prompt
    dialog.hear("correction, the output was point six")
    dialog.hear("yes")
    assert dialog.prompt != before, "a good output leaves nothing to measure at the left sensor"


def test_without_a_value_it_is_asked_for() -> None:
    dialog = talk(OHMS)
    assert keys(dialog.hear("the output was wrong"))[0] == "correction_of"
    dialog.hear("0.6")
    assert readings(dialog) == [("output", "0.6")]


def test_which_is_meant_is_asked_and_a_value_there_answers_nothing() -> None:
    dialog = talk(FIX)
    stood = readings(dialog)
    assert keys(dialog.hear("correction, left was 5")) == ["mend_which"]
    dialog.hear("6")
    assert dialog.mode is Mode.CHOOSE
    assert "Change it to 5 V" in dialog.text(dialog.hear("the output"))
    assert readings(dialog) == stood
    assert keys(dialog.hear("no"))[0] == "left_as_it_was"
    assert readings(dialog) == stood


def test_a_fact_is_put_right() -> None:
    dialog = talk(OHMS)
    said = dialog.text(dialog.hear("correction, the coil temperature is 80"))
    assert "72°F. Change it to 80°F?" in said
    dialog.hear("yes")
    assert dialog.now.facts["coil temperature"] == "80"
    assert [one.value for one in dialog.decisions if isinstance(one, FactAnswered)][-1] == "80"


def test_what_was_never_logged_is_refused() -> None:
    dialog = talk(OHMS)
    said = dialog.text(dialog.hear("correction, the right output was point six"))
    assert said.startswith("I have no such reading, so there is nothing to correct.")
    assert not [one for one in dialog.decisions if isinstance(one, ObservationWithdrawn)]
    assert readings(dialog) == [("output", "0.05")]


def test_a_reading_before_a_repair_is_put_right_as_it_was_and_the_repair_stays() -> None:
    dialog = talk((*FIX, "next"))
    fixes, asked, opened = dialog.now.fixes, dialog.prompt, dialog.now.opened
    assert fixes
    dialog.hear("correction, left output was point six")
    dialog.hear("yes")
    assert dialog.now.fixes == fixes
    assert dialog.now.opened == opened
    kinds = [one.kind for one in dialog.now.work if isinstance(one, Observed | FixDone)]
    assert kinds.index("observed") < kinds.index("fix_done")
    mended = next(one for one in dialog.now.observations if one.check == "output")
    assert (mended.value, mended.proof, mended.verdict is not None and mended.limit_low) == (
        Decimal("0.6"), False, Decimal("0.2"),
    )  # fmt: skip
    assert next(at for at, one in enumerate(dialog.now.work) if one is mended) < dialog.now.work.index(fixes[0])
    assert dialog.folded().work == dialog.now.work
    told = next(row for row in results(dialog.context, dialog.now).readings if row.observed is mended)
    assert told.repairs_before == 0
    assert asked


def test_a_proof_that_runs_goes_on() -> None:
    dialog = talk((*MEASURED, "yes", "next"))
    assert dialog.mode is Mode.PROOF
    asked, proof = dialog.prompt, dialog.now.proof
    dialog.hear("correction, coil temperature is 80")
    dialog.hear("yes")
    assert (dialog.prompt, dialog.now.proof) == (asked, proof)


def test_a_reading_that_names_another_one_is_not_taken_for_what_is_asked() -> None:
    """'Rest volts twelve four' where another voltage is asked: it was logged as that one, good."""
    start = scene("battery")
    dialog = Conversation(start.context, start.now)
    said = dialog.text(dialog.hear("rest volts twelve four"))
    assert said.startswith("Rest voltage of the batteries: 12.1 V. Change it to 12.4 V?")
    dialog = Conversation(start.context, start.now)
    said = dialog.text(dialog.hear("alternator volts fourteen two"))
    assert said == "Battery volts while cranking: 14.2 V. Is that right?"
    assert not dialog.decisions


def test_what_another_one_was_is_asked_about_and_a_number_beside_it_is_not() -> None:
    start = scene("battery")
    said = "no wait the charging volts was fourteen three"
    dialog = Conversation(start.context, start.now)
    assert "14.1 V. Change it to 14.3 V?" in dialog.text(dialog.hear(said))
    dialog = Conversation(start.context, start.now)
    dialog.hear("charging volts was fourteen one")
    assert dialog.mode is Mode.CHECK, "it stands as told"
    dialog = Conversation(start.context, start.now)
    dialog.hear("nine point eight, charging volts was fourteen")
    assert [f"{one.value}" for one in dialog.decisions if isinstance(one, Observed)] == ["9.8"]


def test_withdrawn_and_observed_are_written_together() -> None:
    dialog = talk((*TO_FINDING, "next", "yes", "0.05"))
    dialog.hear("correction, output point six")
    dialog.hear("yes")
    kinds = [type(one) for one in dialog.records[-1].decisions]
    assert kinds.index(ObservationWithdrawn) < kinds.index(Observed)


def test_what_should_be_and_was_never_logged_is_refused_where_no_reading_is_asked() -> None:
    start = scene("done")
    dialog = Conversation(start.context, start.now)
    assert "mend_none" in keys(dialog.hear("the left rear port volts should be four nine"))
    assert keys(talk(OHMS).hear("the ground drop should be point one"))[0] != "mend_none", "there it is no answer"
