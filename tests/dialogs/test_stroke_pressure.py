"""Strokes at the wrong air pressure: 49 CFR 393.47(e) measures them at 90 to 100 psi (from memory)."""

from __future__ import annotations

from assistant.messages import Grade, Why
from assistant.messages.decisions import ObservationWithdrawn, Observed
from assistant.phrasing.verdicts import graded
from tests.dialogs.test_surveys import play
from tests.session.conversation import Conversation

NAME = "pushrod-stroke"


def told(*answers: tuple[str, str]) -> Conversation:
    """A survey with these answers at these prompts, each once, in order; else those of a sound unit."""
    left = list(answers)

    def change(prompt: str) -> str | None:
        if left and prompt == left[0][0]:
            return left.pop(0)[1]
        return None

    talk = play(NAME, change)
    assert not left, left
    return talk


def strokes(talk: Conversation) -> list[Observed]:
    return [one for one in talk.now.observations if one.check == "stroke"]


def test_a_pressure_out_of_its_limits_is_put_right_before_a_stroke_is_read() -> None:
    talk = told(("check:pressure", "60"), ("check:pressure", "95"))
    assert talk.finished == "survey complete"
    assert [str(one.value) for one in talk.now.observations if one.check == "pressure"] == ["95"]
    assert all((one.conditions or {})["pressure"] == "95 psi" for one in strokes(talk))
    assert "fill or bleed" in talk.text(talk.said)


def test_strokes_read_all_the_same_get_no_verdict_but_one_that_is_over_at_too_little() -> None:
    talk = told(
        ("check:pressure", "60"),
        ("check:pressure", "skip"),
        ("check:stroke:left second axle", "two and a half"),
    )
    seen = {one.place: one for one in strokes(talk)}
    assert [graded(one) for one in seen.values()] == ["no verdict", "too high", "no verdict", "no verdict"]
    assert {(one.conditions or {})["pressure"] for one in seen.values()} == {"60 psi"}


def test_strokes_before_a_pressure_that_was_too_low_at_the_end_are_read_again() -> None:
    talk = told(("check:pressure at the end", "70"))
    assert talk.finished == "survey complete"
    assert len(strokes(talk)) == 4
    ends = [one for one in talk.now.observations if one.check == "pressure at the end"]
    assert [one.verdict.grade for one in ends if one.verdict] == [Grade.GOOD]
    again = [one for one in talk.decisions if isinstance(one, ObservationWithdrawn)]
    assert {one.because.why for one in again} == {Why.NOT_UNDER}
    assert len(again) == 6


def test_a_count_that_the_readings_contradict_is_asked_about() -> None:
    over = ("check:stroke:left second axle", "two and a half")
    talk = told(over, ("check:brakes that count", "none"), ("confirm:check:brakes that count", "no"),
                ("check:brakes that count", "one in five or more"), ("check:why it did not adjust", "none is over"),
                ("confirm:check:why it did not adjust", "no"),
                ("check:why it did not adjust", "worn or loose"))  # fmt: skip
    assert "1 of 4" in talk.text(talk.said)
    shown = {one.check: one.choice for one in talk.now.observations if one.place is None}
    assert shown["brakes that count"] == "one in five or more"
