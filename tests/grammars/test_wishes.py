"""``grammars/wishes.toml``: every form of a command in free talk is that command, alone and among other words."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Command, Expectation, Expects, Outcome, Report
from assistant.understanding.commanding.ways import way_named
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
WORK = Expectation(Expects.COMMAND)
CAUTION = Expectation(Expects.COMMAND, hint="yes")
OHMS = Expectation(Expects.READING, unit="ohm")
FORMS = [(name, form) for name, forms in VOCABULARY.wishes.items() if name in set(Command) for form in forms]
BOTH = {Command.YES, Command.NEXT}
"""'Done' and 'ready' are a yes where one is waited for, else they ask for the next."""


@each_row(FORMS)
def test_a_form_is_its_command(name: str, form: str) -> None:
    command = Command(name)
    for prompt in (WORK, CAUTION):
        found = understand(form, prompt, VOCABULARY)
        assert found.outcome is Outcome.COMMAND, form
        assert found.command is command or {found.command, command} <= BOTH or also(form, found.command), form


def also(form: str, command: Command | None) -> bool:
    """Whether the form is also the short form of another command."""
    return command is not None and form in VOCABULARY.commands[command]


@each_row(VOCABULARY.wishes["around"])
def test_words_around_a_command_change_nothing(form: str) -> None:
    assert understand(f"{form} skip this one", WORK, VOCABULARY).command is Command.SKIP
    assert form == "oh" or understand(form, OHMS, VOCABULARY).outcome is not Outcome.READING


@pytest.mark.parametrize(
    "text",
    ["don't stop", "should I skip this", "did you skip it", "tell him to stop the truck", "yes or no", "stop it not"],
)
def test_what_is_asked_or_denied_is_no_command(text: str) -> None:
    assert understand(text, WORK, VOCABULARY).outcome is Outcome.NOT_UNDERSTOOD


def test_a_yes_counts_only_where_one_is_waited_for() -> None:
    assert understand("chocks are in", CAUTION, VOCABULARY).command is Command.YES
    assert understand("chocks are in", OHMS, VOCABULARY).outcome is Outcome.NOT_UNDERSTOOD


@each_row(VOCABULARY.wishes["done"])
def test_what_is_done_is_a_yes_and_with_a_not_a_no(form: str) -> None:
    assert understand(f"they're {form}", CAUTION, VOCABULARY).command in BOTH
    assert understand(f"they're not {form}", CAUTION, VOCABULARY).command is Command.NO
    asked = understand(f"are they {form}", CAUTION, VOCABULARY).outcome
    assert asked in (Outcome.NOT_UNDERSTOOD, Outcome.QUESTION)


@each_row(VOCABULARY.wishes["things"])
def test_what_it_is_about_changes_nothing(form: str) -> None:
    found = understand(f"{form} all set", CAUTION, VOCABULARY)
    assert found.outcome is Outcome.NOT_UNDERSTOOD or found.command in {*BOTH, Command.NO}
    assert understand(form, OHMS, VOCABULARY).outcome is not Outcome.READING


@each_row(VOCABULARY.wishes["turned"])
def test_a_state_with_an_opposite_is_a_yes_only_after_a_question(form: str) -> None:
    """'The key is on' must never pass for a yes to 'key off'."""
    found = understand(f"it's {form}", CAUTION, VOCABULARY)
    assert (found.command, found.confirm) == (Command.YES, True) or found.outcome is Outcome.NOT_UNDERSTOOD
    assert understand(f"it's not {form}", CAUTION, VOCABULARY).command is Command.NO


PLUG = Expectation(
    Expects.COMMAND,
    choices=(Choice("cleaned"), Choice("replaced", ("new one",))),
    told="Clean the plug.",
    hint="next",
)


@each_row(VOCABULARY.wishes["undone"])
def test_what_is_to_be_done_tells_no_way(form: str) -> None:
    assert way_named(f"{form} replaced", PLUG.choices, VOCABULARY) is None
    assert way_named(f"{form} replaced, cleaned it", PLUG.choices, VOCABULARY) == "cleaned"


@pytest.mark.parametrize(
    ("said", "way"),
    [
        ("cleaned, not replaced", "cleaned"), ("couldn't clean it so replaced the plug", "replaced"),
        ("cleaned it but then I ended up replacing it", None), ("needs a new one", None), ("new one", "replaced"),
        ("I cleaned up all the pins and put some grease in there", "cleaned"), ("I'll clean it now", None),
    ],
)  # fmt: skip
def test_the_way_that_was_done(said: str, way: str | None) -> None:
    assert way_named(said, PLUG.choices, VOCABULARY) == way
    counts = understand(said, PLUG, VOCABULARY)
    assert (counts.command in BOTH and not counts.confirm) == (way is not None), counts


def _caution(told: str) -> Expectation:
    return Expectation(Expects.COMMAND, told=told, hint="yes")


@each_row(VOCABULARY.wishes["each"])
def test_what_a_caution_asks_for_is_told(row: str) -> None:
    """All of it told is a yes, a part of it is asked about, and what is denied is neither."""
    head, _, words = row.partition(":")
    for word in words.split():
        both = understand(f"{word} set, level set", _caution(f"{head}. Stay level."), VOCABULARY)
        part = understand(f"{word} set", _caution(f"{head}. Stay level."), VOCABULARY)
        denied = understand(f"{word} not set", _caution(f"{head}. Stay level."), VOCABULARY)
        assert (both.command, both.confirm) == (Command.YES, False) or head == "level", (word, both)
        assert (part.command, part.confirm) == (Command.YES, head != "level"), (word, part)
        assert denied.command is not Command.YES, word


WORKED = Expectation(Expects.COMMAND, told="Replace the sensor.", hint="next")


@pytest.mark.parametrize(
    "said", ["sensor's good", "the new sensor is good", "good part", "good job", "good one", "nice work"]
)
def test_what_is_good_was_not_done(said: str) -> None:
    """'The sensor's good' where it is to be replaced was logged as replaced."""
    found = understand(said, WORKED, VOCABULARY)
    assert found.command not in BOTH or found.confirm, found


@pytest.mark.parametrize(
    "said",
    [
        "that part's finished", "job's done", "that's a wrap", "finished with that one, next",
        "you bet that's all done", "I went ahead and replaced it", "okay that's done", "all buttoned up",
        "it's all apart now boss",
    ],
)  # fmt: skip
def test_done_with_words_around_it(said: str) -> None:
    found = understand(said, WORKED, VOCABULARY)
    assert (found.command in BOTH, found.confirm) == (True, False), found


@pytest.mark.parametrize("said", ["not fixed yet", "not replaced yet", "almost done", "not done yet"])
def test_not_yet_is_work_that_goes_on(said: str) -> None:
    assert understand(said, WORKED, VOCABULARY).report is Report.WORKING
