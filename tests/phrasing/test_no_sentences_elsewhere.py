"""Every sentence that the tool says is made in ``phrasing``: no other room of the core holds one."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "assistant"
ROOMS = ("understanding", "verdict")
"""Rooms that hold no sentence. Errors are sentences of their own kind: they name what was wrong and the remedy."""
_SENTENCE = re.compile(r"[A-Z][a-z']* .*|.*[a-z] [a-z]+[.?!:]( .*)?\Z", re.DOTALL)
_ERRORS = ("Error", "Finding")
FILES = sorted(path for room in ROOMS for path in (ROOT / room).rglob("*.py"))


def sentences_in(source: str) -> list[str]:
    """Literals that read like a sentence, docstrings and the texts of errors left out."""
    tree = ast.parse(source)
    left_out: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            left_out.add(id(node.value))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id.endswith(_ERRORS):
            left_out.update(id(part) for part in ast.walk(node))
    texts = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in left_out
    ]
    return [text for text in texts if _SENTENCE.match(text)]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_room_below_phrasing_words_a_sentence(path: Path) -> None:
    assert sentences_in(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "source",
    ['ask = "Say that again, please."', 'f"Did you mean {one}?"', 'x = f"{head}: too low."', 'y = "Is that right?"'],
)
def test_a_sentence_is_seen(source: str) -> None:
    assert sentences_in(source)


@pytest.mark.parametrize("source", ['"""A text."""', 'raise OperatorError("It is cold.")', 'key = "is_it_value"'])
def test_names_docstrings_and_errors_are_no_sentences(source: str) -> None:
    assert not sentences_in(source)
