"""What tablets have sent: a small book beside the records, so that nothing is recorded twice.

A tablet names each entry before it sends it. The book notes the name, and the number that a reading
will have, before the entry goes into the records; a number is taken once there. An answer that is
lost, or a machine that stops between the two, leaves a note by which the repeat is recognised.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from backstay.records.refusal import StoreError

_TABLE = """
create table if not exists sent (
  id text primary key, anchor text not null, tablet text not null, digest text not null,
  test integer, number integer, done integer not null default 0
)
"""
_COLUMNS = "id, anchor, tablet, digest, test, number, done"


@dataclass(frozen=True, slots=True)
class Note:
    """One entry of a tablet. test, number: that it has in the records; done: it is recorded."""

    id: str
    anchor: str
    tablet: str
    digest: str
    test: int | None = None
    number: int | None = None
    done: bool = False


class SentBook:
    """The book of one project. Raises StoreError where it cannot be read or written."""

    def __init__(self, path: Path, *, wait: float = 5.0) -> None:
        self._path = path
        self._wait = wait

    def note(self, id: str) -> Note | None:
        """Return the note of an entry, None where it was never sent."""
        found = self._find("id = ?", id)
        return found[0] if found else None

    def of_test(self, anchor: str, test: int | None) -> dict[int, Note]:
        """Return the notes of the readings of a test, by their numbers."""
        found = self._find("anchor = ? and test = ? and number is not null", anchor, test)
        return {n.number: n for n in found if n.number is not None and n.done}

    def write(self, note: Note) -> None:
        """Write a note, in the place of the one of the same entry."""
        with self._open() as connection:
            connection.execute(
                f"insert or replace into sent ({_COLUMNS}) values (?, ?, ?, ?, ?, ?, ?)",  # noqa: S608
                (note.id, note.anchor, note.tablet, note.digest, note.test, note.number, int(note.done)),
            )  # fmt: skip

    def _find(self, where: str, *values: object) -> list[Note]:
        with self._open() as connection:
            rows = connection.execute(f"select {_COLUMNS} from sent where {where}", values)  # noqa: S608
            return [_note(row) for row in rows]

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        try:
            with closing(sqlite3.connect(self._path, timeout=self._wait)) as connection, connection:
                connection.execute(_TABLE)
                yield connection
        except sqlite3.Error as error:
            raise StoreError(
                f"{self._path.name}, the book of what tablets have sent, cannot be used ({error}). "
                "Nothing of this was recorded; what was confirmed before is safe."
            ) from error


def _note(row: tuple[Any, ...]) -> Note:
    id, anchor, tablet, digest, test, number, done = row
    return Note(id, anchor, tablet, digest, test, number, bool(done))


def digest_of(plain: object) -> str:
    """Return a digest of an entry as sent: the same name never stands for two entries."""
    return sha256(json.dumps(plain, sort_keys=True, ensure_ascii=False).encode()).hexdigest()
