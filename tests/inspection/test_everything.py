"""All of it at once: faults of the shape and of the whole in one list, each on its line; how long speech takes."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from assistant import catalog
from assistant.commands.procedures.procedures import _vocabulary
from assistant.errors import DocumentError
from assistant.inspection import everything_wrong, words_of_file
from assistant.inspection.notes import Notes
from assistant.inspection.sentences import _spoken
from assistant.phrasing.speech_chunks import seconds_of
from assistant.procedure.lines import Lines
from assistant.procedure.load import list_procedures, load_procedure, read_procedure
from tests.conftest import missing
from tests.procedure.small import SMALL, line_of

VOCABULARY = catalog.load_vocabulary()
BROKEN = Path(__file__).parent / "broken.toml"
EXPECTED = [
    # what stands on the line, where the finding is, how it begins
    ("wieght = 2", "fault 'lamp dead' / wieght", "'wieght' is not a key of this table. Did you mean 'weight'?"),
    ("[[faults]] # the lamp", "fault 'lamp dead' / weight", "'weight' is missing. Add weight = ..."),
    ('minutes = "ten"', "fix 'mend' / minutes", "'ten' is not a number."),
    ('needs = ["lid"]', "check 'volts' / needs", "There is no access 'lid'. Known: cover."),
    ('after = ["volts"]', "check 'volts' / after", "This can never be reached: volts > volts is a circle."),
    ("[[faults]] # nobody", "fault 'fuse blown'", "No check points to this fault, so it can never be found."),
    ('{ name = "missing" }', "check 'look' / choices", "The outcome 'missing' leads nowhere"),
    ("high = 16", "check 'volts' / limits", "A reading on the high side leads nowhere"),
    ('source = ""', "check 'volts' / limits", "There is no source."),
    ('dial = "ohms"', "check 'volts' / leads", "This speaks of ohms, and the reading is taken in volts."),
    ('"clevis"', "check 'look' / choices", "The recognizer does not have the word 'clevis'."),
    ("LONG", "access 'cover' / say", "This takes about "),
    ('"marked"', "proof step 'light' / choices", "'market' and 'marked' sound alike."),
    ("Raise the axle", "fix 'swap'", "This names a raised axle, and no caution that speaks of it comes before."),
    ("unit = [", "check 'amps' / unit", "This list must be words in quotes."),
]


def test_every_kind_of_fault_is_reported_at_once_with_its_line() -> None:
    text = BROKEN.read_text(encoding="utf-8")
    words = words_of_file(text, "broken.toml") - {"clevis"}
    found = everything_wrong(text, "broken.toml", words, VOCABULARY)
    for piece, where, begins in EXPECTED:
        match = [one for one in found if one.where == where and one.text.startswith(begins)]
        assert match, (where, begins, [str(one) for one in found])
        line = line_of(text, piece)
        wanted = line if piece != "Raise the axle" else line_of(text, '[[fixes]]\nname = "swap"')
        wanted = wanted if piece != 'source = ""' else line_of(text, "[checks.limits]")
        assert match[0].line == wanted, (str(match[0]), wanted)
    assert [one.line for one in found] == sorted(one.line or 0 for one in found)
    assert len(found) == len(EXPECTED), [str(one) for one in found]


def test_a_sound_file_has_nothing() -> None:
    assert everything_wrong(SMALL, "lamp.toml", None, VOCABULARY) == []


def test_a_consequence_of_an_invalid_value_is_not_reported() -> None:
    """A name that cannot be read makes nobody else's use of it wrong."""
    text = SMALL.replace('name = "lamp dead"\ntitle', "name = 5\ntitle")
    assert [str(one.text) for one in everything_wrong(text, "lamp.toml", None, VOCABULARY)] == [
        "5 must be words in quotes."
    ]


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ('title = "lamp is dark"', 'title = "lamp is dark', 3, "A quote is opened here and not closed"),
        ('title = "lamp is dark"', 'name = "lamp"', 3, "This key stands twice in its table. Remove one."),
        ("minutes = 2.5", "minutes = .5", None, "This value cannot be read."),
        ("minutes = 2.5", "minutes", None, "Here a key needs an equals sign and its value."),
        ("[proof]", "[proof]\n[proof]", None, "This table stands here twice."),
        ('[{ name = "disc" }, { name = "drum" }]', '[{ name = "disc" } { name = "drum" }]', None, "A square bracket"),
    ],
)
def test_what_is_no_toml_is_told_in_placondition_text(old: str, new: str, line: int | None, says: str) -> None:
    with pytest.raises(DocumentError) as caught:
        everything_wrong(SMALL.replace(old, new, 1), "lamp.toml", None, VOCABULARY)
    (one,) = caught.value.findings
    assert one.text.startswith(says)
    assert one.text.endswith("Below it nothing could be looked at.")
    assert one.line is not None
    assert line in (None, one.line)


@pytest.mark.parametrize("number", range(0, SMALL.count("\n"), 3))
def test_a_line_left_out_never_ends_in_a_fault_of_our_own(number: int) -> None:
    lines = SMALL.splitlines()
    del lines[number]
    try:
        found = everything_wrong("\n".join(lines), "lamp.toml", None, VOCABULARY)
    except DocumentError as error:
        found = list(error.findings)
    assert all(one.text.endswith((".", "?")) for one in found)


def test_every_shipped_procedure_is_clean() -> None:
    """With the words looked up in the speech model."""
    files = [read_procedure(path) for path in list_procedures()]
    model_words = _vocabulary({word for name, text in files for word in words_of_file(text, name)}, VOCABULARY)
    if model_words is None:
        missing("no speech model")
    assert len(files) >= 11
    assert {name: everything_wrong(text, name, model_words, VOCABULARY) for name, text in files} == {
        name: [] for name, _ in files
    }


@pytest.mark.sweep
def test_how_long_a_sentence_takes_agrees_with_a_speech_engine() -> None:
    """Against espeak-ng, a general-purpose synthesizer, at 170 words a minute: the longest of each file."""
    engine = shutil.which("espeak-ng")
    if engine is None:
        missing("no espeak-ng")
    worst = 0.0
    for path in list_procedures():
        loaded = load_procedure(path)
        spoken = [row[2] for row in _spoken(Notes(loaded.procedure, Lines(loaded.text))) if row[2]]
        for text in sorted(spoken, key=len)[-25:]:
            said = text.replace("{place}", "right rear")
            wave = subprocess.run(
                [engine, "-v", "en-us", "-s", "170", "--stdout", said], capture_output=True, check=True
            )
            real = (len(wave.stdout) - 44) / 2 / 22050
            worst = max(worst, abs(real - seconds_of(said)))
            assert real <= 12
    assert worst < 1.5
