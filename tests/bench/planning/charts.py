"""What a good technician's own chart would do: a fixed order, written down for each procedure, followed with sense.

Common practice, no source. The charts are meant to be good ones: each stands in the order from what costs no tool and
no opening, over what a connector shows, to what needs a wheel off or a part; supply before sensors, volts before
ohms, the module last. Each step is done in its turn, at each place, until one shows something unusual; from there the
one who follows it thinks: he keeps to what fits all that was seen (a code that names a wheel leads there), passes by
steps that cannot tell apart what is left, and mends as soon as one cure is left or a check has condemned the part.
Where the chart ends with several cures left, they are done by probability over minutes.

The same with such sense from the first step on (``keen``) is no chart on paper any more: it knows what every fault
shows at every check, and trusts every reading. It is printed beside, as the harder yardstick.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from assistant.diagnosis.fault_model import Cure, FaultModel, Opening, Suspect
from assistant.simulator.unit import SimulatedUnit

FIX = "fix:"
"""An entry of a chart that says: try this now."""

ABS_WHEELS = (
    # one connector at the module answers for power-up volts, coil, short to ground of every wheel: before any wheel
    "port volts", "stray volts", "module end ohms", "circuit to ground",
    # then the suspect wire, first by hand and eye, then at its wheel end
    "look at the wire", "flex the wire", "look at the plug", "wheel end volts", "sensor ohms", "sensor to ground",
    "wire to ground",
    # all ohms good: the gap, tried where it takes a push, then the wheel up
    "fix:push the sensor home", "wheel turns freely", "bearing play", "output by hand", "output by hand, drum on",
    "own port", "sensor grip", "sensor against ring", "tone ring",
    # what is left: tires, valves, the module last, by its swap
    "tire sizes", "modulator ohms", "light with module unplugged", "swap two plugs",
)  # fmt: skip
NOT_ON_A_TRACTOR = {"modulator ohms", "light with module unplugged", "swap two plugs"}
"""A few large plugs carry everything there, and a dead module lights its own light."""
CHARTS: dict[str, tuple[str, ...]] = {
    "trailer-abs-light-on": (
        "light at power-up", "clicks at power-up", "code names a wheel",
        # a weak supply sets any code: loaded volts from the tractor back, then each side's drop
        "tractor blue loaded", "cord blue loaded", "module blue loaded", "module red loaded", "ground drop",
        "power drop", *ABS_WHEELS, "another tractor",
    ),
    "tractor-abs-light-on": (
        "both lights at key on", "clicks at power-up", "code names a wheel", "cord off",
        "battery loaded", "look at the fuses", "module power loaded", "ground drop", "power drop",
        *(name for name in ABS_WHEELS if name not in NOT_ON_A_TRACTOR), "coils from the plug", "codes while lit",
    ),
    # bulb first (its plug, then itself), then does the module wake, then power from the front to the back
    "trailer-abs-light-never-lights": (
        "lamp plug", "lamp ohms", "clicks", "seven-way loaded", "module blue loaded", "ground drop", "lamp wire",
    ),
    # look, then walk the train from the tractor back with the load, the grounds behind the first bad stop
    "doubles-and-triples": (
        "look at the plugs", "lights at key on", "tractor loaded", "battery volts running", "first nose loaded",
        "first tail loaded", "first trailer ground drop", "second nose loaded", "second tail loaded",
        "second trailer ground drop", "third nose loaded", "last module loaded",
        "second trailer ground drop, doubles", "third trailer ground drop", "trailer alone",
    ),
    # look, tractor, cord, then the joints from the front to the back
    "seven-way-power-and-grounds": (
        "look at the plugs", "tractor loaded", "tractor loaded, another pin", "far end loaded", "tug the cord",
        "good cord", "cord alone", "power joint drop, front", "ground joint drop, front", "power drop behind",
        "ground drop behind", "power joint drop, rear", "ground joint drop, rear", "push the joint",
    ),
    # bulb, its plug, volts and ground at the lamp, then the supply from the tractor back; what is moved by hand last
    "trailer-light-dead-or-faint": (
        "look at the bulb", "look at the lamp's plug", "good lamp", "lamp's volts", "lamp's ground",
        "pin at the tractor", "look at the socket", "pin at the cord's end", "cord alone", "trailer's ground",
        "hitch moved", "ground jumper", "circuit alone", "side feed", "cord moved", "lamp moved",
    ),
    # look, rest volts, charging, cranking and its drops, then the batteries apart, starter and drain last
    "battery-and-charging": (
        "posts and cables", "belt", "rest volts", "charging volts", "alternator volts", "charging drop",
        "charging ground drop", "cranks", "cranking volts", "starter amps", "power drop cranking",
        "ground drop cranking", "jumper drop cranking", "start circuit drop", "contacts drop cranking",
        "cables moved", "engine by hand", "key-off draw", "battery alone", "battery under load",
    ),
}  # fmt: skip


def chart_minutes(
    chart: Sequence[str], seen: FaultModel, unit: SimulatedUnit, *, keen: bool, most: float = 900.0
) -> float:
    """Working minutes until a unit is cured and proven by following a chart.

    Args:
        chart: names of checks in order; ``fix:NAME`` tries a fix.
        seen: what applies on the unit, with the facts as the technician answered them.
        unit: what is wrong; it is changed by the fixes done.
        keen: pass by what cannot tell from the first step on, not only once something unusual was seen.
        most: minutes after which the chart has failed.
    """
    follower = _Follower(chart, seen, unit, keen=keen)
    while not unit.cured and follower.minutes < most:
        follower.step()
    return min(follower.minutes, most)


class _Follower:
    def __init__(self, chart: Sequence[str], seen: FaultModel, unit: SimulatedUnit, *, keen: bool) -> None:
        self.seen, self.unit = seen, unit
        self.minutes = 0.0
        self.thinks = keen
        self.left = np.ones(len(seen.suspects), dtype=np.bool_)
        """Suspects that fit everything seen so far."""
        self.opened: set[Opening] = set()
        self.mended: list[Cure] = []
        self.condemned: list[Cure] = []
        self.steps = [*self._entries(chart)]

    def _entries(self, chart: Sequence[str]) -> Iterator[int | Cure]:
        for name in chart:
            if name.startswith(FIX):
                yield from (cure for cure in self.seen.cures if cure.fix == name.removeprefix(FIX))
            else:
                yield from (number for number, task in enumerate(self.seen.tasks) if task.check == name)

    def step(self) -> None:
        """Mend what is certain; else the next entry that tells; else the likeliest a minute."""
        cures = list(dict.fromkeys(self.seen.cure(self.seen.suspects[n]) for n in np.flatnonzero(self.left)))
        certain = [cure for cure in self.condemned if cure in cures] or (cures if len(cures) == 1 else [])
        if certain:
            self._mend(certain[0])
            return
        while self.steps:
            entry = self.steps.pop(0)
            if isinstance(entry, Cure):
                if entry in cures:
                    self._mend(entry)
                    return
            elif len(cures) > 1 and (not self.thinks or self._tells(entry)):
                self._look(entry)
                return
        self._mend(self._likeliest())

    def _tells(self, number: int) -> bool:
        shown = self.seen.tables[number].declared[:, self.left]
        return bool((np.abs(shown - shown[:, :1]) > 1e-9).any())

    def _open(self, needed: Sequence[bool]) -> None:
        for opening in self.seen.unopened(np.asarray(needed), frozenset(self.opened)):
            self.opened.add(opening)
            self.minutes += float(self.seen.opening_minutes[self.seen.opening_index[opening]])

    def _look(self, number: int) -> None:
        task, table = self.seen.tasks[number], self.seen.tables[number]
        self._open(self.seen.task_openings[number])
        self.minutes += float(self.seen.task_minutes[number])
        if not self.unit.has(task):
            return
        outcome = self.unit.outcome(task)
        row = table.row(outcome)
        if row is None:
            return
        self.thinks = self.thinks or outcome != self.seen.checks[task.check].otherwise
        kept = self.left & (table.declared[row] > 0)
        self.left = kept if kept.any() else self.left
        if outcome in self.seen.checks[task.check].condemns:
            self.condemned += [self.seen.cure(self.seen.suspects[n]) for n in np.flatnonzero(table.points[row])]

    def _mend(self, cure: Cure) -> None:
        number = self.seen.cure_index[cure]
        self._open(self.seen.cure_openings[number])
        self.minutes += float(self.seen.cure_minutes[number]) + self.seen.proof_minutes
        self.unit.fix(cure)
        self.mended.append(cure)
        self.opened.clear()
        self.left &= self.seen.cure_of != number
        if not self.left.any():
            self.left = np.array([self.seen.cure(one) not in self.mended for one in self.seen.suspects])

    def _likeliest(self) -> Cure:
        def worth(cure: Cure) -> float:
            number = self.seen.cure_index[cure]
            mass = float(self.seen.priors[self.left & (self.seen.cure_of == number)].sum())
            return mass / (float(self.seen.cure_minutes[number]) + self.seen.proof_minutes)

        open_cures = [cure for cure in self.seen.cures if cure not in self.mended] or list(self.seen.cures)
        return max(open_cures, key=worth)


def suspects_of(seen: FaultModel, most: int) -> list[Suspect]:
    """At most so many places of each fault, in file order."""
    kept: dict[str, list[Suspect]] = {}
    for suspect in seen.suspects:
        kept.setdefault(suspect.fault, []).append(suspect)
    return [one for places in kept.values() for one in places[:most]]
