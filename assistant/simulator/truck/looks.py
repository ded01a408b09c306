"""What eyes, ears and a code reader find on a trailer, each finding by its name.

The findings are the truck's own words; a procedure's file says what it calls each of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from assistant.simulator.circuit import Resistor, VoltageSource, solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.controller import WHEEL_KINDS, Code, Controller
from assistant.simulator.truck.defects import BEHIND_PLUG
from assistant.simulator.truck.meter import INPUT_OHMS
from assistant.simulator.truck.trailer import Trailer

NOTICED = 0.03
"""Volts AC below which a meter's display is taken for nothing: from memory."""
WOBBLES = 0.04
"""Inches of bearing play from which a hub can be seen to wobble: from memory."""
TOUCHES = 0.3
"""Millimeters of gap that still look like touching: from memory."""
REACHED = 0.95
"""Share of a small test voltage below which a meter on ohms shows a number and not an open."""
COUNTS = ("zero", "one", "two", "three")


def _seen(controller: Controller, part: str) -> bool:
    return any(one.part == part and one.visible for one in controller.trailer.defects)


def _first_code(controller: Controller, place: str) -> str:
    """What the first code of the table names: a wheel, or ``power``, ``valve``, ``module`` or ``none``."""
    codes = controller.active() or controller.resting()
    if not codes:
        return "none"
    code: Code = codes[0]
    if code.kind in WHEEL_KINDS and code.place is not None:
        return code.place
    return code.kind if code.kind in {"power", "valve", "module"} else "none"


def _kind_of_first_code(controller: Controller, place: str) -> str:
    """What the first code of the table says is wrong, in the words of a table of codes."""
    codes = controller.active() or controller.resting()
    kind = codes[0].kind if codes else "none"
    return {"low signal": "low signal", "erratic": "erratic"}.get(
        kind, "open or short" if kind in WHEEL_KINDS else "something else"
    )


def _codes(controller: Controller, place: str) -> str:
    if not controller.connected():
        return "no answer"
    if controller.active():
        return "active"
    return "stored only" if controller.resting() else "no codes"


def _count(number: int) -> str:
    return COUNTS[number] if number < len(COUNTS) else "four or more"


def _valve(controller: Controller, place: str) -> str:
    return "clicks" if controller.clicks(place) else "silent"


def _flexed(controller: Controller, place: str) -> str:
    """Where the ohms from the module's end move: at the wheel-end plug, along the wire, or nowhere.

    Plug and wire are flexed, wetted and warmed one after the other, the other held still.
    """
    at_plug = _moves(controller.trailer, place, f"{place} wheel plug", BEHIND_PLUG)
    along = _moves(controller.trailer, place, f"{place} sensor wire", "")
    return "moves at the plug" if at_plug else "moves along the wire" if along else "steady"


def _moves(trailer: Trailer, place: str, part: str, setting: str) -> bool:
    """Whether a reading moves while one part is handled: by what sits in it, or right behind it."""
    handled = [one for one in trailer.defects if one.part == part or (setting and setting in one.settings)]
    alone = replace(trailer, defects=[one for one in trailer.defects if not one.when or one in handled])
    ends = f"{place} lead 1", f"{place} lead 2"
    alone.moved = alone.wet = alone.warm = False
    still = _joined(alone, *ends)
    alone.moved = alone.wet = alone.warm = True
    moving = _joined(alone, *ends)
    return abs(moving - still) > 0.05 * max(moving, still, 1.0)


def _joined(trailer: Trailer, first: str, second: str) -> float:
    """Volts of a small test current's 1 volt behind 1200 ohms: near 1 for an open."""
    network = [*trailer.circuit(), VoltageSource("test", second, 1.0), Resistor("test", first, 1200.0)]
    return abs(solve(network).between(first, second))


def _arrives(controller: Controller, place: str) -> str:
    trailer = controller.trailer
    # the meter goes from plug to plug; that it loads all of them at once changes nothing that can be noticed
    meters = [Resistor(f"{wheel} lead 1", f"{wheel} lead 2", INPUT_OHMS) for wheel in trailer.build.wheels]
    signals = solve([*trailer.signal_circuit(), *meters])
    volts = {wheel: abs(signals.between(f"{wheel} lead 1", f"{wheel} lead 2")) for wheel in trailer.build.wheels}
    if volts[place] > NOTICED:
        return "its own"
    return "another" if any(one > NOTICED for one in volts.values()) else "none"


def _opens(controller: Controller, place: str) -> str:
    """Which plug at the module goes open when a sensor is unplugged at its wheel."""
    trailer = controller.trailer
    before = set(trailer.unplugged)
    trailer.plug([f"{place} wheel plug"], in_=True)
    plugged = _continuity(trailer)
    trailer.plug([f"{place} wheel plug"], in_=False)
    opened = plugged - _continuity(trailer)
    trailer.unplugged = before
    return "its own" if place in opened else "another" if opened else "none"


def _continuity(trailer: Trailer) -> set[str]:
    """Plugs at the module through which a sensor can be measured."""
    wheels = trailer.build.wheels
    return {wheel for wheel in wheels if _joined(trailer, f"{wheel} lead 1", f"{wheel} lead 2") < REACHED}


