"""What people write for what was said: written down before the table of number words was read again."""

from __future__ import annotations

import pytest

from assistant.asr.network.spellings import plain_words, spellings


@pytest.mark.parametrize(
    ("words", "among"),
    [
        ("eleven eighty ohms", ["Eleven eighty ohms", "1180 ohms", "11 80 ohms"]),
        ("one thousand one hundred seventy two ohms", ["1172 ohms", "1,172 ohms"]),
        ("one thousand one hundred and seventy two", ["1172", "1,172"]),
        ("thirteen hundred", ["1300", "1,300"]),
        ("nine point five nine volts", ["9.59 volts"]),
        ("point forty eight", ["0.48"]),
        ("twelve six volts", ["12.6 volts", "Twelve six volts"]),
        ("eight eight five ohms", ["885 ohms", "8-8-5 ohms", "Eight, eight, five ohms"]),
        ("unit two six eight seven", ["Unit 2687", "Unit 2-6-8-7"]),
        ("o l", ["O L", "OL"]),
        ("lamp is on", ["Lamp is on"]),
        ("nine oh oh", ["900", "Nine oh oh"]),
    ],
)
def test_a_phrase_is_spelled_as_people_write_it(words: str, among: list[str]) -> None:
    found = spellings(words)
    assert set(among) <= set(found)
    assert len(found) == len(set(found)) <= 7


def test_twelve_six_is_no_hundred_and_twenty_six() -> None:
    assert not any("126" in one for one in spellings("twelve six volts"))


def test_a_value_is_never_spelled_as_another() -> None:
    for words, other in (("thirteen fifteen", "1350"), ("nine hundred", "90"), ("one hundred one", "1001")):
        assert other not in {one.split()[0] for one in spellings(words)}


def test_marks_for_pauses_and_unknown_words_are_no_words() -> None:
    assert plain_words("seven [unclear] ohms") == "seven ohms"
    assert spellings("[unclear]") == []
