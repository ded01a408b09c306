"""Places that the unit lacks, learned while it is worked on.

Where a fact that tells them was not sure, a place is asked for and passed by with 'not on this unit'. Then it is not
there: nothing can be wrong with it, and nobody is sent to it again. Said of a place that is surely there, the words
are about something else, such as a shield that it lacks, and only that is passed by.
"""

from __future__ import annotations

import re

from assistant.diagnosis.conditions import assumed_facts, surely_holds
from assistant.session.context import Context
from assistant.session.state import State

_NOT_THERE = re.compile(
    r"\b(not on (this|the|my) (unit|one|trailer|tractor|truck)|no such|no (sensor|valve|modulator|wire) (here|there)"
    r"|(is|are|ain'?t|isn'?t|aren'?t) (none|not one|one|any|there)|none (here|there)|not there"
    r"|(has|have|got) (no|none)|does ?n[o']t have|doesn'?t have)\b"
)
"""How people say that something is not there."""


def places_not_there(context: Context, state: State) -> frozenset[str]:
    """Names of places that may be there by the facts and were passed by because they are not."""
    known = assumed_facts(context.procedure, state.facts)
    doubtful = {one.name for one in context.procedure.places if one.when and not surely_holds(one.when, known)}
    return frozenset(
        skip.prompt.place
        for skip in state.skipped
        if skip.prompt.place in doubtful and _NOT_THERE.search(skip.reason.lower())
    )
