"""A repaired unit is recognized as repaired: by what a sound unit shows, not by what one with another fault shows.

The answers after each repair are what such a unit shows, written down by hand: a bulb, a port of the module, a cord
and tires. Each right fix goes on to the proof at once.
"""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages import Reason, Why
from assistant.messages.decisions import Decision, FactAnswered, FixChosen, FixDone, Observed, Phase, PhaseEntered
from assistant.session.agenda.advance import move_on
from assistant.session.context import Context
from assistant.session.fold import apply_all, fold, results
from assistant.session.results.corrections import Verified
from tests.dialogs.test_pack import procedure

TRAILER = {
    "unit number": "4019", "light": "trailer light", "comes on": "at once", "lately": "nothing",
    "powered by": "tractor", "tractors": "one tried", "trailers": "single", "sensors wired": "four",
    "modulators": "one valve", "brakes": "disc", "codes": "active", "active codes": "two", "stored codes": "zero",
    "lowest AC range": "automatic", "lead ohms": "0.2", "coil temperature": "70",
}  # fmt: skip
LAMP = {"unit number": "4019", "powered by": "tractor", "other lights": "all work", "when braking": "stays dark"}


def choice(
    context: Context, number: int, check: str, answer: str, place: str | None = None, *, proof: bool
) -> Observed:
    title = context.check(check).title
    return Observed(number, check, place, title, {answer: 1.0}, answer, choice=answer, proof=proof)


def fixed(context: Context, fix: str, fault: str, place: str | None = None) -> tuple[Decision, ...]:
    row = context.fix(fix)
    because = Reason(Why.WRITTEN, {"text": "found"})
    return (
        FixChosen(fix, place, fault, 0.9, condemned=True, because=because),
        FixDone(fix, place, row.title, row.part),
    )


def led(name: str, facts: dict[str, str], before: dict[str, str]) -> tuple[Context, list[Decision]]:
    context = Context(procedure(name), catalog.load_vocabulary())
    decisions: list[Decision] = [PhaseEntered(Phase.FACTS)]
    decisions += [FactAnswered(fact, value, value) for fact, value in facts.items()]
    decisions.append(PhaseEntered(Phase.FINDING))
    for number, (check, answer) in enumerate(before.items(), 1):
        decisions.append(choice(context, number, check, answer, proof=False))
    return context, decisions


@pytest.mark.parametrize(
    ("name", "facts", "before", "fix", "after"),
    [
        pytest.param(
            "trailer-abs-light-never-lights", LAMP, {"lamp ohms": "lights"},
            ("replace the lamp", "lamp dead", None), {}, id="a dead bulb",
        ),
        pytest.param(
            "trailer-abs-light-on", TRAILER, {"light at power-up": "stays on", "swap two plugs": "stayed"},
            ("replace the module", "module port", "left rear"), {"swap two plugs": "not back"}, id="a port",
        ),
        pytest.param(
            "trailer-abs-light-on", TRAILER, {"light at power-up": "stays on", "another tractor": "gone"},
            ("replace the cord", "cord", None), {}, id="a cord",
        ),
        pytest.param(
            "trailer-abs-light-on", TRAILER, {"light at power-up": "stays on", "tire sizes": "mixed"},
            ("match the tires", "mixed tire sizes", None), {"tire sizes": "all the same"}, id="tires",
        ),
    ],
)  # fmt: skip
def test_the_right_fix_goes_on_to_its_proof_at_once(
    name: str,
    facts: dict[str, str],
    before: dict[str, str],
    fix: tuple[str, str, str | None],
    after: dict[str, str],
) -> None:
    context, decisions = led(name, facts, before)
    fix_name, fault, place = fix
    each = context.fix(fix_name).each
    decisions += [PhaseEntered(Phase.REPAIRING), *fixed(context, fix_name, fault, place if each else None)]
    state = fold(context, decisions)
    asked: list[str] = []
    for number in range(20, 30):
        moved = move_on(context, state)
        state = apply_all(context, state, moved)
        if state.phase is Phase.PROVING:
            break
        action = state.action
        assert action is not None
        assert action.kind == "check_chosen", f"after the right fix it goes on hunting: {action}"
        asked.append(action.check)
        assert action.check in after, f"asked again without need: {action.check}"
        seen = choice(context, number, action.check, after[action.check], action.place, proof=True)
        state = apply_all(context, state, (seen,))
    assert state.phase is Phase.PROVING
    assert asked == [check for check in before if check in after]
    if asked:  # these two are told by looking, with no figure
        assert results(context, state).corrections[-1].verified is Verified.SEEN


def test_a_fix_that_did_not_help_is_still_noticed() -> None:
    """The swapped plugs again, and the code still stays at the port."""
    context, decisions = led("trailer-abs-light-on", TRAILER, {"swap two plugs": "stayed"})
    decisions += [PhaseEntered(Phase.REPAIRING), *fixed(context, "replace the module", "module port")]
    decisions.append(choice(context, 9, "swap two plugs", "stayed", proof=True))
    state = fold(context, decisions)
    state = apply_all(context, state, move_on(context, state))
    assert state.phase is not Phase.PROVING
