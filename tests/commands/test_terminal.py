"""What would steer a terminal is shown as a mark, by every command, whatever it came from."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.display.visible import escaped, visible
from tests.records.forged import GOOD, chain, lines_of, named, of_today

ROOT = Path(__file__).parent.parent.parent
EVIL = "\x1b[2J\x1b]0;owned\x07 \x9b31m \u202eelbailer \x08\x7f \r done"
STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
SAMPLE = ROOT / "tests" / "data" / "records" / "format-1-whole-session.jsonl"


def test_marks_are_the_pictures_of_unicode_and_numbers() -> None:
    assert visible("a\x1b[1m\tb\nc") == "a\u241b[1m\tb\nc"
    assert visible("\x7f\x9b\u202e\udcff") == "\u2421<009B><202E><DCFF>"
    assert visible("two\nlines", one_line=True) == "two\u2424lines"
    plain = "Ω é 日本 “quoted” 🚛 left rear: 1,180 ohms"
    assert visible(plain) == plain
    assert json.loads(escaped(json.dumps(EVIL, ensure_ascii=False))) == EVIL


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A record that holds it wherever a text stands: unit, words, notes, reasons, what was said."""
    lines = of_today(named(lines_of(SAMPLE), GOOD, "7788" + EVIL))

    def spoil(value: object) -> object:
        if isinstance(value, dict):
            return {name: spoil(held) if name not in SPARED else held for name, held in value.items()}
        if isinstance(value, list):
            return [spoil(held) for held in value]
        return value + EVIL if isinstance(value, str) and " " in value else value

    lines = [lines[0], *(line | {"body": spoil(line["body"])} for line in lines[1:])]
    for line in lines[1:]:
        line["body"].setdefault("said", []).append("tire " + EVIL)
    place = tmp_path / "records"
    place.mkdir(mode=0o700)
    (place / f"{GOOD}.jsonl").write_bytes(chain(lines))
    (place / f"evil{EVIL.replace('/', '')}.jsonl").write_bytes(b"")
    return place


SPARED = ("check", "place", "fix", "fault", "fact", "prompt", "kind", "value", "step", "started", "wall")
COMMANDS = (
    ("sessions",), ("sessions", "--json"), ("show", GOOD), ("search", "tire"), ("search", "tire", "--json"),
    ("history", "7788" + EVIL), ("history", "7788" + EVIL, "--json"), ("history",), ("verify", GOOD),
    ("replay", GOOD), ("report", GOOD, "--format", "text"), ("report", GOOD, "--format", "json"), ("rebuild",),
    ("show", EVIL), ("show", "--" + EVIL), (EVIL,), ("resume", EVIL), ("history", EVIL), ("search", "none" + EVIL),
    ("start", EVIL), ("practice", EVIL), ("inspect", EVIL), ("understand", EVIL), ("draw", EVIL), ("prove", EVIL),
    ("resume", GOOD), ("start", "trailer-abs-light-on", "--unit", "7788" + EVIL), ("procedures", "--" + EVIL),
)  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS, ids=[visible(" ".join(one))[:40] for one in COMMANDS])
def test_no_command_lets_anything_steer_the_terminal(
    folder: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str], command: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("LEADSMAN_RECORDS", str(folder))
    more: list[str] = []
    if command[0] in ("start", "resume"):
        answers = tmp_path / "answers.txt"
        answers.write_text(f"yes\nnote {EVIL}\nwhy\n", encoding="utf-8")
        more = ["--answers", str(answers)]
    with pytest.raises(SystemExit) as ended:
        main([*command, *more])
    read = capfd.readouterr()
    assert ended.value.code != 70, read.err
    assert not STEERING.search(read.out.replace("\r\n", "\n")), ascii(read.out)
    assert not STEERING.search(read.err), ascii(read.err)
    assert read.out + read.err


def test_text_goes_to_the_terminal_by_one_way() -> None:
    """Every command prints through ``echo``; a level bar, which draws over itself, is the one exception."""
    found = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for path in sorted((ROOT / "assistant").rglob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"click\.s?echo\b|(?<![\w.])print\(|std(out|err)\.write", line)
    ]
    assert [one.partition(":")[0] for one in found] == [
        "assistant/commands/speech/sound_check.py",
        "assistant/commands/terminal.py",
    ], found
