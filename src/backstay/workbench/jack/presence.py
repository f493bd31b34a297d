"""Which tablets are open on an anchor, so that two people at one jack come to know of each other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock
from time import monotonic

GONE = 45.0
"""Seconds after which a tablet that no longer asks counts as gone."""


@dataclass(frozen=True, slots=True)
class Other:
    """Another tablet: who is at it, and how many seconds ago it was heard of."""

    by: str
    seconds: float


class Presence:
    """Tablets by anchor, as last heard of; kept in memory alone."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._seen: dict[tuple[str, str], dict[str, tuple[str, float]]] = {}

    def heard(self, project: str, anchor: str, tablet: str, by: str) -> tuple[Other, ...]:
        """Note a tablet and return the others on the same anchor."""
        now = self._clock()
        with self._lock:
            there = self._seen.setdefault((project, anchor), {})
            if tablet:
                there[tablet] = (by, now)
            for one in [t for t, (_, at) in there.items() if now - at > GONE]:
                del there[one]
            return tuple(Other(by, now - at) for t, (by, at) in there.items() if t != tablet)
