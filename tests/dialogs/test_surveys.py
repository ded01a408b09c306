"""The surveys of the pack: limits row by row against their source, and each one played from greeting to table."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade, Limits, Why
from assistant.messages.decisions import Remarked
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check, Procedure
from assistant.session.agenda.surveying import outliers, tasks_of
from assistant.session.context import Context
from assistant.verdict.judge import judge
from tests.session.conversation import Conversation, vocabulary

SURVEYS = ("pushrod-stroke", "seven-way-survey", "tire-tread-depth", "wheel-speed-sensor-survey")
PROCEDURES: dict[str, Procedure] = {name: load_procedure(name).procedure for name in SURVEYS}

# 49 CFR 393.47(e), in inches. From memory, except clamp types 20, 30 and 36 and the long-stroke 30, seen on secondary
# pages. The stroke 'must not be greater than' the value: equal to it passes.
CLAMP = {"six": "1 1/4", "nine": "1 3/8", "twelve": "1 3/8", "sixteen": "1 3/4", "twenty": "1 3/4",
         "twenty four": "1 3/4", "thirty": "2", "thirty six": "2 1/4"}  # fmt: skip
LONG_STROKE = {"twelve": "1 3/4", "sixteen": "2", "twenty": "2", "twenty four": "2", "thirty": "2 1/2"}
THREE_INCH = {"twenty": "2 1/2", "twenty four": "2 1/2"}
BOLTED = {"alfa": "1 3/8", "bravo": "1 3/4", "charlie": "1 3/4", "delta": "1 1/4", "echo": "1 3/8",
          "foxtrot": "2 1/4", "golf": "2"}  # fmt: skip
ROTARY = {"nine": "1 1/2", "twelve": "1 1/2", "sixteen": "2", "twenty": "2", "twenty four": "2", "thirty": "2 1/4",
          "thirty six": "2 3/4", "fifty": "3"}  # fmt: skip
KINDS = {"clamp": ("size", CLAMP), "long stroke": ("size", LONG_STROKE), "three inch stroke": ("size", THREE_INCH),
         "bolted": ("letter", BOLTED), "rotary": ("size", ROTARY)}  # fmt: skip
TABLE = [(kind, what, key, limit) for kind, (what, rows) in KINDS.items() for key, limit in rows.items()]


def inches(text: str) -> Decimal:
    value = sum((Fraction(part) for part in text.split()), Fraction(0))
    return Decimal(value.numerator) / Decimal(value.denominator)


def check_of(survey: str, name: str) -> Check:
    return next(check for check in PROCEDURES[survey].checks if check.name == name)


def stroke_limits(facts: dict[str, str], place: str) -> Limits:
    return limits_of(check_of("pushrod-stroke", "stroke"), facts, place)


@pytest.mark.parametrize(("kind", "what", "key", "limit"), TABLE)
@pytest.mark.parametrize("steer", [False, True])
def test_every_row_of_the_adjustment_limits(kind: str, what: str, key: str, limit: str, steer: bool) -> None:
    """49 CFR 393.47(e), all rows; at the limit passes, a sixteenth more fails."""
    prefix = "steer " if steer else ""
    facts = {"unit kind": "truck" if steer else "trailer", f"{prefix}chamber": kind, f"{prefix}{kind} {what}": key}
    if steer:
        facts |= {"chamber": "clamp", "clamp size": "thirty six"}
    found = stroke_limits(facts, "left first axle" if steer else "right second axle")
    assert found.high == inches(limit)
    assert "393.47" in found.source
    assert judge(inches(limit), "in", found).grade is Grade.GOOD
    assert judge(inches(limit) + Decimal("0.0625"), "in", found).grade is Grade.BAD_HIGH


def test_the_double_d_three() -> None:
    """49 CFR 393.47(e): DD-3 type 30, 2 1/4 inches, from memory."""
    assert stroke_limits({"unit kind": "trailer", "chamber": "d d three"}, "left first axle").high == Decimal("2.25")


def test_the_steer_axles_chamber_counts_only_there() -> None:
    facts = {"unit kind": "truck", "chamber": "long stroke", "long stroke size": "thirty",
             "steer chamber": "clamp", "steer clamp size": "twenty"}  # fmt: skip
    assert stroke_limits(facts, "left first axle").high == Decimal("1.75")
    assert stroke_limits(facts, "left second axle").high == Decimal("2.5")


def test_the_limits_of_the_stroke_are_the_tables_and_no_more() -> None:
    check = check_of("pushrod-stroke", "stroke")
    assert len(check.limits_when) == 2 * (len(TABLE) + 1)
    assert check.limits is not None
    assert check.limits.high == min(inches(limit) for *_, limit in TABLE), "a type not known gets the smallest limit"


@pytest.mark.parametrize(
    ("psi", "grade"), [("89", Grade.BAD_LOW), ("90", Grade.GOOD), ("100", Grade.GOOD), ("101", Grade.BAD_HIGH)]
)
def test_the_stroke_is_read_at_90_to_100_psi(psi: str, grade: Grade) -> None:
    """49 CFR 393.47(e), from memory."""
    found = limits_of(check_of("pushrod-stroke", "pressure"), {})
    assert judge(Decimal(psi), "psi", found).grade is grade


@pytest.mark.parametrize(
    ("place", "depth", "grade"),
    [
        ("left steer", "4", Grade.GOOD),
        ("left steer", "3", Grade.BAD_LOW),
        ("right rear outer", "2", Grade.GOOD),
        ("right rear outer", "1", Grade.BAD_LOW),
        ("left forward single", "2", Grade.GOOD),
    ],
)
def test_tread_depth_limits(place: str, depth: str, grade: Grade) -> None:
    """49 CFR 393.75(b) and (c), from memory: 4/32 in front, 2/32 elsewhere; equal to the limit passes."""
    found = limits_of(check_of("tire-tread-depth", "tread"), {"unit kind": "truck"}, place)
    assert judge(Decimal(depth), "32nds", found).grade is grade


@pytest.mark.parametrize(("pin", "volts"), [("pin four", "12.5"), ("pin seven", "12.5"), ("pin two", "12.0")])
def test_the_seven_ways_published_pins(pin: str, volts: str) -> None:
    """TMC RP 137 as cited in FHWA-MC-98-008, pages 32 and 41: pins 4 and 7, 12.5 V at 10 A."""
    assert limits_of(check_of("seven-way-survey", "tractor volts"), {}, pin).low == Decimal(volts)


FACTS: dict[str, dict[str, str]] = {
    "pushrod-stroke": {"unit kind": "trailer", "axles": "two axles", "chamber": "clamp", "clamp size": "thirty"},
    "tire-tread-depth": {"unit kind": "truck", "axles": "two axles", "tires": "duals"},
    "wheel-speed-sensor-survey": {"unit kind": "trailer", "axles": "two axles", "lowest AC range": "automatic"},
    "seven-way-survey": {"plug": "round pins"},
}
GOOD = {"pressure": "95", "stroke": "one and three sixteenths", "tread": "twelve", "ohms": "1200",
        "to ground": "over range",
        "output": "point four", "tractor ground": "point one", "cord ground": "point one", "tractor volts": "13.2",
        "cord volts": "12.8"}  # fmt: skip


def answer(name: str, prompt: str) -> str:
    """What a sound unit answers."""
    kind, _, rest = prompt.partition(":")
    if kind == "fact":
        if rest in FACTS[name]:
            return FACTS[name][rest]
        return {"unit number": "four zero one nine", "lead ohms": "point two"}.get(rest, "seventy two")
    if kind == "check":
        check = next(check for check in PROCEDURES[name].checks if rest.startswith(check.name))
        return GOOD[check.name] if check.kind == "reading" else check.otherwise
    return {"ready": "ready", "confirm": "yes", "caution": "yes"}.get(kind, "next")


def play(name: str, change: Callable[[str], str | None] = lambda prompt: None) -> Conversation:
    """Play a survey to its end; ``change`` gives another answer to a prompt, or None."""
    talk = Conversation(Context(PROCEDURES[name], vocabulary())).begin()
    for _ in range(200):
        if talk.finished:
            return talk
        talk.hear(change(talk.prompt) or answer(name, talk.prompt))
    raise AssertionError(f"stuck at {talk.prompt}: {talk.text(talk.said[-3:])}")


@pytest.mark.parametrize("name", SURVEYS)
def test_a_sound_unit_is_surveyed_to_the_end(name: str) -> None:
    talk = play(name)
    assert talk.finished == "survey complete"
    seen = [(one.check, one.place) for one in talk.now.observations]
    assert seen == [(task.check, task.place) for task in tasks_of(talk.context, talk.now)]
    sums = {check.name for check in talk.context.procedure.checks if check.sums_up and check.each is None}
    counted = [one for one in seen if one[0] not in sums]  # what sums up the others is no reading of its own
    assert f"{len(counted)} of them are good" in talk.text(talk.said)


def test_places_go_down_one_side_and_back_up_the_other() -> None:
    places = [one.place for one in play("pushrod-stroke").now.observations if one.check == "stroke"]
    assert places == ["left first axle", "left second axle", "right second axle", "right first axle"]


@pytest.mark.parametrize(
    ("said", "bad"), [("two inches", False), ("two and a sixteenth", True), ("one and fifteen sixteenths", False)]
)
def test_a_spoken_fraction_is_judged(said: str, bad: bool) -> None:
    """Type 30 clamp: 2 inches (49 CFR 393.47(e)); 'must not be greater than'."""
    talk = play("pushrod-stroke", lambda prompt: said if prompt == "check:stroke:left second axle" else None)
    assert ("Out of limits or faulty: pushrod stroke, left second axle." in talk.text(talk.said)) is bad


def test_a_sensor_that_stands_out_among_good_ones_is_remarked() -> None:
    talk = play("wheel-speed-sensor-survey", lambda prompt: "2400" if prompt == "check:ohms:right rear" else None)
    assert [one.seen.place for one in outliers(talk.now)] == ["right rear"]
    assert any(isinstance(one, Remarked) and one.what.why is Why.STANDS_OUT for one in talk.decisions)


def test_a_backed_off_sensor_is_named_before_the_drum_goes_on() -> None:
    talk = play(
        "wheel-speed-sensor-survey", lambda prompt: "backed off" if prompt == "check:home:left rear" else None
    )
    assert "Out of limits or faulty: sensor against the tone ring, left rear." in talk.text(talk.said)


def test_a_place_can_be_named_at_any_tire() -> None:
    talk = Conversation(Context(PROCEDURES["tire-tread-depth"], vocabulary())).begin()
    while talk.prompt != "check:tread:left steer":
        talk.hear(answer("tire-tread-depth", talk.prompt))
    talk.hear("right rear outer next")
    assert talk.prompt == "check:tread:right rear outer"


def test_a_meter_whose_lowest_range_is_200_volts_is_not_asked_for_tenths() -> None:
    talk = Conversation(Context(PROCEDURES["wheel-speed-sensor-survey"], vocabulary())).begin()
    while talk.prompt != "fact:lowest AC range":
        talk.hear(answer("wheel-speed-sensor-survey", talk.prompt))
    talk.hear("two hundred")
    assert "output" not in {task.check for task in tasks_of(talk.context, talk.now)}
