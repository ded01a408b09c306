"""The put-back list of every procedure, after every opening in every order: nothing is closed before what it carries.

What stands on what is written down here by hand, from how an axle end is built, and not read from the procedures:
the hub carries the drum and the wheels, the stand carries all of them, a spring brake may only push against a drum
that is on and is uncaged before it is used, nuts are snugged while the wheel is up and torqued with the tire on the
ground, and a unit whose brakes were apart rolls only when they are adjusted, measured and tested. A battery is
strapped before its cables, its ground cable comes last, the box closes over cables that are on, and an engine is not
made ready to start while hands are on it. Common practice of the trade, no source, but for the stroke and the brakes
that work: 49 CFR 393.47 and 393.48.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import permutations

import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import fault_model
from assistant.messages import Reason, Why
from assistant.messages.decisions import (
    AccessOpened,
    Decision,
    FixDone,
    ObservationWithdrawn,
    Observed,
    PutBackDone,
)
from assistant.procedure.model import Access, Fix, Procedure
from assistant.session.agenda.put_back import put_back_cautions, put_back_items
from assistant.session.context import Context
from assistant.session.fold import apply_all, begin, fold
from tests.dialogs.test_pack import NAMES, procedure

KINDS = {
    "hub": r"\bhub, new seal\b|\bbearing end play\b",
    "seal looked at": r"\bhub seal and lining dry\b",
    "sensor home": r"\bsensor pushed home before the drum\b",
    "wheels on": r"\bwheels on\b",
    "snug": r"\bnuts snug\b",
    "torque": r"\bwheels torqued\b",
    "uncaged": r"\buncaged\b",
    "spring brake": r"\bbrakes? (?:set and )?back in service\b",
    "stand": r"\bstands?\b.*\bout\b",
    "adjusted": r"\bbrakes? adjusted, stroke\b",
    "tested": r"\bservice brakes tested, chocks in\b",
    "battery": r"\bbattery strapped\b|\bhold-downs\b",
    "ground cable": r"\bground cable on last\b",
    "engine side": r"\b(?:starter bolts|alternator bolts|belt guard|regulator and alternator|charging cable)\b",
    "box": r"^battery box closed$",
    "fuel": r"\bfuel on\b",
    "joint": r"(?<!socket's )\bscrews tight, lid closed\b|\bstretch tied up and sealed\b",
    "nose or junction box": r"^(?:nose|junction) box .*closed",
    "test gear": r"\b(?:pigtails?|loads|test lamps|tester)\b.*\boff$",
    "plug": r"\bplug (?:seated|at the)\b|\bsensor plug in its own port\b|^cord in\b|\bplug at the far end\b",
    "shield": r"\bdust shield\b",
}
"""Words that name each thing that is put back."""
DANGEROUS = re.compile(r"\b(?:drums?|wheels|hub|stands?|jack|(?:spring )?brakes? (?!hose)|fuel|battery|hold-downs)\b")
"""Words of a list that one of the kinds above must know."""
FACTS = (
    ("hub", "wheels on", True),
    ("seal looked at", "wheels on", True),
    ("sensor home", "wheels on", True),
    ("hub", "torque", True),
    ("wheels on", "spring brake", False),
    ("wheels on", "stand", False),
    ("snug", "stand", False),
    ("snug", "torque", True),
    ("stand", "torque", True),
    ("wheels on", "uncaged", True),
    ("hub", "uncaged", True),
    ("uncaged", "spring brake", True),
    ("uncaged", "stand", True),
    ("uncaged", "adjusted", True),
    ("uncaged", "tested", False),
    ("hub", "spring brake", False),
    ("hub", "stand", False),
    ("wheels on", "adjusted", True),
    ("adjusted", "tested", False),
    ("spring brake", "tested", False),
    ("stand", "tested", False),
    ("torque", "tested", False),
    ("battery", "ground cable", False),
    ("battery", "box", False),
    ("ground cable", "box", False),
    ("battery", "fuel", False),
    ("ground cable", "fuel", False),
    ("engine side", "fuel", False),
    ("joint", "nose or junction box", False),
    ("test gear", "plug", False),
    ("test gear", "shield", False),
    ("test gear", "nose or junction box", False),
    ("plug", "shield", True),
)
"""What comes before what, at the same place only (True) or anywhere on the unit (False): on an axle the other end's
stand carries too, and air releases every spring brake of a trailer."""
CAGED = "spring brake caged"
CHAMBER = re.compile(r"\bdrum off\b|\bhub off\b|\bbrake drags\b|\bchambers?\b(?! maker)")
"""What is said where a drum or a hub comes off, or the shoes or the chamber are worked on."""
BRAKES_APART = re.compile(r"\bdrum off\b|\bhub off\b|\bbrake drags\b|\bset the bearing\b")
"""What is said where brakes or a hub are worked on."""
PLACES = sorted({place.name for name in NAMES for place in procedure(name).places}, key=len, reverse=True)
ORDERS = 150
"""Random orders of everything that a procedure can open and do."""

Opening = tuple[Access | Fix, str | None]


@cache
def kinds_of(item: str) -> frozenset[str]:
    return frozenset(name for name, pattern in KINDS.items() if re.search(pattern, item))


@cache
def place_of(item: str) -> str:
    return next((place for place in PLACES if item.startswith(f"{place} ")), "")


def wrong(items: Sequence[str]) -> str:
    """The first fact that a list breaks, '' when it breaks none."""
    told = [(kinds_of(item), place_of(item), item) for item in items]
    for first, second, same in FACTS:
        for at, (kinds, place, item) in enumerate(told):
            if second not in kinds or first in kinds:
                continue
            for later_kinds, later_place, later in told[at + 1 :]:
                alike = not same or place == later_place
                if first in later_kinds and alike:
                    return f"'{item}' comes before '{later}'"
    return ""


def seated_twice(items: Sequence[str]) -> bool:
    """True where every plug is to be seated after each that was pulled has been named."""
    return any(item.startswith("every plug seated") for item in items) and any("plug" in kinds_of(x) for x in items)


def decisions_of(opened: Iterable[Opening]) -> tuple[Decision, ...]:
    return tuple(
        AccessOpened(row.name, place, row.minutes)
        if isinstance(row, Access)
        else FixDone(row.name, place, row.title, row.part)
        for row, place in opened
    )


def everything(one: Procedure) -> list[Opening]:
    found: list[Opening] = []
    rows: tuple[Access | Fix, ...] = (*one.access, *one.fixes)
    for row in rows:
        places = [place.name for place in one.places if place.group == row.each]
        found += [(row, place) for place in places] if row.each else [(row, None)]
    return found


def orders(one: Procedure) -> Iterator[tuple[Opening, ...]]:
    """Every order of up to five openings of a procedure or of one place of it, and random ones of everything."""
    all_of = everything(one)
    accesses = [entry for entry in all_of if isinstance(entry[0], Access)]
    groups = [accesses] if len(accesses) <= 5 else []
    places = sorted({place for _, place in accesses if place is not None})
    groups += [[entry for entry in accesses if entry[1] == place] for place in places]
    chance = random.Random(1)
    for group in groups:
        for count in range(1, min(5, len(group)) + 1):
            yield from (
                permutations(group, count)
                if len(group) <= 5
                else (tuple(chance.sample(group, count)) for _ in range(ORDERS))
            )
    for _ in range(ORDERS if all_of else 0):
        yield tuple(chance.sample(all_of, chance.randint(1, len(all_of))))


def context_of(name: str) -> Context:
    return Context(procedure(name), catalog.load_vocabulary(), unit_number="0419")


@pytest.mark.parametrize("name", NAMES)
def test_no_order_of_opening_leaves_a_wheel_a_stand_or_a_spring_brake_in_a_wrong_order(name: str) -> None:
    context = context_of(name)
    for opened in orders(procedure(name)):
        decisions = decisions_of(opened)
        items = put_back_items(context, fold(context, decisions))
        assert not wrong(items), (wrong(items), decisions, items)
        assert not seated_twice(items), items
        apart = [row for row, _ in opened if BRAKES_APART.search(row.say)]
        if apart:
            assert any("tested" in kinds_of(item) for item in items), items
            assert any("adjusted" in kinds_of(item) for item in items), items
            assert "first stop" in put_back_cautions(context, fold(context, decisions))


@pytest.mark.parametrize("name", NAMES)
def test_where_a_drum_comes_off_or_a_chamber_is_worked_on_a_step_cages_the_spring_brake_first(name: str) -> None:
    one = procedure(name)
    access = {row.name: row for row in one.access}
    for row, place in everything(one):
        if not CHAMBER.search(row.say):
            continue
        needed = [*row.needs]
        for other in needed:
            needed += [more for more in access[other].needs if more not in needed]
        assert CAGED in needed, row.name
        cage = access[CAGED]
        said = " ".join([cage.say, *(caution.say for caution in one.cautions if caution.name in cage.cautions)])
        for word in ("chocks", "air holding", "hand tools", "chamber maker's", "Never open a chamber"):
            assert word in said
        items = put_back_items(context_of(name), fold(context_of(name), decisions_of([(cage, place), (row, place)])))
        assert any("uncaged" in kinds_of(item) for item in items)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_missing_and_nothing_dangerous_is_unknown_to_the_facts(name: str) -> None:
    one, context = procedure(name), context_of(name)
    opened = everything(one)
    items = put_back_items(context, fold(context, decisions_of(opened)))
    for row, place in opened:
        for text in (*row.put_back, *row.put_back_last):
            assert text.replace("{place}", place or "").strip() in items
    assert {*one.put_back} <= set(items)
    looked = tuple(
        Observed(number, check.name, None, check.title, {}, "") for number, check in enumerate(one.checks, 1)
    )
    hung = put_back_items(context, fold(context, (*looked, *decisions_of(opened))))
    assert {*one.put_back_first} <= set(hung), "what the checks hang on the unit comes off"
    assert len(set(items)) == len(items)
    for item in items:
        assert kinds_of(item) or not DANGEROUS.search(item), f"no fact speaks of '{item}'"


@pytest.mark.parametrize("name", ["trailer-abs-light-on", "tractor-abs-light-on"])
def test_it_holds_after_a_first_list_after_taking_back_and_after_resuming(name: str) -> None:
    one, context = procedure(name), context_of(name)
    chance = random.Random(2)
    for _ in range(100):
        opened = decisions_of(chance.sample(everything(one), 12))
        seen = Observed(1, "light at power-up", None, "light", {"goes out": 1.0}, "out", choice="goes out")
        taken_back = ObservationWithdrawn(1, Reason(Why.SCRATCHED))
        first = fold(context, opened[:6])
        done = PutBackDone(put_back_items(context, first))
        state = apply_all(context, begin(context), (*opened[:6], seen, done, taken_back, *opened[6:]))
        items = put_back_items(context, state)
        assert not wrong(items)
        alone = put_back_items(context, fold(context, opened[6:]))
        assert items in (alone, ()), "what was put back is not named again"


def test_the_list_in_the_order_of_opening_breaks_the_facts() -> None:
    """The facts notice the list that this replaced."""
    assert wrong(
        (
            "left rear spring brake back in service",
            "left rear stand and jack out",
            "left rear sensor pushed home before the drum goes on",
            "left rear brake and wheels on",
        )
    )
    assert wrong(("left rear brake and wheels on", "right rear stand and jack out", "right rear brake and wheels on"))
    assert wrong(("left rear dust shield", "left rear sensor plug seated, new zip ties"))
    assert wrong(("left rear sensor plug seated, new zip ties", "test pigtails and loads off"))
    assert seated_twice(("left rear sensor plug seated, new zip ties", "every plug seated, locked and greased"))
    assert not wrong(("left rear brake and wheels on", "left rear spring brake back in service"))
    assert wrong(
        ("left rear brake and wheels on", "left rear wheels torqued, tag hung", "left rear stands and jack out")
    )
    assert wrong(("left rear spring brake back in service", "left rear spring brake uncaged with air up"))
    assert wrong(("left rear spring brake uncaged with air up", "left rear brake and wheels on, nuts snug"))


@pytest.mark.parametrize("name", [name for name in NAMES if any(row.kind == "survey" for row in [procedure(name)])])
def test_what_a_survey_puts_back_is_in_that_order_too(name: str) -> None:
    one = procedure(name)
    assert not wrong([*one.put_back_first, *one.put_back])


STEER, DRIVE = ("left steer", "right steer"), ("left rear drive", "right rear drive")
"""A steer axle's chambers have no spring; drive axles park the tractor (common practice, no source)."""


