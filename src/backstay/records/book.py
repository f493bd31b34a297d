"""Writing at the end of the records: the next number, the hash on the one before, the row."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select

from backstay.records.encoding import START
from backstay.records.rows import EntryRow, ReadingRow, Row
from backstay.records.tables import ENTRY, READING

_TABLES = {EntryRow: ENTRY, ReadingRow: READING}
_AT_ONCE = 1000


def last(connection: Connection) -> tuple[int, bytes]:
    """Return number and hash of the last entry, nought and the start of the chain before any."""
    ends = [
        connection.execute(select(t.c.id, t.c.hash).order_by(t.c.id.desc()).limit(1)).first()
        for t in (ENTRY, READING)
    ]
    found = max((end for end in ends if end is not None), key=lambda end: int(end[0]), default=None)
    return (0, START) if found is None else (int(found[0]), bytes(found[1]))


class Book:
    """The end of the records inside one writing transaction. Rows wait until `flush`."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.id, self.hash = last(connection)
        self._waiting: list[Row] = []

    def write(self, row: Row) -> Row:
        """Give a row its number and its hash, and return it as it will stand."""
        row = row._replace(id=self.id + 1)
        return self.take(row._replace(hash=row.chained(self.hash)))

    def take(self, row: Row) -> Row:
        """Take a row that is numbered and chained already."""
        if self._waiting and (
            type(self._waiting[-1]) is not type(row) or len(self._waiting) >= _AT_ONCE
        ):
            self.flush()
        self._waiting.append(row)
        self.id, self.hash = row.id, row.hash
        return row

    def flush(self) -> None:
        """Hand the rows that wait to the database, in their order."""
        if self._waiting:
            table = _TABLES[type(self._waiting[0])]
            self.connection.execute(insert(table), [row._asdict() for row in self._waiting])
            self._waiting.clear()
