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
from assistant.understanding.interpret import candidates_of, interpret
from assistant.understanding.recognition.answer_prior import usual
from assistant.understanding.recognition.rescoring import (
    Chances,
    Judged,
    Policy,
    chances,
    is_part,
    judge,
    loss,
    policy_of,
    worth_a_yes,
)
from assistant.understanding.utterance import understand

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
    assert found.value == Decimal("2.375")


def test_a_lost_first_word_is_found_again() -> None:
    found = heard(("hundred fifty nine ohms", 0.0), ("eleven hundred fifty nine ohms", -1.3))
    assert (found.value, found.confirm) == (Decimal(1159), True)


def test_hypotheses_that_mean_the_same_are_added_up() -> None:
    alone = judged(("twelve hundred", 0.0), ("twelve fifty", -1.0))
    both = judged(("twelve hundred", 0.0), ("twelve hundred ohms", 0.0), ("twelve fifty", -1.0))
    assert both.rivals[0].lead > alone.rivals[0].lead


def test_an_answer_without_a_rival_may_only_have_been_unheard() -> None:
    clear = judged(("twelve hundred ohms", 0.0))
    assert clear.rivals == ()
    for snr_db, chance in (
        (30.0, POLICY.alone.unheard),
        (15.0, POLICY.alone.unheard_noisy),
        (4.0, POLICY.alone.unheard_loud),
    ):
        found = chances(clear, True, snr_db, POLICY)
        assert found.wrong == found.otherwise == pytest.approx(chance, rel=0.05)


def test_a_thinner_lead_and_more_noise_make_a_mistake_likelier() -> None:
    def wrong(lead: float, snr_db: float) -> float:
        found = judged(("twelve hundred ohms", 0.0), ("twelve fifty ohms", -lead))
        return chances(found, True, snr_db, POLICY).wrong

    assert wrong(8.0, 40.0) < wrong(4.0, 40.0) < wrong(1.0, 40.0) < 0.5
    assert wrong(4.0, 40.0) <= wrong(4.0, 15.0) < wrong(4.0, 5.0)


def test_a_rival_with_one_word_more_is_nearer_than_it_seems() -> None:
    """Figures said twice are heard once: 'nine one one' as 'nine one'."""
    shorter = judged(("one two zero ohms", 0.0), ("one two zero zero ohms", -6.0))
    (rival,) = shorter.rivals
    assert rival.more
    other = replace(shorter, rivals=(replace(rival, more=False),))
    assert chances(shorter, True, 30.0, POLICY).wrong > chances(other, True, 30.0, POLICY).wrong


def test_what_is_judged_otherwise_counts_apart() -> None:
    """1260 and 1250 are both good; 1560 is not: taking it for 1260 would pass a bad part."""
    alike, other = (
        chances(judged(("twelve sixty ohms", 0.0), (words, -2.0)), True, 30.0, POLICY)
        for words in ("twelve fifty ohms", "fifteen sixty ohms")
    )
    assert alike.wrong == pytest.approx(other.wrong, rel=0.1)
    assert alike.otherwise < other.otherwise / 10


def test_a_yes_is_asked_for_by_what_a_mistake_costs() -> None:
    policy = replace(POLICY, asking=5.0, untrue=100.0, misled=1000.0)
    assert loss(Chances(0.03, 0.01), 1000.0, policy) == pytest.approx(12.0)
    for wrong, otherwise, asked in (
        (0.004, 0.004, False),
        (0.006, 0.006, True),
        (0.04, 0.0, False),
        (0.06, 0.0, True),
    ):
        assert worth_a_yes(Chances(wrong, otherwise), policy) is asked


def test_a_clear_reading_that_is_out_of_the_limits_is_not_asked_about() -> None:
    found = heard(("sixteen hundred ohms", 0.0), snr_db=40.0)
    assert (found.value, found.confirm, found.ask) == (1600, False, None)
    assert heard(("sixteen hundred ohms", 0.0), ("fifteen hundred ohms", -1.0), snr_db=40.0).confirm
    typed = interpret([Hypothesis("1600")], OHMS, VOCABULARY)
    assert (typed.value, typed.confirm, typed.chance) == (1600, False, POLICY.slip)


def test_without_limits_nothing_is_judged_alike() -> None:
    free = replace(OHMS, low=None, high=None)
    (rival,) = judged(("twelve sixty ohms", 0.0), ("twelve fifty ohms", -6.0), prompt=free).rivals
    assert not rival.alike


