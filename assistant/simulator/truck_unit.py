"""A simulated technician's hands and eyes on a trailer that knows nothing of the procedure.

He does literally what the procedure's data say: ``hands`` of openings, checks, repairs and steps of the proof, then
``probe`` or ``sees``. What they do not name stays as it is. Now and then he slips.
"""

from __future__ import annotations

from random import Random

from assistant.diagnosis.conditions import UNSURE
from assistant.diagnosis.fault_model import Cure, Suspect, fault_model
from assistant.errors import DefectError
from assistant.messages import Expectation, Overlaid, Prompt, PromptKind
from assistant.procedure.hands import Hands, Probe, Sees
from assistant.procedure.model import Check, Procedure, Question
from assistant.simulator.truck.case import Case, every_place
from assistant.simulator.truck.defects import KINDS
from assistant.simulator.truck.meter import Dial, Display, Shown

SLIPS = ("amps jack", "wrong dial", "lead off", "wrong pin", "other place", "forgets to prepare")
"""What a hand can get wrong at a reading; the last two also at a look."""
PUT_BACK = "put back"
"""The closing prompt at which everything is put back."""
_OTHER_PIN = {"1": "2", "2": "1", "4": "7", "7": "4"}
_OTHER_DIAL = {Dial.DC: Dial.AC, Dial.AC: Dial.DC, Dial.OHMS: Dial.DC}


def led_on_truck(procedure: Procedure) -> bool:
    """True when every check of the procedure says where its answer comes from on the unit."""
    return bool(procedure.faults) and all(check.probe or check.sees for check in procedure.checks)


def truck_faults() -> tuple[tuple[Suspect, float], ...]:
    """Every kind of defect at every place it can have on some trailer, and how common it is."""
    return tuple((Suspect(kind.name, place), kind.weight) for kind in KINDS for place in every_place(kind))


