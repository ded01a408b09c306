"""What a technician in the United States would not say, and what he says instead: no phrase of ours has the former.

The list is the house's own (``shared/WORDS.md``): each word of it was said by an earlier version, or complained
about. Common practice, no source.
"""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import pytest

from assistant.phrasing import customer, lengths, phrase, sentences, verdicts, wording

ROOT = Path(__file__).parent.parent.parent
NOT_SAID = (
    (r"\bcure[ds]?\b|\bproven\b|\bthe proof\b", "verified repair, fixed"),
    (r"when that is so", "when that's done"),
    (r"(?<!\{)\bhole\b", "jack"),
    (r"\btips?\b", "probes"),
    (r"\bput back\b", "back together, reconnect, reinstall"),
    (r"^hello\b|\btoday: ", "the complaint itself"),
    (r"have in hand", "you'll need"),
    (r"\bcondemn", "that means a bad part"),
    (r"eaten", "corroded through"),
    (r"\bmend(?:ed|s)?\b", "repair"),
    (r"\bfit a\b", "install"),
    (r"\bloom\b", "harness"),
    (r"led outside", "vented outside"),
    (r"belted in", "seat belt on"),
    (r"to and fro", "wiggle"),
    (r"lately", "recent work"),
    (r"how warm", "about what temperature"),
    (r"\btaken back\b|\btake back\b", "deleted"),
    (r"session over", "done"),
    (r"\bin 100\b", "percent"),
    (r"\blogged\b", "nothing: the tone says it"),
    (r"what is it here", "what do you have at this one"),
    (r"then which", "so: out, or lit?"),
    (r"first one in your table", "the first code"),
    (r"this headset", "nothing, to somebody who types"),
)
"""What is not said, and what is."""
STAYS = {
    "record_failed": "'not logged' is the news itself",
    "leave_unwritten": "'not logged' is the news itself",
}
"""Keys that may say such a word, with the reason."""


ELSEWHERE = (
    "assistant/web/assets/*.html", "assistant/web/assets/*.js", "assistant/records/report/templates/*.html",
    "assistant/commands/**/*.py", "assistant/display/*.py", "assistant/records/**/*.py", "assistant/web/*.py",
    "assistant/verdict/*.py", "assistant/session/**/*.py", "assistant/setup/*.py",
)  # fmt: skip
"""What else shows or says words of its own: screens, reports, commands."""
NAMES_THERE = {
    "condemned": "a field of the record",
    "logged": "what is on disk, where that is the news",
    "put back": "a step of a procedure by its name",
    "cured and proven": "an ending by its name in the record",
    "cured, not proven": "an ending by its name in the record",
    "today: ": "replay: what today's program would decide",
}
"""Words that stand there for something else."""
APART = ("commands/procedures/prove.py", "journal/decisions.py", "messages/decisions.py")
"""Figures for who writes procedures, in the words of testability; and what earlier versions wrote."""


@cache
def elsewhere() -> tuple[tuple[str, str], ...]:
    """Every text of a screen, a report or a command, by file and line."""
    return tuple(_elsewhere())


def _elsewhere() -> Iterator[tuple[str, str]]:
    for pattern in ELSEWHERE:
        for path in sorted(ROOT.glob(pattern)):
            if path.as_posix().endswith(APART):
                continue
            text = path.read_text(encoding="utf-8")
            found = strings(text) if path.suffix == ".py" else enumerate(text.splitlines(), 1)
            for line, told in found:
                if not told.strip().startswith("//"):
                    yield f"{path.name}:{line}", told


def strings(text: str) -> Iterator[tuple[int, str]]:
    """Texts of a module that are no documentation and no single word."""
    tree = ast.parse(text)
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or id(node) in told:
            continue
        if isinstance(node.value, str) and " " in node.value.strip():
            yield node.lineno, node.value


@pytest.mark.parametrize(("word", "instead"), NOT_SAID)
def test_no_screen_report_or_command_does_either(word: str, instead: str) -> None:
    found = []
    for where, text in elsewhere():
        plain = text.lower()
        for name in NAMES_THERE:
            plain = plain.replace(name, "")
        if re.search(word, plain):
            found.append(f"{where}: {text.strip()}")
    assert not found, f"say instead: {instead}"


