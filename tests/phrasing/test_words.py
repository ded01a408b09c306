"""What a technician in the United States would not say, and what he says instead: no phrase of ours has the former.

The list is the house's own (``shared/WORDS.md``): each word of it was said by an earlier version, or complained
about. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

import pytest

from assistant.phrasing import lengths, phrase, sentences, verdicts, wording

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
    "scratched": "for the record, beside its number",
    "all_passed": "for the record, whose earlier formats hold the same words",
}
"""Keys that may say such a word, with the reason."""


def tables() -> Iterator[tuple[str, str]]:
    """Every phrase that can be said, by key."""
    for module in (sentences, lengths, phrase, wording, verdicts):
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


def test_a_hint_names_what_the_question_asks_to_say() -> None:
    """'Say ready' beside [next], or 'Say yes' beside [next], sends two ways at once."""
    pairs = {"ready": "ready", "put_back": "put_back", "put_back_part": "put_back", "caution": "yes", "do": "next"}
    for key, hint in pairs.items():
        asked = lengths.FIRST_TIME.get(key, sentences.PHRASES[key]).lower()
        assert sentences.HINTS[hint].split(",")[0] in asked, key
