"""Readings as rows and back, and what the readings of many tests come to."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from sqlalchemy import Connection, Integer, and_, func, literal_column, select, true

from backstay.records.encoding import canonical, moment, sound_number, sound_text
from backstay.records.refusal import RefusedError
from backstay.records.rows import READINGS, ReadingRow
from backstay.records.tables import READING
from backstay.stressing.record import Phase, Reading

PHASES: tuple[str, ...] = get_args(Phase)
MOST_DIALS = 16
_NOUGHT = literal_column(
    "0", Integer
)  # written out: a value handed over would not find the partial index


def reading_row(
    reading: Reading, *, test: int, revision: int, withdrawn: bool, recorded: str, author: str,
    reason: str,
) -> ReadingRow:  # fmt: skip
    """Return the row of a reading, not yet numbered. Raises RefusedError with what is wrong."""
    if not isinstance(reading, Reading):
        raise RefusedError(f"this is no reading: {type(reading).__name__}")
    try:
        return ReadingRow(
            id=0, test=test, number=_whole(reading.number, "number"), revision=revision,
            cycle=_whole(reading.cycle, "cycle"), target=_real(reading.target, "target"),
            phase=_phase(reading.phase), minute=_real(reading.minute, "minute"),
            gauge=_measured(reading)[0], load=_measured(reading)[1],
            dials=_dials(reading.dials), reference=_real(reading.reference, "reference"),
            read_at=None if reading.at is None else moment(reading.at, "at"),
            remark=_text(reading.remark), withdrawn=int(withdrawn), recorded=recorded,
            author=author, reason=reason,
        )  # fmt: skip
    except RefusedError as error:
        raise RefusedError(f"reading {reading.number!r}: {error}") from None


def _whole(value: object, name: str) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value < 2**31:
        raise RefusedError(f"{name} is a whole number from 1, not {value!r}")
    return value


def _phase(value: object) -> str:
    if not isinstance(value, str) or value not in PHASES:
        raise RefusedError(f"phase is one of {', '.join(PHASES)}, not {value!r}")
    return value


def _measured(reading: Reading) -> tuple[float | None, float | None]:
    gauge = None if reading.gauge is None else _real(reading.gauge, "gauge")
    load = None if reading.load is None else _real(reading.load, "load")
    if gauge is None and load is None:
        raise RefusedError("neither gauge pressure nor load was given")
    return gauge, load


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise RefusedError(f"remark is text, not {value!r}")
    return sound_text(value, "remark")


def _real(value: object, name: str) -> float:
    if isinstance(value, bool) or not isinstance(value, float | int):
        raise RefusedError(f"{name} is a number, not {value!r}")
    sound_number(value, name)
    return float(value) + 0.0  # no negative nought: SQLite keeps none


def _dials(value: object) -> str:
    if not isinstance(value, tuple | list) or len(value) > MOST_DIALS:
        raise RefusedError(f"dials are a list of numbers, {MOST_DIALS} at most, not {value!r}")
    return canonical([_real(dial, "dials") for dial in value])


def reading_of(row: ReadingRow) -> Reading:
    """Return the reading of a row."""
    return Reading(
        number=row.number, cycle=row.cycle, target=row.target, phase=row.phase,  # type: ignore[arg-type]
        minute=row.minute, dials=tuple(json.loads(row.dials)), gauge=row.gauge, load=row.load,
        reference=row.reference, remark=row.remark,
        at=None if row.read_at is None else datetime.fromisoformat(row.read_at),
    )  # fmt: skip


def rows_of(connection: Connection, tests: Iterable[int], until: int | None) -> list[ReadingRow]:
    """Return every row of some tests up to an entry, corrected or not, in the order of recording."""
    wanted = READINGS.where(READING.c.test.in_(list(tests))).order_by(READING.c.id)
    if until is not None:
        wanted = wanted.where(READING.c.id <= until)
    return [ReadingRow._make(row) for row in connection.execute(wanted)]


def in_force(rows: Iterable[ReadingRow]) -> list[ReadingRow]:
    """Return the rows that count: the last of each number, unless it was withdrawn; by number."""
    last: dict[tuple[int, int], ReadingRow] = {}
    for row in rows:
        last[row.test, row.number] = row
    return sorted(
        (row for row in last.values() if not row.withdrawn), key=lambda r: (r.test, r.number)
    )


@dataclass(frozen=True, slots=True)
class Extent:
    """The readings of one test: how many, the greatest as read, and the id of the last entry."""

    number: int
    gauge: float | None
    load: float | None
    last: int


def extents(
    connection: Connection, tests: Iterable[int] | None = None, until: int | None = None
) -> dict[int, Extent]:
    """Return the extent of the readings in force of each test (id of its first entry), or of some.

    until: entry up to which the records are looked at. Tests without a correction, nearly all, are gathered in one pass over the table.
    """
    c = READING.c
    later = READING.alias("later")
    mine = true() if tests is None else c.test.in_(list(tests))
    known = true() if until is None else c.id <= until
    known_later = true() if until is None else later.c.id <= until
    corrected = select(later.c.test).where(later.c.revision > _NOUGHT, known_later)
    after = and_(later.c.test == c.test, later.c.number == c.number, later.c.revision > c.revision)
    outdated = select(later.c.id).where(after, known_later).exists()
    plain = c.test.not_in(corrected)
    counted = and_(c.test.in_(corrected), ~outdated, c.withdrawn == 0)
    found: dict[int, Extent] = {}
    for which in (plain, counted):
        gathered = (
            select(c.test, func.count(), func.max(c.gauge), func.max(c.load), func.max(c.id))
            .where(which, mine, known)
            .group_by(c.test)
        )
        for test, number, gauge, load, last in connection.execute(gathered):
            found[test] = Extent(number, gauge, load, last)
    newest = (
        select(c.test, func.max(c.id)).where(c.test.in_(corrected), mine, known).group_by(c.test)
    )
    for test, last in connection.execute(newest):
        one = found.get(test, Extent(0, None, None, 0))
        found[test] = Extent(one.number, one.gauge, one.load, last)
    return found
