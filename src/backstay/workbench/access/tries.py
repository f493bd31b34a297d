"""Slow down whoever guesses passwords: by the name that is tried, and by the address it is from."""

from __future__ import annotations

import hashlib
import ipaddress
import math
import time
from collections.abc import Callable
from dataclasses import dataclass

from backstay.errors import BackstayError

FREE_BY_NAME = 5
FREE_BY_ADDRESS = 20  # a whole crew may come from the one address of a site router
_FIRST_WAIT, _LONGEST_WAIT = 30.0, 900.0  # seconds; doubled with each failure between
_FORGOTTEN = 3600.0
_MOST = 10_000


class TooManyTriesError(BackstayError):
    """No try is taken now. wait: seconds until the next one is."""

    def __init__(self, wait: float) -> None:
        self.wait = math.ceil(wait)
        minutes = math.ceil(wait / 60)
        span = f"{minutes} minutes" if minutes > 1 else f"{self.wait} seconds"
        super().__init__(f"Too many tries have failed. Wait {span}, then try again.")


@dataclass(slots=True)
class _Count:
    failed: int
    last: float


class Tries:
    """Failed tries to sign in.

    A try counts as failed from the moment it begins, so that many at once gain nothing, and is
    taken back when it succeeds. While one waits the password is not looked at, right or wrong.
    Nobody is shut out for good: whoever tries another person's name can delay that person by a
    quarter of an hour, no more.
    """

    def __init__(self, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._counts: dict[str, _Count] = {}

    def begin(self, name: str, address: str) -> None:
        """Take a try, or raise TooManyTriesError."""
        now = self._clock()
        keys = {_name_key(name): FREE_BY_NAME, _address_key(address): FREE_BY_ADDRESS}
        wait = max(self._wait(key, free, now) for key, free in keys.items())
        if wait > 0:
            raise TooManyTriesError(wait)
        self._make_room(now)
        for key in keys:
            count = self._counts.setdefault(key, _Count(0, now))
            count.failed += 1
            count.last = now

    def succeeded(self, name: str, address: str) -> None:
        """Take back a try that was right: the name begins anew, the address by one."""
        self._counts.pop(_name_key(name), None)
        if count := self._counts.get(_address_key(address)):
            count.failed -= 1

    def _wait(self, key: str, free: int, now: float) -> float:
        count = self._counts.get(key)
        if count is None:
            return 0.0
        if now - count.last >= _FORGOTTEN:
            del self._counts[key]
            return 0.0
        if count.failed < free:
            return 0.0
        doublings = min(count.failed - free, 10)
        return count.last + min(_FIRST_WAIT * 2.0**doublings, _LONGEST_WAIT) - now

    def _make_room(self, now: float) -> None:
        if len(self._counts) < _MOST:
            return
        kept = sorted(self._counts.items(), key=lambda item: item[1].last)[_MOST // 2 :]
        self._counts = {k: c for k, c in kept if now - c.last < _FORGOTTEN}


def _name_key(name: str) -> str:
    plain = " ".join(name.split()).casefold()
    return "name " + hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()


def _address_key(address: str) -> str:
    """Take the network of an IPv6 address: one machine has as many addresses as it likes."""
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return f"address {address[:100]}"
    if isinstance(known, ipaddress.IPv6Address):
        if known.ipv4_mapped:
            return f"address {known.ipv4_mapped}"
        return f"address {ipaddress.ip_network((known, 64), strict=False)}"
    return f"address {known}"
