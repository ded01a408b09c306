"""The put-back list: what is still to be closed, in an order in which it can be done without hurting anybody.

What was opened last goes back first, and nothing goes back before what stands on it: an opening that another one
needs waits for that one, at every place, so that no stand comes out while a wheel anywhere is off. What must be the
last thing before the unit moves (brakes tested, fuel on) comes when everything else is back, and step by step for all
places: every wheel is torqued before a brake is adjusted, and each is adjusted before they are tested.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import zip_longest

from assistant.messages.decisions import AccessOpened, FixDone, NotAsNeeded, Observed
from assistant.procedure.model import Access, Check, Fix, Procedure
from assistant.session.agenda.next_action import at
from assistant.session.context import Context
from assistant.session.state import State
from assistant.understanding.naming import stem
from assistant.understanding.patterns import words_of

_SHORT = 3
"""Letters of words that name nothing."""
_Open = tuple[Access | Fix, str | None]
"""Something that was opened or done, and where."""


def put_back_items(context: Context, state: State) -> tuple[str, ...]:
    """What is still to be put back, in order: what was hung on it to test comes off, what was opened is closed, then
    comes what holds for every session, and what is last of all."""
    owed = _in_order(context.procedure, _owed(context, state))
    items = [at(text, place) for row, place in owed for text in row.put_back]
    never = not state.ledger.of("put_back_done")
    if items or never:
        items = [*_hung(context, state), *items, *context.procedure.put_back]
    last = zip_longest(*([at(text, place) for text in row.put_back_last] for row, place in owed))
    items += [text for step in last for text in step if text is not None]
    found = {entry.decision.item for entry in state.ledger.since_closed if isinstance(entry.decision, NotAsNeeded)}
    return tuple(one for one in _where_last(items) if one not in found)


def _hung(context: Context, state: State) -> tuple[str, ...]:
    """Of what is hung on the unit to test it what comes off: all of it once something that speaks of it, or puts a
    load, a jumper or a good part on, was done since everything was closed last; nothing after looks alone."""
    items = context.procedure.put_back_first
    rows: list[Access | Check | Fix] = [row for row, _ in _owed(context, state)]
    since = (entry.decision for entry in state.ledger.since_closed)
    rows += [context.check(one.check) for one in since if isinstance(one, Observed)]
    named = {stem(word) for item in items for word in words_of(item) if len(word) > _SHORT}
    for row in rows:
        hands, text = row.hands, row.ask if isinstance(row, Check) else row.say
        hung = hands is None or hands.load or hands.jumper or hands.feed or hands.stand_in
        if hung or named & {stem(word) for word in words_of(text)}:
            return items
    return ()


def needed(context: Context, state: State, item: str) -> str:
    """What an item needs where it is not so, '' for one that is something to do."""
    for row, place in _owed(context, state):
        for text, needs in row.looks.items() if isinstance(row, Access) else ():
            if at(text, place) == item:
                return at(needs, place)
    return ""


def put_back_cautions(context: Context, state: State) -> tuple[str, ...]:
    """Names of the cautions that come before the list, each once."""
    owed = _in_order(context.procedure, _owed(context, state))
    return tuple(dict.fromkeys(name for row, _ in owed for name in row.put_back_cautions))


def _owed(context: Context, state: State) -> list[_Open]:
    """What was opened and done since everything was closed last, in that order."""
    found: list[_Open] = []
    for entry in state.ledger.since_closed:
        one = entry.decision
        if isinstance(one, AccessOpened) and not one.absent:
            found.append((context.access(one.access), one.place))
        elif isinstance(one, FixDone):
            found.append((context.fix(one.fix), one.place))
    return found


def _in_order(procedure: Procedure, opened: Sequence[_Open]) -> list[_Open]:
    """The last first, and each only when nothing is left that goes back before it."""
    before = _goes_back_before(_Same(procedure))
    waiting = list(reversed(opened))
    order: list[_Open] = []
    while waiting:
        names = [_key(row) for row, _ in waiting]
        free = next(
            (
                number
                for number, name in enumerate(names)
                if not before.get(name, frozenset()) & (set(names) - {name})
            ),
            0,
        )
        order.append(waiting.pop(free))
    return order


_Key = tuple[str, str]


def _key(row: Access | Fix) -> _Key:
    return ("access" if isinstance(row, Access) else "fix", row.name)


class _Same:
    """A procedure by identity: tables that hold mappings cannot be hashed."""

    def __init__(self, procedure: Procedure) -> None:
        self.procedure = procedure

    def __hash__(self) -> int:
        return id(self.procedure)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.procedure is other.procedure


@lru_cache(maxsize=16)
def _goes_back_before(same: _Same) -> Mapping[_Key, frozenset[_Key]]:
    """For each opening everything that goes back before it: what needs it, and what it names in ``back_after``."""
    procedure = same.procedure
    rows: tuple[Access | Fix, ...] = (*procedure.access, *procedure.fixes)
    before: dict[_Key, set[_Key]] = {_key(row): set() for row in rows}
    for row in rows:
        for name in row.needs:
            before.setdefault(("access", name), set()).add(_key(row))
    names = {row.name: [_key(one) for one in rows if one.name == row.name] for row in rows}
    for access in procedure.access:
        before[_key(access)].update(key for name in access.back_after for key in names.get(name, ()))
    return {key: frozenset(_reached(key, before)) for key in before}


def _reached(start: _Key, before: Mapping[_Key, Iterable[_Key]]) -> set[_Key]:
    found: set[_Key] = set()
    ways = [start]
    while ways:
        for name in before.get(ways.pop(), ()):
            if name not in found:
                found.add(name)
                ways.append(name)
    return found - {start}


def _where_last(items: Sequence[str]) -> tuple[str, ...]:
    """Each item once, where it stands last: wheels that two openings put back go on after both."""
    return tuple(reversed(dict.fromkeys(reversed(items))))
