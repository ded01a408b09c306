"""Which of a question's choices an answer in free words is like, by answers that people gave to such questions.

A line of ``grammars/answers/*.tsv`` is a question, a choice and a sentence, with tabs between them; empty lines and
lines that begin with # are passed over. A question of a procedure of a shop's own is served by the sentences of
choices of the same name, where each of its choices has some.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.errors import DocumentError, Finding
from assistant.intents.features import NUMBER, SMALL, stem, words_in
from assistant.messages import Choice

if TYPE_CHECKING:
    from assistant.intents.linear import Learned

_IN_ANSWERS = frozenset({
    "were", "been", "am", "but", "so", "had", "these", "those", "two", "me", "us", "your", "he", "she", "him", "her",
    "they", "them", "their", "here", "what", "when", "where", "who", "how", "as", "if", "then", "than", "some", "any",
    "too", "very", "real", "kind", "sort", "just", "like", "got", "get", "go", "could", "will", "would", "from", "by",
    "up", "out", "it's", "right", "left", "way", "thing", "look", "say", "said", "see",
})  # fmt: skip
"""Words beside the small ones that stand in answers to anything."""
_SMALL = frozenset(map(stem, SMALL | _IN_ANSWERS))
FEWEST = 5
"""Sentences that each choice needs before anything is said of it."""


@dataclass(frozen=True)
class Answers:
    """Sentences by question and choice, and the classifiers that were fitted to them so far."""

    by_question: Mapping[tuple[str, str], tuple[str, ...]]
    """(Question, choice) -> sentences."""
    by_choice: Mapping[str, tuple[str, ...]]
    """Choice -> sentences of all questions that have one of that name."""
    _fitted: dict[tuple[str, tuple[Choice, ...]], Learned | None] = field(default_factory=dict, repr=False)

    def shares(self, question: str, choices: Sequence[Choice], text: str) -> dict[str, float]:
        """How likely each choice is, the likeliest first; what they lack to 1 is the share of none of them.

        Args:
            question: name of the question.
            choices: its choices, with other ways to say them.
            text: what was said.

        Returns:
            Empty where too few sentences are known.
        """
        learned = self._learned(question, choices)
        return {} if learned is None else learned.shares(text)

    def known_words(self, question: str, choices: Sequence[Choice], text: str) -> int:
        """How many words of a text, small ones left out, stand in what is known of a question: none of 'twelve' does.

        Args:
            question: name of the question.
            choices: its choices, with other ways to say them.
            text: what was said.
        """
        learned = self._learned(question, choices)
        if learned is None:
            return 0
        words = {stem(word) for word in words_in(text)} - _SMALL - {NUMBER}
        return sum(word in learned.rows for word in words)

    def _learned(self, question: str, choices: Sequence[Choice]) -> Learned | None:
        key = (question, tuple(choices))
        if key not in self._fitted:
            self._fitted[key] = self._fit(*key)
        return self._fitted[key]

    def _fit(self, question: str, choices: Sequence[Choice]) -> Learned | None:
        told: list[tuple[str, str]] = []
        for choice in choices:
            own = self.by_question.get((question, choice.name), ())
            others = self.by_choice.get(choice.name, ())
            known = dict.fromkeys((*own, *others))
            if len(known) < FEWEST:
                return None
            told += ((choice.name, saying) for saying in dict.fromkeys((*known, choice.name, *choice.also)))
        if len(choices) < 2:
            return None
        from assistant.intents.linear import fit

        return fit(told)


def answers_in(files: Mapping[str, str]) -> Answers:
    """The answers of files, by their names.

    Args:
        files: name of a file -> its text.

    Raises:
        DocumentError: a line is none; all findings are named.
    """
    found: dict[tuple[str, str], list[str]] = {}
    faults: list[Finding] = []
    for name, text in files.items():
        for number, line in enumerate(text.splitlines(), 1):
            if not line or line[0] == "#":
                continue
            question, _, rest = line.partition("\t")
            choice, _, said = rest.partition("\t")
            if question and choice and said:
                found.setdefault((question, choice), []).append(said)
            else:
                faults.append(Finding(name, "Write a question, a tab, a choice, a tab and a sentence.", number))
    if faults:
        raise DocumentError("answers", faults)
    by_choice: dict[str, list[str]] = {}
    for (_, choice), sentences in found.items():
        by_choice.setdefault(choice, []).extend(sentences)
    return Answers(
        {key: tuple(dict.fromkeys(sentences)) for key, sentences in found.items()},
        {choice: tuple(dict.fromkeys(sentences)) for choice, sentences in by_choice.items()},
    )
