"""Surveys: in order, in any order by voice, skipped and come back to, compared, summed up, and taken up again."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from assistant.diagnosis.fault_model import Task
from assistant.messages import Grade, Reason, Resumed, Why
from assistant.messages.decisions import (
    Ended,
    Ending,
    ObservationWithdrawn,
    Phase,
    PhaseEntered,
    PutBackDone,
    Remarked,
)
from assistant.procedure.model import Procedure
from assistant.session.agenda.surveying import outliers, tasks_of
from assistant.session.context import Context
from assistant.session.fold import fold
from assistant.session.saying.questions import expectation
from tests.session.conversation import Conversation, context, keys

PLACES = ("left front", "right front", "left rear", "right rear")
SURVEY: dict[str, Any] = {
    "format": 1,
    "kind": "survey",
    "name": "stroke-survey",
    "title": "invented stroke survey",
    "summary": "Reads the stroke and the look of every chamber of an invented trailer.",
    "complaint": "Brake survey.",
    "cautions": [
        {"name": "chocks", "say": "Chock it.", "source": "from memory", "first": True},
        {"name": "fingers", "say": "Fingers clear of the rod.", "source": "from memory"},
    ],
    "facts": [
        {"name": "chamber", "ask": "Which ones?", "choices": [{"name": "small"}, {"name": "large"}], "unsure": False}
    ],
    "places": [{"name": place, "group": "chamber", "also": [place.replace("left", "road side")]} for place in PLACES],
    "access": [
        {"name": "cover", "say": "{place}: cover off.", "minutes": 1, "each": "chamber", "cautions": ["fingers"],
         "put_back": ["{place} cover on"]},
    ],
    "checks": [
        {
            "name": "stroke", "title": "pushrod stroke", "ask": "{place}: stroke in inches?", "each": "chamber",
            "unit": "in", "span": ["0", "4"], "minutes": 1, "needs": ["cover"],
            "limits": {"high": "2", "source": "invented"},
            "limits_when": [
                {"when": {"chamber": "large", "place": ["left front", "right front"]},
                 "limits": {"high": "1.5", "source": "invented, large in front"}},
                {"when": {"chamber": "large"}, "limits": {"high": "2.5", "source": "invented, large"}},
            ],
        },
        {
            "name": "look", "title": "look", "ask": "{place}: sound or cracked?", "each": "chamber", "kind": "choice",
            "choices": [{"name": "sound"}, {"name": "cracked"}], "otherwise": "sound", "minutes": 1,
        },
    ],
}  # fmt: skip
BEGIN = ("ready", "yes", "small")


def survey(**changes: Any) -> Context:
    """A setting with the invented survey."""
    return replace(context(), procedure=Procedure.model_validate({**SURVEY, **changes}))


def play(dialog: Conversation, strokes: dict[str, str], *, until: str = "") -> Conversation:
    """Answer what is asked: strokes by place, everything looks sound."""
    for _ in range(60):
        kind, _, rest = dialog.prompt.partition(":")
        if dialog.finished or dialog.prompt == until:
            return dialog
        if kind == "check" and rest.startswith("stroke"):
            dialog.hear(f"{strokes.get(rest.rpartition(':')[2], '1.2')} inches")
        elif kind == "check":
            dialog.hear("sound")
        else:
            dialog.hear("yes")
    raise AssertionError(f"stuck at {dialog.prompt}")


def test_every_position_is_read_in_order_and_the_end_is_complete() -> None:
    dialog = play(Conversation(survey()).begin().dialog(BEGIN), {})
    assert [(seen.check, seen.place) for seen in dialog.now.observations] == [
        (check, place) for place in PLACES for check in ("stroke", "look")
    ]
    phases = [one.phase for one in dialog.decisions if isinstance(one, PhaseEntered)]
    assert phases == [Phase.CAUTIONS, Phase.FACTS, Phase.SURVEYING, Phase.CLOSING]
    assert dialog.finished == "survey complete"
    assert any(isinstance(one, PutBackDone) for one in dialog.decisions)
    assert "We have read 8, and 8 of them are good." in dialog.text(dialog.said)
    assert dialog.folded() == dialog.now.settled()


def test_a_place_named_is_gone_to_next_and_the_walk_goes_on_from_there() -> None:
    dialog = Conversation(survey()).begin().dialog([*BEGIN, "yes", "next", "1.2 inches", "right rear next"])
    assert dialog.prompt == "check:look:right rear"
    dialog.dialog(["sound"])
    assert dialog.prompt == "check:look:left front", "from the last one it goes round to the first that is open"
    dialog.dialog(["go to road side rear"])
    assert dialog.prompt == "check:look:left rear"
    assert keys(dialog.hear("left rear"))[0] == "already_there"
    assert dialog.folded() == dialog.now.settled()
    assert play(dialog, {}).finished == "survey complete"


def test_places_are_heard_only_in_a_survey_and_are_no_answers() -> None:
    dialog = Conversation(survey()).begin().dialog([*BEGIN, "yes", "next"])
    wanted = expectation(dialog.context, dialog.now)
    assert [jump.name for jump in wanted.jumps] == list(PLACES)
    assert not wanted.choices
    assert not expectation(context(), Conversation().begin().dialog(["ready", "yes", "drum", "no", "72"]).now).jumps


def test_what_was_skipped_comes_back_once_and_may_be_left_out() -> None:
    dialog = Conversation(survey()).begin().dialog([*BEGIN, "yes", "next", "skip", "too hot"])
    assert dialog.prompt == "check:look:left front"
    play(dialog, {}, until="check:stroke:left front")
    dialog.dialog(["skip", "still too hot"])
    assert dialog.now.phase is Phase.CLOSING
    assert "Not read: pushrod stroke, left front." in dialog.text(dialog.said)
    play(dialog, {})
    assert dialog.finished == "survey, not complete"
    ended = [one for one in dialog.decisions if isinstance(one, Ended)]
    assert ended[0].ending is Ending.SURVEYED_IN_PART


def test_a_skipped_opening_passes_by_what_stands_behind_it() -> None:
    dialog = Conversation(survey()).begin().dialog([*BEGIN, "yes", "skip", "bolt stuck"])
    assert dialog.prompt == "check:look:left front"


@pytest.mark.parametrize(
    ("chamber", "place", "high", "source"),
    [
        ("small", "left front", "2", "invented"),
        ("large", "left front", "1.5", "invented, large in front"),
        ("large", "left rear", "2.5", "invented, large"),
    ],
)
def test_limits_follow_the_facts_and_the_place(chamber: str, place: str, high: str, source: str) -> None:
    """A stroke equal to its limit passes (49 CFR 393.47 words it as 'not greater than', FACTS 1d)."""
    dialog = Conversation(survey()).begin().dialog(["ready", "yes", chamber])
    play(dialog, {place: high}, until=f"check:stroke:{place}")
    assert expectation(dialog.context, dialog.now).high == Decimal(high)
    dialog.hear(f"{high} inches")
    seen = dialog.now.observations[-1]
    assert (seen.limit_high, seen.limit_source) == (Decimal(high), source)
    assert seen.verdict is not None
    assert seen.verdict.grade is not Grade.BAD_HIGH


def test_a_bad_one_and_an_outlier_are_named_in_the_summary_and_kept_in_the_record() -> None:
    """Good readings 1.2, 1.2, 1.2, 1.9: the last stands out; without a known meter a tenth of the median counts."""
    dialog = play(Conversation(survey()).begin().dialog(BEGIN), {"right rear": "1.9"})
    text = dialog.text(dialog.said)
    assert "Pushrod stroke, right rear stands out: 1.9 in. The others lie around 1.2 in." in text
    assert any(isinstance(one, Remarked) and one.what.why is Why.STANDS_OUT for one in dialog.decisions)
    bad = play(Conversation(survey()).begin().dialog(BEGIN), {"left rear": "2.4"})
    assert "Out of limits or faulty: pushrod stroke, left rear." in bad.text(bad.said)
    assert not outliers(bad.now), "three good ones compare nothing"


def test_a_reading_within_the_meters_uncertainty_never_stands_out() -> None:
    """1.20, 1.20, 1.20, 1.25: no spread at all among three, yet a twentieth is less than the meter is good for."""
    dialog = play(Conversation(survey()).begin().dialog(BEGIN), {"right rear": "1.25"})
    assert not outliers(dialog.now)


def test_a_place_read_again_replaces_its_reading() -> None:
    dialog = Conversation(survey(checks=SURVEY["checks"][:1])).begin().dialog([*BEGIN, "yes", "next", "1.2 inches"])
    first = dialog.now.observations[-1].number
    dialog.dialog(["left front next", "1.3 inches"])
    assert ObservationWithdrawn(first, Reason(Why.READ_AGAIN)) in dialog.decisions
    assert [seen.value for seen in dialog.now.observations] == [Decimal("1.3")]


def test_scratch_that_asks_the_last_position_again_also_at_the_end() -> None:
    dialog = Conversation(survey()).begin().dialog([*BEGIN, "yes", "next", "1.2 inches", "scratch that"])
    assert dialog.prompt == "check:stroke:left front"
    play(dialog, {}, until="close:put back")
    dialog.hear("scratch that")
    assert dialog.now.phase is Phase.SURVEYING
    assert dialog.prompt == "check:look:right rear"
    assert play(dialog, {}).finished == "survey complete"


def test_where_and_whats_left_tell_what_is_to_be_read() -> None:
    dialog = Conversation(survey()).begin().dialog([*BEGIN, "yes", "next", "1.2 inches"])
    text = dialog.text(dialog.hear("where are we"))
    assert "We are reading position by position. One reading so far." in text
    assert "look, left front" in dialog.text(dialog.hear("what's left"))
    assert "next position" in dialog.text(dialog.hear("why"))


@pytest.mark.parametrize("number", range(4, 20))
def test_kill_and_resume_at_every_record(number: int) -> None:
    dialog = play(Conversation(survey()).begin().dialog(BEGIN), {"left rear": "2.4"})
    decisions = [one for record in dialog.records[:number] for one in record.decisions]
    later = Conversation(dialog.context, decisions=list(decisions))
    later.state = fold(dialog.context, decisions)
    later.feed(Resumed(5))
    assert play(later, {"left rear": "2.4"}).finished == "survey complete"
    assert later.folded() == later.now.settled()


def test_the_order_goes_place_by_place_where_checks_share_a_group() -> None:
    alone = {**SURVEY["checks"][1], "name": "air", "title": "air", "each": None, "ask": "Air lines sound or cracked?"}
    dialog = Conversation(survey(checks=[alone, *SURVEY["checks"]])).begin().dialog(BEGIN)
    assert tasks_of(dialog.context, dialog.now)[:3] == (
        Task("air"),
        Task("stroke", "left front"),
        Task("look", "left front"),
    )


def test_a_survey_needs_no_faults_and_any_other_procedure_does() -> None:
    with pytest.raises(ValueError, match="faults"):
        Procedure.model_validate({**SURVEY, "kind": "find"})
