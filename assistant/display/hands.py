"""Where the hands go at a prompt, as pictures that a screen makes elements of."""

from __future__ import annotations

from typing import Any

from assistant.diagnosis.conditions import known_facts
from assistant.messages import Expectation, PromptKind
from assistant.pictures.scene import Work
from assistant.pictures.sheet import pictures_of
from assistant.procedure.model import Check
from assistant.session.agenda.next_action import suspicion
from assistant.session.context import Context
from assistant.session.fold import State
from assistant.session.observing.standing import standing


def pictures(context: Context, state: State, expectation: Expectation) -> list[dict[str, Any]]:
    """Pictures of what is asked: where the hands go, as shapes that a page makes elements of."""
    work = _work(context, expectation)
    if work is None or state.held:
        return []
    made = pictures_of(
        context.procedure,
        work,
        expectation.prompt.place,
        facts=known_facts(state.facts),
        before=standing(context, state),
        doubts=_doubts(context, state),
        lines=False,  # a screen writes the same beside it, in letters of its own size
    )
    return [
        {
            "kind": one.kind,
            "title": one.title,
            "told": one.told,
            "box": one.drawing.box,
            "shapes": one.drawing.shapes(),
        }
        for one in made
        if _belongs(one.kind, context, work, expectation.prompt.place)
    ]


def _belongs(kind: str, context: Context, work: Work, place: str | None) -> bool:
    """True for a picture of the step itself: how plugs were left by earlier steps says nothing of this one."""
    if isinstance(work, Check) and work.probe is not None:
        return True
    hands = work.hands
    if kind == "plugs":
        own = hands is not None and (hands.load or hands.feed or hands.jumper)
        return bool(own or (hands and any(name not in context.procedure.bundles for name in hands.unplug)))
    if kind == "plan":
        return place is not None or not isinstance(work, Check)
    return True


def _work(context: Context, expectation: Expectation) -> Work | None:
    name = expectation.prompt.name
    match expectation.prompt.kind:
        case PromptKind.CHECK:
            return context.check(name)
        case PromptKind.ACCESS:
            return context.access(name)
        case PromptKind.FIX:
            return context.fix(name)
        case PromptKind.PROOF:
            return context.proof_step(name)
        case _:
            return None


def _doubts(context: Context, state: State) -> dict[str, float]:
    """Place to the share of suspicion that sits there."""
    if context.procedure.kind == "survey":
        return {}
    found: dict[str, float] = {}
    for suspect, share in suspicion(context, state).items():
        if suspect.place:
            found[suspect.place] = found.get(suspect.place, 0.0) + share
    return found
