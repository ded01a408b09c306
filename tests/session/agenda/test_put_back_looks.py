"""A look on the put-back list: what is not as it must be stands in the record as found, and never as done."""

from __future__ import annotations

import copy
from dataclasses import replace

import pytest

from assistant.messages.decisions import NotAsNeeded, PutBackDone
from assistant.procedure.model import Procedure
from assistant.records.summary.gaps import Lacks, gaps_of
from assistant.records.summary.labels import Titles
from assistant.session.agenda.put_back import put_back_items
from assistant.session.dialog_state import Mode
from assistant.session.fold import results
from tests.session.conversation import PROCEDURE, Conversation, context
from tests.session.transitions.rows import MEASURED

ITEM = "plug clipped in, left"


def at_the_list() -> Conversation:
    rows = copy.deepcopy(PROCEDURE)
    rows["access"][0]["looks"] = {"plug clipped in, {place}": "a new plug"}
    talk = (
        Conversation(replace(context(), procedure=Procedure.model_validate(rows))).begin().dialog((*MEASURED, "no"))
    )
    assert talk.mode is Mode.PUT_BACK
    for _ in range(9):
        items, item = put_back_items(talk.context, talk.now), talk.now.dialog.item or 0
        if items[item] == ITEM:
            return talk
        talk.hear("yes")
    raise AssertionError("the look never came")


@pytest.mark.parametrize("words", ["no", "no, lining's only 3/16", "it's only three sixteenths"])
def test_a_look_that_is_not_so_is_logged_as_found(words: str) -> None:
    talk = at_the_list()
    said = talk.text(talk.hear(words))
    assert "needs a new plug" in said
    while talk.mode is Mode.PUT_BACK:
        talk.hear("yes")
    found = [one for one in talk.decisions if isinstance(one, NotAsNeeded)]
    assert [(one.item, one.heard) for one in found] == [(ITEM, words.replace(",", ""))] or found[0].item == ITEM
    assert all(ITEM not in one.items for one in talk.decisions if isinstance(one, PutBackDone))
    gaps = gaps_of(results(talk.context, talk.now), Titles(), ())
    assert [gap.what for gap in gaps if gap.why is Lacks.NEED] == [ITEM]


def test_a_yes_to_it_is_back_and_a_no_to_work_waits() -> None:
    talk = at_the_list()
    talk.hear("yes")
    while talk.mode is Mode.PUT_BACK:
        talk.hear("no")
        assert "Take your time" in talk.text(talk.said[-2:])
        talk.hear("yes")
    assert not any(isinstance(one, NotAsNeeded) for one in talk.decisions)
    assert any(ITEM in one.items for one in talk.decisions if isinstance(one, PutBackDone))
