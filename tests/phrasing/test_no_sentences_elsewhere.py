"""Decision 8: every sentence the tool can say stands in ``phrasing``, and in no other room of the core."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "assistant"
ROOMS = ("diagnosis", "session", "understanding", "verdict")
"""Rooms of the core that hold no sentence; each room that is through is added here."""
WORDS = 3
"""Words of two letters or more from which a text is a sentence, or a part of one."""
HEARD_OR_NAMED = {
    "session/agenda/facts_to_ask.py": {"as last time", "still the same", "not the same"},  # a name; said by people
    "session/fold.py": {"two hundred volts"},  # name of an answer
    "session/state.py": {"lowest AC range"},  # name of a fact
    "session/saying/questions.py": {"do not know", "can not tell"},  # said by people
    "session/handlers/survey_jumps.py": {"go to the "},  # said by people
    "session/handlers/commands.py": {"yes keep it", "yes keep that", "okay keep it"},  # said by people
    "understanding/recognition/grammar_phrases.py": {"no make that"},  # said by people
    "verdict/judge.py": {"resistance of the leads"},  # what an error is about
    "verdict/uncertainty.py": {"meter without a name"},  # what a finding is about
    "session/observing/observations.py": {"perhaps self-made by"},  # name of a condition, as records hold it
}
"""Texts with several words that the tool does not say, and why they are none of its sentences."""
ERRORS = ("Error", "Finding")
"""Ends of the names whose calls hold a text of their own: an error or a finding says it where it is raised."""


def sentences_in(source: str) -> Iterator[tuple[int, str]]:
    """Line and text of each literal that reads like a sentence, docstrings, errors and patterns left out."""
    tree = ast.parse(source)
    passed_over: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed_over.add(id(node.value))  # a docstring, of a module or of a field
        elif isinstance(node, ast.Call) and (_name(node).endswith(ERRORS) or _name(node) == "compile"):
            passed_over |= {id(inner) for inner in ast.walk(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed_over:
            text = node.value
            if " " in text.strip() and len(re.findall(r"[A-Za-z']{2,}", text)) >= WORDS:
                yield node.lineno, text


def _name(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_of_the_core_holds_no_sentence(room: str) -> None:
    found = []
    for path in sorted((ROOT / room).rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        allowed = HEARD_OR_NAMED.get(name, set())
        found += [
            f"{name}:{line}: {text!r}"
            for line, text in sentences_in(path.read_text(encoding="utf-8"))
            if text not in allowed
        ]
    assert not found, "These belong in assistant/phrasing/sentences.py:\n" + "\n".join(found)


def test_every_exception_still_stands_there() -> None:
    for name, texts in HEARD_OR_NAMED.items():
        found = {text for _, text in sentences_in((ROOT / name).read_text(encoding="utf-8"))}
        assert texts <= found, name


def test_the_search_finds_sentences_and_nothing_else() -> None:
    source = '''
"""A docstring that reads like a sentence."""
NAME = "sensor ohms"
SAID = "Say that again, please."
PART = f"{NAME} was skipped for now"
raise DefectError(f"The mode {NAME} cannot come here.")
'''
    assert [text for _, text in sentences_in(source)] == ["Say that again, please.", " was skipped for now"]
