"""What eyes, ears and a reader find on a tractor; the wheel ends are looked at as a trailer's are."""

from __future__ import annotations

from typing import cast

from assistant.simulator.truck.case import Look
from assistant.simulator.truck.looks import LOOKS
from assistant.simulator.truck.machine import Brain
from assistant.simulator.truck.tractor.system import CORD, TractorModule


def module(brain: Brain) -> TractorModule:
    """The tractor's module."""
    return cast("TractorModule", brain)


def _trailer_lit(brain: Brain) -> bool:
    trailer = module(brain).trailer
    return bool(trailer.value("trailer fault")) and CORD not in trailer.unplugged


def _dash(brain: Brain, place: str) -> str:
    own = module(brain).dash()
    return "trailer light stays" if own == "goes out" and _trailer_lit(brain) else own


def _without_cord(brain: Brain, place: str) -> str:
    """Whether the light that is on goes with the trailer's cord."""
    mine = module(brain)
    return "gone" if mine.trailer.value("trailer fault") and mine.dash() == "goes out" else "same"


def _fuses(brain: Brain, place: str) -> str:
    return (
        "one is bad"
        if any(one.part == "power wire" and one.visible for one in module(brain).trailer.defects)
        else ("all good")
    )


def _coils(brain: Brain, place: str) -> str:
    """A valve's coils, at the valve, beside those of another valve."""
    off = any(one.part == f"{place} valve" for one in module(brain).trailer.there())
    return "off" if off else "alike"


def _coils_and_wire(brain: Brain, place: str) -> str:
    """The same from the module's plug: valve and wire in one."""
    parts = {f"{place} valve", f"{place} valve wire"}
    return "off" if any(one.part in parts for one in module(brain).trailer.there()) else "alike"


TRACTOR_LOOKS: dict[str, Look] = {
    **LOOKS,
    "dash lights at key on": _dash,
    "light without the cord": _without_cord,
    "tractor light": lambda brain, _: "lit" if module(brain).lit() else "out",
    "fuses": _fuses,
    "coils beside another valve's": _coils,
    "coils from the module's plug": _coils_and_wire,
}
"""What can be looked at, by name; the second argument is the place, '' for none."""
