"""What is said: shown with figures, spoken in words, the sign never first."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path
from string import Formatter

import pytest

from assistant.errors import DefectError
from assistant.messages import Ask, Clarification, Say, Slot, Talk
from assistant.phrasing.clarifying import clarified
from assistant.phrasing.lengths import FIRST_TIME, KNOWN, LESS, SHORT, template
from assistant.phrasing.phrase import phrase, prose
from assistant.phrasing.sentences import PHRASES
from tests.rows import each_row
from tests.session.conversation import vocabulary

ROOT = Path(__file__).parents[2] / "assistant"
LONGEST_WORDS = 24
"""Words of our own in one phrase: about eight seconds at an everyday pace, from memory; it must be easy to stop."""

MADE = re.compile(r"(at|now|offer)_\w+|(red|black)_goes|missed(_number)?_typed")
"""Keys that the engine puts together from a part and a name."""


def said_in(talk: Talk) -> dict[str, str]:
    """Key to phrase at a length."""
    return {key: template(Say(key, talk=talk)) or "" for key in PHRASES}


LENGTHS = [(talk, key) for talk in Talk for key in PHRASES]


def filled(key: str, talk: Talk = Talk.USUAL) -> Say:
    """A ``Say`` with every slot of its phrase filled."""
    slots: dict[str, object] = {"unit": "ohm", "dial": "", "hole": "", "red": "", "black": ""}
    for _, name, spec, _ in Formatter().parse(said_in(talk)[key]):
        if name:
            slots[name] = (
                Decimal("-0.6")
                if spec in ("unit", "bare", "limit", "limit_unit")
                else 42
                if spec == "whole"
                else "Some text."
            )
    return Say(key, slots, talk)  # type: ignore[arg-type]


@each_row(LENGTHS)
def test_every_phrase_can_be_said(talk: Talk, key: str) -> None:
    sentence = phrase(filled(key, talk), vocabulary())
    if not said_in(talk)[key]:
        assert not sentence.shown
        return
    assert sentence.shown
    assert not re.search(r"\d", sentence.spoken), "no figure is left to the speech engine"
    assert "{" not in sentence.shown
    assert ".." not in sentence.shown
    assert not sentence.spoken.lower().startswith("minus")


@each_row(LENGTHS)
def test_every_phrase_is_short_enough_to_stop(talk: Talk, key: str) -> None:
    own = "".join(literal for literal, *_ in Formatter().parse(said_in(talk)[key]))
    assert len(own.split()) <= LONGEST_WORDS


@each_row(LENGTHS)
def test_no_phrase_begins_with_a_number(talk: Talk, key: str) -> None:
    assert not re.match(r"\{\w+:(unit|bare|whole|limit|limit_unit)\}", said_in(talk)[key])


def test_each_length_says_no_more_than_the_longer_one() -> None:
    """Counted in words of our own; what is said to nobody at any length would be no phrase at all.

    A field counts as one word, but for the parts of an instruction: what is asked again is named only where that and
    the question are shorter than the whole (``session/conditions``).
    """
    whole = "Left rear: move the sensor in its clip, with two fingers. Does the clip hold?"
    instruction = {"text": whole, "what": "clip, left rear", "place": "left rear", "ask": "Does the clip hold?"}

    def words(key: str, talk: Talk) -> int:
        again = {"once_more", "ask_same"} & {key}
        filled = instruction if again else {}
        parts = Formatter().parse(said_in(talk)[key])
        return len("".join(f"{literal} {filled.get(name or '', name or '')} " for literal, name, *_ in parts).split())

    for key in PHRASES:
        assert words(key, Talk.SHORT) <= words(key, Talk.USUAL) <= words(key, Talk.FIRST), key
        assert words(key, Talk.FIRST), key
    assert set(FIRST_TIME) | set(SHORT) <= set(PHRASES)


@pytest.mark.parametrize("key", ["caution", "caution_told", "same_cautions", "same_cautions_at", "ask", "conditions"])
def test_a_danger_and_a_condition_are_said_at_every_length(key: str) -> None:
    assert {said_in(talk)[key] for talk in Talk} == {PHRASES[key]}


@each_row(sorted(LESS))
def test_of_what_is_known_less_is_said_but_to_somebody_new_and_no_danger_or_reading_falls_away(key: str) -> None:
    short, whole = LESS[key], PHRASES[key]
    assert len(short.split()) < len(whole.split())
    assert template(Say(key, {KNOWN: 1})) == short
    assert template(Say(key, {KNOWN: 1}, talk=Talk.FIRST)) == said_in(Talk.FIRST)[key]
    assert template(Say(key, {})) == whole
    slots = {name for _, name, *_ in Formatter().parse(short) if name}
    if "caution" in key:
        assert "{text}" in short
    if "reading" in key:
        assert "value" in slots
        assert "word" in slots


@each_row([key for key in PHRASES if "{value:" in PHRASES[key] or key.startswith("over_range")])
def test_a_reading_is_read_back_at_every_length(key: str) -> None:
    for talk in Talk:
        wanted = "Over range" if key.startswith("over_range") else "-0.6"
        assert wanted.lower() in phrase(filled(key, talk), vocabulary()).shown.lower(), talk


def test_every_key_that_the_engine_says_is_a_phrase_and_none_is_left_over() -> None:
    """Keys are plain strings in the engine and in what is asked before a session, so they can be compared."""
    files = [
        *(ROOT / "session").rglob("*.py"),
        ROOT / "phrasing" / "speech_chunks.py",
        ROOT / "phrasing" / "wording.py",
        ROOT / "commands" / "lead" / "left_open.py",
    ]
    source = "\n".join(path.read_text(encoding="utf-8") for path in files)
    words = set(re.findall(r'"([a-z_]+)"', source))
    said = set(re.findall(r'Say\(\s*"([a-z_]+)"', source))
    words |= {ask.value for ask in Ask}
    assert said | {ask.value for ask in Ask} <= set(PHRASES)
    unused = {key for key in PHRASES if key not in words and not MADE.fullmatch(key)}
    assert not unused


@pytest.mark.parametrize(
    ("value", "unit", "shown", "spoken"),
    [
        ("1180", "ohm", "I have 1,180 ohms.", "I have one one eight zero ohms."),
        ("12.05", "V", "I have 12.05 V.", "I have one two point zero five volts."),
        ("-0.6", "V", "I have -0.6 V.", "I have minus zero point six volts."),
        ("0", "V", "I have 0 V.", "I have zero volts."),
        ("1", "V", "I have 1 V.", "I have one volt."),
    ],
)
def test_readings_are_spelled_digit_by_digit(value: str, unit: str, shown: str, spoken: str) -> None:
    """Digit by digit after ICAO Annex 10 Volume II 5.2.1.4.1.1 (FACTS 6.1, secondary page)."""
    sentence = phrase(Say("read_back", {"value": Decimal(value), "unit": unit}), vocabulary())
    assert (sentence.shown, sentence.spoken) == (shown, spoken)


def test_limits_and_identifiers() -> None:
    slots: dict[str, Slot] = {"word": "Good", "low": Decimal(700), "high": Decimal(3000), "unit": "ohm"}
    sentence = phrase(Say("verdict_limits", slots), vocabulary())
    assert sentence.shown == "Good, 700 to 3,000 ohms."
    assert sentence.spoken == "Good, seven hundred to three thousand ohms."
    sentence = phrase(Say("reading_limits", {**slots, "high": None, "value": Decimal(1180)}), vocabulary())
    assert sentence.shown == "Good, 1,180 ohms; at least 700."
    assert sentence.spoken == "Good, one one eight zero ohms; at least seven hundred."
    number = phrase(Say("identifier", {"text": "0419"}), vocabulary())
    assert number == type(number)("Unit 0419.", "Unit zero four one nine.")


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("Probe pin 7 of the 7-way.", "Probe pin seven of the seven-way."),
        ("About 12.5 V at 10 A.", "About one two point five volts at ten amps."),
        ("Between 700 and 3,000 ohms.", "Between seven hundred and three thousand ohms."),
        ("The J560 plug.", "The J560 plug."),
        ("Roll above 5 mph.", "Roll above five miles per hour."),
        ("unit 0419", "unit zero four one nine"),
        ("Half a turn, 1/2.", "Half a turn, 1/2."),
        ("Good at 1180.", "Good at one one eight zero."),
        ("1500 ohms", "one thousand five hundred ohms"),
        ("Left open March 2, 2:23 p.m.", "Left open March two, two twenty three p.m."),
        ("12:05 a.m. to 7:00 p.m.", "twelve oh five a.m. to seven p.m."),
    ],
)
def test_figures_in_sentences_are_said_in_words(text: str, spoken: str) -> None:
    """Round figures by hundreds and thousands (FACTS 6.2 and 6.3), the rest digit by digit."""
    assert prose(text, vocabulary()) == spoken


def test_a_sentence_never_begins_with_the_sign() -> None:
    """The first word after silence is easily lost (cases A089 and A101)."""
    sentence = phrase(Say("remark", {"text": "-0.6 V was read."}), vocabulary())
    assert sentence.spoken == "Reading minus zero point six volts was read."


def test_meter_leads_are_one_sentence() -> None:
    slots = {"dial": "ohms", "hole": "", "red": "pin 7", "black": ""}
    sentence = phrase(Say("leads", slots), vocabulary())
    assert sentence.shown == "Ohms; red on pin 7."
    assert sentence.spoken == "Ohms; red on pin seven."


def test_lists_are_said_one_after_the_other() -> None:
    sentence = phrase(Say("put_back_reminder", {"items": ("plug clipped in.", "chocks away")}), vocabulary())
    assert sentence.shown == "Back together before it rolls: plug clipped in; chocks away."


def test_an_unknown_phrase_or_a_missing_slot_is_our_bug() -> None:
    with pytest.raises(DefectError, match="no phrase 'nonsense'"):
        phrase(Say("nonsense"), vocabulary())
    with pytest.raises(DefectError, match="lacks its slot 'text'"):
        phrase(Say("ask"), vocabulary())


@pytest.mark.parametrize(
    ("asked", "shown", "spoken"),
    [
        (
            Clarification(Ask.WHICH_VALUE, (Decimal("10.5"), Decimal(105)), "ohm"),
            "Did you mean 10.5, or 105 ohms?",
            "Did you mean one zero point five, or one zero five ohms?",
        ),
        (Clarification(Ask.WHICH_NAME, names=("skip",)), "Did you mean skip?", "Did you mean skip?"),
        (
            Clarification(Ask.JUST_READING, unit="ohm"),
            "Just the reading, please, in ohms.",
            "Just the reading, please, in ohms.",
        ),
        (
            Clarification(Ask.WRONG_UNIT, unit="ohm", said_unit="V"),
            "You said volts. This reading is in ohms. Say it again.",
            "You said volts. This reading is in ohms. Say it again.",
        ),
        (
            Clarification(Ask.ONE_OF, names=("in", "out")),
            "Please say one of: in, out.",
            "Please say one of: in, out.",
        ),
        (
            Clarification(Ask.IMPOSSIBLE_RANGE, (Decimal(2000), Decimal(900)), "ohm"),
            "Above 2,000 and below 900 cannot both be. What does it show?",
            "Above two zero zero zero and below nine zero zero cannot both be. What does it show?",
        ),
    ],
)
def test_a_clarification_is_shown_with_figures_and_spoken_in_words(
    asked: Clarification, shown: str, spoken: str
) -> None:
    found = phrase(clarified(asked), vocabulary())
    assert (found.shown, found.spoken) == (shown, spoken)


@pytest.mark.parametrize("ask", list(Ask))
def test_every_clarification_has_its_sentence(ask: Ask) -> None:
    values = (Decimal(2), Decimal(1))
    assert phrase(clarified(Clarification(ask, values, "ohm", "V", ("one", "two"))), vocabulary()).spoken


def test_inches_are_shown_and_said_as_the_rule_writes_them() -> None:
    """1 3/4 inches, not 1.75; the limit behind a reading goes without its unit."""
    slots: dict[str, Slot] = {
        "word": "Too high",
        "value": Decimal("2.125"),
        "low": None,
        "high": Decimal("1.75"),
        "unit": "in",
    }
    told = phrase(Say("reading_limits", slots), vocabulary())
    assert told.shown == "Too high, 2 1/8 in; at most 1 3/4."
    assert told.spoken.endswith("at most one and three quarters.")


def test_probes_on_the_two_pins_of_one_plug_are_said_in_one() -> None:
    """Either way round reads the same there; somebody new is told each, and so is who holds one to a ground."""
    slots: dict[str, Slot] = {"dial": "", "hole": "", "red": "one pin of the sensor plug", "black": "the other pin"}
    assert phrase(Say("leads", slots), vocabulary()).shown == "Probes on both pins of the sensor plug."
    first = phrase(Say("leads", slots, Talk.FIRST), vocabulary()).shown
    assert first == "Red probe on one pin of the sensor plug; black probe on the other pin."
    grounded = phrase(Say("leads", {**slots, "black": "a clean ground"}), vocabulary()).shown
    assert grounded == "Red on one pin of the sensor plug; black on a clean ground."
