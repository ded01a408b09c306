"""``grammars/displays.toml``: every name of a special display is that display at every prompt for a reading."""

from __future__ import annotations

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.numerals.vocabulary import Kind
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
FORMS = [
    (kind.value, form) for kind in (Kind.OVER_RANGE, Kind.NOTHING, Kind.UNSTEADY) for form in VOCABULARY.forms[kind]
]


@each_row([(outcome, form, unit) for outcome, form in FORMS for unit in ("ohm", "V", "mV", "in")])
def test_form(outcome: str, form: str, unit: str) -> None:
    prompt = Expectation(Expects.READING, unit=unit)
    for text in (form, f"it says {form}", form.upper()):
        found = understand(text, prompt, VOCABULARY)
        assert found.outcome == outcome, text
        assert found.value is None
        assert (found.low_end, found.high_end) == (None, None)


@each_row(VOCABULARY.forms[Kind.UNSTEADY])
def test_unsteady_keeps_both_ends(form: str) -> None:
    found = understand(
        f"{form} nine hundred and eleven hundred", Expectation(Expects.READING, unit="ohm"), VOCABULARY
    )
    assert (found.outcome, found.low_end, found.high_end) == ("unsteady", 900, 1100)


def test_over_range_wants_a_yes_where_it_would_condemn() -> None:
    """Good for insulation, bad for a coil (design, section 6)."""
    for means, confirm in (("good", False), ("bad", True)):
        prompt = Expectation(Expects.READING, unit="ohm", over_range=means)  # type: ignore[arg-type]
        assert understand("open", prompt, VOCABULARY).confirm is confirm