def tables() -> Iterator[tuple[str, str]]:
    """Every phrase that can be said, by key."""
    for module in (sentences, lengths, phrase, wording, verdicts, customer):
        for name, table in vars(module).items():
            if isinstance(table, Mapping) and not name.startswith("__"):
                for key, text in table.items():
                    if isinstance(text, str) and name != "_MARKS":
                        yield str(getattr(key, "value", key)), text
            elif isinstance(table, str) and name.isupper():
                yield name, table


@pytest.mark.parametrize(("word", "instead"), NOT_SAID)
def test_no_phrase_says_what_a_technician_would_not(word: str, instead: str) -> None:
    found = {key: text for key, text in tables() if re.search(word, text.lower()) and key not in STAYS}
    assert not found, f"say instead: {instead}"


def test_the_list_finds_what_is_on_it() -> None:
    """A list that matches nothing would pass for ever."""
    said = (
        "Hello. Today: the light. Have in hand: a loom. Session over: cured and proven. Fit a sensor, belted in. "
        "Red tip in the volts hole. How warm is it? What was mended lately? Exhaust led outside. Logged. "
        "Put back: it. That would condemn a part; it is eaten away. Move it to and fro. Taken back. 93 in 100. "
        "Say yes when that is so. What is it here? Then which: lit? The first one in your table. This headset."
    ).lower()
    assert [word for word, _ in NOT_SAID if not re.search(word, said)] == []
    assert len(list(tables())) > 300
    assert len(elsewhere()) > 1000


def test_a_hint_names_what_the_question_asks_to_say() -> None:
    """'Say ready' beside [next], or 'Say yes' beside [next], sends two ways at once."""
    pairs = {"ready": "ready", "put_back": "put_back", "put_back_part": "put_back", "caution": "yes", "do": "next"}
    for key, hint in pairs.items():
        asked = lengths.FIRST_TIME.get(key, sentences.PHRASES[key]).lower()
        assert sentences.HINTS[hint].split(",")[0] in asked, key


SPOKEN = frozenset({"title", "say", "ask", "help", "put_back", "complaint", "summary", "limits"})
"""Keys of a procedure whose texts are said or shown; names, which records go by, are not among them."""
ASKED_FOR = {"eaten": "an answer that is named in the question"}


def told(table: object, key: str = "") -> Iterator[tuple[str, str]]:
    """Every text of a procedure that is said or shown, with its key."""
    if isinstance(table, Mapping):
        for name, value in table.items():
            yield from told(value, name)
    elif isinstance(table, list):
        for value in table:
            yield from told(value, key)
    elif isinstance(table, str) and key in SPOKEN:
        yield key, table


@pytest.mark.parametrize(("word", "instead"), NOT_SAID)
def test_no_procedure_says_it_either(word: str, instead: str) -> None:
    found = []
    for path in sorted(ROOT.glob("dialogs/*.toml")):
        for key, text in told(tomllib.loads(path.read_text(encoding="utf-8"))):
            if re.search(word, text.lower()) and not (key == "ask" and word in ASKED_FOR):
                found.append(f"{path.name}, {key}: {text}")
    assert not found, f"say instead: {instead}"


READ_FIRST = ("README.md", "CHANGELOG.md")
"""What people read who have not started it yet."""
NOT_WRITTEN = (
    *NOT_SAID,
    (r"\bcomes? and goes?\b", "intermittent"),
    (r"\b(?:the|a|whole) train(?:'s)?\b", "combination, rig"),
    (r"\bout of spec\b", "out of limits for a reading, a fault for a look or a code"),
    (r"\(remark\)", "nothing: the remark stands below"),
    (r"\d %", "a percent sign without a space"),
)
STANDS_THERE = {
    "put-back list": "the list by its name",
    "put back": "what the list is of",
    "logged": "what is on disk, where that is the news",
    "dead or faint": "a procedure by its name",
}


@pytest.mark.parametrize("name", READ_FIRST)
def test_what_is_read_first_says_neither(name: str) -> None:
    text = re.sub(
        r"```.*?```", lambda block: "\n" * block.group().count("\n"), (ROOT / name).read_text("utf-8"), flags=re.S
    )
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        plain = re.sub(r"`[^`]*`", "", line).lower()
        for known in STANDS_THERE:
            plain = plain.replace(known, "")
        found += [f"{name}:{number}: {word}: {instead}" for word, instead in NOT_WRITTEN if re.search(word, plain)]
    assert not found
