"""Forms that are looked for in a sentence: what each mark of them means, and what is no form."""

from __future__ import annotations

import pytest

from assistant.numerals.sentence_forms import FormError, sentence_pattern
from tests.rows import each_row

SLOTS = {"tool": ("wrench", "pry bar", "<blade>"), "blade": ("knife",), "self": ("<self> again",)}
FITS = """
red lamp             | the red lamp is on    | the lamp is red; a redlamp; red lamps
leak*                | it leaks; a leak      | bleak
bulg+                | bulging               | bulg
*stand*              | do you understand     | stan
one + jack           | one old jack          | one jack; one very old jack
<tool> fell          | the pry bar fell      | the pliers fell
[on me|under it]     | it fell on me         | it fell on it
kick (it) out        | kick out; kick it out | kick them out
(so) stop            | stop; so stop         | so what
{so|wait} stop       | so, wait so stop      | so
^ {so}+ stop         | so, so stop           | stop; i say so stop
any {a|some} way     | any some a way        | any such way
jack ... slipped     | jack nearly slipped   | jack is up. it slipped
is .. safe           | is it safe            | is it safer
i got to ...?        | i got to lift it?     | i got to lift it
what ![if|happens*]  | what now              | what if; what happens
^ over $             | over; over.           | over there; it is over
^ now ?$             | now?; now             | now!
^ fuel ('s|'re) cut  | fuel's cut; fuel cut  | fuel 's cut
"""


def rows() -> list[tuple[str, str, bool]]:
    """Form, text, and whether it is found there."""
    made = []
    for line in FITS.strip().splitlines():
        form, fits, fails = line.rsplit(" | ", 2)
        made += [(form.strip(), text.strip(), True) for text in fits.split(";")]
        made += [(form.strip(), text.strip(), False) for text in fails.split(";")]
    return made


@each_row(rows())
def test_what_a_form_fits(form: str, text: str, found: bool) -> None:
    assert (sentence_pattern([form], SLOTS).search(text) is not None) is found


def test_nothing_between_is_longer_than_sixty_characters() -> None:
    pattern = sentence_pattern(["is .. safe"], {})
    assert pattern.search(f"is {'a' * 58} safe")
    assert not pattern.search(f"is {'a' * 59} safe")


@each_row([
    ("[on me", "'[on me' has a '[' that is not closed."),
    ("(on {me)", "'(on {me)' has a '{' that is not closed."),
    ("on me]", "'on me]' has a ']' too many."),
    ("on !", "'on !' ends too early."),
    ("on !(me)", "'on !(me)' has a '(' where a word should stand."),
    ("the <thing>", "There is no slot <thing> for 'the <thing>'."),
    ("the <self>", "There is no slot <self> for '<self> again'."),
])  # fmt: skip
def test_what_is_no_form_is_told(form: str, told: str) -> None:
    with pytest.raises(FormError) as caught:
        sentence_pattern([form], SLOTS)
    assert str(caught.value) == told
