"""``grammars/units.toml``: every spoken and written form of every unit is read as that unit."""

from __future__ import annotations

from decimal import Decimal

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.numerals.units import names_of
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
SPOKEN = [(unit.name, form) for unit in VOCABULARY.units.values() for form in names_of(unit)]
TYPED = [(unit.name, form) for unit in VOCABULARY.units.values() for form in unit.typed]


@each_row(SPOKEN)
def test_spoken(unit: str, form: str) -> None:
    form = form.replace("-", " ")
    assert understand(f"seven {form}", Expectation(Expects.READING, unit=unit), VOCABULARY).value == 7


@each_row(TYPED)
def test_typed(unit: str, form: str) -> None:
    for text in (f"7{form}", f"7 {form}") if not form[0].isdigit() else (f"7 {form}",):
        assert understand(text, Expectation(Expects.READING, unit=unit), VOCABULARY).value == 7


@each_row(SPOKEN)
def test_another_kind_of_unit_is_refused(unit: str, form: str) -> None:
    if form in VOCABULARY.numbers:
        return  # 'seven thousandths' is a fraction of anything
    other = "V" if VOCABULARY.units[unit].dimension != "voltage" else "ohm"
    found = understand(f"seven {form.replace('-', ' ')}", Expectation(Expects.READING, unit=other), VOCABULARY)
    assert found.value is None, "never unit arithmetic by guess"


def test_no_written_form_has_two_units() -> None:
    """An ambiguous alias is dropped, never guessed; capitals tell M from m."""
    seen: dict[str, str] = {}
    for unit, form in TYPED:
        assert seen.setdefault(form, unit) == unit, form


def test_neighbour_units_convert_exactly() -> None:
    prompt = Expectation(Expects.READING, unit="V")
    assert understand("five hundred milli volts", prompt, VOCABULARY).value == Decimal("0.5")
