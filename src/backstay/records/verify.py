"""Whether the records are as they were written: numbers without a gap, and every hash."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection

from backstay.records.encoding import START, fact_of, of_text
from backstay.records.facts import Attachment
from backstay.records.refusal import RefusedError
from backstay.records.rows import ENTRIES, READINGS, EntryRow, ReadingRow, Row
from backstay.records.tables import ENTRY, READING
from backstay.stressing.procedure import Procedure

_AT_ONCE = 5000
_MOST_FAULTS = 100


@dataclass(frozen=True, slots=True)
class Verification:
    """What was found: how many entries, readings and files were gone through, and every fault.

    last: number of the last entry; hash: its hash, which covers all before it. Written down on
    paper, both show later whether the records up to then are still the same.
    """

    entries: int
    readings: int
    files: int
    last: int
    hash: str
    faults: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Return whether nothing is wrong."""
        return not self.faults


def rows(connection: Connection) -> Iterator[Row]:
    """Yield every row of both tables in the order of recording, a few thousand at a time."""
    streaming = connection.execution_options(yield_per=_AT_ONCE)
    entries = streaming.execute(ENTRIES.order_by(ENTRY.c.id))
    readings = streaming.execute(READINGS.order_by(READING.c.id))
    both: tuple[Iterator[Row], Iterator[Row]] = (
        (EntryRow._make(row) for row in entries),
        (ReadingRow._make(row) for row in readings),
    )
    yield from heapq.merge(*both, key=lambda row: row.id)


def verify(
    connection: Connection,
    fault_of_file: Callable[[Attachment], str],
    seen: tuple[int, str] | None = None,
) -> Verification:
    """Go through all records.

    fault_of_file: says what is wrong with the content of an attached file, "" for nothing; seen:
    number and hash of an entry as they were written down.
    """
    check = _Check(seen)
    for row in rows(connection):
        check.take(row, fault_of_file)
    if seen is not None and seen[0] > check.last:
        check.faults.append(f"entry {seen[0]}, seen before, is gone: {check.last} is the last")
    return Verification(
        entries=check.entries, readings=check.readings, files=len(check.files), last=check.last,
        hash=check.hash.hex(), faults=tuple(check.faults[:_MOST_FAULTS]),
    )  # fmt: skip


class _Check:
    """Goes through rows one after the other."""

    def __init__(self, seen: tuple[int, str] | None) -> None:
        self.seen = seen
        self.last, self.hash = 0, START
        self.entries = self.readings = 0
        self.faults: list[str] = []
        self.files: set[str] = set()
        self._procedures: dict[int, Procedure] = {}
        self._tests: set[int] = set()

    def take(self, row: Row, fault_of_file: Callable[[Attachment], str]) -> None:
        """Take the next row."""
        if row.id != self.last + 1:
            self.faults.append(f"between entry {self.last} and entry {row.id} something is missing")
        stated = row.hash if isinstance(row.hash, bytes) else b""
        try:
            whole = stated == row.chained(self.hash)
        except (TypeError, ValueError):
            whole = False
        if not whole:
            self.faults.append(f"entry {row.id} is not as it was written, or one before it is not")
        if self.seen is not None and self.seen[0] == row.id and self.seen[1] != stated.hex():
            self.faults.append(f"entry {row.id} is not the one that was seen before")
        self.last, self.hash = row.id, stated  # go on from what stands, to find each fault once
        if isinstance(row, ReadingRow):
            self.readings += 1
            if row.test not in self._tests:
                self.faults.append(f"entry {row.id} is a reading of no test")
            return
        self.entries += 1
        try:
            self._fact(row, fault_of_file)
        except (RefusedError, KeyError, TypeError, ValueError) as error:
            self.faults.append(f"entry {row.id} cannot be read: {error}")

    def _fact(self, row: EntryRow, fault_of_file: Callable[[Attachment], str]) -> None:
        if row.kind == "procedure":
            self._procedures[row.id] = of_text(Procedure, row.payload)
            return
        fact = fact_of(row.kind, row.payload, self._procedures)
        if row.kind == "test":
            self._tests.add(row.id)
        if isinstance(fact, Attachment) and fact.sha256 not in self.files:
            self.files.add(fact.sha256)
            fault = fault_of_file(fact)
            if fault:
                self.faults.append(f"entry {row.id}: {fault}")
