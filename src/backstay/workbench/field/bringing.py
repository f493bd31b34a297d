"""Readings, or a field book, that a person brings: understood first, recorded when told to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import PurePosixPath

from backstay.errors import Fault
from backstay.fieldbook.at_hand import Asked
from backstay.fieldbook.book_reading import book_text
from backstay.fieldbook.cells import Cells, cells_of_bytes, cells_of_content
from backstay.fieldbook.column_words import role_of
from backstay.fieldbook.entering import enter_book
from backstay.fieldbook.heads import ReadingTable, reading_table
from backstay.fieldbook.readings import BroughtIn, bring_in
from backstay.fieldbook.table_rows import written_rows
from backstay.fieldbook.trying import Course
from backstay.model.document import decode
from backstay.quantity import UnitSystem
from backstay.records.store import Records
from backstay.workbench.field.work import FieldError, FieldWork

BOOKS = (".yaml", ".yml")


@dataclass(frozen=True, slots=True)
class Brought:
    """A file or a pasted text."""

    name: str
    content: bytes
    pasted: bool = False

    @property
    def is_book(self) -> bool:
        """Say whether it is a field book: by the end of its name, or by its first key where pasted."""
        if self.pasted:
            return self.content.lstrip().startswith((b"field_book:", b"---"))
        return PurePosixPath(self.name).suffix.lower() in BOOKS


@dataclass(frozen=True, slots=True)
class Understood:
    """What was understood, in words; the tests that readings belong to; how much is new.

    columns: (head, what it is, unit) of a table; passed_over: heads that are not read.
    """

    what: str
    new: int
    before: int
    columns: tuple[tuple[str, str, str], ...] = ()
    passed_over: tuple[str, ...] = ()
    tests: tuple[BroughtIn, ...] = ()

    @property
    def writes(self) -> bool:
        """Say whether there is anything to record."""
        return bool(self.new) or any(one.begun or one.ends for one in self.tests)


def bring(
    brought: Brought, asked: Asked, work: FieldWork, records: Records, units: UnitSystem, *,
    by: str, course: Course,
) -> Understood:  # fmt: skip
    """Record what is brought, or go the same way and record nothing.

    Raises ProjectError with every fault and its place; RefusedError where the test does not fit.
    """
    if not brought.content.strip():
        raise FieldError("There is nothing in it.")
    if brought.is_book:
        return _book(brought, work, records, by=by, course=course)
    return _table(brought, asked, work, records, units, by=by, course=course)


def _book(
    brought: Brought, work: FieldWork, records: Records, *, by: str, course: Course
) -> Understood:
    text = book_text(decode(brought.content, brought.name), brought.name, None)
    done = enter_book(text, records, by=by, now=datetime.now(UTC), course=course, rules=work.rules)
    what = f"Field book {text.book.field_book}, bare numbers in {text.book.units.value} units"
    return Understood(what, done.new, done.before)


def _table(
    brought: Brought, asked: Asked, work: FieldWork, records: Records, units: UnitSystem, *,
    by: str, course: Course,
) -> Understood:  # fmt: skip
    tables: tuple[Cells, ...] = (
        (cells_of_bytes(brought.content, brought.name),)
        if brought.pasted
        else cells_of_content(brought.content, brought.name)
    )
    table = reading_table(tables)
    day = asked.on.date() if asked.on is not None else None
    rows = written_rows(table, day=day, zone=None)
    found = bring_in(table, rows, asked, records, work.rules, units, by=by, course=course)
    what = f"A table of {len(rows)} readings"
    return Understood(
        what, sum(one.new for one in found), sum(one.before for one in found), _columns(table),
        table.passed_over, found,
    )  # fmt: skip


def _columns(table: ReadingTable) -> tuple[tuple[str, str, str], ...]:
    """Return each column that is read: its head, what it is, and the unit of a bare number in it."""
    return tuple(
        (
            c.head,
            f"dial {c.dial}" if c.role == "dial" else _ROLES.get(c.role, c.role),
            _unit(c.head, c.role),
        )
        for c in table.columns
    )


_ROLES = {
    "gauge": "pressure at the gauge", "load": "load of a load cell", "minute": "minutes since the load was reached",
    "at": "clock time", "share": "share of the design load", "reference": "movement of the reference",
}  # fmt: skip


def _unit(head: str, role: str) -> str:
    """Return the unit that a head says, as it is written there."""
    return role_of(head)[1] or ("min" if role == "minute" else "")


def fault_rows(faults: Sequence[Fault]) -> list[tuple[str, str, str, str]]:
    """Return faults for a table: line, column, what stands there, what is wrong and accepted."""
    rows = []
    for f in faults:
        where = f"{f.line}" if f.line else "–"
        column = f.path or (f"column {f.column}" if f.column else "–")
        wrong = f.rule[:1].upper() + f.rule[1:]
        more = [f"accepted: {f.accepted}" if f.accepted else "", f.hint]
        rows.append((where, column, f.read, "; ".join(filter(None, (wrong, *more)))))
    return rows
