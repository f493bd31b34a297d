"""Bringing readings of load tests into the records: a whole table, or nothing of it.

A test begins with the first readings of it. What was recorded before is recognised, so that a
table that grows at the jack is sent again as a whole. Before anything is recorded the readings are
judged: where the table itself is wrong (units, order, readings twice) it is refused, with the rows
and the columns named; what is wrong with the test is a fact, recorded, and judged with its
consequence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby

from backstay.checks import expand
from backstay.errors import DesignError, Fault, ProjectError
from backstay.fieldbook.at_hand import Asked, TestAtHand, beginning, closing, going_on
from backstay.fieldbook.column_words import Role
from backstay.fieldbook.heads import ReadingTable
from backstay.fieldbook.matching import Matched, match_steps
from backstay.fieldbook.names import AnchorNames, UnknownAnchorError
from backstay.fieldbook.not_told import AN_ANCHOR, NO_ANCHOR
from backstay.fieldbook.recorded_before import begins_alike, conflict, same_place
from backstay.fieldbook.table_rows import WrittenRow
from backstay.fieldbook.trying import Course, recording
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.facts import TestClosed
from backstay.records.store import Records
from backstay.stressing.faults import anchor_faults
from backstay.stressing.findings import FindingCode
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules import TestRules

_OF_THE_TABLE: dict[FindingCode, Role] = {
    "order": "minute", "duplicate reading": "minute", "unknown step": "share", "not a number": "gauge",
    "no load": "gauge", "no dial": "dial", "dials changed": "dial", "pressure unit": "gauge",
    "load unit": "load", "movement unit": "dial", "stroke": "dial",
}  # fmt: skip
"""Findings that are faults of a table, not of a test, and the column that each is shown at."""


@dataclass(frozen=True, slots=True)
class BroughtIn:
    """What became of the readings of one anchor, and how the test now stands.

    new, before: readings recorded now and before; record: as it stands; ends: whether the test is
    said to be over now.
    """

    anchor: str
    test: int
    begun: bool
    new: int
    before: int
    record: TestRecord
    judgement: Judgement
    ends: bool = False


def bring_in(
    table: ReadingTable, rows: Sequence[WrittenRow], asked: Asked, records: Records, rules: TestRules,
    units: UnitSystem, *, by: str, course: Course = "record",
) -> tuple[BroughtIn, ...]:  # fmt: skip
    """Record the readings of a table. Raises ProjectError with every fault of it.

    course: "try" goes the same way and records nothing in the end. Raises RefusedError where the test
    as such does not fit: no jack, an anchor that is not ready.
    """
    register = {line.anchor: line for line in records.register()}
    groups = _by_anchor(table, rows, asked, register)
    plans = [
        _plan(table, name, mine, asked, records, register, rules, units) for name, mine in groups
    ]
    faults = [fault for plan in plans for fault in plan.faults]
    if faults:
        raise ProjectError(faults, table.name)
    if any(plan.writes for plan in plans):
        with recording(records, by=by, course=course) as together:
            for plan in plans:
                test = plan.test
                if test.begun is not None:
                    together.add(test.begun, on=plan.first or asked.on, exception=asked.exception)
                if plan.new:
                    together.add_readings(test.line.anchor, plan.new)
                if plan.closes is not None:
                    together.add(plan.closes, on=plan.last if asked.on or test.begun else None)
    return tuple(plan.outcome(rules) for plan in plans)


def _by_anchor(
    table: ReadingTable, rows: Sequence[WrittenRow], asked: Asked, register: dict[str, RegisterLine]
) -> list[tuple[str, list[WrittenRow]]]:
    """Return the rows of each anchor. Raises ProjectError for anchors that are not known or named."""
    names = AnchorNames(register)
    column = table.of("anchor")
    if not asked.anchor and (column is None or any(row.anchor is None for row in rows)):
        raise ProjectError([Fault(0, 0, "", NO_ANCHOR, "", AN_ANCHOR)], table.name)
    groups: list[tuple[str, list[WrittenRow]]] = []
    faults = []
    for written, members in groupby(rows, key=lambda row: row.anchor or asked.anchor):
        mine = list(members)
        place = column if column is not None and mine[0].anchor else None
        line, at, head = (mine[0].line, place.index + 1, place.head) if place else (0, 0, "anchor")
        try:
            name = names.meant(written)
        except UnknownAnchorError as error:
            faults.append(Fault(line, at, head, str(error)))
            continue
        if asked.anchor and place and name != names.meant(asked.anchor):
            faults.append(
                Fault(
                    line,
                    at,
                    head,
                    f"the table names another anchor than {asked.anchor!r}",
                    f"'{written}'",
                )
            )
        groups.append((name, mine))
    faults += [
        Fault(0, 0, "anchor", f"{f.words}: {f.effect}")
        for f in anchor_faults([n for n, _ in groups], list(register))
    ]
    if faults:
        raise ProjectError(faults, table.name)
    return groups


@dataclass(frozen=True, slots=True)
class _Plan:
    """What is to be recorded of one anchor."""

    test: TestAtHand
    new: tuple[Reading, ...]
    before: int
    closes: TestClosed | None
    faults: tuple[Fault, ...]

    @property
    def writes(self) -> bool:
        """Say whether there is anything to record."""
        return bool(self.new) or self.test.begun is not None or self.closes is not None

    @property
    def first(self) -> datetime | None:
        """Return the clock time of the first reading."""
        return next((r.at for r in self.new if r.at is not None), None)

    @property
    def last(self) -> datetime | None:
        """Return the clock time of the last reading, else the beginning of the test."""
        clocks = [r.at for r in self.test.record.readings if r.at is not None]
        return max((*clocks, *([self.test.record.on] if self.test.record.on else [])), default=None)

    def outcome(self, rules: TestRules) -> BroughtIn:
        """Return what became of it."""
        record = self.test.record
        if self.closes is not None:
            record = replace(record, closed=True)
        return BroughtIn(
            self.test.line.anchor, self.test.number, self.test.begun is not None, len(self.new),
            self.before, record, judge(record, rules), self.closes is not None,
        )  # fmt: skip


def _plan(
    table: ReadingTable, name: str, rows: Sequence[WrittenRow], asked: Asked, records: Records,
    register: dict[str, RegisterLine], rules: TestRules, units: UnitSystem,
) -> _Plan:  # fmt: skip
    line = register[name]
    if line.tests and (known := _entered_before(table, rows, line, records, units)) is not None:
        closes = closing(line, line.test or 0, asked) if line.test_open else None
        return _Plan(known, (), len(known.record.readings), closes, ())
    test = going_on(line, records) if line.test_open else beginning(line, asked, records, rules)
    before = test.record.readings
    matched = match_steps(table, rows, test.record.procedure, test.record.jack, (), units)
    if not matched.faults and begins_alike(before, matched.readings):
        new = matched.readings[len(before) :]
    elif (
        before
        and (table.of("number") is None or rows[0].number in {r.number for r in before})
        and (matched.readings and not matched.faults and same_place(before[0], matched.readings[0]))
    ):
        return _Plan(test, (), 0, None, (conflict(rows, before, matched.readings),))
    elif before:
        matched = match_steps(table, rows, test.record.procedure, test.record.jack, before, units)
        new = matched.readings
    else:
        new = matched.readings
    record = replace(test.record, readings=(*before, *new))
    faults = list(matched.faults)
    if not faults and not asked.as_read:
        faults = _wrong_table(table, rows, matched, new, record, rules, units)
    number = test.number
    closes = closing(line, number, asked)
    return _Plan(replace(test, record=record), new, len(before), closes, tuple(faults))


def _entered_before(
    table: ReadingTable,
    rows: Sequence[WrittenRow],
    line: RegisterLine,
    records: Records,
    units: UnitSystem,
) -> TestAtHand | None:
    """Return the last test where it has exactly these readings, with nothing new among them."""
    record = records.test_record(line.anchor)
    matched = match_steps(table, rows, record.procedure, record.jack, (), units)
    same = len(rows) <= len(record.readings) and not matched.faults
    if not same or not begins_alike(record.readings[: len(rows)], matched.readings):
        return None
    return TestAtHand(line, line.test or 0, None, record)


def _wrong_table(
    table: ReadingTable, rows: Sequence[WrittenRow], matched: Matched, new: Sequence[Reading],
    record: TestRecord, rules: TestRules, units: UnitSystem,
) -> list[Fault]:  # fmt: skip
    """Return what the judgement finds wrong with the table itself, by row and column."""
    lines = {r.number: row.line for r, row in zip(matched.readings, rows, strict=False)}
    numbers = {r.number for r in new}
    try:
        findings = judge(record, rules).findings
    except DesignError as error:
        return [Fault(0, 0, "", expand(str(error), units))]
    faults = []
    for finding in findings:
        role = _OF_THE_TABLE.get(finding.code)
        if role is None or (finding.readings and not numbers & set(finding.readings)):
            continue
        column = table.of(role) or table.of("gauge") or table.of("load") or table.columns[0]
        where = [lines[n] for n in finding.readings if n in lines and n in numbers]
        line = where[0] if where else 0
        more = (
            f" (rows {', '.join(map(str, where[:8]))}{' and more' if len(where) > 8 else ''})"
            if len(where) > 1
            else ""
        )
        rule = f"{finding.code}: {expand(finding.words, units)}{more}"
        faults.append(
            Fault(
                line,
                column.index + 1 if line else 0,
                column.head,
                rule,
                hint=expand(finding.effect, units),
            )
        )
    return faults
