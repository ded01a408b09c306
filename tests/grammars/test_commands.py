"""``grammars/commands.toml``: every form of every command is heard as that command, at every kind of prompt."""

from __future__ import annotations

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Command, Expectation, Expects, Outcome, Report
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
FORMS = [(command, form) for command, forms in VOCABULARY.commands.items() for form in forms]
PROMPTS = [
    Expectation(Expects.COMMAND),
    Expectation(Expects.READING, unit="ohm"),
    Expectation(Expects.READING, unit="V"),
    Expectation(Expects.CHOICE, choices=(Choice("lamp is on"), Choice("lamp is off"))),
    Expectation(Expects.IDENTIFIER),
    Expectation(Expects.NOTE),
]

TOLD = {"can't get to it", "can not get to it", "give me a minute", "give me a second", "wait a minute"}
"""Forms that also tell something about the work, whoever they are said to."""


def test_every_command_has_forms() -> None:
    assert set(VOCABULARY.commands) == {command.value for command in Command}


@each_row(FORMS)
def test_form(command: str, form: str) -> None:
    for prompt in PROMPTS:
        for text in (form, f"{form} please", form.capitalize() + "."):
            found = understand(text, prompt, VOCABULARY)
            if command == "note" and prompt.expects is Expects.NOTE:
                continue
            assert (found.outcome, found.command) == (Outcome.COMMAND, Command(command)), (text, prompt.expects)
            assert not found.confirm
            assert found.value is None


@each_row(FORMS)
def test_a_form_among_other_words_is_no_command(command: str, form: str) -> None:
    """Shop talk that holds a command's words must not act."""
    if command == "note":
        return
    found = understand(f"tell bob {form} to the truck", PROMPTS[1], VOCABULARY)
    assert found.command is None
    # what is told of his time or of a place out of reach is asked about, and changes nothing by itself
    told = found.outcome is Outcome.REPORT and found.report in (Report.WORKING, Report.OUT_OF_REACH)
    assert told == (form in TOLD)
    assert told or found.outcome is Outcome.NOT_UNDERSTOOD
