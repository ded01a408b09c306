"""What eyes find on a trailer's lights: which lamp is dark, faint or lit when it should not be, and what changes it.

What is right is what the same trailer would show with nothing wrong, in the same state.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from assistant.simulator.circuit import solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.lighting.lamps import DARK, FAINT, looks
from assistant.simulator.truck.lighting.lights import CIRCUITS, FRONT_JOINTS, PINS, Lights, ground_of
from assistant.simulator.truck.lighting.lights_defects import CORD, SOCKET, bulb_of
from assistant.simulator.truck.machine import TESTER, Plain

CHANGES = 0.25
"""Share by which a lamp's light must change to be seen to change: from memory."""
BETTER = 0.5
"""Volts by which a reading must rise to be called better: from memory."""
LOOP_OHMS, LEAST_AT_TRACTOR = 0.30, 12.5
"""Most ohms there and back between tractor and far end, and volts at the tractor: TMC RP 137 and RP 141, 12.5 and 9.5
volts at 10 amps, as cited in FHWA-MC-98-008, pages 32 and 41."""


def shaken(unit: Lights, parts: Iterable[str] | None = None) -> Lights:
    """The same unit at the moment at which what comes and goes in these parts (None: anywhere) is there."""
    names = None if parts is None else set(parts)
    return replace(
        unit,
        defects=[
            replace(one, when=frozenset()) if names is None or one.part in names else one for one in unit.defects
        ],
    )


def sound_of(unit: Lights) -> Lights:
    """The same unit in the same state, with nothing wrong."""
    return replace(unit, defects=[])


def compare(unit: Lights) -> Mapping[str, str]:
    """Every lamp: ``right``, ``dark``, ``faint``, or ``lit`` when it should be dark."""
    usual, now = _usual(unit), unit.lit()
    return {name: _beside(light, usual[name]) for name, light in now.items()}


def _usual(unit: Lights) -> Mapping[str, float]:
    """Light of every lamp of the same unit in the same state, with nothing wrong."""
    state = (
        unit.build, unit.key, unit.engine, unit.pedal, *sorted(unit.switches.items()), *sorted(unit.held.items()),
        unit.load, unit.load_kind, unit.jumper, unit.feed, *sorted(unit.unplugged),
    )  # fmt: skip
    if state not in _SOUND:
        if len(_SOUND) > REMEMBERED:
            _SOUND.clear()
        _SOUND[state] = sound_of(unit).lit()
    return _SOUND[state]


_SOUND: dict[tuple[object, ...], Mapping[str, float]] = {}
"""What sound units show, by their state: a hundred looks at one unit meet the same few states."""
REMEMBERED = 500


def _beside(light: float, usual: float) -> str:
    if usual < DARK:
        return "lit" if light >= DARK else "right"
    if light < DARK:
        return "dark"
    return "faint" if light < FAINT * usual else "right"


def with_on(unit: Lights, *switches: str) -> Lights:
    """The same unit with only these switches on, as it is driven: everything plugged in, nothing put on."""
    return replace(
        unit, key=True, pedal=False, switches=dict.fromkeys(switches, "on"), held={}, load=None, feed=None,
        jumper=None, unplugged=set(),
    )  # fmt: skip


def wrong_lamps(unit: Lights) -> dict[str, str]:
    """Every lamp that is wrong with some circuit on alone, and how; one that is dark or faint counts as that."""
    found: dict[str, str] = {}
    for pin in PINS[:5]:
        for name, how in compare(with_on(unit, CIRCUITS[pin])).items():
            if how != "right" and found.get(name, "lit") == "lit":
                found[name] = how
    return found


def _far_end(unit: Lights) -> float:
    return solve(unit.network()).between("far end", "far end one")


def _moves(unit: Lights, parts: Iterable[str]) -> str:
    before, after = _far_end(unit), _far_end(shaken(unit, parts))
    return "comes and goes" if abs(before - after) > max(0.2, 0.05 * before) else "steady"


def _changes(unit: Lights, other: Lights) -> str:
    before, after = unit.lit(), other.lit()
    seen = any(abs(before[name] - after[name]) > CHANGES * max(before[name], after[name], DARK) for name in before)
    return "change" if seen else "steady"


def _tail_on_braking(brain: Plain[Lights], place: str) -> str:
    unit = shaken(brain.machine)
    tail, both = with_on(unit, "tail lamps").lit(), with_on(unit, "tail lamps", "stop lamps").lit()
    sags = any(both[name] < 0.6 * tail[name] for name in tail if tail[name] > DARK)
    return "dim or out" if sags else "stay the same"


def _sockets(brain: Plain[Lights], place: str) -> str:
    parts = {SOCKET, CORD, *FRONT_JOINTS}
    return "one is bad" if any(one.visible and one.part in parts for one in brain.machine.defects) else "all clean"


def _bad_plug(brain: Plain[Lights], place: str) -> str:
    """Which of the cord's joints, or the cord, looks bad."""
    seen = {one.part for one in brain.machine.defects if one.visible}
    return next((part for part in (*FRONT_JOINTS, CORD) if part in seen), "none")


def _good_lamp(brain: Plain[Lights], lamp: str) -> str:
    unit = brain.machine
    good = replace(unit, stands_in={bulb_of(lamp, unit.build)})
    return "only the good one" if compare(unit)[lamp] != "right" and compare(good)[lamp] == "right" else "same"


def _visible(unit: Lights, part: str) -> bool:
    return any(one.visible and one.part == part for one in unit.defects)


