"""Vehicle identification numbers: the check digit of 49 CFR 565.15 (from memory), on numbers worked out by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.numerals.vin import check_digit_fits, well_formed

ONES = "1" * 17
"""The weights are 8 7 6 5 4 3 2 10 0 9 8 7 6 5 4 3 2, together 89; 89 is 8 times 11 and 1, the ninth digit."""
MARKS = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
VALUES = "012345678912345678123457923456789"
"""A to H count 1 to 8, J to N 1 to 5, P 7, R 9, S to Z 2 to 9."""


@pytest.mark.parametrize(
    ("vin", "fits"),
    [
        (ONES, True),
        ("1" * 8 + "2" + "1" * 8, False),
        ("91111111X11111111", True),  # 8 times 8 more: 153 is 13 times 11 and 10, which X stands for
        ("91111111011111111", False),
        ("01111111411111111", True),  # 8 less: 81 is 7 times 11 and 4
        ("00000000000000000", True),
        ("11111111111111119", False),
        ("1" * 16, False),
        ("1" * 18, False),
        ("I1111111111111111", False),
        ("1111111111111111O", False),
        ("11111111Q11111111", False),
    ],
)
def test_the_ninth_character_is_the_remainder_by_eleven(vin: str, fits: bool) -> None:
    assert check_digit_fits(vin) is fits


@pytest.mark.parametrize(("mark", "value"), list(zip(MARKS, VALUES, strict=True)))
def test_a_letter_counts_as_much_as_its_digit(mark: str, value: str) -> None:
    for at in (0, 6, 16):
        digits, lettered = (f"{ONES[:at]}{one}{ONES[at + 1 :]}" for one in (value, mark))
        ninth = next(one for one in "0123456789X" if check_digit_fits(digits[:8] + one + digits[9:]))
        assert check_digit_fits(lettered[:8] + ninth + lettered[9:])


@given(st.text("0123456789", min_size=17, max_size=17), st.integers(0, 16), st.sampled_from("0123456789"))
def test_one_wrong_digit_is_always_found(digits: str, at: int, other: str) -> None:
    """Eleven is a prime, and no weight and no difference of two digits is a multiple of it."""
    ninth = next((one for one in "0123456789X" if check_digit_fits(digits[:8] + one + digits[9:])), "")
    vin = digits[:8] + ninth + digits[9:]
    assert ninth
    if other != vin[at]:
        assert not check_digit_fits(vin[:at] + other + vin[at + 1 :])


@pytest.mark.parametrize(("vin", "well"), [(ONES, True), ("1" * 16, False), ("1" * 16 + "i", False), ("", False)])
def test_seventeen_characters_without_those_that_look_like_digits(vin: str, well: bool) -> None:
    assert well_formed(vin) is well
