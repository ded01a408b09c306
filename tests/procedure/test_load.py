"""Reading procedure files: exact numbers, one hash for one content, and findings that an editor can act on."""

from __future__ import annotations

import hashlib
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.errors import DocumentError, OperatorError
from assistant.procedure.load import LARGEST, list_procedures, load_procedure, parse_procedure
from assistant.procedure.model import Procedure
from tests.procedure.small import SMALL, broken, line_of


def write(folder: Path, content: str | bytes, name: str = "lamp.toml") -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_limits_are_exact_decimals_and_minutes_are_floats() -> None:
    procedure = parse_procedure(SMALL, "lamp.toml")
    limits = procedure.checks[0].limits
    assert limits is not None
    assert limits.low == Decimal("9.5")
    assert isinstance(limits.low, Decimal)
    assert isinstance(procedure.faults[1].weight, float)
    assert procedure.access[0].minutes == 2.5


@pytest.mark.parametrize("figure", ["0.1", "0.7", "1.005", "12.345678901234567890123"])
def test_a_limit_never_passes_through_a_binary_float(figure: str) -> None:
    limits = parse_procedure(broken("low = 9.5", f"low = {figure}"), "lamp.toml").checks[0].limits
    assert limits is not None
    assert limits.low == Decimal(figure)


def test_a_procedure_survives_being_written_and_read_as_json() -> None:
    procedure = parse_procedure(SMALL, "lamp.toml")
    assert Procedure.model_validate_json(procedure.model_dump_json()) == procedure


def test_text_and_hash_are_those_of_the_file(tmp_path: Path) -> None:
    loaded = load_procedure(write(tmp_path, SMALL))
    assert loaded.text == SMALL
    assert loaded.sha256 == hashlib.sha256(SMALL.encode()).hexdigest()
    assert loaded.path == tmp_path / "lamp.toml"


def test_byte_order_mark_and_carriage_returns_change_nothing(tmp_path: Path) -> None:
    plain = load_procedure(write(tmp_path, SMALL))
    windows = load_procedure(write(tmp_path, b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode(), "windows.toml"))
    assert windows.procedure == plain.procedure
    assert windows.sha256 == plain.sha256


def test_lines_are_counted_the_same_with_carriage_returns(tmp_path: Path) -> None:
    text = broken("minutes = 10", "minutes = -1")
    path = write(tmp_path, b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    with pytest.raises(DocumentError) as caught:
        load_procedure(path)
    assert caught.value.findings[0].line == line_of(text, "minutes = -1")


def test_a_file_of_a_megabyte_is_read(tmp_path: Path) -> None:
    padding = "# " + "x" * 78 + "\n"
    loaded = load_procedure(write(tmp_path, padding * 12_500 + SMALL))
    assert loaded.procedure.name == "lamp"


def test_a_file_too_large_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(OperatorError, match="too many for a procedure"):
        load_procedure(path)


@pytest.mark.parametrize("content", [b"", b"\n \n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_said_to_be_empty(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(DocumentError, match=r"The file is empty. A procedure begins with: format = 1."):
        load_procedure(write(tmp_path, content))


def test_text_that_is_not_utf8_names_its_line(tmp_path: Path) -> None:
    path = write(tmp_path, b'format = 1\nname = "caf\xe9"\n')
    with pytest.raises(DocumentError, match=r"line 2, file: This is not UTF-8 text. Save the file as UTF-8."):
        load_procedure(path)


def test_what_is_not_toml_names_its_line() -> None:
    with pytest.raises(DocumentError) as caught:
        parse_procedure("format = 1\nname = lamp\n", "lamp.toml")
    assert caught.value.findings[0].line == 2


def test_a_missing_file_and_an_unknown_name_say_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="There is no file"):
        load_procedure(tmp_path / "nothing.toml")
    with pytest.raises(
        OperatorError, match=r"There is no procedure 'lamp'. Known procedures: .*trailer-abs-light-on"
    ):
        load_procedure("lamp")
    with pytest.raises(OperatorError, match="is a folder"):
        load_procedure(tmp_path)


def test_a_shops_own_file_comes_before_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "dialogs"
    folder.mkdir()
    path = write(folder, SMALL, "trailer-abs-light-on.toml")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path))
    assert load_procedure("trailer-abs-light-on").path == path
    assert path in list_procedures()


