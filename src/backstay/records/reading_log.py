"""Adding readings to a test, and correcting them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import cast

from backstay.records.adding import Adding
from backstay.records.correcting import reason_stated
from backstay.records.known import Test
from backstay.records.readings import reading_of, reading_row
from backstay.records.refusal import RefusedError
from backstay.records.rows import READINGS, ReadingRow
from backstay.records.tables import READING
from backstay.stressing.record import Reading


def add_readings(
    adding: Adding, anchor: str, number: int | None, readings: Sequence[Reading]
) -> list[ReadingRow]:
    """Add readings to a test that goes on. Raises RefusedError, and then adds none."""
    test = adding.known.test(anchor, number)
    if not test.open:
        raise RefusedError(
            f"{anchor}: test {test.number} is closed; it takes no more readings, only corrections"
        )
    if not isinstance(readings, Sequence) or isinstance(readings, str):
        raise RefusedError(f"{anchor}: readings are given as a list")
    rows = [_row(adding, reading, test, 0, reason="") for reading in readings]
    numbers: set[int] = set()
    for row in rows:
        if row.number in numbers:
            raise RefusedError(f"{anchor}: reading {row.number} is given twice")
        numbers.add(row.number)
    for there in _present(adding, test, numbers):
        mine = next(row for row in rows if row.number == there.number)
        same = reading_of(there) == reading_of(mine) and not there.withdrawn
        raise RefusedError(
            f"{anchor}: reading {there.number} of test {test.number} is recorded already, "
            f"{'with the same values' if same else 'with other values; correct it instead'}"
        )
    return [cast(ReadingRow, adding.book.write(row)) for row in rows]


def correct_reading(
    adding: Adding, anchor: str, number: int | None, reading: Reading | int, reason: str
) -> list[ReadingRow]:
    """Put a reading in the place of the one of its number, or withdraw a number.

    Returns the row that is corrected, and the correction. Raises RefusedError.
    """
    test = adding.known.test(anchor, number)
    stated = reason_stated(reason)
    which = reading if isinstance(reading, int) else getattr(reading, "number", None)
    present = _present(adding, test, [which]) if isinstance(which, int) else []
    if not present:
        raise RefusedError(f"{anchor}: test {test.number} has no reading {which!r} to correct")
    there = present[0]
    if isinstance(reading, int):
        if there.withdrawn:
            raise RefusedError(
                f"{anchor}: reading {which} of test {test.number} is withdrawn already"
            )
        row = _row(adding, reading_of(there), test, there.revision + 1, stated, withdrawn=True)
    else:
        row = _row(adding, reading, test, there.revision + 1, stated)
    return [there, cast(ReadingRow, adding.book.write(row))]


def _row(
    adding: Adding, reading: Reading, test: Test, revision: int, reason: str, *,
    withdrawn: bool = False,
) -> ReadingRow:  # fmt: skip
    row = reading_row(
        reading, test=test.root, revision=revision, withdrawn=withdrawn,
        recorded=adding.recorded, author=adding.author, reason=reason,
    )  # fmt: skip
    if reading.at is not None:
        adding.happened(reading.at)
    return row


def _present(adding: Adding, test: Test, numbers: Iterable[int]) -> list[ReadingRow]:
    """Return the last row of each number that is there, corrected or not, by number."""
    c = READING.c
    wanted = READINGS.where(c.test == test.root, c.number.in_(list(numbers))).order_by(c.id)
    last = {row.number: ReadingRow._make(row) for row in adding.known.connection.execute(wanted)}
    return [last[number] for number in sorted(last)]
