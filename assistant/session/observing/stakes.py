"""What a false answer would cost, by what the plan does on it next, and whether that is worth a yes.

A yes is asked when the chance of a mistake times what it costs is more than the seconds that asking takes
(``understanding.recognition.rescoring``). A reading that is taken a second time before a part goes costs that
second reading and no more; one on which a part is replaced costs the part and the work; any other costs a wrong
turn.
"""

from __future__ import annotations

from assistant.messages import Understanding
from assistant.messages.decisions import CheckChosen, FixChosen, Observed
from assistant.procedure.model import Check
from assistant.session.agenda.advance import move_on
from assistant.session.agenda.outcomes import is_fine
from assistant.session.context import Context
from assistant.session.fold import State, apply_all
from assistant.understanding.recognition.rescoring import Chances, loss, policy_of

PART_MINUTES = 180.0
"""Working minutes that a good part is worth which is thrown away, with the time to get another; common practice, no
source."""


def worth_asking(context: Context, state: State, check: Check, seen: Observed, meant: Understanding) -> bool:
    """Whether this observation needs a yes before it counts."""
    policy = policy_of(context.vocabulary)
    found = Chances(meant.chance, meant.otherwise)
    parts = [_price(fix.minutes) for fix in context.procedure.fixes if fix.part is not None]
    if loss(found, max([policy.misled, *parts]), policy) <= policy.asking:
        return False  # whatever the plan does next, a mistake is too rare to be worth a question
    return loss(found, cost(context, state, check, seen), policy) > policy.asking


def cost(context: Context, state: State, check: Check, seen: Observed) -> float:
    """Seconds that are lost when this observation is false and is believed."""
    policy = policy_of(context.vocabulary)
    if is_fine(context, seen):
        return policy.misled
    for decision in move_on(context, apply_all(context, state, (seen,))):
        if isinstance(decision, FixChosen) and context.fix(decision.fix).part is not None:
            return _price(context.fix(decision.fix).minutes)
        if isinstance(decision, CheckChosen) and (decision.check, decision.place) == (seen.check, seen.place):
            return 60.0 * check.minutes
    return policy.misled


def _price(minutes: float) -> float:
    """Seconds of replacing a good part."""
    return 60.0 * (minutes + PART_MINUTES)


def condemns(context: Context, state: State, seen: Observed) -> bool:
    """True when a part would be replaced next on this observation."""
    after = apply_all(context, state, (seen,))
    return not is_fine(context, seen) and any(
        isinstance(decision, FixChosen) and context.fix(decision.fix).part is not None
        for decision in move_on(context, after)
    )
