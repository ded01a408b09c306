"""Commands: whole utterances with words that may stand around them; typing slips are forgiven, then confirmed."""

from __future__ import annotations

from collections.abc import Sequence

from rapidfuzz import fuzz, process

from assistant.messages import Command, Outcome, Understanding
from assistant.numerals.tokenizer import BREAK, UNKNOWN, WORD, Item
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications

_CLOSE_ENOUGH = 88
_SHORTEST = 4
_AROUND = frozenset({Kind.CARRIER, Kind.FILLER, BREAK, "X"})


def command_of(text: str, items: Sequence[Item], vocabulary: Vocabulary) -> Understanding | None:
    """The command that the whole utterance is, None when it is none."""
    core = [item for item in items if item.kind not in _AROUND]
    if not core:
        return None
    if all(item.kind == "S" for item in core) and all(item.value < 0 for item in core):
        if all(item.text == "negative" for item in core):
            return _command(text, Command.NO)
        return None
    kinds = {item.kind for item in core}
    if kinds == {Kind.COMMAND}:
        names = {item.value for item in core}
        if len(names) == 1:
            return _command(text, Command(names.pop()))
        if names == {Command.NO.value, Command.WITHDRAW.value}:
            return _command(text, Command.WITHDRAW)
        return None
    if core[0].kind == Kind.COMMAND and core[0].value == Command.NOTE:
        return _note(text, core[0])
    if WORD in kinds and UNKNOWN not in kinds:
        return _slip(text, vocabulary)
    return None


def _command(text: str, command: Command, *, confirm: bool = False) -> Understanding:
    return Understanding(Outcome.COMMAND, text, command=command, confirm=confirm)


def _note(text: str, marker: Item) -> Understanding:
    """'note that the plug is green': the words behind the marker are the note."""
    words = text[marker.end :].strip(" ,.:;")
    return Understanding(Outcome.COMMAND, text, command=Command.NOTE, note=words or None)


def _slip(text: str, vocabulary: Vocabulary) -> Understanding | None:
    """A typing slip: one form close enough, and no form of another command nearly as close."""
    said = " ".join(text.lower().split()).strip(" .,!?")
    if len(said) < _SHORTEST:
        return None
    names = {form: name for name, forms in vocabulary.commands.items() for form in forms if len(form) >= _SHORTEST}
    best = process.extract(said, names.keys(), scorer=fuzz.ratio, score_cutoff=_CLOSE_ENOUGH - 6, limit=4)
    if not best or best[0][1] < _CLOSE_ENOUGH:
        return None
    name = names[best[0][0]]
    if any(names[form] != name for form, _, _ in best[1:]):
        return None
    return Understanding(
        Outcome.COMMAND,
        text,
        command=Command(name),
        confirm=True,
        reason="slip",
        ask=clarifications.which_name(best[0][0]),
    )
