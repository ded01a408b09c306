"""The pictures of a check together, and those of a session for its record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.phrasing.pictures import TITLES, line
from assistant.phrasing.wording import at_place, first_up
from assistant.pictures.circuit_drawing import draw_circuit
from assistant.pictures.meter_face import draw_meter
from assistant.pictures.places import Plan, plan_of, stations_of
from assistant.pictures.scene import Scene, Work, scene_of
from assistant.pictures.seven_way import draw_face
from assistant.pictures.unit_plan import Marks, draw_plan
from assistant.pictures.words import meter_lines, pin_lines, scene_lines, state_lines
from assistant.procedure.model import Check, Fix, Procedure
from assistant.session.observing.standing import Standing
from assistant.svg import Drawing


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture."""

    kind: str
    """``circuit``, ``seven-way``, ``meter`` or ``plan``."""
    title: str
    drawing: Drawing

    @property
    def told(self) -> str:
        """The same facts in words."""
        return self.drawing.told


def pictures_of(
    procedure: Procedure,
    work: Work,
    place: str | None = None,
    *,
    facts: Mapping[str, str] | None = None,
    before: Standing | None = None,
    doubts: Mapping[str, float] | None = None,
    lines: bool = True,
) -> tuple[Picture, ...]:
    """Every picture of a check, an opening, a repair or a step of the proof, the one that says most first.

    Args:
        procedure: whose it is.
        work: what is done; there is none for what hands have no part in.
        place: where it is done.
        facts: what is known of the unit.
        before: how things stand; None: as the check's openings leave them.
        doubts: place to the share of suspicion that sits there.
        lines: False leaves the lines under the circuit out, where they stand beside it.
    """
    scene = scene_of(procedure, work, place, facts, before)
    if scene is None:
        return ()
    title = work.title if isinstance(work, Check | Fix) else work.name
    named = first_up(at_place(title, place))
    made: list[Picture] = []

    def add(kind: str, drawing: Drawing | None) -> None:
        if drawing is not None:
            made.append(Picture(kind, TITLES[kind], drawing))

    kind = "circuit" if scene.probe else "plugs"
    if meter_lines(scene) or state_lines(scene):
        add(kind, draw_circuit(scene, f"{TITLES[kind]}: {named}", " ".join(scene_lines(scene)), lines=lines))
    if scene.probe is not None:
        add("meter", draw_meter(scene.probe, f"{TITLES['meter']}: {named}", " ".join(meter_lines(scene)[2:])))
    if scene.pins:
        add("seven-way", draw_face(f"{TITLES['seven-way']}: {named}", " ".join(pin_lines(scene)), dict(scene.pins)))
    plan = plan_of(procedure, facts or {}, scene)
    if plan is not None:
        add("plan", _plan(plan, scene, doubts or {}, named))
    return tuple(made)


def _plan(plan: Plan, scene: Scene, doubts: Mapping[str, float], named: str) -> Drawing | None:
    lit = frozenset(filter(None, (scene.place, *stations_of(scene))))
    there = {one.name for one in plan.wheels} | set(plan.valves)
    suspected = {place: share for place, share in doubts.items() if place in there and share >= 0.01}
    if not lit and not suspected:
        return None
    told = [line("place", place=", ".join(sorted(lit)))] if lit else []
    if suspected:
        shares = ", ".join(f"{place} {100 * share:.0f}%" for place, share in
                           sorted(suspected.items(), key=lambda one: -one[1]))  # fmt: skip
        told.append(line("suspects", suspects=shares))
    return draw_plan(plan, Marks(lit, suspected), f"{TITLES['plan']}: {named}", " ".join(told))


def words_of(
    procedure: Procedure, check: Check, place: str | None = None, *, facts: Mapping[str, str] | None = None
) -> list[str]:
    """The facts of a check's pictures, one line each; none for a check that hands have no part in."""
    scene = scene_of(procedure, check, place, facts)
    return scene_lines(scene) if scene is not None else []


def places_of(procedure: Procedure, check: Check) -> Sequence[str | None]:
    """Where a check can be done: the places of its group, or None for one of the unit."""
    if check.each is None or check.kind == "place":
        return (None,)
    return tuple(one.name for one in procedure.places if one.group == check.each)
