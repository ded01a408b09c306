"""What the words so far are: nothing, a beginning, an answer that may go on, or a whole one."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.understanding.recognition.completeness import Sofar, so_far

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
VOLTS = Expectation(Expects.READING, unit="V", low=Decimal(10), high=Decimal(14))


@pytest.mark.parametrize(
    ("words", "prompt", "told"),
    [
        ("no", OHMS, Sofar.MAY_GO_ON),
        ("no", Expectation(Expects.COMMAND), Sofar.WHOLE),
        ("yes", OHMS, Sofar.WHOLE),
        ("next", Expectation(Expects.COMMAND), Sofar.WHOLE),
        ("hold", OHMS, Sofar.WHOLE),
        ("what", OHMS, Sofar.MAY_GO_ON),
    ],
)
def test_a_longer_way_to_say_the_same_is_not_waited_for(words: str, prompt: Expectation, told: Sofar) -> None:
    """Behind 'no' a reading may follow where one is asked for; 'what' may become 'what is left'."""
    assert so_far(words, prompt, VOCABULARY) is told
