"""Connections to the page: a stranger's are few, short and the first to go; a paired screen's stay.

Every connection begins as a stranger's, before its TLS handshake. It counts as a paired screen's once a request with
the screen's token has come in on it. Strangers' connections are closed when they are old, whatever they wait for (a
handshake, a header, a body, or nothing), and when newer ones need their place: so a stranger who opens thousands only
closes his own.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from assistant.web.access.limits import Buckets, Clock, address_key

STRANGER_SECONDS = 20.0
"""How long a connection may stay open without a request of a paired screen. The pairing page needs a second."""
MOST_OF_ADDRESS = 32
"""Strangers' connections from one address; a browser opens six."""
MOST_STRANGERS = 256
"""Strangers' connections from all addresses."""
MOST_OF_DEVICE = 32
"""Connections of one paired screen."""
CONNECT_RATE, CONNECT_BRIM = 50.0, 200.0
"""Connections a second that one address may open in the long run, and at once; a TLS handshake takes a millisecond
of the processor."""

Peer = tuple[str, int]
"""Address and port of the far end: what names a connection."""


@dataclass(eq=False, slots=True)
class Connection:
    """One open connection."""

    peer: Peer
    since: float
    """When it was accepted, or was last let go; monotonic seconds."""
    close: Callable[[], None]
    """Ends it at once."""
    closed: Callable[[], bool]
    """True once its descriptor is given back."""
    group: str
    """The stranger's address, or the paired screen, that it counts for."""
    paired: bool = False


class Connections:
    """Every open connection. All calls come from the thread of the server's event loop.

    Args:
        clock: monotonic seconds.
        rates: connections by address.
    """

    def __init__(self, clock: Clock = time.monotonic, rates: Buckets | None = None) -> None:
        self._clock = clock
        self._rates = rates or Buckets(CONNECT_RATE, CONNECT_BRIM, clock=clock)
        self._open: dict[Peer, Connection] = {}
        self._strangers: dict[str, OrderedDict[Peer, Connection]] = {}
        self._screens: dict[str, OrderedDict[Peer, Connection]] = {}
        self._turned_away = 0

    def may_connect(self, host: str) -> bool:
        """False when an address opens too many connections a second."""
        if self._rates.take(address_key(host)):
            return True
        self._turned_away += 1
        return False

    def admit(self, peer: Peer, close: Callable[[], None], closed: Callable[[], bool]) -> Connection:
        """Take in a new connection; an older stranger's may have to go.

        Args:
            peer: the far end.
            close: ends the connection at once.
            closed: True once its descriptor is given back.
        """
        before = self._open.get(peer)
        if before is not None:
            self.lost(before)
        address = address_key(peer[0])
        if len(self._strangers.get(address, ())) >= MOST_OF_ADDRESS:
            self._turn_away(next(iter(self._strangers[address].values())))
        elif sum(map(len, self._strangers.values())) >= MOST_STRANGERS:
            self.make_room()
        made = Connection(peer, self._clock(), close, closed, address)
        self._open[peer] = self._strangers.setdefault(address, OrderedDict())[peer] = made
        return made

    def make_room(self) -> None:
        """Close the oldest connection of the address that has the most strangers' connections."""
        if self._strangers:
            most = max(self._strangers.values(), key=len)
            self._turn_away(next(iter(most.values())))

    def trust(self, peer: Peer, device: str) -> None:
        """A paired screen has asked for something on this connection."""
        known = self._open.get(peer)
        if known is None or (known.paired and known.group == device):
            return
        self.lost(known)
        known.paired, known.group = True, device
        if len(self._screens.get(device, ())) >= MOST_OF_DEVICE:
            self._forget_closed()
        if len(self._screens.get(device, ())) >= MOST_OF_DEVICE:
            self._turn_away(next(iter(self._screens[device].values())))
        self._open[peer] = self._screens.setdefault(device, OrderedDict())[peer] = known

    def distrust(self, peer: Peer) -> None:
        """Something was asked on this connection without a paired screen's token."""
        known = self._open.get(peer)
        if known is not None and known.paired:
            self.lost(known)
            known.paired, known.group, known.since = False, address_key(peer[0]), self._clock()
            self._open[peer] = self._strangers.setdefault(known.group, OrderedDict())[peer] = known

    def lost(self, connection: Connection) -> None:
        """It is closed."""
        if self._open.get(connection.peer) is not connection:
            return
        del self._open[connection.peer]
        groups = self._screens if connection.paired else self._strangers
        del groups[connection.group][connection.peer]
        if not groups[connection.group]:
            del groups[connection.group]

    def sweep(self) -> None:
        """Forget connections that are closed, and close strangers' that are too old."""
        self._forget_closed()
        ends = self._clock() - STRANGER_SECONDS
        for connection in [one for one in self._open.values() if not one.paired and one.since <= ends]:
            self._turn_away(connection)

    def take_turned_away(self) -> int:
        """How many connections were turned away since this was last asked."""
        turned_away, self._turned_away = self._turned_away, 0
        return turned_away

    def __len__(self) -> int:
        return len(self._open)

    def _forget_closed(self) -> None:
        for connection in [one for one in self._open.values() if one.closed()]:
            self.lost(connection)

    def _turn_away(self, connection: Connection) -> None:
        self.lost(connection)
        self._turned_away += not connection.closed()
        connection.close()