def _joined_to_others(controller: Controller, place: str) -> str:
    """Whether a sensor wire reads against the wire of any other wheel, all of them unplugged at the module."""
    trailer = controller.trailer
    others = [wheel for wheel in trailer.build.wheels if wheel != place]
    reads = any(
        _joined(trailer, f"{place} lead 1", f"{wheel} lead {leg}") < REACHED for wheel in others for leg in "12"
    )
    return "two read together" if reads else "all over range"


def _after_swap(controller: Controller, place: str) -> str:
    """Swap the plug that the code names with another at the module, power up, and see where the code is."""
    trailer = controller.trailer
    named = _first_code(controller, place)
    wheels = trailer.build.wheels
    if named not in wheels:
        return "names no wheel"
    first = named
    second = next(wheel for wheel in wheels if wheel != first)
    out = set(trailer.unplugged)
    trailer.plug([f"{first} plug at the module", f"{second} plug at the module"], in_=True)
    trailer.swapped = (first, second)
    codes = controller.standing()
    trailer.swapped, trailer.unplugged = None, out
    if any(code.place == second for code in codes):
        return "moved"
    stays = any(code.place == first for code in codes)
    return "stayed" if stays else "none"


def _other_tractor(controller: Controller, place: str) -> str:
    """The same trailer with a sound tractor and cord."""
    trailer = controller.trailer
    ours = [one for one in trailer.defects if one.part not in {"tractor supply", "cord"}]
    other = Controller(replace(trailer, defects=ours, key=True, unplugged=set(trailer.unplugged)))
    other.power_up()
    other.roll(20, rough=True)
    return "same" if other.light() else "gone"


def _sizes(controller: Controller, place: str) -> str:
    wheels = controller.trailer.build.wheels
    return "mixed" if any(controller.trailer.value(f"{wheel} tire") for wheel in wheels) else "all the same"


def _bearing(controller: Controller, place: str) -> str:
    return "loose" if controller.trailer.value(f"{place} play") > sizes.PLAY else "firm"


def _ring(controller: Controller, place: str) -> str:
    trailer = controller.trailer
    if trailer.value(f"{place} play") > WOBBLES:
        return "wobbles"
    bad = trailer.value(f"{place} teeth missing") or trailer.value(f"{place} ring runout")
    return "damaged" if bad else "even"


def _clip(controller: Controller, place: str) -> str:
    return "slides" if any(one.part == f"{place} clip" for one in controller.trailer.defects) else "holds"


def _bulb_check(controller: Controller, place: str) -> str:
    """What the light does when the power comes on: it lights for a moment at least, or stays dark."""
    return "dark" if controller.light_at_power_up() == "stays dark" else "lights"


def _light_on_braking(controller: Controller, place: str) -> str:
    trailer = controller.trailer
    before, trailer.pedal = trailer.pedal, True
    found = _bulb_check(controller, place)
    trailer.pedal = before
    return found


def _light_plug(controller: Controller, place: str) -> str:
    parts = [one.part for one in controller.trailer.defects if one.visible]
    if "ABS light in its plug" in parts:
        return "unplugged"
    return "corroded" if "ABS light plug" in parts else "plugged in"


def _plug_and_wire(controller: Controller, place: str) -> str:
    if _seen(controller, f"{place} wheel plug"):
        return "green"
    return "rubbed" if _seen(controller, f"{place} sensor wire") else "sound"


LOOKS: dict[str, Callable[[Controller, str], str]] = {
    "trailer light": lambda controller, _: "lit" if controller.light() else "out",
    "trailer light at power-up": lambda controller, _: controller.light_at_power_up(),
    "bulb check": _bulb_check,
    "bulb check on stop lamps": _light_on_braking,
    "ABS light and its plug": _light_plug,
    "module's output for its light": lambda controller, _: "lights" if controller.feeds_light() else "dark",
    "any modulator at power-up": lambda controller, _: _valve(controller, controller.trailer.build.modulators[0]),
    "modulator at power-up": _valve,
    "first code": _first_code,
    "kind of the first code": _kind_of_first_code,
    "module plug that opens": _opens,
    "sensor wire against the others": _joined_to_others,
    "codes": _codes,
    "active codes": lambda controller, _: _count(len(controller.active())),
    "stored codes": lambda controller, _: _count(len(controller.resting())),
    "code after two plugs are swapped": _after_swap,
    "ohms while flexed": _flexed,
    "plug that the output reaches": _arrives,
    "sensor wire": lambda controller, place: "damaged" if _seen(controller, f"{place} sensor wire") else "sound",
    "wheel plug and wire": _plug_and_wire,
    "wheel plug": lambda controller, place: "corroded" if _seen(controller, f"{place} wheel plug") else "clean",
    "trailer behind another tractor": _other_tractor,
    "tire sizes": _sizes,
    "wheel turned by hand": lambda controller, place: (
        "drags" if controller.trailer.value(f"{place} drag") else "free"
    ),
    "bearing": _bearing,
    "sensor and ring": lambda controller, place: (
        "backed off" if controller.trailer.gap(place) > TOUCHES else "touching"
    ),
    "sensor clip": _clip,
    "tone ring": _ring,
}
"""What can be looked at, by name; the second argument is the place, '' for none."""
