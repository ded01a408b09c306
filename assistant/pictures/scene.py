"""What a check does with hands and meter, worked out from its data: circuit, tips, what is open, the load."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from assistant.phrasing.pictures import OTHERS
from assistant.pictures.circuits import every_circuit
from assistant.pictures.layout import Circuit
from assistant.pictures.seven_way import PINS, pin_of_circuit
from assistant.procedure.hands import Hands, Load, Probe
from assistant.procedure.model import Access, Check, Fix, Leads, Procedure, ProofStep
from assistant.session.observing.standing import EVERYTHING, Standing, done, plugs

_PIN = re.compile(r"\bpin (\w+)$")
_LEFT_OPEN = re.compile(r"\{(\w+)\}")
_LAST = {"doubles": "second", "triples": "third"}
_EVERY = "every "


Work = Access | Check | Fix | ProofStep
"""What hands can be asked to do."""


@dataclass(frozen=True, slots=True)
class Scene:
    """One check, opening, repair or step of the proof as hands meet it."""

    probe: Probe | None
    """Dial and jack, None without a meter."""
    leads: Leads | None
    """Where the tips go, in words."""
    place: str | None
    circuit: Circuit | None
    """The circuit that shows it, None where none is known for its nodes and plugs."""
    red: tuple[str, ...]
    """Nodes of the red tip, in turn; empty without a meter."""
    black: tuple[str, ...]
    off: frozenset[str]
    """Plugs that are open."""
    load: Load | None
    hands: Hands
    off_named: tuple[str, ...] = ()
    """The same plugs as they are named, all of a bundle by the bundle's name."""

    @property
    def pins(self) -> tuple[tuple[int, str], ...]:
        """Pins of the seven-way that are touched, each with ``red``, ``black`` or ``load``."""
        found: dict[int, str] = {}
        touched = [("red", one) for one in self.red] + [("black", one) for one in self.black]
        touched += [("load", one) for one in (self.load.plus, self.load.minus)] if self.load else []
        for kind, node in touched:
            match = _PIN.search(node)
            pin = PINS.get(match[1]) if match else None
            if pin is not None:
                found.setdefault(pin, kind)
        return tuple(sorted(found.items()))


def scene_of(
    procedure: Procedure,
    work: Work,
    place: str | None = None,
    facts: Mapping[str, str] | None = None,
    before: Standing | None = None,
) -> Scene | None:
    """What is done.

    Args:
        procedure: whose check, opening, repair or proof it is.
        work: what is done.
        place: where it is done, None for one of the unit.
        facts: what is known of the unit; fills in which pin or which trailer is meant.
        before: how things stand; None: as the openings that it needs leave them.

    Returns:
        None for what says nothing of hands, a meter or a place.
    """
    probe, leads = (work.probe, work.leads) if isinstance(work, Check) else (None, None)
    needs = () if isinstance(work, ProofStep) else work.needs
    if work.hands is None and probe is None and place is None:
        return None
    hands = work.hands or Hands()
    words = _words(place, {**_supposed(work), **(facts or {})}, _spoken_pins(hands, probe))
    if before is None:
        before = Standing()
        for access in _openings(procedure, needs):
            before = done(procedure, before, access.hands, place if access.each else None)
    now = done(procedure, before, _each_named(hands, before), place)
    off = frozenset(_filled(one, words) for one in now.unplugged)
    load = now.load and now.load.model_copy(
        update={"plus": _filled(now.load.plus, words), "minus": _filled(now.load.minus, words)}
    )
    red = tuple(_filled(one, words) for one in _each(probe.red)) if probe else ()
    black = tuple(_filled(one, words) for one in _each(probe.black)) if probe else ()
    held = Hands.model_validate(_filled_in(hands.model_dump(), words))
    circuit = None
    if work.hands or probe:
        circuit = _circuit(procedure, work, words, [*red, *black, *_touched(held)])
    return Scene(probe, leads, place, circuit, red, black, off, load, held, _named(procedure, off, place))


def _named(procedure: Procedure, off: frozenset[str], place: str | None) -> tuple[str, ...]:
    """Plugs by their names; those of a whole bundle by the bundle's, and those of all other places too."""
    left, names = set(off), []
    for name in procedure.bundles:
        each = plugs(procedure, (name,), None)
        own = plugs(procedure, (procedure.bundles[name].plug,), place) if place else frozenset()
        if each and each <= left:
            names.append(name)
            left -= each
        elif len(each) > 2 and each - own and each - own <= left:
            names.append(OTHERS.format(name=name))
            left -= each
    return (*names, *sorted(left))


def _supposed(work: Work) -> dict[str, str]:
    """What must hold for the work to be done at all."""
    when = {} if isinstance(work, Fix) else work.when
    return {name: wanted for name, wanted in when.items() if isinstance(wanted, str)}


def _spoken_pins(hands: Hands, probe: Probe | None) -> list[str]:
    """Pins but the ground that the data name outright."""
    tips = (*_each(probe.red), *_each(probe.black)) if probe else ()
    found = [match[1] for one in (*tips, *_touched(hands)) if (match := _PIN.search(one))]
    return [one for one in found if PINS.get(one, 1) != 1]


