"""The trailer's ABS module: what it notices standing and rolling, the codes it keeps, and the light.

FACTS of the light: on while a fault is there and power is supplied; a short check at power-up; a fault kept through a
power cycle lights it again (FMVSS 121 S5.2.3.3); older systems keep it on until the wheels have rolled (model
commercial driver license manual, 5.1.16). Which figures are typical and from memory stands in ``build``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.simulator.circuit import Solution, solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.trailer import Trailer

WHEEL_KINDS = ("open", "shorted", "to ground", "to power", "low signal", "erratic")
ROAD_KINDS = ("low signal", "erratic", "sizes", "no answer")
"""Kinds that only turning wheels can show, or show to be gone."""


@dataclass(frozen=True, slots=True, order=True)
class Code:
    """One fault code."""

    kind: str
    """``open``, ``shorted``, ``to ground``, ``to power``, ``low signal``, ``erratic``, ``power``, ``valve``,
    ``module``, ``sizes`` or ``no answer``."""
    place: str | None = None
    """Wheel or modulator that it names."""
    self_made: bool = False
    """True when a plug was out at the time."""


@dataclass
class Controller:
    """The module's memory, on the trailer whose circuit it sits in."""

    trailer: Trailer
    stored: dict[Code, None] = field(default_factory=dict)
    """Codes once seen, in order."""
    held: dict[Code, None] = field(default_factory=dict)
    """Codes since the wheels last rolled: a system that holds the light keeps it on for them."""

    @property
    def machine(self) -> Trailer:
        """The trailer, as any unit."""
        return self.trailer

    def power_up(self) -> None:
        """What a key-on does: the fixed faults are looked for and stored."""
        now = dict.fromkeys(self.standing())
        self.stored |= now
        self.held |= now

    def standing(self) -> list[Code]:
        """Faults that the module sees now, wheels still."""
        feed, solution = self.trailer.powered()
        if feed is None:
            return []
        pulling = self._pulling(feed)
        found = [*self._power(pulling), *self._module(solution)]
        if not found or found[0].kind != "module":
            found += [code for wheel in self.trailer.build.wheels for code in self._port(wheel, solution)]
            found += [Code("valve", valve) for valve in pulling if self._silent(valve, pulling)]
        return found

    def active(self) -> list[Code]:
        """What a reader shows as active: what is there now, and what only the road can show to be gone."""
        now = self.standing()
        held = [code for code in self.held if code.kind in ROAD_KINDS] if self.trailer.build.holds_light else []
        return now + held if self.connected() else []

    def resting(self) -> list[Code]:
        """What a reader shows as stored and not active."""
        now = self.active()
        return [code for code in self.stored if code not in now] if self.connected() else []

    def connected(self) -> bool:
        """True when a reader gets an answer."""
        return self.trailer.powered()[0] is not None

    def clear(self) -> None:
        """Clear what a reader can clear; what is there now comes back."""
        if self.connected():
            self.stored, self.held = dict.fromkeys(self.standing()), {}

    def roll(self, speed: float, *, rough: bool) -> None:
        """Drive straight at so many miles an hour; ``rough`` for a day's road: bumps, water and warm parts."""
        trailer = self.trailer
        trailer.turning = None
        for wheel in trailer.build.wheels:
            if speed > trailer.value(f"{wheel} creeps above") > 0:
                trailer.crept.add(wheel)
        before = trailer.moved, trailer.wet, trailer.warm
        seen: dict[Code, None] = {}
        for moved, wet, warm in ((False, False, False), *(((True, False, False), (False, True, True)) * rough)):
            trailer.moved, trailer.wet, trailer.warm = moved, wet, warm
            standing = self.standing()
            seen |= dict.fromkeys([*standing, *self._moving(speed, standing, rough=rough)])
        trailer.moved, trailer.wet, trailer.warm = before
        if self.connected():
            if speed >= sizes.WATCHES:
                self.held = {}
            self.held |= seen
            self.stored |= seen

    def _moving(self, speed: float, standing: list[Code], *, rough: bool) -> list[Code]:
        """Faults that show only while the wheels turn, beside those that stand."""
        trailer = self.trailer
        if trailer.powered()[0] is None or speed < sizes.WATCHES:
            return []
        signals = solve(trailer.signal_circuit(max(5.0, min(speed, 5.0))))
        found = []
        known = {code.place for code in standing}
        for wheel in trailer.build.wheels:
            if wheel in known:
                continue
            volts = abs(signals.between(f"{wheel} port 1", f"{wheel} port 2"))
            source = trailer.wheel_of(wheel)
            if volts < sizes.SEEN:
                found.append(Code("low signal", wheel))
            elif self._uneven(source):
                found.append(Code("erratic", wheel))
        sizes_seen = [trailer.value(f"{wheel} tire") for wheel in trailer.build.wheels]
        if max(sizes_seen) - min(sizes_seen) > sizes.DIFFERENT:
            found.append(Code("sizes"))
        if rough and trailer.value("crossed"):
            # the wrong wheel answers when the module lets one go: that takes a hard stop
            found.append(Code("no answer"))
        return found

    def _uneven(self, wheel: str) -> bool:
        """True when the time from tooth to tooth or the strength changes within a turn, or the wheel is held back."""
        value = self.trailer.value
        return (
            bool(value(f"{wheel} teeth missing")) or self.trailer.swing(wheel) > 0.08 or value(f"{wheel} drag") > 0.5
        )

    def light(self) -> bool:
        """True when the trailer's own light glows, wheels still."""
        return self._glows(self._commanded())

    def light_at_power_up(self) -> str:
        """``stays on``, ``goes out``, ``stays dark`` or ``flickers`` after the key is switched on."""
        if self._glows(commanded=False):
            return "stays on"
        feed, _ = self.trailer.powered()
        if feed is None:
            return "stays dark"
        if not self._glows(commanded=True):
            return "stays dark"
        if self._browns_out(feed):
            return "flickers"
        return "stays on" if self._commanded() else "goes out"

    def clicks(self, valve: str) -> bool:
        """True when a modulator is heard at power-up."""
        feed, solution = self.trailer.powered()
        dead = feed is None or any(code.kind == "module" for code in self._module(solution))
        if dead or feed is None:
            return False
        return any(amps > sizes.CLICKS for amps in _pulls(valve, self._pulled(feed, valve)))

    def _commanded(self) -> bool:
        if not self.connected():
            return False
        held = bool(self.held) and self.trailer.build.holds_light
        return held or bool(self.standing())

    def _glows(self, commanded: bool) -> bool:
        """Whether the lamp sees enough volts, from the module or from elsewhere."""
        trailer = self.trailer
        feed, solution = trailer.powered()
        if commanded and feed is not None:
            solution = solve(trailer.circuit(feed=feed, running=True, lit=True))
        filament = trailer.link("light filament", "lamp", "lamp return", sizes.BULB).ohms
        return solution.between("lamp", "lamp return") * sizes.BULB / filament > sizes.LIT

    def feeds_light(self) -> bool:
        """True when the module's own output lights a lamp at its check, with the harness's wire off it."""
        trailer = self.trailer
        feed, solution = trailer.powered()
        ohms = trailer.link("light driver", "module in", "lamp out", sizes.DRIVER).ohms + sizes.BULB
        volts = solution.between("module in", "module in ground") if feed is not None else 0.0
        return volts * sizes.BULB / ohms > sizes.LIT

    def _browns_out(self, feed: str) -> bool:
        """True when the pull of the solenoids takes the module's own volts below what it runs on."""
        return _lowest(self._pulling(feed)) < sizes.RUNS - sizes.DIODE

    def _pulling(self, feed: str) -> dict[str, Solution]:
        """The circuit while the module pulls each of its modulators, one by one."""
        return {valve: self._pulled(feed, valve) for valve in self.trailer.build.modulators}

    def _pulled(self, feed: str, valve: str) -> Solution:
        """The circuit while the module pulls one modulator."""
        return solve(self.trailer.circuit(feed=feed, running=True, click=valve))

    def _power(self, pulling: dict[str, Solution]) -> list[Code]:
        return [Code("power")] if _lowest(pulling) < sizes.RUNS_SOUND - sizes.DIODE else []

    def _module(self, solution: Solution) -> list[Code]:
        """A module whose own 5 volts are gone."""
        up = solution.volts.get("module rail", 0.0) - solution.volts["module in ground"]
        return [Code("module")] if up < 0.4 * self.trailer.build.rail else []

    def _port(self, wheel: str, solution: Solution) -> list[Code]:
        """What the direct current through one port tells."""
        rail, ground = self.trailer.build.rail, solution.volts["module in ground"]
        first, second = (solution.volts[f"{wheel} port {leg}"] - ground for leg in ("1", "2"))
        made = f"{wheel} plug at the module" in self.trailer.unplugged
        made = made or f"{self.trailer.wheel_of(wheel)} wheel plug" in self.trailer.unplugged
        if max(first, second) > rail + 0.5:
            return [Code("to power", wheel, made)]
        amps = (rail - first) / sizes.PULL_UP
        ohms = (first - second) / amps if amps > 1e-9 else float("inf")
        if amps <= 1e-9 or ohms > sizes.OPEN:
            return [Code("open", wheel, made)]
        expected = amps * sizes.PULL_DOWN
        if second < 0.7 * expected or second > 1.3 * expected:
            return [Code("to ground", wheel, made)]
        return [Code("shorted", wheel, made)] if ohms < sizes.SHORT else []

    def _silent(self, valve: str, pulling: dict[str, Solution]) -> bool:
        """True when a solenoid draws much less or more than it should."""
        usual = (_lowest(pulling) + sizes.DIODE) / (sizes.COIL + 0.5)
        return any(not 0.5 * usual < amps < 1.6 * usual for amps in _pulls(valve, pulling[valve]))


def _lowest(pulling: dict[str, Solution]) -> float:
    """Lowest volts inside the module while it pulls its modulators."""
    return min(solution.between("module in", "module in ground") for solution in pulling.values())


def _pulls(valve: str, solution: Solution) -> list[float]:
    """Amps that each solenoid of a modulator draws when the module pulls it."""
    return [solution.between("module in", f"{valve} driver {coil}") / 0.3 for coil in ("hold", "dump")]