STEPS = SMALL[SMALL.index("[[proof.steps]]") :]
SHAPE = [
    # what is replaced, by what, what stands on the finding's line, where and what the finding says
    ("weight = 1\n", "weight = 0\n", "weight = 0",
     "fault 'wire open' / weight: 0 does not fit: write a number above 0."),
    ("weight = 1\n", 'weight = "high"\n', 'weight = "high"',
     "fault 'wire open' / weight: 'high' is not a number. Write it without quotes and without a unit."),
    ("weight = 1\n", "weight = inf\n", "weight = inf",
     "fault 'wire open' / weight: Infinity does not fit: write a number of at most 1000000."),
    ("weight = 1\n", "", '[[faults]]\nname = "wire open"',
     "fault 'wire open' / weight: 'weight' is missing. Add weight = ..."),
    ("minutes = 10", "minutes = 1000", "minutes = 1000",
     "fix 'mend' / minutes: 1000 does not fit: write a number of at most 600."),
    ("minutes = 10", "minuts = 10", "minuts",
     "fix 'mend' / minuts: 'minuts' is not a key of this table. Did you mean 'minutes'?"),
    ('kind = "choice"\nask', 'kind = "yesno"\nask', "yesno",
     "check 'look' / kind: 'yesno' is not possible here. Write one of: 'reading', 'choice' or 'place'."),
    ("low = 9.5", 'low = "9.5 V"', "9.5 V",
     "check 'volts' / limits / low: '9.5 V' is not a number. Write it without quotes and without a unit."),
    ("low = 9.5", "low = nan", "low = nan",
     "check 'volts' / limits / low: NaN does not fit: write an ordinary number."),
    ('needs = ["cover"]', 'needs = "cover"', 'needs = "cover"',
     "check 'volts' / needs: 'cover' must be a list: put it in square brackets."),
    ('ask = "Disc or drum?"', "ask = 3", "ask = 3", "fact 'brakes' / ask: 3 must be words in quotes."),
    ('part = "lamp"', 'part = "lamp"\ntrial = "always"', "always",
     "fix 'swap' / trial: 'always' must be true or false, without quotes."),
    ("format = 1", "format = 2", "format = 2", "format: 2 is not possible here. Write one of: 1."),
    ("format = 1\n", "", None, "format: 'format' is missing. The file begins with: format = 1."),
    ('"lamp dead" = "broken"', '"lamp dead" = 3', '"lamp dead" = 3',
     "check 'look' / finds / lamp dead: 3 must be words in quotes."),
    ('name = "left"', 'name = ""', 'name = ""', "place number 1 / name: '' does not fit: write at least one word."),
    (STEPS, "steps = 3\n", "steps = 3", "proof / steps: Write each one as a table of its own: [[proof.steps]]."),
    (STEPS, "steps = []\n", "steps = []", "proof / steps: Add at least one [[proof.steps]] table."),
    ('choices = [{ name = "disc" }, { name = "drum" }]', "choices = 3", "choices = 3",
     "fact 'brakes' / choices: Write each one as a table of its own: [[facts.choices]]."),
    ('choices = [{ name = "disc" }, { name = "drum" }]', 'choices = [{ name = "disc" }, 3]', "choices = ",
     "fact 'brakes' / choice number 2: 3 must be a table"),
    ("span = [0, 30]", "span = [0]", "span = [0]", "check 'volts' / span: This list has too few entries."),
    ("span = [0, 30]", "span = [0, 15, 30]", "span = [0", "check 'volts' / span: This list has too many entries."),
    ('when = { brakes = "drum" }', 'when = "drum"', 'when = "drum"',
     "access 'cover' / when: 'drum' must be a table: names and values in curly brackets, or a section of its own."),
    ("minutes = 10", "minutes = [1]", "minutes = [1]",
     "fix 'mend' / minutes: This list is not a number. Write it without quotes and without a unit."),
    ("minutes = 10", "minutes = { low = 1 }", "minutes = {", "fix 'mend' / minutes: This table is not a number."),
    ('each = "wheel"\nweight', "wheels = true\nweight", "wheels = true",
     "fault 'wire open' / wheels: 'wheels' is not a key of this table."),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "piece", "expected"), SHAPE)
def test_shape_findings_are_worded_for_the_editor(old: str, new: str, piece: str | None, expected: str) -> None:
    text = broken(old, new)
    with pytest.raises(DocumentError) as caught:
        parse_procedure(text, "lamp.toml")
    found = {f"{finding.where}: {finding.text}": finding for finding in caught.value.findings}
    match = [sentence for sentence in found if sentence.startswith(expected)]
    assert match, sorted(found)
    assert found[match[0]].line == (None if piece is None else line_of(text, piece))
    for sentence in found:
        assert "http" not in sentence
        assert "pydantic" not in sentence.lower()
        assert "Input should" not in sentence


def test_all_shape_findings_come_at_once_in_file_order() -> None:
    text = (
        broken("weight = 1\n", "weight = 0\n")
        .replace("minutes = 10", "minutes = -1")
        .replace("low = 9.5", "lo = 9.5")
    )
    with pytest.raises(DocumentError) as caught:
        parse_procedure(text, "lamp.toml")
    lines = [finding.line or 0 for finding in caught.value.findings]
    assert len(lines) == 3
    assert lines == sorted(lines)


def test_a_file_without_faults_checks_and_fixes_says_which_tables_to_add() -> None:
    with pytest.raises(DocumentError) as caught:
        parse_procedure('format = 1\nname = "x"\ntitle = "x"\nsummary = "x"\ncomplaint = "x"\n', "x.toml")
    text = str(caught.value)
    for wanted in ("[[faults]]", "[[checks]]", "[[fixes]]", "[proof]"):
        assert wanted in text