def _bulb(brain: Plain[Lights], lamp: str) -> str:
    unit = brain.machine
    if _visible(unit, bulb_of(lamp, unit.build)):
        return "wrong kind"
    return "green" if _visible(unit, f"{lamp} plug") else "right"


def _cord_wires(brain: Plain[Lights], place: str) -> str:
    """A lamp through each wire of the cord from a battery, while it is bent."""
    unit = shaken(brain.machine, {CORD})
    usual = sound_of(unit)
    for pin in ("one", *PINS):
        lights = []
        for one in (unit, usual):
            alone = replace(one, unplugged={"cord at the tractor", "cord at the nose"},
                            feed=(f"cord tractor end {pin}", "test minus"), load=(f"cord pin {pin}", "test minus"),
                            load_kind="headlamp")  # fmt: skip
            lights.append(solve(alone.network()).between(f"cord pin {pin}", "test minus"))
        if lights[0] < 0.8 * lights[1]:
            return "one fails"
    return "all light it"


def _jumper(brain: Plain[Lights], lamp: str) -> str:
    unit = brain.machine
    wrong = compare(replace(unit, jumper=None))[lamp] != "right"
    return "comes right" if wrong and compare(unit)[lamp] == "right" else "same"


def _fed_alone(brain: Plain[Lights], lamp: str) -> str:
    """Which lamps light with one pin fed from a battery: those of that pin are its own."""
    unit = brain.machine
    pin = next(pin for name, pin, _ in unit.build.lamps() if name == lamp)
    own = {name for name, at, _ in unit.build.lamps() if at == pin}
    light, how = unit.lit(), compare(unit)
    if any(light[name] >= DARK for name in light if name not in own):
        return "another too"
    return "not all" if any(how[name] != "right" for name in own) else "only its own"


def _one_by_one(brain: Plain[Lights], place: str) -> str:
    return "one is wrong" if wrong_lamps(brain.machine) else "only the right ones"


def _all_together(brain: Plain[Lights], place: str) -> str:
    how = compare(with_on(brain.machine, "tail lamps", "markers", "hazard", "stop lamps"))
    return "one goes dim" if any(one in {"dark", "faint"} for one in how.values()) else "all bright"


def _wrong_now(brain: Plain[Lights], place: str) -> str:
    return "wrong" if wrong_lamps(brain.machine) else "right"


def _plug_of_lamp(brain: Plain[Lights], lamp: str) -> str:
    return "green" if _visible(brain.machine, f"{lamp} plug") else "clean"


def _with_good_cord(brain: Plain[Lights], place: str) -> str:
    unit = brain.machine
    better = _far_end(replace(unit, stands_in={CORD})) - _far_end(unit)
    return "good cord only" if better > BETTER else "same"


def least_at_far_end(load_ohms: float) -> float:
    """Volts that a far end must have with this load, where the tractor has no more than it must."""
    amps = LEAST_AT_TRACTOR / load_ohms if load_ohms > 1.5 * sizes.LOAD else 10.0
    return LEAST_AT_TRACTOR - LOOP_OHMS * amps


def _far_end_again(brain: Plain[Lights], place: str) -> str:
    unit = brain.machine
    least = least_at_far_end(unit.loads()[TESTER])
    moving = shaken(unit, {CORD, *FRONT_JOINTS})
    good = _far_end(unit) >= least and _moves(unit, {CORD, *FRONT_JOINTS}) == "steady"
    return "good" if good and _far_end(moving) >= least else "weak"


def _every_circuit(brain: Plain[Lights], place: str) -> str:
    how = wrong_lamps(brain.machine)
    return "not all" if any(one in {"dark", "faint"} for one in how.values()) else "all light"


def _moved_lamp(brain: Plain[Lights], lamp: str) -> str:
    unit = brain.machine
    parts = {f"{lamp} plug", f"{lamp} wire", f"{ground_of(lamp)} ground"}
    before, after = unit.lit()[lamp], shaken(unit, parts).lit()[lamp]
    return "change" if abs(before - after) > CHANGES * max(before, after, DARK) else "steady"


def _coupling(brain: Plain[Lights], place: str) -> str:
    unit = brain.machine
    return _changes(unit, replace(shaken(unit, {"nose box one"}), held={**unit.held, "coupling": "rocked"}))


LIGHT_LOOKS: dict[str, Callable[[Plain[Lights], str], str]] = {
    "tail lamps on braking": _tail_on_braking,
    "sockets and plugs": _sockets,
    "bad plug": _bad_plug,
    "lights one circuit at a time": _one_by_one,
    "lights all together": _all_together,
    "lights now": _wrong_now,
    "far end while the cord is moved": lambda brain, _: _moves(brain.machine, {CORD, SOCKET, *FRONT_JOINTS}),
    "far end while the joint is moved": lambda brain, place: _moves(brain.machine, {place}),
    "far end with a good cord": _with_good_cord,
    "far end once more": _far_end_again,
    "every circuit": _every_circuit,
    "lamps while the cord is moved": lambda brain, _: _changes(brain.machine, shaken(brain.machine, {CORD, SOCKET})),
    "lamps while the coupling is rocked": _coupling,
    "lamp through each wire of the cord": _cord_wires,
    "good lamp in its place": _good_lamp,
    "bulb and its socket": _bulb,
    "plug of the lamp": _plug_of_lamp,
    "lamp while its plug is moved": _moved_lamp,
    "lamp with a jumper to ground": _jumper,
    "lamps of one circuit fed alone": _fed_alone,
    "how the lamp looks": lambda brain, lamp: looks(brain.machine.lit()[lamp]),
}
"""What can be looked at, by name; the second argument is the lamp or the joint, '' for none."""
