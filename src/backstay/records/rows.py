"""Rows of both tables as they stand, in the order of their columns, and the hash of each."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import Select, select

from backstay.records.encoding import chained
from backstay.records.tables import ENTRY, READING


class EntryRow(NamedTuple):
    """A row of `field_entry`."""

    id: int
    kind: str
    anchor: str | None
    test: int | None
    happened: str
    recorded: str
    author: str
    supersedes: int | None
    reason: str
    exception: str
    payload: str
    hash: bytes = b""

    def chained(self, before: bytes) -> bytes:
        """Return the hash of this row on top of all before it."""
        return chained(before, ("entry", *self[:-1]))


class ReadingRow(NamedTuple):
    """A row of `field_reading`."""

    id: int
    test: int
    number: int
    revision: int
    cycle: int
    target: float
    phase: str
    minute: float
    gauge: float | None
    load: float | None
    dials: str
    reference: float
    read_at: str | None
    remark: str
    withdrawn: int
    recorded: str
    author: str
    reason: str
    hash: bytes = b""

    def chained(self, before: bytes) -> bytes:
        """Return the hash of this row on top of all before it."""
        return chained(before, ("reading", *self[:-1]))


Row = EntryRow | ReadingRow
ENTRIES: Select[tuple[object, ...]] = select(*(ENTRY.c[f] for f in EntryRow._fields))
READINGS: Select[tuple[object, ...]] = select(*(READING.c[f] for f in ReadingRow._fields))
