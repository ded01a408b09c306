"""``grammars/roles.toml``: every form plays its role beside a reading, and none of them changes a value."""

from __future__ import annotations

from decimal import Decimal

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Outcome, Understanding
from assistant.messages.prompts import Prompt
from assistant.numerals.tokenizer import scan
from assistant.numerals.units import Unit
from assistant.understanding.clauses.parts import parts_of, rank
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm")
FORMS: dict[str, list[str]] = {}
for _rows in VOCABULARY.roles.values():
    for _words, _roles in _rows:
        for _role in _roles:
            FORMS.setdefault(_role, []).append(" ".join(_words))
UNITS = {"resistance": "ohm", "voltage": "V", "current": "A", "pressure": "psi", "any": "V"}


def said(text: str, unit: str = "ohm") -> Understanding:
    return understand(text, Expectation(Expects.READING, unit=unit), VOCABULARY)


def silent(found: Understanding) -> bool:
    """Whether something counts without a yes."""
    return not found.confirm and found.outcome not in (
        Outcome.NOT_UNDERSTOOD, Outcome.CHOOSE, Outcome.INCOMPLETE, Outcome.COMMAND,
    )  # fmt: skip


def forms(*roles: str) -> list[str]:
    return [form for role in roles for form in FORMS[role]]


def test_every_role_has_a_place_in_the_order() -> None:
    assert {role for role in FORMS if rank(role) < 0} <= {"past"}, "'past' only marks forms of 'earlier'"
    assert set(FORMS["past"]) <= set(FORMS["earlier"])


@each_row(sorted(set(FORMS) - {"past"}))
def test_a_form_is_found_with_its_role(role: str) -> None:
    for form in FORMS[role]:
        found = parts_of(form, scan(form, VOCABULARY), VOCABULARY)
        assert any(role in part.roles or part.kind for part in found), form


@each_row(forms("lead", "filler", "tail", "circumstance", "exact", "asking_tail"))
def test_words_around_a_reading_change_no_value(form: str) -> None:
    """In front of the reading or behind it, it is the same reading or it is asked about."""
    values = {
        found.value
        for found in (said(f"{form} eleven eighty ohms"), said(f"eleven eighty ohms {form}"))
        if found.value is not None or silent(found)
    }
    if form not in {"one", "oh", *FORMS["numbered"]}:  # numbers of their own
        assert values <= {Decimal(1180)}


def test_nearly_all_words_around_a_reading_leave_it_understood() -> None:
    """Some are commands too ('got it', 'again') or begin a question ('where'): with those it is asked again."""
    around = forms("lead", "filler", "tail", "circumstance", "exact", "asking_tail")
    asked = [form for form in around if {said(f"{form} 1180 ohms").value, said(f"1180 ohms {form}").value} == {None}]
    assert len(asked) < len(around) / 50, asked


@each_row(forms("hedge"))
def test_a_hedge_makes_the_figure_a_rounded_one(form: str) -> None:
    found = [said(f"{form} twelve hundred"), said(f"twelve hundred {form}")]
    assert any((one.value, one.approximate) == (1200, True) for one in found)


@each_row(forms("rated"))
def test_what_a_part_is_made_for_is_no_reading(form: str) -> None:
    unit = {"volt": "V", "amp": "A", "inch": "in", "pound": "psi", "millivolt": "mV"}.get(form.split()[0], "ohm")
    assert not silent(said(f"a twelve {form}", unit))


@each_row(forms("expectation"))
def test_what_should_be_never_replaces_what_is(form: str) -> None:
    found = said(f"nine hundred ohms, {form} twelve hundred ohms")
    assert found.value == 900 or not silent(found)
    assert not silent(said(f"{form} twelve hundred ohms"))
    assert not silent(said(f"{form} open"))


@each_row(forms("question", "negation", "unreal", "talk", "elsewhere", "other_place"))
def test_what_is_no_answer_is_never_logged(form: str) -> None:
    assert not silent(said(f"{form} twelve hundred ohms"))
    if form not in ("socket", "bolt", "nut"):
        assert not silent(said(f"{form} open"))