def _words(place: str | None, facts: Mapping[str, str], pins: list[str]) -> dict[str, str]:
    """What names leave open, as far as it is known."""
    words = {"place": place or ""}
    named = place.removeprefix("pin ") if place and place.startswith("pin ") else next(iter(pins), None)
    pin = named or next(filter(None, (pin_of_circuit(value) for value in facts.values())), None)
    if pin:
        words["pin"] = pin
    words["last"] = next((_LAST[value] for value in facts.values() if value in _LAST), "second")
    return words


def _filled(name: str, words: Mapping[str, str]) -> str:
    return _LEFT_OPEN.sub(lambda match: words.get(match[1], match[0]), name).replace("  ", " ").strip()


def _filled_in(data: object, words: Mapping[str, str]) -> object:
    """The same data with every text filled in."""
    if isinstance(data, str):
        return _filled(data, words)
    if isinstance(data, dict):
        return {key if not isinstance(key, str) else _filled(key, words): _filled_in(one, words)
                for key, one in data.items()}  # fmt: skip
    if isinstance(data, tuple | list):
        return tuple(_filled_in(one, words) for one in data)
    return data


def _each(nodes: str | tuple[str, ...]) -> tuple[str, ...]:
    return (nodes,) if isinstance(nodes, str) else nodes


def _each_named(hands: Hands, before: Standing) -> Hands:
    """Names such as ``every cord`` taken apart into those that are open."""
    if not any(name.startswith(_EVERY) for name in hands.plug):
        return hands
    closed: list[str] = []
    for name in hands.plug:
        kind = f" {name.removeprefix(_EVERY)} "
        closed += [one for one in before.unplugged if kind in one] if name.startswith(_EVERY) else [name]
    return hands.model_copy(update={"plug": tuple(closed)})


def _touched(hands: Hands) -> list[str]:
    """Nodes that hands join beside the meter's."""
    return [node for one in (hands.load, hands.feed, hands.jumper) if one for node in (one.plus, one.minus)]


def _openings(procedure: Procedure, needs: Iterable[str]) -> tuple[Access, ...]:
    """These openings and what they need, prerequisites first."""
    access = {one.name: one for one in procedure.access}
    found: dict[str, Access] = {}

    def add(name: str) -> None:
        one = access.get(name)
        if one is None or name in found:
            return
        for other in one.needs:
            add(other)
        found[name] = one

    for name in needs:
        add(name)
    return tuple(found.values())


def _circuit(procedure: Procedure, work: Work, words: Mapping[str, str], nodes: list[str]) -> Circuit | None:
    """The circuit that has all of these nodes and most of the plugs; among equals the procedure's own."""
    hands = work.hands or Hands()
    each, needs = (None, ()) if isinstance(work, ProofStep) else (work.each, work.needs)
    named = [_filled(one, words) for one in (*hands.unplug, *hands.plug)]
    named += [_filled(bundle.plug, words) for name, bundle in procedure.bundles.items() if name in named]
    for opened in _openings(procedure, needs):
        named += [_filled(one, words) for one in (opened.hands.unplug if opened.hands else ())]
    ranked = _ranked(procedure)
    kind = next(one for one, last in _LAST.items() if last == words["last"])
    best: tuple[tuple[bool, int, bool, bool, int], Circuit] | None = None
    for rank, circuit in enumerate(ranked):
        filled = circuit.filled(words)
        if not all(filled.node(one) for one in nodes):
            continue
        known = sum(filled.plug(one) is not None for one in named) + (EVERYTHING in named and not circuit.group)
        own = bool(circuit.group and words["place"]) and circuit.group == each
        # where nothing is measured, what lies at the place says more than what feeds it
        score = (own and not nodes, known, own, circuit.only in ("", kind), -rank)
        if not nodes and not known and not own:
            continue
        if best is None or score > best[0]:
            best = (score, filled)
    if best is not None:
        return best[1]
    # nothing of it lies in a circuit: the unit's own, as it stands
    main = next((one for one in ranked if not one.group), None)
    return main.filled(words) if main and work.hands and not nodes else None


def _ranked(procedure: Procedure) -> tuple[Circuit, ...]:
    """Circuits in the order in which they know most of the procedure's names; those that know none are left out."""
    return _ranked_by(frozenset(_names(procedure)))


@lru_cache(maxsize=64)
def _ranked_by(names: frozenset[str]) -> tuple[Circuit, ...]:
    known = [
        (sum(one.node(name) is not None or one.plug(name) is not None for name in names), one)
        for one in every_circuit()
    ]
    return tuple(one for count, one in sorted(known, key=lambda pair: -pair[0]) if count)


def _names(procedure: Procedure) -> Iterator[str]:
    """Every name of a node or plug that the procedure's hands use."""
    for bundle in procedure.bundles.values():
        yield bundle.plug
    rows: tuple[Work, ...] = (
        *procedure.access, *procedure.checks, *procedure.fixes, *procedure.proof.steps,
    )  # fmt: skip
    for row in rows:
        if row.hands is not None:
            yield from (*row.hands.plug, *row.hands.unplug, *_touched(row.hands))
        if isinstance(row, Check) and row.probe is not None:
            yield from (*_each(row.probe.red), *_each(row.probe.black))
