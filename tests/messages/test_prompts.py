"""A prompt and its text: each comes back from the other, whatever stands in names."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.messages import NO_PROMPT, Overlaid, Prompt, PromptKind, check_prompt

NAMES = st.text(alphabet=st.sampled_from("ab c:\\'\n"), max_size=8) | st.text(max_size=6)
PROMPTS = st.builds(
    Prompt, st.sampled_from(PromptKind), NAMES, st.none() | NAMES, st.none() | st.sampled_from(Overlaid)
)


class TestTextAndBack:
    """``Prompt.read`` is the inverse of ``str``."""

    @settings(deadline=None)
    @given(PROMPTS)
    def test_a_prompt_comes_back_from_its_text(self, prompt: Prompt) -> None:
        assert Prompt.read(str(prompt)) == prompt

    @settings(deadline=None)
    @given(PROMPTS, PROMPTS)
    def test_different_prompts_have_different_texts(self, one: Prompt, other: Prompt) -> None:
        assert (str(one) == str(other)) is (one == other)

    @settings(deadline=None)
    @given(st.text(alphabet=st.sampled_from("check:ohms left\\"), max_size=20).map(lambda rest: f"check:{rest}"))
    def test_any_text_of_a_known_kind_is_read_and_settles(self, text: str) -> None:
        """What an earlier version wrote without escaping is read too; written again it stays the same."""
        once = Prompt.read(text)
        assert Prompt.read(str(once)) == once


@pytest.mark.parametrize(
    ("prompt", "text"),
    [
        (NO_PROMPT, ""),
        (Prompt(PromptKind.READY), "ready"),
        (Prompt(PromptKind.CAUTION, "as before", "left"), "caution:as before:left"),
        (check_prompt("sensor ohms"), "check:sensor ohms"),
        (check_prompt("sensor ohms", "left rear"), "check:sensor ohms:left rear"),
        (check_prompt("sensor ohms", "left rear").under(Overlaid.CONFIRM), "confirm:check:sensor ohms:left rear"),
        (Prompt(PromptKind.READY, overlaid=Overlaid.SKIP), "skip:ready"),
        (Prompt(PromptKind.ACCESS, "plug: wheel end", "left"), r"access:plug\: wheel end:left"),
        (Prompt(PromptKind.CLOSE, "put back"), "close:put back"),
    ],
)
def test_the_texts_that_journals_and_scenes_hold(prompt: Prompt, text: str) -> None:
    assert (str(prompt), Prompt.read(text)) == (text, prompt)


@pytest.mark.parametrize("text", ["weather", "check ohms", "confirm:weather", " ready"])
def test_what_names_no_prompt_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no prompt of a session"):
        Prompt.read(text)