def test_one_word_at_a_prompt_for_a_reading_needs_a_clear_lead() -> None:
    assert heard(("stop", 0.0), ("[unclear]", -1.0)).confirm
    assert not heard(("stop", 0.0), ("[unclear]", -30.0)).confirm
    assert not heard(("stop", 0.0), ("[unclear]", -3.0), prompt=QUESTION).confirm


def test_commands_in_noise_are_asked_about_when_another_is_near() -> None:
    found = heard(("done", 0.0), ("hold on", -1.9), prompt=QUESTION, snr_db=7.5)
    assert found.confirm
    assert heard(("go back", 0.0), ("skip it", -1.0), prompt=QUESTION, snr_db=12.0).confirm


def test_a_bare_note_is_not_what_a_no_was_heard_as() -> None:
    found = heard(("note", 0.0), ("no", -1.2), prompt=QUESTION)
    assert found.command is Command.NO


def test_a_doubtful_yes_where_yes_is_a_choice_is_said_again() -> None:
    prompt = Expectation(Expects.CHOICE, choices=(Choice("drum brakes"), Choice("disc brakes")))
    found = heard(("yes", 0.0), ("yes quiet", -0.2), ("quiet", -0.3), prompt=prompt)
    assert found.outcome is Outcome.NOT_UNDERSTOOD
    assert found.ask == Clarification(Ask.WAS_IT_YES_OR_NO)


def test_a_beginning_is_not_taken_for_the_part_of_it_that_is_an_answer() -> None:
    assert heard(("one and", 0.0), ("one", -5.0), prompt=INCHES).outcome is Outcome.INCOMPLETE
    found = heard(("one and a half and", 0.0), ("one and a half inches", -0.9), prompt=INCHES)
    assert found.value == Decimal("1.5")


def test_limits_never_select_a_meaning() -> None:
    """The same sound gives the same value whatever the limits are."""
    pairs = (("twelve fifteen", 0.0), ("twelve fifty", -0.5), ("two fifty", -0.7))
    wide = replace(OHMS, low=None, high=None)
    narrow = replace(OHMS, low=Decimal(1249), high=Decimal(1251))
    assert heard(*pairs).value == heard(*pairs, prompt=wide).value == heard(*pairs, prompt=narrow).value


def test_no_answer_at_all_is_none() -> None:
    assert judge(candidates_of([Hypothesis("[unclear]")], OHMS, VOCABULARY), OHMS, POLICY) is None


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


def test_words_that_the_recognizer_did_not_have_are_less_sure() -> None:
    for own in (False, True):
        pair = [
            Hypothesis("twelve hundred ohms", 0.0, -9.0, -1.0, own=own),
            Hypothesis("[unclear]", -9.0, 0.0, -20.0),
        ]
        found = judge(candidates_of(pair, OHMS, VOCABULARY), OHMS, POLICY)
        assert found is not None
        assert found.first is not own


@pytest.mark.parametrize(
    ("pairs", "reason"),
    [
        ((("twelve hundred", 0.0), ("twelve fifty", -0.5)), "rival"),
        ((("eleven fifty", 0.0), ("eleven fifty five", -3.0)), "lost_word"),
        ((("stop", 0.0), ("[unclear]", -0.5)), "lone"),
    ],
)
def test_a_doubt_names_why(pairs: tuple[tuple[str, float], ...], reason: str) -> None:
    assert heard(*pairs, snr_db=4.0).reason == reason


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


def test_a_number_of_one_word_is_asked_about_however_clear_its_sound() -> None:
    """Of 35 real people's words of no vocabulary 'tree', twice, and 'forward' were heard as a clear lone digit."""
    for clear in (("three", 0.0), ("four", 0.0)):
        found = heard(clear)
        assert found.confirm, found
    volts = Expectation(Expects.READING, unit="v", low=Decimal("4.5"), high=Decimal("5.5"))
    found = heard(("five", 0.0), prompt=volts)
    assert found.confirm, found
    assert found.reason == "lone", found
    assert not heard(("three ohms", 0.0)).confirm, "its unit is no word of another's talk"
    assert not heard(("twelve hundred", 0.0)).confirm
    assert not heard(("infinite", 0.0)).confirm, "a name of 'over range' is no number"


def test_at_a_reading_in_noise_the_second_opinion_weighs_more_and_its_lead_tells_less() -> None:
    policy = replace(Policy(), second=0.6, second_number=1.0)
    assert policy.second_at(Expects.READING, 5.0) == 1.0
    assert policy.second_at(Expects.READING, 40.0) == policy.second_at(Expects.READING, None) == 0.6
    assert policy.second_at(Expects.CHOICE, 5.0) == policy.second_at(Expects.COMMAND, 5.0) == 0.6
    assert policy.numbers.trust_noisy < policy.both.trust_noisy