@pytest.mark.parametrize("shields", ["fixed", "come off"])
def test_a_steer_axle_is_asked_to_cage_nothing_and_a_drive_axle_is(shields: str) -> None:
    """Whatever work needs the drum off or the brake apart, at every wheel of a tractor with four sensors."""
    facts = {"sensors wired": "four", "drive axle": "rear axle", "brakes": "drum", "shields": shields}
    seen = fault_model(procedure("tractor-abs-light-on"), facts)
    needs = [(cure.place, seen.cure_openings[number]) for number, cure in enumerate(seen.cures)]
    needs += [(task.place, seen.task_openings[number]) for number, task in enumerate(seen.tasks)]
    caged: dict[str | None, set[str | None]] = {}
    for place, flags in needs:
        for opening in seen.unopened(flags, ()):
            if opening.access == CAGED:
                caged.setdefault(opening.place, set()).add(place)
    assert set(caged) == set(DRIVE)
    assert all(where == {place} for place, where in caged.items()), "one wheel's work cages no other wheel's brake"
    off = [where for where, flags in needs if any(one.access == "hub off" for one in seen.unopened(flags, ()))]
    assert set(STEER) <= set(off), "the same work is done there"


def test_a_trailer_cages_at_every_wheel() -> None:
    facts = {"sensors wired": "four", "brakes": "drum", "shields": "fixed"}
    seen = fault_model(procedure("trailer-abs-light-on"), facts)
    caged = {one.place for one in seen.openings if one.access == CAGED}
    assert caged == {place.name for place in procedure("trailer-abs-light-on").places if place.group == "wheel"}
