"""A repair that can be done in several ways: which one is asked, and what was found broken is not only cleaned."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages.decisions import FixDone
from assistant.session.dialog_state import Mode
from tests.rows import each_row
from tests.session.conversation import Conversation, keys
from tests.session.said_tables import scene, tone_ring


def done(talk: Conversation) -> list[str]:
    return [one.title for one in talk.decisions if isinstance(one, FixDone)]


def clean_plug() -> Conversation:
    start = scene("clean plug")
    return Conversation(start.context, start.now)


@pytest.mark.parametrize("said", ["yes", "next", "done", "yep that's done"])
def test_done_alone_asks_which(said: str) -> None:
    talk = clean_plug()
    assert "which_way" in keys(talk.hear(said))
    assert done(talk) == []
    talk.hear("cleaned it")
    assert done(talk) == ["wheel-end plug cleaned"]


def test_a_chipped_ring_is_not_only_cleaned_in_silence() -> None:
    talk = tone_ring("two teeth are chipped")
    assert talk.mode is Mode.FIX
    assert keys(talk.hear("cleaned"))[-1] == "way_of_broken"
    assert done(talk) == []
    talk.hear("no")
    assert done(talk) == []
    talk.hear("replaced")
    assert done(talk) == ["tone ring replaced"]


def test_a_yes_takes_it_as_cleaned() -> None:
    talk = tone_ring("two teeth are chipped")
    talk.hear("cleaned")
    talk.hear("yes")
    assert done(talk) == ["tone ring cleaned"]


def test_a_dirty_ring_is_cleaned() -> None:
    talk = tone_ring("packed with dirt")
    talk.hear("cleaned")
    assert done(talk) == ["tone ring cleaned"]


@each_row(catalog.load_vocabulary().reports["broken"])
def test_every_word_for_broken(form: str) -> None:
    assert keys(tone_ring(f"the ring is {form}").hear("cleaned"))[-1] == "way_of_broken"
