"""What the whole of the words adds, and when a lead is too thin: each rule alone, on hypotheses written by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import (
    Ask,
    Choice,
    Clarification,
    Command,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Understanding,
)
from assistant.understanding.answer_prior import usual
from assistant.understanding.interpret import candidates_of, interpret, understand
from assistant.understanding.rescoring import NEVER, Judged, Policy, doubt, is_part, judge, policy_of

VOCABULARY = load_vocabulary()
POLICY = policy_of(VOCABULARY)
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
INCHES = Expectation(Expects.READING, unit="in", low=Decimal(0), high=Decimal(4))
QUESTION = Expectation(Expects.COMMAND)


def heard(*pairs: tuple[str, float], prompt: Expectation = OHMS, snr_db: float = 30.0) -> Understanding:
    return interpret([Hypothesis(words, score) for words, score in pairs], prompt, VOCABULARY, snr_db=snr_db)


def judged(*pairs: tuple[str, float], prompt: Expectation = OHMS, policy: Policy = POLICY) -> Judged:
    found = judge(
        candidates_of([Hypothesis(words, score) for words, score in pairs], prompt, VOCABULARY), prompt, policy
    )
    assert found is not None
    return found


def test_words_that_are_a_way_to_say_it_win_over_pairs_that_only_follow_each_other() -> None:
    found = heard(("two one three eighths inches", 0.0), ("two and three eighths inches", -1.4), prompt=INCHES)
    assert (found.value, found.confirm) == (Decimal("2.375"), True)


def test_a_lost_first_word_is_found_again() -> None:
    found = heard(("hundred fifty nine ohms", 0.0), ("eleven hundred fifty nine ohms", -1.3))
    assert (found.value, found.confirm) == (Decimal(1159), True)


def test_hypotheses_that_mean_the_same_are_added_up() -> None:
    alone = judged(("twelve hundred", 0.0), ("twelve fifty", -1.0))
    both = judged(("twelve hundred", 0.0), ("twelve hundred ohms", 0.0), ("twelve fifty", -1.0))
    assert both.lead > alone.lead


def test_an_answer_without_a_rival_leads_by_any_measure() -> None:
    assert judged(("twelve hundred ohms", 0.0)).lead == NEVER


@pytest.mark.parametrize(("snr_db", "confirm"), [(40.0, False), (15.0, True)])
def test_the_same_lead_is_enough_in_quiet_and_too_thin_in_noise(snr_db: float, confirm: bool) -> None:
    lead = (POLICY.near + POLICY.near_noisy) / 2
    found = heard(("twelve hundred ohms", 0.0), ("twelve fifty ohms", -lead), snr_db=snr_db)
    assert (found.value, found.confirm) == (Decimal(1200), confirm)


def test_a_rival_with_one_word_more_needs_a_wider_lead() -> None:
    """Figures said twice are heard once: 'nine one one' as 'nine one'."""
    shorter = judged(("one two zero ohms", 0.0), ("one two zero zero ohms", -6.0))
    assert shorter.lead_lost == shorter.lead
    lead = (POLICY.near + POLICY.lost) / 2
    assert doubt(replace(shorter, lead=lead, lead_lost=NEVER), True, 30.0, POLICY) == ""
    assert doubt(replace(shorter, lead=lead, lead_lost=lead), True, 30.0, POLICY) == "lost_word"


def test_in_noise_a_rival_that_would_be_judged_otherwise_needs_a_wider_lead() -> None:
    """1260 and 1250 are both good; 1560 is not: taking it for 1260 would pass a bad part."""
    lead = (POLICY.near_noisy + POLICY.differs_noisy) / 2
    alike, other = (
        replace(judged(("twelve sixty ohms", 0.0), (words, -6.0)), lead=lead)
        for words in ("twelve fifty ohms", "fifteen sixty ohms")
    )
    assert alike.lead_differs == NEVER
    assert other.lead_differs < NEVER
    other = replace(other, lead_differs=lead)
    assert [doubt(one, True, 12.0, POLICY) for one in (alike, other)] == ["", "rival"]
    assert doubt(other, True, 30.0, POLICY) == ""


def test_without_limits_nothing_is_judged_alike() -> None:
    free = replace(OHMS, low=None, high=None)
    assert judged(("twelve sixty ohms", 0.0), ("twelve fifty ohms", -6.0), prompt=free).lead_differs < NEVER


def test_below_the_noise_limit_every_reading_asks() -> None:
    clear = (("eleven hundred eighty ohms", 0.0),)
    assert not heard(*clear, snr_db=POLICY.noisy_db + 0.1).confirm
    found = heard(*clear, snr_db=POLICY.noisy_db - 0.1)
    assert (found.confirm, found.reason) == (True, "noise")


def test_one_word_at_a_prompt_for_a_reading_needs_a_clear_lead() -> None:
    assert heard(("stop", 0.0), ("[unk]", -1.0)).confirm
    assert not heard(("stop", 0.0), ("[unk]", -POLICY.lone - 1)).confirm
    assert not heard(("stop", 0.0), ("[unk]", -3.0), prompt=QUESTION).confirm


def test_commands_in_noise_are_asked_about_when_another_is_near() -> None:
    found = heard(("done", 0.0), ("hold on", -1.9), prompt=QUESTION, snr_db=7.5)
    assert found.confirm
    assert heard(("go back", 0.0), ("skip it", -1.0), prompt=QUESTION, snr_db=12.0).confirm


def test_a_bare_note_is_not_what_a_no_was_heard_as() -> None:
    found = heard(("note", 0.0), ("no", -1.2), prompt=QUESTION)
    assert (found.command, found.confirm) == (Command.NO, True)


def test_a_doubtful_yes_where_yes_is_a_choice_is_said_again() -> None:
    prompt = Expectation(Expects.CHOICE, choices=(Choice("drum brakes"), Choice("disc brakes")))
    found = heard(("yes", 0.0), ("yes quiet", -0.2), ("quiet", -0.3), prompt=prompt)
    assert found.outcome is Outcome.NOT_UNDERSTOOD
    assert found.ask == Clarification(Ask.WAS_IT_YES_OR_NO)


def test_a_beginning_is_not_taken_for_the_part_of_it_that_is_an_answer() -> None:
    assert heard(("one and", 0.0), ("one", -5.0), prompt=INCHES).outcome is Outcome.INCOMPLETE
    found = heard(("one and a half and", 0.0), ("one and a half inches", -0.9), prompt=INCHES)
    assert (found.value, found.confirm) == (Decimal("1.5"), True)


def test_limits_never_select_a_meaning() -> None:
    """The same sound gives the same value whatever the limits are."""
    pairs = (("twelve fifteen", 0.0), ("twelve fifty", -0.5), ("two fifty", -0.7))
    wide = replace(OHMS, low=None, high=None)
    narrow = replace(OHMS, low=Decimal(1249), high=Decimal(1251))
    assert heard(*pairs).value == heard(*pairs, prompt=wide).value == heard(*pairs, prompt=narrow).value


def test_no_answer_at_all_is_none() -> None:
    assert judge(candidates_of([Hypothesis("[unk]")], OHMS, VOCABULARY), OHMS, POLICY) is None


@pytest.mark.parametrize(
    ("words", "more", "part"),
    [
        ("nine one ohms", "nine one oh ohms", True),
        ("point three four", "eight point three four", True),
        ("nine one", "one nine", False),
        ("nine one", "nine one", False),
    ],
)
def test_words_with_some_left_out(words: str, more: str, part: bool) -> None:
    assert is_part(words, more) is part


def test_doubt_names_why() -> None:
    best = judged(("twelve hundred", 0.0), ("twelve fifty", -0.5))
    assert doubt(best, True, 30.0, POLICY) == "rival"


@pytest.mark.parametrize(
    ("words", "prompt", "sayable"),
    [
        ("eleven eighty ohms", OHMS, True),
        ("i got eleven eighty", OHMS, True),
        ("zero four seven zero", OHMS, True),
        ("two one three eighths inches", INCHES, False),
        ("two and three eighths inches", INCHES, True),
        ("jumping between nine hundred and eleven hundred", OHMS, True),
        ("jumping around", OHMS, True),
        ("it says o l", OHMS, True),
        ("say again", QUESTION, True),
        ("unit six eight zero three", Expectation(Expects.IDENTIFIER), True),
        ("unit five", Expectation(Expects.IDENTIFIER), False),
    ],
)
def test_what_is_a_way_to_say_it(words: str, prompt: Expectation, sayable: bool) -> None:
    assert (usual(words, understand(words, prompt, VOCABULARY), prompt, VOCABULARY) > 0) is sayable


def test_the_forms_named_first_are_the_usual_ones() -> None:
    shares = [
        usual(words, understand(words, QUESTION, VOCABULARY), QUESTION, VOCABULARY)
        for words in ("correction", "correct", "okay correct")
    ]
    assert shares == sorted(shares, reverse=True)
    assert len(set(shares)) == 3
    found = judged(("correct", 0.0), ("correction", -0.3), prompt=QUESTION)
    assert found.meant.command is Command.CORRECTION


def test_a_word_that_is_never_said_alone_before_a_reading_was_another_word() -> None:
    found = judged(("it eighty eight ohms", 0.0), ("eight eighty eight ohms", -0.7))
    assert found.meant.value == 888
    assert judged(("it says eighty eight ohms", 0.0), ("eight eighty eight ohms", -2.0)).meant.value == 88


def test_more_places_than_a_meter_shows_are_rarely_said() -> None:
    few = usual("point five eight", understand("point five eight", OHMS, VOCABULARY), OHMS, VOCABULARY)
    many = usual("point five eight one", understand("point five eight one", OHMS, VOCABULARY), OHMS, VOCABULARY)
    fine = replace(OHMS, resolution=Decimal("0.001"))
    assert many < few / 10
    assert (
        usual("point five eight one", understand("point five eight one", fine, VOCABULARY), fine, VOCABULARY) > many
    )
