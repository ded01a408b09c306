"""A simulated technician's hands and eyes on a trailer that knows nothing of the procedure.

He does literally what the procedure's data say: ``hands`` of openings, checks, repairs and steps of the proof, then
``probe`` or ``sees``. What they do not name stays as it is. Now and then he slips.
"""

from __future__ import annotations

from copy import deepcopy
from random import Random

from assistant.diagnosis.conditions import UNSURE
from assistant.diagnosis.fault_model import Cure, Suspect, fault_model
from assistant.errors import DefectError
from assistant.messages import Expectation, Overlaid, Prompt, PromptKind, check_prompt
from assistant.procedure.hands import Ends, Hands, Load, Probe, Sees
from assistant.procedure.model import Check, Procedure, Question
from assistant.simulator.slips import Noticed, Slip, judged_alike, noticed_as
from assistant.simulator.truck.arrivals import arrival_named
from assistant.simulator.truck.case import Case, draw_case
from assistant.simulator.truck.meter import Dial, Display, Shown
from assistant.simulator.units import done

SLIPS = ("amps jack", "wrong dial", "lead off", "wrong pin", "other place", "forgets to prepare")
"""What a hand can get wrong at a reading; the last two also at a look."""
PUT_BACK = "put back"
"""The closing prompt at which everything is put back."""
_OTHER_DIAL = {Dial.DC: Dial.AC, Dial.AC: Dial.DC, Dial.OHMS: Dial.DC, Dial.AMPS: Dial.DC}


def led_on_truck(procedure: Procedure) -> bool:
    """True when a kind of unit comes in for it, and every check says where its answer comes from there."""
    return bool(procedure.led_on) and all(check.probe or check.sees for check in procedure.checks)


def truck_faults(procedure: Procedure) -> tuple[tuple[Suspect, float], ...]:
    """Every kind of defect of that unit, at every place it can have on some unit, and how common it is."""
    arrival = arrival_named(procedure.led_on)
    return tuple(
        (Suspect(kind.name, place), kind.weight) for kind in arrival.kinds for place in arrival.every_place(kind)
    )


def truck_couples(procedure: Procedure, count: int, rng: Random) -> list[tuple[Suspect, ...]]:
    """Pairs of defects in different kinds of parts, drawn by how common each is."""
    every = truck_faults(procedure)
    found: list[tuple[Suspect, ...]] = []
    while len(found) < count:
        first, second = rng.choices(every, [weight for _, weight in every], k=2)
        if first[0].fault != second[0].fault:
            found.append((first[0], second[0]))
    return found


def case_of(procedure: Procedure, wrong: tuple[Suspect, ...], seed: int, meter_error: float = 0.0) -> Case:
    """A unit of the kind that comes in for this procedure, with these defects."""
    arrival = arrival_named(procedure.led_on)
    return draw_case(arrival, tuple((one.fault, one.place) for one in wrong), seed, meter_error)


