"""Rates: how much one screen may ask for in a while."""

from __future__ import annotations

import ipaddress
import time
from collections import OrderedDict
from collections.abc import Callable

Clock = Callable[[], float]


def address_key(host: str) -> str:
    """The address that something counts for: of IPv6 the first 64 bits, since one machine has all the others."""
    try:
        address = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return host
    if isinstance(address, ipaddress.IPv4Address):
        return str(address)
    if address.ipv4_mapped is not None:
        return str(address.ipv4_mapped)
    return str(ipaddress.ip_network((address, 64), strict=False))


class Bucket:
    """Fills at a steady rate up to a brim; each thing asked for takes some out.

    Args:
        rate: how much comes in a second.
        brim: how much it holds.
        clock: monotonic seconds.
    """

    def __init__(self, rate: float, brim: float, clock: Clock = time.monotonic) -> None:
        self._rate, self._brim, self._clock = rate, brim, clock
        self._level, self._at = brim, clock()

    def take(self, amount: float = 1.0) -> bool:
        """Take some out; False, and nothing taken, when it does not hold that much."""
        now = self._clock()
        self._level = min(self._brim, self._level + (now - self._at) * self._rate)
        self._at = now
        if amount > self._level:
            return False
        self._level -= amount
        return True


class Buckets:
    """One bucket for each address; the least recently seen is dropped when there are too many.

    Args:
        rate: how much comes in a second.
        brim: how much each holds.
        most: addresses remembered.
        clock: monotonic seconds.
    """

    def __init__(self, rate: float, brim: float, most: int = 512, clock: Clock = time.monotonic) -> None:
        self._rate, self._brim, self._most, self._clock = rate, brim, most, clock
        self._known: OrderedDict[str, Bucket] = OrderedDict()

    def take(self, address: str, amount: float = 1.0) -> bool:
        """Take some out of an address's bucket."""
        bucket = self._known.get(address)
        if bucket is None:
            bucket = self._known[address] = Bucket(self._rate, self._brim, self._clock)
        self._known.move_to_end(address)
        while len(self._known) > self._most:
            self._known.popitem(last=False)
        return bucket.take(amount)
