"""What is recorded already, as far as a new entry must be held against it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, select

from backstay.records.book import Book
from backstay.records.encoding import of_plain
from backstay.records.life import Life, life
from backstay.records.readings import extents
from backstay.records.refusal import RefusedError
from backstay.records.rows import ENTRIES, EntryRow
from backstay.records.standing import Standing, events, standing, submittals_by_anchor
from backstay.records.tables import ENTRY
from backstay.stressing.procedure import Procedure

_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Test:
    """A test of an anchor: its number, the id of the entry that began it, whether it goes on."""

    number: int
    root: int
    open: bool


class Known:
    """The records as one connection sees them, read as far as they are asked for."""

    def __init__(
        self, connection: Connection, *, until: int | None = None, book: Book | None = None
    ) -> None:
        self.connection = connection
        self.until = until
        self._book = book
        self._anchors: dict[str, list[EntryRow]] = {}
        self._kinds: dict[str, list[EntryRow]] = {}
        self._covering: dict[str, list[Standing]] | None = None
        self._has_readings: dict[int, bool] = {}

    def load(self, anchors: Iterable[str]) -> None:
        """Read the entries of some anchors in few queries."""
        wanted = sorted(set(anchors) - self._anchors.keys())
        for i in range(0, len(wanted), _AT_ONCE):
            part = wanted[i : i + _AT_ONCE]
            self._anchors |= {anchor: [] for anchor in part}
            for row in self._rows(ENTRY.c.anchor.in_(part)):
                self._anchors[row.anchor or ""].append(row)

    def rows(self, anchor: str) -> list[EntryRow]:
        """Return every entry of an anchor. Raises RefusedError where none is registered."""
        self.load([anchor])
        rows = self._anchors[anchor]
        if not any(row.kind == "planned" for row in rows):
            raise RefusedError(f"there is no anchor {anchor!r} in the register")
        return rows

    def registered(self, anchor: str) -> list[Standing]:
        """Return what is in force of an anchor. Raises RefusedError where it is not registered."""
        found = standing(self.rows(anchor))
        if not any(one.row.kind == "planned" for one in found):
            raise RefusedError(f"{anchor}: its registration was withdrawn")
        return found

    def has(self, anchor: str) -> bool:
        """Return whether an anchor was ever registered."""
        self.load([anchor])
        return any(row.kind == "planned" for row in self._anchors[anchor])

    def of_kind(self, kind: str) -> list[EntryRow]:
        """Return every entry of a kind."""
        if kind not in self._kinds:
            self._kinds[kind] = self._rows(ENTRY.c.kind == kind)
        return self._kinds[kind]

    def entry(self, number: int) -> EntryRow:
        """Return one entry. Raises RefusedError."""
        found = self._rows(ENTRY.c.id == number)
        if not found:
            raise RefusedError(f"there is no entry {number} that is not a reading")
        return found[0]

    def correction_of(self, number: int) -> int | None:
        """Return the id of the entry that corrects one."""
        found = self.connection.execute(select(ENTRY.c.id).where(ENTRY.c.supersedes == number))
        return found.scalar_one_or_none()

    def take(self, row: EntryRow) -> None:
        """Take note of an entry that was just written."""
        if row.anchor is not None:
            self.load([row.anchor])
            _append(self._anchors[row.anchor], row)
        if row.kind in self._kinds:
            _append(self._kinds[row.kind], row)
        if row.kind == "submittal":
            self._covering = None

    def submittals(self, anchor: str) -> list[Standing]:
        """Return the submittals in force that cover an anchor."""
        if self._covering is None:
            self._covering = self.covering()
        return self._covering.get(anchor, [])

    def covering(self, *coming: EntryRow) -> dict[str, list[Standing]]:
        """Return the submittals in force by anchor, with some that are not written yet."""
        return submittals_by_anchor(standing([*self.of_kind("submittal"), *coming]))

    def life(
        self,
        anchor: str,
        coming: EntryRow | None = None,
        covering: Mapping[str, Sequence[Standing]] | None = None,
    ) -> Life:
        """Return the life of an anchor, with an entry and submittals that are not written yet."""
        rows = self.rows(anchor)
        mine = standing([*rows, coming] if coming and coming.anchor == anchor else rows)
        papers = self.submittals(anchor) if covering is None else covering.get(anchor, [])
        judged = {one.row.test for one in mine if one.row.kind == "verdict"}
        tests = {o.root for o in mine if o.row.kind == "test" and o.row.test in judged}
        return life(events(mine, papers, self._read_among(tests)))

    def _read_among(self, tests: set[int]) -> set[int | None]:
        """Return which tests (ids of first entries) have readings in force."""
        unknown = tests - self._has_readings.keys()
        if unknown:
            found = extents(self.connection, unknown, self.until)
            self._has_readings |= {t: t in found and found[t].number > 0 for t in unknown}
        return {test for test in tests if self._has_readings[test]}

    def tests(self, anchor: str) -> list[Test]:
        """Return the tests of an anchor, without those withdrawn. Raises RefusedError."""
        found = self.registered(anchor)
        closed = {one.row.test for one in found if one.row.kind == "test closed"}
        return [
            Test(one.row.test or 0, one.root, one.row.test not in closed)
            for one in found
            if one.row.kind == "test"
        ]

    def test(self, anchor: str, number: int | None) -> Test:
        """Return a test of an anchor by its number, or the last. Raises RefusedError."""
        tests = self.tests(anchor)
        if not tests:
            raise RefusedError(f"{anchor}: no test has begun")
        if number is None:
            return tests[-1]
        for test in tests:
            if test.number == number:
                return test
        raise RefusedError(
            f"{anchor}: there is no test {number!r}; there is {', '.join(str(t.number) for t in tests)}"
        )

    def procedures(self) -> dict[int, Procedure]:
        """Return every procedure by the id of its entry."""
        return {
            one.row.id: of_plain(Procedure, one.plain)
            for one in standing(self.of_kind("procedure"))
        }

    def _rows(self, which: ColumnElement[bool]) -> list[EntryRow]:
        if self._book is not None:
            self._book.flush()
        wanted = ENTRIES.where(which).order_by(ENTRY.c.id)
        if self.until is not None:
            wanted = wanted.where(ENTRY.c.id <= self.until)
        return [EntryRow._make(row) for row in self.connection.execute(wanted)]


def _append(rows: list[EntryRow], row: EntryRow) -> None:
    if not rows or rows[-1].id < row.id:
        rows.append(row)
