"""The rows of a table of readings as numbers in kN, m, kPa and minutes, every fault by its place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from math import isfinite

from pydantic_core import PydanticCustomError

from backstay.errors import Fault, ProjectError
from backstay.fieldbook.cells import Row, Value
from backstay.fieldbook.column_words import Role
from backstay.fieldbook.heads import Column, ReadingTable
from backstay.fieldbook.moments import moment_of
from backstay.fieldbook.not_told import NO_DAY
from backstay.model.units import parse
from backstay.quantity import QUANTITIES, UnitSystem

_CLOCK = re.compile(r"\d{1,2}:\d{2}(:\d{2})?")
_PHASES = ("loading", "hold", "unloading")


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenRow:
    """One reading as written: what was left to be found is None. line: in the file."""

    line: int
    anchor: str | None
    number: int | None
    step: int | None
    cycle: int | None
    share: float | None
    phase: str | None
    minute: float
    gauge: float | None
    load: float | None
    dials: tuple[float, ...]
    reference: float
    at: datetime | None
    remark: str


def written_rows(
    table: ReadingTable, *, day: date | None, zone: tzinfo | None
) -> tuple[WrittenRow, ...]:
    """Return the rows of a table. Raises ProjectError with every fault, by line and column.

    day: of the first clock time that has none of its own; zone: of the clock, None for the
    machine's.
    """
    reader = _Reader(table, day, zone)
    rows = [reader.row(row) for row in table.rows]
    if reader.faults:
        raise ProjectError(reader.faults, table.name)
    if not rows:
        raise ProjectError([Fault(0, 0, "", "there are no readings below the head")], table.name)
    return tuple(row for row in rows if row is not None)


class _Reader:
    """Reads rows one after the other: the clock goes on from the one before."""

    def __init__(self, table: ReadingTable, day: date | None, zone: tzinfo | None) -> None:
        self.table = table
        self.day = day
        self.zone = zone
        self.faults: list[Fault] = []
        self.before: datetime | None = None

    def row(self, row: Row) -> WrittenRow | None:
        """Return a row, None where something in it cannot be read: the fault is noted."""
        seen = len(self.faults)
        beyond = [i for i, cell in enumerate(row.cells) if cell is not None and i >= self._width()]
        if beyond:
            self._fault(
                row,
                beyond[0],
                "",
                "a cell stands beyond the columns of the head",
                row.cells[beyond[0]],
            )
        minute = self._number(row, "minute", needed=True)
        if minute is not None and minute < 0.0:
            self._wrong(row, "minute", "minutes are not negative")
        gauge, load = self._number(row, "gauge"), self._number(row, "load")
        if gauge is None and load is None and len(self.faults) == seen:
            role: Role = "gauge" if self.table.of("gauge") else "load"
            self._wrong(row, role, "nothing stands here: the load is not known")
        if gauge is not None and gauge < 0.0:
            self._wrong(row, "gauge", "a pressure is not negative")
        if load is not None and load < 0.0:
            self._wrong(row, "load", "a load is not negative")
        dials = [self._value(row, column, needed=True) for column in self.table.dials]
        share = self._number(row, "share")
        made = WrittenRow(
            line=row.line, anchor=self._text(row, "anchor"), number=self._whole(row, "number"),
            step=self._whole(row, "step"), cycle=self._whole(row, "cycle"),
            share=share, phase=self._phase(row), minute=minute or 0.0,
            gauge=gauge, load=load, dials=tuple(d for d in dials if d is not None),
            reference=self._number(row, "reference") or 0.0, at=self._at(row),
            remark=self._text(row, "remark") or "",
        )  # fmt: skip
        return made if len(self.faults) == seen else None

    def _width(self) -> int:
        return 1 + max(c.index for c in self.table.columns) + len(self.table.passed_over)

    def _cell(self, row: Row, column: Column) -> Value:
        return row.cells[column.index] if column.index < len(row.cells) else None

    def _text(self, row: Row, role: Role) -> str | None:
        column = self.table.of(role)
        cell = self._cell(row, column) if column else None
        if cell is None:
            return None
        if isinstance(cell, float) and cell == int(cell):
            return str(int(cell))
        return str(cell)

    def _number(self, row: Row, role: Role, *, needed: bool = False) -> float | None:
        column = self.table.of(role)
        return None if column is None else self._value(row, column, needed=needed)

    def _value(self, row: Row, column: Column, *, needed: bool = False) -> float | None:
        """Return a cell in internal units; a cell may carry a unit of its own."""
        cell = self._cell(row, column)
        if cell is None:
            if needed:
                self._fault(row, column.index, column.head, "nothing stands here", None, "a number")
            return None
        quantity = column.quantity or QUANTITIES["ratio"]
        try:
            if isinstance(cell, float):
                number = cell * column.factor
            elif isinstance(cell, str):
                number = self._written(cell, column)
            else:
                raise ValueError("this is a day or a time, not a number")
            if not isfinite(number):
                raise ValueError("the number must be finite")
            return number
        except PydanticCustomError as error:
            reason = str((error.context or {}).get("reason", error))
        except ValueError as error:
            reason = str(error)
        unit = (
            f" in the unit of the head, or with {quantity.name} units of its own"
            if column.quantity
            else ""
        )
        self._fault(row, column.index, column.head, reason, cell, f"a number{unit}")
        return None

    def _written(self, cell: str, column: Column) -> float:
        """Return what a text says: a bare number is in the unit of the head."""
        if column.role == "share" and cell.endswith("%"):
            return float(cell[:-1]) / 100.0
        plain = re.fullmatch(
            r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?)\s*", cell.replace("−", "-")
        )
        if plain:
            return float(plain[1]) * column.factor
        return parse(cell, column.quantity or QUANTITIES["ratio"], UnitSystem.SI)

    def _whole(self, row: Row, role: Role) -> int | None:
        column = self.table.of(role)
        cell = self._cell(row, column) if column else None
        if column is None or cell is None:
            return None
        text = (
            str(int(cell)) if isinstance(cell, float) and cell == int(cell) else str(cell).strip()
        )
        if re.fullmatch(r"[1-9]\d{0,5}", text):
            return int(text)
        self._fault(row, column.index, column.head, "this is not a whole number from 1", cell)
        return None

    def _phase(self, row: Row) -> str | None:
        text = self._text(row, "phase")
        if text is None or text.casefold() in _PHASES:
            return text.casefold() if text else None
        self._wrong(row, "phase", "this is not a phase", " or ".join(_PHASES))
        return None

    def _at(self, row: Row) -> datetime | None:
        """Return the clock time of a row; one without a day follows the row before."""
        column = self.table.of("at")
        cell = self._cell(row, column) if column else None
        if column is None or cell is None:
            return None
        try:
            found = self._moment(cell)
        except ValueError as error:
            self._fault(row, column.index, column.head, str(error), cell)
            return None
        self.before = found
        return found

    def _moment(self, cell: Value) -> datetime:
        if isinstance(cell, datetime):
            return self._zoned(cell)
        if isinstance(cell, str) and not _CLOCK.fullmatch(cell):
            try:
                return self._zoned(datetime.fromisoformat(cell))
            except ValueError:
                return moment_of(cell).at(self.zone)
        if isinstance(cell, float):
            raise ValueError(
                "this is a number; accepted: a time of day such as 10:32, or a day with it"
            )
        clock = (
            cell
            if isinstance(cell, time)
            else time.fromisoformat(str(cell).zfill(len(str(cell)) + (str(cell)[1] == ":")))
        )
        if self.before is not None:
            told = datetime.combine(self.before.date(), clock, self.before.tzinfo)
            if told < self.before - timedelta(hours=12):  # past midnight
                told += timedelta(days=1)
            return told
        if self.day is None:
            raise ValueError(NO_DAY)
        return self._zoned(datetime.combine(self.day, clock))

    def _zoned(self, told: datetime) -> datetime:
        if told.tzinfo is not None:
            return told
        return told.replace(tzinfo=self.zone) if self.zone is not None else told.astimezone()

    def _wrong(self, row: Row, role: Role, rule: str, accepted: str = "") -> None:
        column = self.table.of(role)
        if column is not None:
            self._fault(row, column.index, column.head, rule, self._cell(row, column), accepted)

    def _fault(
        self, row: Row, index: int, head: str, rule: str, cell: Value, accepted: str = ""
    ) -> None:
        read = "" if cell is None else f"'{str(cell)[:40]}'"
        self.faults.append(Fault(row.line, index + 1, head, rule, read, accepted))
