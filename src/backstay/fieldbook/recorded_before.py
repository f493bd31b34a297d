"""What of a table of readings is recorded already, and where it parts from that."""

from __future__ import annotations

from collections.abc import Sequence

from backstay.errors import Fault
from backstay.fieldbook.table_rows import WrittenRow
from backstay.stressing.record import Reading


def values(r: Reading) -> tuple[object, ...]:
    """Return what makes a reading the same as another: everything but clock and remark."""
    return (r.cycle, round(r.target, 6), r.phase, r.minute, r.gauge, r.load, r.dials, r.reference)


def same_place(one: Reading, other: Reading) -> bool:
    """Say whether two readings are of one load and minute."""
    return values(one)[:4] == values(other)[:4]


def begins_alike(before: Sequence[Reading], coming: Sequence[Reading]) -> bool:
    """Say whether readings begin with those that are recorded."""
    return len(coming) >= len(before) and all(
        values(a) == values(b) for a, b in zip(before, coming, strict=False)
    )


def conflict(
    rows: Sequence[WrittenRow],
    before: Sequence[Reading],
    coming: Sequence[Reading],
) -> Fault:
    """Return where a table parts from what is recorded."""
    pairs = zip(before, coming, rows, strict=False)
    for recorded, new, row in pairs:
        if values(recorded) != values(new):
            return Fault(
                row.line, 1, "", f"reading {recorded.number} is recorded with other values", "", "",
                "correct that reading, or give the new rows alone",
            )  # fmt: skip
    return Fault(
        rows[-1].line, 1, "", f"{len(before)} readings are recorded, and the table ends before them", "", "",
        "give the whole table, or the new rows alone",
    )  # fmt: skip
