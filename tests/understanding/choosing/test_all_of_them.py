"""'All lit but one' and 'is everything lit': all of them is what they are not said to be, in every procedure."""

from __future__ import annotations

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Expectation, Expects, Outcome
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Check, ProofStep, Question
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
ALL = ("all ", "everything ", "everything's ", "every ", "they all ", "they're all ")


def _asked() -> list[tuple[str, Expectation, str, str]]:
    """Each saying of a choice that tells of all of something: where, its prompt, the choice, the saying."""
    found = []
    for path in list_procedures():
        told = load_procedure(path).procedure
        rows: list[Check | Question | ProofStep] = [*told.checks, *told.facts, *told.proof.steps]
        for row in rows:
            prompt = Expectation(Expects.CHOICE, choices=tuple(Choice(one.name, one.also) for one in row.choices))
            forms = [(one.name, form) for one in row.choices for form in (one.name, *one.also)]
            found += [
                (f"{told.name}: {row.name}", prompt, name, form) for name, form in forms if form.startswith(ALL)
            ]
    return found


FORMS = _asked()


def test_there_are_such_choices() -> None:
    assert len(FORMS) > 50


@each_row(FORMS)
def test_all_but_one_is_not_all(where: str, prompt: Expectation, name: str, form: str) -> None:
    for behind in (
        "but one",
        "but the left one",
        "except the right rear",
        "except for one",
        "other than the left one",
    ):
        found = understand(f"{form} {behind}", prompt, VOCABULARY)
        counts = found.outcome is Outcome.CHOICE and found.choice == name and not found.confirm
        assert not counts, (where, f"{form} {behind}")


@each_row(FORMS)
def test_asked_of_all_is_no_answer(where: str, prompt: Expectation, name: str, form: str) -> None:
    verb = "do" if form.startswith("they all") else "are" if form.startswith("they") else "is"
    plain = form.replace("they're ", "they ").replace("everything's", "everything")
    if plain.startswith("all ") and verb == "is":
        verb, plain = "are", f"they {plain}"
    found = understand(f"{verb} {plain}", prompt, VOCABULARY)
    counts = found.outcome is Outcome.CHOICE and found.choice == name and not found.confirm
    assert not counts, (where, f"{verb} {plain}")
