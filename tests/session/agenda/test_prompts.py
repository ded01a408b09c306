"""Names with colons: a session asks, skips, records and resumes them like any other."""

from __future__ import annotations

import json
from copy import deepcopy
from functools import lru_cache

from assistant.messages import PromptKind, Resumed
from assistant.messages.decisions import Skipped
from assistant.procedure.model import Procedure
from assistant.records.journal.decisions import read_decision, write_decision
from assistant.session.agenda import prompts
from assistant.session.context import Context
from assistant.session.fold import fold
from tests.session.conversation import PROCEDURE, TO_FINDING, Conversation, vocabulary
from tests.session.test_property import forward

PLUG = "plug: wheel end"


@lru_cache(maxsize=1)
def procedure() -> Procedure:
    """The invented procedure with an access whose name holds a colon."""
    tables = deepcopy(PROCEDURE)
    tables["access"][0]["name"] = PLUG
    for row in (*tables["access"], *tables["checks"]):
        row["needs"] = [PLUG if name == "plug" else name for name in row.get("needs", [])]
    return Procedure.model_validate(tables)


def test_an_access_with_a_colon_is_skipped_once_and_not_asked_again() -> None:
    dialog = Conversation(Context(procedure(), vocabulary(), unit_number="0419")).begin().dialog(TO_FINDING)
    asked: list[str] = []
    for _ in range(40):
        if dialog.finished:
            break
        at = dialog.prompt
        if at.startswith("access:plug"):
            asked.append(at)
            dialog.dialog(["skip", "no pliers"])
        else:
            dialog.hear(forward(dialog))
    assert dialog.finished
    assert asked
    assert len(asked) == len(set(asked)), "each is asked once"
    passed_by = [one.prompt for one in dialog.decisions if isinstance(one, Skipped)]
    assert {str(prompt) for prompt in passed_by if prompt.kind is PromptKind.ACCESS} == set(asked)


def test_a_skipped_access_with_a_colon_stays_skipped_after_resuming() -> None:
    dialog = Conversation(Context(procedure(), vocabulary(), unit_number="0419")).begin().dialog(TO_FINDING)
    while not dialog.prompt.startswith("access:plug"):
        dialog.hear({"check:ground drop": "0.02"}.get(dialog.prompt, "yes"))
    at = dialog.prompt
    dialog.dialog(["skip", "no pliers"])
    assert dialog.prompt != at
    lines = [json.dumps(write_decision(one)) for one in dialog.decisions]
    read = [read_decision(line.encode()) for line in lines]
    assert read == dialog.decisions
    later = Conversation(dialog.context, fold(dialog.context, read))
    later.feed(Resumed(1.0))
    assert later.prompt == dialog.prompt


def test_a_prompt_that_is_kept_is_the_one_that_follows_from_the_record() -> None:
    """At every step of a session that skips, takes back and goes to its end, beside another one on another unit."""
    contexts = [Context(procedure(), vocabulary(), unit_number=unit) for unit in ("0419", "77")]
    talks = [Conversation(one).begin() for one in contexts]
    seen = set()
    for number in range(60):
        for dialog in talks:
            state = dialog.state
            assert state is not None
            kept = prompts.main(dialog.context, state)
            assert kept is prompts.main(dialog.context, state.settled())
            assert kept == prompts._main(dialog.context, state)
            seen.add(kept)
            if not dialog.finished:
                dialog.hear("scratch that" if number % 11 == 10 else forward(dialog))
    assert all(dialog.finished for dialog in talks)
    assert len(seen) > 15
    assert len(prompts._kept) <= prompts.KEPT
