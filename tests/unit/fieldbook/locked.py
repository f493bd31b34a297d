"""An anchor locked off an hour after its test, and what happens to it later."""

from __future__ import annotations

from datetime import timedelta

from backstay.records import Fact, LockedOff, Records
from tests.unit.records.wall import BY, START

A = "A-1-001"
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
LOCKED = START + HOUR
STIFFNESS = 5.63e-4 * 196.4e6
"""Area and modulus by the mill certificate, kN; the free length as built is 6.1 m."""
SEATED = LockedOff(anchor=A, jack_load=400.0, load=322.0)
Later = tuple[timedelta, Fact]
"""A fact, and how long after the lock-off it happened."""


def record_later(records: Records, *facts: Later) -> None:
    """Record facts so long after the lock-off."""
    for after, fact in facts:
        records.add(fact, by=BY, on=LOCKED + after, exception="not of this test")
