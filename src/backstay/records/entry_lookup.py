"""One entry by its number, whatever it is about: a fact or a reading."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from backstay.records.anchor_file import entries_of, reading_entries
from backstay.records.entries import Entry
from backstay.records.known import Known
from backstay.records.readings import rows_of
from backstay.records.refusal import RefusedError
from backstay.records.tables import READING


def entry_of_number(known: Known, number: int) -> Entry[Any]:
    """Return the entry of a number. Raises RefusedError where there is none."""
    wanted = select(READING.c.test).where(READING.c.id == number)
    root = known.connection.execute(wanted).scalar_one_or_none()
    if root is None:
        row = known.entry(number)
        later = known.correction_of(number)
        rows = [row] if later is None else [row, known.entry(later)]
        if row.kind == "procedure":
            raise RefusedError(f"entry {number} is a procedure; correct the test that goes by it")
        return next(iter(entries_of(rows, known.procedures())))
    test = known.entry(root)
    rows_read = rows_of(known.connection, [root], None)
    made = reading_entries(test.anchor or "", rows_read, {root: test.test})
    return next(entry for entry in made if entry.id == number)
