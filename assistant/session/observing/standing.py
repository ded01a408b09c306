"""How things stand on the unit as the session knows it: which plugs are open, where the load sits, what runs.

Openings, checks and repairs say in their ``hands`` what they do to the unit; folded in order, that is how it stands
now. What the next check needs otherwise is said before its question, and only then.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from assistant.messages.decisions import AccessOpened, FixDone, Observed, ProofFinished, PutBackDone
from assistant.procedure.hands import Hands, Load
from assistant.procedure.model import Procedure
from assistant.session.agenda.next_action import at
from assistant.session.context import Context
from assistant.session.state import State

EVERYTHING = "everything"
"""Stands for every plug there is."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What is open, and where the load sits."""

    unplugged: frozenset[str] = frozenset()
    """Plugs that are open, each by its own name."""
    load: Load | None = None
    """Where the load sits; None while it is off."""
    engine: bool = False
    """True while the engine was left running by what was done last."""
    rolled: bool = False
    """True when the unit was driven and nothing was done on it since: the chocks are out."""


def standing(context: Context, state: State) -> Standing:
    """How things stand now."""
    now = Standing()
    for entry in state.work:
        if isinstance(entry, PutBackDone):
            now = Standing()
        elif isinstance(entry, ProofFinished):
            now = _proved(context, state)
        elif isinstance(entry, AccessOpened):
            hands = context.access(entry.access).hands
            now = _worked(done(context.procedure, now, hands, entry.place), hands)
        elif isinstance(entry, FixDone):
            hands = context.fix(entry.fix).hands
            now = _worked(done(context.procedure, now, hands, entry.place), hands)
        elif isinstance(entry, Observed):
            now = done(context.procedure, now, context.check(entry.check).hands, entry.place)
    return now


def _proved(context: Context, state: State) -> Standing:
    """How things stand after the last proof: everything is back, and its steps may have run or driven the unit."""
    engine = rolled = False
    for step in state.ledger.last_proof:
        hands = context.proof_step(step.decision.step).hands
        rolled = rolled or (hands is not None and hands.roll is not None)
        engine = rolled or _runs(engine, hands)
    return Standing(engine=engine, rolled=rolled)


def _worked(now: Standing, hands: Hands | None) -> Standing:
    """The same after an opening or a repair, which nobody does with the engine running unless it says so."""
    return replace(now, engine=hands is not None and hands.engine == "running")


def _runs(before: bool, hands: Hands | None) -> bool:
    """Whether the engine runs after hands did this: the key stops it too."""
    if hands is None or (hands.engine is None and hands.key not in {"off", "cycled"}):
        return before
    return hands.engine == "running"


def done(procedure: Procedure, before: Standing, hands: Hands | None, place: str | None) -> Standing:
    """How things stand after hands did this."""
    if hands is None:
        return replace(before, rolled=False)
    unplugged = (before.unplugged | plugs(procedure, hands.unplug, place)) - _closed(procedure, before, hands, place)
    load = None if hands.load_off else _placed(hands.load, place) or before.load
    return Standing(unplugged, load, _runs(before.engine, hands))


def to_stop(now: Standing, hands: Hands | None, *, work: bool) -> bool:
    """True when the engine runs and must be shut off first: for ``work``, which is an opening or a repair, unless it
    says that it runs; for a check where it says that it is off."""
    wanted = None if hands is None else hands.engine
    return now.engine and (wanted == "off" or (work and wanted is None))


def to_close(procedure: Procedure, now: Standing, hands: Hands | None, place: str | None) -> tuple[str, ...]:
    """What must be plugged in first, in the words of the data; ``everything`` and bundles by their own names."""
    if hands is None or not now.unplugged & _closed(procedure, now, hands, place):
        return ()
    if EVERYTHING in hands.plug:
        return (EVERYTHING,)
    return tuple(at(name, place) for name in hands.plug if plugs(procedure, (name,), place) & now.unplugged)


def to_open(procedure: Procedure, now: Standing, hands: Hands | None, place: str | None) -> tuple[str, ...]:
    """What must be unplugged first, in the words of the data."""
    if hands is None:
        return ()
    return tuple(at(name, place) for name in hands.unplug if plugs(procedure, (name,), place) - now.unplugged)


def to_load(now: Standing, hands: Hands | None, place: str | None) -> Load | None:
    """Where the load must be put first; None where it sits there already, or none is needed."""
    wanted = None if hands is None else _placed(hands.load, place)
    return None if wanted is None or wanted == now.load else wanted


def plugs(procedure: Procedure, names: Iterable[str], place: str | None) -> frozenset[str]:
    """Names of plugs, a bundle taken apart into those of its places."""
    found: set[str] = set()
    for name in names:
        bundle = procedure.bundles.get(name)
        if bundle is None:
            found.add(at(name, place))
        else:
            found |= {at(bundle.plug, one.name) for one in procedure.places if one.group == bundle.each}
    return frozenset(found)


def _closed(procedure: Procedure, before: Standing, hands: Hands, place: str | None) -> frozenset[str]:
    return before.unplugged if EVERYTHING in hands.plug else plugs(procedure, hands.plug, place)


def _placed(load: Load | None, place: str | None) -> Load | None:
    return load and load.model_copy(update={"plus": at(load.plus, place), "minus": at(load.minus, place)})
