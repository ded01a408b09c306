"""What is asked next, as a function of the recorded state: resuming asks the same as before.

Identities of prompts (``Expectation.prompt``; demo scenes name their answers by them):

``ready``; ``caution:<name>``; ``fact:<name>``; ``access:<name>[:<place>]``; ``check:<name>[:<place>]``;
``fix:<name>[:<place>]``; ``proof:<step>``; ``close:put back``; laid over one of these ``confirm:<prompt>``,
``choose:<prompt>`` and ``skip:<prompt>``; anywhere ``note``, ``stop`` and ``held``; ``ended`` when it is over.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.engine.applies import assumed_facts, may_hold
from assistant.engine.decisions import CheckChosen, FixChosen, Phase
from assistant.engine.opening import access_named, left_to_open
from assistant.engine.planning import put_back_items
from assistant.engine.setting import Setting
from assistant.engine.state import UNIT_NUMBER, State, action_prompt, identity
from assistant.engine.talk import Mode
from assistant.procedure.model import Caution, ProofStep, Question, When

CLOSE = "close:put back"
UNIT_QUESTION = Question(
    name=UNIT_NUMBER, ask="What is the unit number?", kind="identifier", help="Say it digit by digit."
)
"""Asked first when neither the setting nor the procedure has it."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The main prompt: what is asked, and about what."""

    mode: Mode
    """READY, CAUTION, FACT, ACCESS, CHECK, FIX, PROOF, PUT_BACK, HELD or ENDED."""
    prompt: str
    """Its identity."""
    name: str = ""
    """Name of the caution, fact, access, check, fix or step."""
    place: str | None = None
    """Where, for an access, a check or a fix."""


ENDED = Asked(Mode.ENDED, "ended")


def main(setting: Setting, state: State) -> Asked | None:
    """The main prompt, None when nothing is left to ask in this phase and a decision must be made first."""
    if state.ended is not None:
        return ENDED
    asked = {
        Phase.CAUTIONS: _beginning,
        Phase.FACTS: _facts,
        Phase.FINDING: _action,
        Phase.REPAIRING: _action,
        Phase.PROVING: _proof,
        Phase.CLOSING: _closing,
    }[state.phase]
    return asked(setting, state)


def holds(setting: Setting, state: State, when: When) -> bool:
    """True unless a known fact says otherwise."""
    return may_hold(when, assumed_facts(setting.procedure, state.facts))


def questions(setting: Setting) -> tuple[Question, ...]:
    """The facts to ask, in order."""
    facts = setting.procedure.facts
    named = {question.name for question in facts}
    return facts if setting.unit_number or UNIT_NUMBER in named else (UNIT_QUESTION, *facts)


def question_named(setting: Setting, name: str) -> Question:
    """The fact asked under that name."""
    return next(question for question in questions(setting) if question.name == name)


def steps_left(setting: Setting, state: State) -> tuple[ProofStep, ...]:
    """Steps of the proof that are not yet done or passed by."""
    done = {step.step for step in state.proof}
    skipped = {skip.prompt for skip in state.skipped}
    return tuple(
        step
        for step in setting.procedure.proof.steps
        if step.name not in done and identity("proof", step.name) not in skipped and holds(setting, state, step.when)
    )


def caution_named(setting: Setting, name: str) -> Caution:
    """The caution of that name."""
    return next(caution for caution in setting.procedure.cautions if caution.name == name)


def _beginning(setting: Setting, state: State) -> Asked | None:
    if not state.ready:
        return Asked(Mode.READY, "ready")
    return _caution(setting, state, (caution.name for caution in setting.procedure.cautions if caution.first))


def _caution(setting: Setting, state: State, names: Iterable[str]) -> Asked | None:
    """The first of these cautions that applies and was not acknowledged."""
    for name in names:
        if name not in state.acknowledged and holds(setting, state, caution_named(setting, name).when):
            return Asked(Mode.CAUTION, identity("caution", name), name)
    return None


def _facts(setting: Setting, state: State) -> Asked | None:
    for question in questions(setting):
        if question.name not in state.facts and holds(setting, state, question.when):
            return Asked(Mode.FACT, identity("fact", question.name), question.name)
    return None


def _action(setting: Setting, state: State) -> Asked | None:
    action = state.action
    if action is None:
        return None
    for opening in left_to_open(setting, state.facts, state.opened, action):
        caution = _caution(setting, state, access_named(setting, opening.access).cautions)
        prompt = identity("access", opening.access, opening.place)
        return caution or Asked(Mode.ACCESS, prompt, opening.access, opening.place)
    if isinstance(action, FixChosen):
        caution = _caution(setting, state, setting.fix(action.fix).cautions)
        return caution or Asked(Mode.FIX, action_prompt(action), action.fix, action.place)
    return check_asked(setting, state, action)


def check_asked(setting: Setting, state: State, action: CheckChosen) -> Asked:
    """The prompt of a check, or of a caution before it."""
    caution = _caution(setting, state, setting.check(action.check).cautions)
    return caution or Asked(Mode.CHECK, action_prompt(action), action.check, action.place)


def _proof(setting: Setting, state: State) -> Asked | None:
    if not all(step.passed for step in state.proof):
        return None
    for step in steps_left(setting, state):
        caution = _caution(setting, state, step.cautions)
        return caution or Asked(Mode.PROOF, identity("proof", step.name), step.name)
    return None


def _closing(setting: Setting, state: State) -> Asked | None:
    return Asked(Mode.PUT_BACK, CLOSE) if put_back_items(setting, state) else None


def asked_now(setting: Setting, state: State) -> Asked:
    """The prompt that is asked: an earlier one that is being asked again, else the main one."""
    revisit = state.talk.revisit
    if revisit:
        for done in reversed(state.trail):
            if done.prompt == revisit:
                place = revisit.removeprefix(f"{done.kind}:{done.key}").removeprefix(":") or None
                return Asked(Mode(done.kind), revisit, done.key, place if done.kind == "check" else None)
    return main(setting, state) or ENDED


def mode_of(setting: Setting, state: State) -> Mode:
    """What the session waits for; with an event it names one row of the table."""
    talk = state.talk
    if talk.waiting is not None:
        return Mode.UNWRITTEN if talk.failed else Mode.RECORDING
    if not talk.live:
        return Mode.NEW
    if state.ended is not None:
        return Mode.ENDED
    if state.held:
        return Mode.HELD
    if talk.overlay is not None:
        return talk.overlay.mode
    return asked_now(setting, state).mode


def prompt_name(setting: Setting, state: State) -> str:
    """Identity of what is asked now, with the question laid over it."""
    asked = asked_now(setting, state).prompt
    mode = mode_of(setting, state)
    prefix = {Mode.CONFIRM: "confirm:", Mode.CHOOSE: "choose:", Mode.SPREAD: "choose:", Mode.REASON: "skip:"}
    if mode in prefix:
        return prefix[mode] + asked
    return mode.value if mode in (Mode.NOTE, Mode.STOP, Mode.HELD, Mode.ENDED) else asked
