"""Readings and the register as CSV, in kN, m, kPa and minutes; readings come in again unchanged."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import cast

from backstay.records.entries import RegisterLine
from backstay.records.readings import MOST_DIALS
from backstay.records.refusal import RefusedError
from backstay.stressing.record import Phase, Reading

_BEFORE = (
    "anchor",
    "test",
    "number",
    "cycle",
    "target",
    "phase",
    "minute [min]",
    "gauge [kPa]",
    "load [kN]",
)
_AFTER = ("reference [m]", "at", "remark")
_REGISTER = (
    "anchor", "part", "row", "number", "pile", "state", "since", "design load [kN]",
    "lock-off load of the design [kN]", "tests", "last test", "verdict", "accepted for [kN]",
    "readings", "greatest load [kN]", "locked off at [kN]", "lifted off at [kN]", "exceptions",
    "replaced by",
)  # fmt: skip
TestReadings = tuple[str, int, Sequence[Reading]]
"""Anchor, number of its test, and readings."""


def readings_csv(tests: Iterable[TestReadings]) -> str:
    """Return the readings of some tests, one a line, every number so that it comes back the same."""
    tests = list(tests)
    dials = max((len(r.dials) for _, _, readings in tests for r in readings), default=1)
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow([*_BEFORE, *(f"dial {i + 1} [m]" for i in range(dials)), *_AFTER])
    for anchor, test, readings in tests:
        for r in readings:
            gap = [""] * (dials - len(r.dials))
            sheet.writerow(
                [
                    anchor, test, r.number, r.cycle, repr(r.target), r.phase, repr(r.minute),
                    _written(r.gauge), _written(r.load), *map(repr, r.dials), *gap,
                    repr(r.reference), r.at.isoformat() if r.at else "", r.remark,
                ]
            )  # fmt: skip
    return out.getvalue()


def readings_of_csv(text: str) -> tuple[TestReadings, ...]:
    """Return the readings of a table as `readings_csv` writes it, by anchor and test.

    Raises RefusedError naming the line and the column of what cannot be read.
    """
    if not isinstance(text, str):
        raise RefusedError("a table is given as text")
    lines = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    try:
        head = [cell.strip() for cell in next(lines, [])]
        dials = [cell for cell in head if cell.startswith("dial ")]
        expected = [*_BEFORE, *(f"dial {i + 1} [m]" for i in range(len(dials))), *_AFTER]
        if head != expected or len(dials) > MOST_DIALS:
            raise RefusedError(
                f"line 1: the columns must be {', '.join(_BEFORE)}, dial 1 [m] and so on, "
                f"{', '.join(_AFTER)}"
            )
        found: dict[tuple[str, int], list[Reading]] = {}
        for row in lines:
            if any(row):
                line = _Line(lines.line_num, head, row)
                found.setdefault((line.text("anchor"), line.whole("test")), []).append(
                    line.reading(dials)
                )
    except csv.Error as error:
        raise RefusedError(f"line {lines.line_num}: {error}") from None
    return tuple((anchor, test, tuple(readings)) for (anchor, test), readings in found.items())


class _Line:
    """One line of a table, read cell by cell."""

    def __init__(self, number: int, head: list[str], cells: list[str]) -> None:
        if len(cells) != len(head):
            raise RefusedError(f"line {number}: {len(cells)} cells, where the head has {len(head)}")
        self.number = number
        self.cells = dict(zip(head, cells, strict=True))

    def text(self, column: str) -> str:
        """Return a cell as it stands."""
        return self.cells[column]

    def whole(self, column: str) -> int:
        """Return a cell as a whole number. Raises RefusedError."""
        try:
            return int(self.cells[column])
        except ValueError:
            raise self._refused(column, "a whole number") from None

    def number_in(self, column: str) -> float:
        """Return a cell as a number. Raises RefusedError."""
        try:
            return float(self.cells[column])
        except ValueError:
            raise self._refused(column, "a number") from None

    def maybe(self, column: str) -> float | None:
        """Return a cell as a number, None where it is empty. Raises RefusedError."""
        return None if not self.cells[column].strip() else self.number_in(column)

    def reading(self, dials: list[str]) -> Reading:
        """Return the reading of the line. Raises RefusedError."""
        shown = [dial for dial in dials if self.cells[dial].strip()]
        if shown != dials[: len(shown)]:
            raise RefusedError(f"line {self.number}: a dial is missing between others")
        return Reading(
            number=self.whole("number"), cycle=self.whole("cycle"),
            target=self.number_in("target"), phase=cast(Phase, self.text("phase")),
            minute=self.number_in("minute [min]"), gauge=self.maybe("gauge [kPa]"),
            load=self.maybe("load [kN]"), dials=tuple(self.number_in(dial) for dial in shown),
            reference=self.number_in("reference [m]"), at=self._at(), remark=self.text("remark"),
        )  # fmt: skip

    def _at(self) -> datetime | None:
        text = self.cells["at"].strip()
        try:
            return datetime.fromisoformat(text) if text else None
        except ValueError:
            raise self._refused("at", "a date with time and zone") from None

    def _refused(self, column: str, wanted: str) -> RefusedError:
        return RefusedError(
            f"line {self.number}, {column}: {wanted} is wanted, not {self.cells[column]!r}"
        )


def register_csv(lines: Iterable[RegisterLine]) -> str:
    """Return the register, one anchor a line."""
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(_REGISTER)
    for a in lines:
        sheet.writerow(
            [
                a.anchor, a.part, a.row, a.number, "" if a.pile is None else a.pile, a.state,
                a.since.isoformat(), repr(a.design.design_load), repr(a.design.lock_off_load),
                a.tests, a.test_kind or "", a.verdict or "", _written(a.accepted_load),
                a.readings, _written(a.greatest_load), _written(a.lock_off_load),
                _written(a.lift_off_load), a.exceptions, a.replaced_by,
            ]
        )  # fmt: skip
    return out.getvalue()


def _written(value: float | None) -> str:
    return "" if value is None else repr(value)