class TruckUnit:
    """A case in the shop, worked on as the procedure's data say; it answers a session's prompts."""

    def __init__(self, procedure: Procedure, case: Case, *, slip: float = 0.0, seed: int = 0) -> None:
        """Put a case into hands.

        Args:
            procedure: what will be asked, with its data on hands, tips and eyes.
            case: the unit.
            slip: chance that a check is done wrongly.
            seed: of the slips.
        """
        self.procedure, self.case, self.slip = procedure, case, slip
        self.facts = {question.name: self._told(question) for question in procedure.facts}
        """What the facts of the procedure are on this unit, 'not sure' where nothing tells."""
        self.fixes_done: list[Cure] = []
        self.slips: list[Slip] = []
        """Slips made, in order."""
        self.useful: list[Cure] = []
        """Fixes that cured something, in order."""
        self._rng = Random(seed)  # noqa: S311 - a simulation, not a secret
        self.used: set[str] = set()
        """``read`` once a meter was used, ``loaded`` once volts were read under a load."""
        self.noticed: list[str] = []
        """Tools found to be at fault, in order."""
        self._last = self._slipped = ""

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """What was wrong when it came in, in the unit's own words."""
        return tuple(Suspect(one.name, one.place) for one in self.case.truth)

    @property
    def cured(self) -> bool:
        """True once nothing is wrong any more."""
        return self.case.machine.sound

    def answer(self, expectation: Expectation) -> str:
        """Do what the prompt asks for, and say what the technician says.

        Raises:
            DefectError: the prompt is not one that a session asks, or its data name what the trailer does not have.
        """
        prompt = expectation.prompt
        if prompt.overlaid is Overlaid.CONFIRM and self._sees_the_slip(prompt):
            noticed_as(self.slips, check_prompt(prompt.name, prompt.place), Noticed.ASKED)
            return "no"
        if prompt.overlaid is not None:
            return {Overlaid.CONFIRM: "yes", Overlaid.CHOOSE: self._last, Overlaid.SKIP: "not on this unit"}[
                prompt.overlaid
            ]
        match prompt.kind:
            case PromptKind.CAUTION:
                return "yes"
            case PromptKind.OFFER:
                return "no"
            case PromptKind.FACT:
                return self.facts.get(prompt.name, UNSURE)
            case PromptKind.CHECK:
                self._last = self.check(prompt)
                return self._last
            case PromptKind.PROOF:
                return self._proof(prompt.name)
            case PromptKind.ACCESS:
                if not self._has(prompt.place):
                    return "skip"
                access = next(one for one in self.procedure.access if one.name == prompt.name)
                self._do(access.hands, prompt.place)
                return "next"
            case PromptKind.CLOSE:
                self._close(prompt.name)
                return "next"
            case PromptKind.READY | PromptKind.FIX:
                return done(expectation)
        raise DefectError(f"A simulated technician has no answer to the prompt '{expectation.prompt}'.")

    def check(self, prompt: Prompt) -> str:
        """One check, done as its data say, in words."""
        check = next(one for one in self.procedure.checks if one.name == prompt.name)
        unit = self.case.machine
        place = prompt.place
        if not self._has(place):
            return "skip"
        slip = self._slipped = self._slip(check)
        before = deepcopy(self.case) if slip else self.case
        words = self._done(check, place, slip)
        if slip:
            right = TruckUnit(self.procedure, before)
            alike = judged_alike(check, self.facts, place, words, right._done(check, place, ""))
            self.slips.append(Slip(prompt, slip, alike, fixes=len(self.fixes_done)))
        else:
            noticed_as(self.slips, prompt, Noticed.AGAIN, len(self.fixes_done))
        if words in check.tools:
            # told which tool is at fault, he puts it right before he reads again
            noticed_as(self.slips, prompt, Noticed.TOOL)
            self.noticed.append(words)
            self.case.meter.lead_off = self.case.meter.in_amps_jack = unit.load_dead = False
        return words

    def _done(self, check: Check, place: str | None, slip: str) -> str:
        """A check with this slip, '' for none, in words."""
        unit = self.case.machine
        if slip == "other place" and place is not None:
            place = self._rng.choice([one for one in unit.place_group(place) if one != place] or [place])
        if slip != "forgets to prepare":
            self._do(check.hands, place)
        if check.probe is not None:
            self.used |= {"read"} | ({"loaded"} if check.hands and check.hands.load else set())
            words = self._reading(check, check.probe, place, slip)
        else:
            words = self._seen(check.sees, place)
        unit.let_go()
        return words

    def fix(self, cure: Cure) -> bool:
        """Do a fix; True when it cured something."""
        self.fixes_done.append(cure)
        fix = next(one for one in self.procedure.fixes if one.name == cure.fix)
        cured = self._do(fix.hands, cure.place)
        if cured:
            self.useful.append(cure)
        return cured

    def faults_named(self) -> tuple[Suspect, ...]:
        """The procedure's own faults whose fix renews what was wrong when it came in, one for each defect."""
        model = fault_model(self.procedure, self.facts)
        found = []
        for defect in self.case.truth:
            for suspect in model.suspects:
                cure = model.cure(suspect)
                hands = model.fixes[cure.fix].hands
                if hands is not None and defect.part in self._names(hands.renew, cure.place):
                    found.append(suspect)
                    break
        return tuple(found)

    # ---------------------------------------------------------------------------------------------------- parts

    def _sees_the_slip(self, prompt: Prompt) -> bool:
        """True where a question about the meter or the load makes him look, and he finds what he did wrong."""
        check = next((one for one in self.procedure.checks if one.name == prompt.name), None)
        if check is None or check.zero is None or self._last.strip("-0.") != "":
            return False
        meter = self.case.meter
        if meter.lead_off or meter.in_amps_jack:
            self.noticed.append("meter dead")
            meter.lead_off = meter.in_amps_jack = False
            return True
        return bool(self._slipped)

    def _has(self, place: str | None) -> bool:
        """False for a place that this unit lacks, asked because a fact was not sure."""
        return place is None or bool(self.case.machine.place_group(place))

    def _told(self, question: Question) -> str:
        if question.sees is None:
            return UNSURE
        found = self.case.tells(question.sees.what)
        answer = question.sees.answers.get(found, found)
        # none of the answers fits what he sees: a question that does not apply to this unit
        return answer if not question.choices or answer in {one.name for one in question.choices} else UNSURE

    def _slip(self, check: Check) -> str:
        if not self.slip or self._rng.random() >= self.slip:
            return ""
        return self._rng.choice(SLIPS if check.probe is not None else SLIPS[-2:])

    def _do(self, hands: Hands | None, place: str | None) -> bool:
        """Do what the data name; True when a repair cured something."""
        if hands is None:
            return False
        unit, brain = self.case.machine, self.case.brain
        if hands.put_back:
            unit.put_back()
        if hands.key in {"off", "cycled"}:
            unit.key = False
        unit.plug(self._names(hands.unplug, place), in_=False)
        unit.plug(self._names(hands.plug, place), in_=True)
        if hands.engine is not None:
            unit.engine = hands.engine == "running"
        unit.pedal = hands.pedal is not None
        self._connect(hands, place)
        unit.lifted |= {self._in(hands.lift, place)} if hands.lift else set()
        unit.lifted -= {self._in(hands.lower, place)} if hands.lower else set()
        unit.turning, unit.pace = (self._in(hands.turn, place) if hands.turn else None), hands.pace
        unit.moved, unit.warm = hands.move, hands.warm
        if hands.key in {"on", "cycled"} and not unit.key:
            unit.key = True
            brain.power_up()
        if hands.clear_codes:
            brain.clear()
        if hands.roll is not None and not unit.lifted:
            brain.roll(hands.roll, rough=False)
        return unit.renew(self._names(hands.renew, place)) if hands.renew else False

    def _connect(self, hands: Hands, place: str | None) -> None:
        """Switches, loads, jumper wires, batteries, and parts that stand in for others."""
        unit = self.case.machine
        unit.set({self._in(name, place): self._in(to, place) for name, to in hands.switch.items()})
        unit.set({self._in(name, place): self._in(to, place) for name, to in hands.hold.items()}, hold=True)
        if hands.load is not None:
            unit.load, unit.load_kind = self._ends(hands.load, place), self._in(hands.load.kind, place)
        if hands.load_off:
            unit.load = None
        unit.jumper = self._ends(hands.jumper, place) if hands.jumper else None
        unit.feed = self._ends(hands.feed, place) if hands.feed else None
        unit.stands_in = set(self._names(hands.stand_in, place))

    def _ends(self, ends: Load | Ends, place: str | None) -> tuple[str, str]:
        return self._in(ends.plus, place), self._in(ends.minus, place)

    def _in(self, name: str, place: str | None) -> str:
        """A name with what it leaves open filled in: the place, and what a word means on this unit."""
        for word, meaning in {"place": place or "", **self.case.means}.items():
            name = name.replace(f"{{{word}}}", meaning)
        return name

    def _names(self, names: tuple[str, ...], place: str | None) -> tuple[str, ...]:
        return tuple(self._in(name, place) for name in names)

    def _seen(self, sees: Sees | None, place: str | None) -> str:
        if sees is None:
            raise DefectError("A check without a meter says nothing of what is looked at.")
        found = self.case.tells(sees.what, place)
        return sees.answers.get(found, found)

    def _proof(self, name: str) -> str:
        step = next(step for step in self.procedure.proof.steps if step.name == name)
        self._do(step.hands, None)
        words = self._seen(step.sees, None) if step.sees is not None else next(iter(step.passes), "next")
        self.case.machine.let_go()
        return words

    def _close(self, name: str) -> None:
        """The put-back list: what the proof's own step of that kind does."""
        if name == PUT_BACK:
            for step in self.procedure.proof.steps:
                self._do(step.hands if step.put_back else None, None)

    def _reading(self, check: Check, probe: Probe, place: str | None, slip: str) -> str:
        meter = self.case.meter
        before = meter.in_amps_jack, meter.lead_off
        # whoever slips on the jack has the red lead in the one that he did not want
        meter.in_amps_jack = before[0] or (slip == "amps jack") != (probe.jack == "amps")
        meter.lead_off = before[1] or slip == "lead off"
        dial = Dial(probe.dial)
        if slip == "wrong dial":
            dial = _OTHER_DIAL[dial]
        shown = []
        for red, black in self._tips(probe, place):
            node = self.case.machine.mistaken(red) if slip == "wrong pin" else red
            moved = check.hands is not None and check.hands.move
            shown.append(meter.read(self.case.machine, dial, node, black, moved=moved))
        meter.in_amps_jack, meter.lead_off = before
        return in_words(_told_of(shown, probe, check))

    def _tips(self, probe: Probe, place: str | None) -> list[tuple[str, str]]:
        red = self._names((probe.red,) if isinstance(probe.red, str) else probe.red, place)
        black = self._names((probe.black,) if isinstance(probe.black, str) else probe.black, place)
        return list(zip(red, black * len(red) if len(black) == 1 else black, strict=True))


def in_words(display: Display) -> str:
    """A display as it is said."""
    if display.shown is Shown.OVER_RANGE:
        return "over range"
    low, high = (f"{value:.{display.decimals}f}" for value in (display.value, display.high))
    return f"jumping between {low} and {high}" if display.shown is Shown.JUMPING else low


def _told_of(shown: list[Display], probe: Probe, check: Check) -> Display:
    """Which of several readings is told: any that jumps, else the one asked for."""
    jumping = [one for one in shown if one.shown is Shown.JUMPING]
    if jumping:
        return jumping[0]

    def size(one: Display) -> float:
        return float("inf") if one.shown is Shown.OVER_RANGE else one.value

    if probe.of == "lowest":
        return min(shown, key=size)
    if probe.of == "farthest" and check.typical is not None:
        middle = float(sum(check.typical) / 2)
        return max(shown, key=lambda one: max((size(one) + 0.1) / middle, middle / (size(one) + 0.1)))
    return max(shown, key=size)
