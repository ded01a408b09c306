"""Talk that no rule knows, in a session: answered, asked by its name, and counted only after a yes."""

from __future__ import annotations

from assistant.messages.decisions import Ended, FactAnswered, NoteTaken, Observed, Remarked, Skipped
from assistant.messages.reasons import Why
from assistant.session.dialog_state import Mode
from tests.session.conversation import Conversation
from tests.session.partner_tables import scene


def at(name: str) -> Conversation:
    start = scene(name)
    return Conversation(start.context, start.now)


def start_prompt() -> str:
    return scene("left rear ohms").prompt


def test_a_question_is_answered_and_the_prompt_stays() -> None:
    talk = at("left rear ohms")
    before = start_prompt()
    talk.hear("who's got the top number of all them wheels")
    asked = [one.what for one in talk.decisions if isinstance(one, Remarked)]
    assert [(one.why, one.slots["about"]) for one in asked] == [(Why.ASKED, "highest")]
    assert talk.prompt == before


def test_a_skip_is_asked_and_then_done() -> None:
    talk = at("left rear ohms")
    said = talk.hear("i reckon we leave that one out")
    assert "Skip this one?" in talk.text(said)
    assert talk.mode is Mode.CONFIRM
    talk.hear("yes")
    assert talk.mode is Mode.REASON
    talk.hear("no room")
    assert [one.reason for one in talk.decisions if isinstance(one, Skipped)] == ["no room"]


def test_a_no_leaves_it_as_it_was() -> None:
    talk = at("left rear ohms")
    before = start_prompt()
    talk.hear("i reckon we leave that one out")
    talk.hear("no")
    assert talk.prompt == before
    assert not any(isinstance(one, Skipped) for one in talk.decisions)
    talk.hear("eleven eighty")
    assert [f"{one.value}" for one in talk.decisions if isinstance(one, Observed)] == ["1180"]


def test_the_end_is_asked_once() -> None:
    talk = at("left rear ohms")
    talk.hear("i'd say we wrap this up for today")
    assert talk.mode in (Mode.STOP, Mode.CONFIRM)
    assert not any(isinstance(one, Ended) for one in talk.decisions)


def test_talk_to_somebody_else_counts_nothing() -> None:
    talk = at("left rear ohms")
    talk.hear("what time does the taco truck come")
    assert not any(isinstance(one, Observed | Skipped | NoteTaken | FactAnswered) for one in talk.decisions)


def test_work_under_way_is_waited_for() -> None:
    talk = at("done")
    keys = [say.key for say in talk.hear("gimme time i'm still wrestling with this cover")]
    assert "take_time" in keys
    assert talk.mode is Mode.ACCESS


def test_another_wheel_is_answered_for_where_only_its_side_is_named() -> None:
    talk = at("left rear ohms")
    keys = [say.key for say in talk.hear("compare that with the other wheel for me what did it give")]
    assert "nothing_read_at" in keys
    assert "right rear" in talk.text(talk.said[-1:]).lower()


def test_what_nobody_can_tell_of_a_reading_is_passed_by_after_a_yes() -> None:
    talk = at("left rear ohms")
    talk.hear("your guess is as good as mine on that")
    assert not any(isinstance(one, Skipped) for one in talk.decisions)