def truck_couples(count: int, rng: Random) -> list[tuple[Suspect, ...]]:
    """Pairs of defects in different kinds of parts, drawn by how common each is."""
    every = truck_faults()
    found: list[tuple[Suspect, ...]] = []
    while len(found) < count:
        first, second = rng.choices(every, [weight for _, weight in every], k=2)
        if first[0].fault != second[0].fault:
            found.append((first[0], second[0]))
    return found


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
        self.slips: list[str] = []
        """Slips made, in order, each with the check."""
        self.useful: list[Cure] = []
        """Fixes that cured something, in order."""
        self._rng = Random(seed)  # noqa: S311 - a simulation, not a secret
        self._last = ""

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """What was wrong when it came in, in the unit's own words."""
        return tuple(Suspect(one.name, one.place) for one in self.case.truth)

    @property
    def cured(self) -> bool:
        """True once nothing is wrong any more."""
        return self.case.trailer.sound

    def answer(self, expectation: Expectation) -> str:
        """Do what the prompt asks for, and say what the technician says.

        Raises:
            DefectError: the prompt is not one that a session asks, or its data name what the trailer does not have.
        """
        prompt = expectation.prompt
        if prompt.overlaid is not None:
            return {Overlaid.CONFIRM: "yes", Overlaid.CHOOSE: self._last, Overlaid.SKIP: "not on this unit"}[
                prompt.overlaid
            ]
        match prompt.kind:
            case PromptKind.CAUTION:
                return "yes"
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
                return "next"
        raise DefectError(f"A simulated technician has no answer to the prompt '{expectation.prompt}'.")

    def check(self, prompt: Prompt) -> str:
        """One check, done as its data say, in words."""
        check = next(one for one in self.procedure.checks if one.name == prompt.name)
        trailer = self.case.trailer
        place = prompt.place
        if not self._has(place):
            return "skip"
        slip = self._slip(check)
        if slip == "other place" and place is not None:
            group = trailer.build.wheels if place in trailer.build.wheels else trailer.build.modulators
            place = self._rng.choice([one for one in group if one != place] or [place])
        if slip != "forgets to prepare":
            self._do(check.hands, place)
        if check.probe is not None:
            words = self._reading(check, check.probe, place, slip)
        else:
            words = self._seen(check.sees, place)
        trailer.pedal = trailer.moved = False
        trailer.turning = None
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
                if hands is not None and defect.part in _at(hands.renew, cure.place):
                    found.append(suspect)
                    break
        return tuple(found)

    # ---------------------------------------------------------------------------------------------------- parts

    def _has(self, place: str | None) -> bool:
        """False for a place that this unit lacks, asked because a fact was not sure."""
        build = self.case.trailer.build
        return place is None or place in (*build.wheels, *build.modulators)

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
        slip = self._rng.choice(SLIPS if check.probe is not None else SLIPS[-2:])
        self.slips.append(f"{check.name}: {slip}")
        return slip

    def _do(self, hands: Hands | None, place: str | None) -> bool:
        """Do what the data name; True when a repair cured something."""
        if hands is None:
            return False
        trailer, controller = self.case.trailer, self.case.controller
        if hands.put_back:
            trailer.put_back()
        if hands.key in {"off", "cycled"}:
            trailer.key = False
        trailer.plug(_at(hands.unplug, place), in_=False)
        trailer.plug(_at(hands.plug, place), in_=True)
        if hands.engine is not None:
            trailer.engine = hands.engine == "running"
        trailer.pedal = hands.pedal is not None
        if hands.load is not None:
            trailer.load = (hands.load.plus, hands.load.minus)
        if hands.load_off:
            trailer.load = None
        trailer.lifted |= {_in(hands.lift, place)} if hands.lift else set()
        trailer.lifted -= {_in(hands.lower, place)} if hands.lower else set()
        trailer.turning, trailer.pace = (_in(hands.turn, place) if hands.turn else None), hands.pace
        trailer.moved = hands.move
        if hands.key in {"on", "cycled"} and not trailer.key:
            trailer.key = True
            controller.power_up()
        if hands.clear_codes:
            controller.clear()
        if hands.roll is not None and not trailer.lifted:
            controller.roll(hands.roll, rough=False)
        return trailer.renew(_at(hands.renew, place)) if hands.renew else False

    def _seen(self, sees: Sees | None, place: str | None) -> str:
        if sees is None:
            raise DefectError("A check without a meter says nothing of what is looked at.")
        found = self.case.tells(sees.what, place)
        return sees.answers.get(found, found)

    def _proof(self, name: str) -> str:
        step = next(step for step in self.procedure.proof.steps if step.name == name)
        self._do(step.hands, None)
        return "next" if step.sees is None else self._seen(step.sees, None)

    def _close(self, name: str) -> None:
        """The put-back list: what the proof's own step of that kind does."""
        if name == PUT_BACK:
            for step in self.procedure.proof.steps:
                self._do(step.hands if step.put_back else None, None)

    def _reading(self, check: Check, probe: Probe, place: str | None, slip: str) -> str:
        meter = self.case.meter
        meter.in_amps_jack = slip == "amps jack" or probe.jack == "amps"
        meter.lead_off = slip == "lead off"
        dial = Dial(probe.dial)
        if slip == "wrong dial":
            dial = _OTHER_DIAL[dial]
        shown = []
        for red in _nodes(probe, place):
            node = red[:-1] + _OTHER_PIN[red[-1]] if slip == "wrong pin" and red[-1] in _OTHER_PIN else red
            shown.append(self._display(probe, place, node, dial, check))
        meter.in_amps_jack = meter.lead_off = False
        return in_words(_told_of(shown, probe, check))

    def _display(self, probe: Probe, place: str | None, red: str, dial: Dial, check: Check) -> Display:
        moved = check.hands is not None and check.hands.move
        return self.case.meter.read(self.case.trailer, dial, red, _in(probe.black, place), moved=moved)


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


def _nodes(probe: Probe, place: str | None) -> tuple[str, ...]:
    red = (probe.red,) if isinstance(probe.red, str) else probe.red
    return _at(red, place)


def _at(names: tuple[str, ...], place: str | None) -> tuple[str, ...]:
    return tuple(_in(name, place) for name in names)


def _in(name: str, place: str | None) -> str:
    return name.replace("{place}", place or "")