@each_row(forms("earlier"))
def test_what_was_is_not_what_is(form: str) -> None:
    assert not silent(said(f"{form} twelve hundred ohms"))
    found = said(f"{form} twelve hundred ohms, now it's nine hundred ohms")
    assert found.value == 900 or not silent(found)


@each_row(forms("now"))
def test_what_is_now_goes_before_what_was(form: str) -> None:
    found = said(f"twelve hundred {form} nine hundred")
    assert found.value == 900 or not silent(found)


@each_row(forms("place"))
def test_another_place_is_asked_about(form: str) -> None:
    assert not silent(said(f"the {form} is twelve hundred ohms"))


def test_the_place_of_the_prompt_is_no_other_place() -> None:
    here = Expectation(Expects.READING, Prompt.read("check:sensor ohms:left rear"), "ohm")
    assert understand("left rear is twelve hundred ohms", here, VOCABULARY).value == 1200
    assert understand("right rear is twelve hundred ohms", here, VOCABULARY).outcome is Outcome.NOT_UNDERSTOOD


@each_row(forms("moving"))
def test_a_reading_that_moves_is_asked_about(form: str) -> None:
    assert not silent(said(f"twelve hundred ohms {form}"))


@each_row(forms("vague"))
def test_a_vague_figure_is_asked_for_or_taken_as_rounded(form: str) -> None:
    for found in (said(f"{form} twelve hundred ohms"), said(f"twelve hundred ohms {form}")):
        assert found.approximate or not silent(found)


@each_row(forms("numbered"))
def test_the_number_of_a_part_is_no_reading(form: str) -> None:
    assert not silent(said(f"{form} seven"))
    found = said(f"twelve hundred ohms at {form} seven")
    assert found.value == 1200 or not silent(found)


@each_row(forms("open"))
def test_open(form: str) -> None:
    assert said(form).outcome is Outcome.OVER_RANGE


@each_row(list(UNITS))
def test_nothing_of_a_quantity_is_zero_after_a_yes(quantity: str) -> None:
    for form in FORMS[f"zero_{quantity}"]:
        found = said(form, UNITS[quantity])
        assert (found.value, found.confirm) == (0, True), form
        assert not silent(said(form, "degF")), form


@each_row(forms("blank"))
def test_blank(form: str) -> None:
    assert said(form).outcome is Outcome.NOTHING


@each_row(forms("unsteady"))
def test_unsteady(form: str) -> None:
    assert said(form).outcome is Outcome.UNSTEADY


@each_row(forms("spread"))
def test_spread(form: str) -> None:
    found = said(f"{form} nine hundred and eleven hundred")
    assert (found.low_end, found.high_end) == (900, 1100)


@each_row(forms("correction"))
def test_a_correction_takes_back_what_stands_before(form: str) -> None:
    found = said(f"eleven hundred, {form}, twelve hundred")
    assert found.value == 1200 or not silent(found)


@each_row(forms("taken_back"))
def test_taken_back(form: str) -> None:
    assert not silent(said(f"twelve hundred ohms, {form}"))


@each_row(forms("but"))
def test_but_divides(form: str) -> None:
    found = said(f"twelve hundred {form} nine hundred")
    assert found.value is None or found.confirm or found.value == 900


def spelled_units() -> list[tuple[str, Unit]]:
    named = {unit.plural: unit for unit in VOCABULARY.units.values()}
    named |= {"pounds": VOCABULARY.units["psi"], "degrees": VOCABULARY.units["degF"]}
    return [
        (form, named[role[3:]]) for role in FORMS if role[:3] == "as_" and role[3:] in named for form in FORMS[role]
    ]


@each_row(spelled_units())
def test_other_names_of_a_unit(form: str, unit: Unit) -> None:
    assert said(f"twelve {form}", unit.name).value == 12


def test_other_names_of_a_scale() -> None:
    assert all(said(f"two {form}", "ohm").value == 2000 for form in FORMS["as_k"])
    assert all(said(f"two {form}", "Mohm").value == 2 for form in FORMS["as_meg"])
    assert all(said(f"{form} twenty", "psi").value == 120 for form in FORMS["as_one"])
