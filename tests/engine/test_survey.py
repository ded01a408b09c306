"""Surveys: in order, in any order by voice, skipped and come back to, compared, summed up, and taken up again."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from assistant.engine.asking import expectation
from assistant.engine.decisions import Ended, Ending, ObservationWithdrawn, Phase, PhaseEntered, PutBackDone, Remarked
from assistant.engine.setting import Setting
from assistant.engine.state import fold
from assistant.engine.surveying import outliers, tasks_of
from assistant.engine.view import Task
from assistant.messages import Grade, Resumed
from assistant.procedure.model import Procedure
from tests.engine.conversation import Conversation, keys, setting

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


def survey(**changes: Any) -> Setting:
    """A setting with the invented survey."""
    return replace(setting(), procedure=Procedure.model_validate({**SURVEY, **changes}))


def play(talk: Conversation, strokes: dict[str, str], *, until: str = "") -> Conversation:
    """Answer what is asked: strokes by place, everything looks sound."""
    for _ in range(60):
        kind, _, rest = talk.prompt.partition(":")
        if talk.finished or talk.prompt == until:
            return talk
        if kind == "check" and rest.startswith("stroke"):
            talk.hear(f"{strokes.get(rest.rpartition(':')[2], '1.2')} inches")
        elif kind == "check":
            talk.hear("sound")
        else:
            talk.hear("yes")
    raise AssertionError(f"stuck at {talk.prompt}")


def test_every_position_is_read_in_order_and_the_end_is_complete() -> None:
    talk = play(Conversation(survey()).begin().talk(BEGIN), {})
    assert [(seen.check, seen.place) for seen in talk.now.observations] == [
        (check, place) for place in PLACES for check in ("stroke", "look")
    ]
    phases = [one.phase for one in talk.decisions if isinstance(one, PhaseEntered)]
    assert phases == [Phase.CAUTIONS, Phase.FACTS, Phase.SURVEYING, Phase.CLOSING]
    assert talk.finished == "survey complete"
    assert any(isinstance(one, PutBackDone) for one in talk.decisions)
    assert "We have read 8, and 8 of them are good." in talk.text(talk.said)
    assert talk.folded() == talk.now.settled()


def test_a_place_named_is_gone_to_next_and_the_walk_goes_on_from_there() -> None:
    talk = Conversation(survey()).begin().talk([*BEGIN, "yes", "next", "1.2 inches", "right rear next"])
    assert talk.prompt == "check:look:right rear"
    talk.talk(["sound"])
    assert talk.prompt == "check:look:left front", "from the last one it goes round to the first that is open"
    talk.talk(["go to road side rear"])
    assert talk.prompt == "check:look:left rear"
    assert keys(talk.hear("left rear"))[0] == "already_there"
    assert talk.folded() == talk.now.settled()
    assert play(talk, {}).finished == "survey complete"


def test_places_are_heard_only_in_a_survey_and_are_no_answers() -> None:
    talk = Conversation(survey()).begin().talk([*BEGIN, "yes", "next"])
    wanted = expectation(talk.setting, talk.now)
    assert [jump.name for jump in wanted.jumps] == list(PLACES)
    assert not wanted.choices
    assert not expectation(setting(), Conversation().begin().talk(["ready", "yes", "drum", "no", "72"]).now).jumps


def test_what_was_skipped_comes_back_once_and_may_be_left_out() -> None:
    talk = Conversation(survey()).begin().talk([*BEGIN, "yes", "next", "skip", "too hot"])
    assert talk.prompt == "check:look:left front"
    play(talk, {}, until="check:stroke:left front")
    talk.talk(["skip", "still too hot"])
    assert talk.now.phase is Phase.CLOSING
    assert "Not read: pushrod stroke, left front." in talk.text(talk.said)
    play(talk, {})
    assert talk.finished == "survey, not complete"
    ended = [one for one in talk.decisions if isinstance(one, Ended)]
    assert ended[0].ending is Ending.SURVEYED_IN_PART


def test_a_skipped_opening_passes_by_what_stands_behind_it() -> None:
    talk = Conversation(survey()).begin().talk([*BEGIN, "yes", "skip", "bolt stuck"])
    assert talk.prompt == "check:look:left front"


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
    talk = Conversation(survey()).begin().talk(["ready", "yes", chamber])
    play(talk, {place: high}, until=f"check:stroke:{place}")
    assert expectation(talk.setting, talk.now).high == Decimal(high)
    talk.hear(f"{high} inches")
    seen = talk.now.observations[-1]
    assert (seen.limit_high, seen.limit_source) == (Decimal(high), source)
    assert seen.verdict is not None
    assert seen.verdict.grade is not Grade.BAD_HIGH


def test_a_bad_one_and_an_outlier_are_named_in_the_summary_and_kept_in_the_record() -> None:
    """Good readings 1.2, 1.2, 1.2, 1.9: the last stands out; without a known meter a tenth of the median counts."""
    talk = play(Conversation(survey()).begin().talk(BEGIN), {"right rear": "1.9"})
    text = talk.text(talk.said)
    assert "Pushrod stroke, right rear stands out: 1.9 in. The others lie around 1.2 in." in text
    assert any(isinstance(one, Remarked) and "stands out" in one.what for one in talk.decisions)
    bad = play(Conversation(survey()).begin().talk(BEGIN), {"left rear": "2.4"})
    assert "Not good: pushrod stroke, left rear." in bad.text(bad.said)
    assert not outliers(bad.now), "three good ones compare nothing"


def test_a_reading_within_the_meters_uncertainty_never_stands_out() -> None:
    """1.20, 1.20, 1.20, 1.25: no spread at all among three, yet a twentieth is less than the meter is good for."""
    talk = play(Conversation(survey()).begin().talk(BEGIN), {"right rear": "1.25"})
    assert not outliers(talk.now)


def test_a_place_read_again_replaces_its_reading() -> None:
    talk = Conversation(survey(checks=SURVEY["checks"][:1])).begin().talk([*BEGIN, "yes", "next", "1.2 inches"])
    first = talk.now.observations[-1].number
    talk.talk(["left front next", "1.3 inches"])
    assert ObservationWithdrawn(first, "read again") in talk.decisions
    assert [seen.value for seen in talk.now.observations] == [Decimal("1.3")]


def test_scratch_that_asks_the_last_position_again_also_at_the_end() -> None:
    talk = Conversation(survey()).begin().talk([*BEGIN, "yes", "next", "1.2 inches", "scratch that"])
    assert talk.prompt == "check:stroke:left front"
    play(talk, {}, until="close:put back")
    talk.hear("scratch that")
    assert talk.now.phase is Phase.SURVEYING
    assert talk.prompt == "check:look:right rear"
    assert play(talk, {}).finished == "survey complete"


def test_where_and_whats_left_tell_what_is_to_be_read() -> None:
    talk = Conversation(survey()).begin().talk([*BEGIN, "yes", "next", "1.2 inches"])
    text = talk.text(talk.hear("where are we"))
    assert "We are reading position by position. One reading so far." in text
    assert "look, left front" in talk.text(talk.hear("what's left"))
    assert "next position" in talk.text(talk.hear("why"))


@pytest.mark.parametrize("number", range(4, 20))
def test_kill_and_resume_at_every_record(number: int) -> None:
    talk = play(Conversation(survey()).begin().talk(BEGIN), {"left rear": "2.4"})
    decisions = [one for record in talk.records[:number] for one in record.decisions]
    later = Conversation(talk.setting, decisions=list(decisions))
    later.state = fold(talk.setting, decisions)
    later.feed(Resumed(5))
    assert play(later, {"left rear": "2.4"}).finished == "survey complete"
    assert later.folded() == later.now.settled()


def test_the_order_goes_place_by_place_where_checks_share_a_group() -> None:
    alone = {**SURVEY["checks"][1], "name": "air", "title": "air", "each": None, "ask": "Air lines sound or cracked?"}
    talk = Conversation(survey(checks=[alone, *SURVEY["checks"]])).begin().talk(BEGIN)
    assert tasks_of(talk.setting, talk.now)[:3] == (
        Task("air"),
        Task("stroke", "left front"),
        Task("look", "left front"),
    )


def test_a_survey_needs_no_faults_and_any_other_procedure_does() -> None:
    with pytest.raises(ValueError, match="faults"):
        Procedure.model_validate({**SURVEY, "kind": "find"})
