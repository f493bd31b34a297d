"""What differs between two designs: loads, schedule, quantities and checks, line by line.

Both are written in the same units by the same tables as everywhere else; lines are matched by what they
are of, so that a row that only one of them has stands against a dash.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from backstay.checks import Check, Verdict
from backstay.design import Design, Part, SectionDesign
from backstay.quantity import UnitSystem
from backstay.tables import (
    Table,
    loads_table,
    place_words,
    quantities_table,
    schedule_table,
    sentence,
    utilisation_words,
)

NONE = "–"
"""Stands where one of the two has nothing."""
SIGNS = {Verdict.PASS: "✓", Verdict.FAIL: "✗", Verdict.SHOW: "○"}


@dataclass(frozen=True, slots=True)
class Line:
    """One thing, as it is in either design; difference: second less first, or "" where it is no number."""

    subject: str
    first: str
    second: str
    difference: str = ""

    @property
    def differs(self) -> bool:
        """Say whether the two differ as printed."""
        return self.first != self.second


@dataclass(frozen=True, slots=True)
class Compared:
    """Lines of one subject: what differs, and how many are the same."""

    title: str
    lines: tuple[Line, ...]

    @property
    def differing(self) -> tuple[Line, ...]:
        """Return the lines in which the designs differ."""
        return tuple(line for line in self.lines if line.differs)

    @property
    def same(self) -> int:
        """Return the number of lines in which they do not."""
        return len(self.lines) - len(self.differing)


def compare(first: Design, second: Design, units: UnitSystem) -> list[Compared]:
    """Return what is in either design, by section or slope and subject."""
    found = []
    for title in dict.fromkeys(part.title for part in (*first.parts, *second.parts)):
        a, b = _part(first, title), _part(second, title)
        for name, table in _TABLES:
            lines = tuple(_lines(_made(table, a, units), _made(table, b, units)))
            if lines:
                found.append(Compared(f"{sentence(title)}: {name}", lines))
        found.append(Compared(f"{sentence(title)}: checks", tuple(_check_lines(a, b))))
    return found


def _part(design: Design, title: str) -> Part | None:
    return next((part for part in design.parts if part.title == title), None)


def _loads(part: Part, units: UnitSystem) -> Table | None:
    return loads_table(part, units) if isinstance(part, SectionDesign) else None


def _schedule(part: Part, units: UnitSystem) -> Table | None:
    if isinstance(part, SectionDesign):
        return schedule_table(part, units)
    from backstay.slope_tables import slope_schedule_table

    return slope_schedule_table(part, units)


_Maker = Callable[[Part, UnitSystem], Table | None]
_TABLES: tuple[tuple[str, _Maker], ...] = (
    ("loads", _loads),
    ("anchor schedule", _schedule),
    ("quantities", quantities_table),
)


def _made(table: _Maker, part: Part | None, units: UnitSystem) -> Table | None:
    return None if part is None else table(part, units)


def _lines(first: Table | None, second: Table | None) -> Iterator[Line]:
    a, b = _cells(first), _cells(second)
    for subject in dict.fromkeys((*a, *b)):
        before, after = a.get(subject, NONE), b.get(subject, NONE)
        yield Line(subject, before, after, _difference(before, after))


def _cells(table: Table | None) -> dict[str, str]:
    """Return the cells of a table by row and column, in words."""
    if table is None:
        return {}
    found = {}
    unit = table.head.index("Unit") if "Unit" in table.head else 0
    for row in table.rows:
        of = f"{table.head[0]} {row[0]}" if row[0].isdigit() else row[0]
        for at, cell in enumerate(row):
            if cell and at not in (0, unit):
                head = table.head[at]
                found[f"{of}: {head[:1].lower()}{head[1:]}"] = (
                    f"{cell} {row[unit]}".rstrip() if unit and at == unit - 1 else cell
                )
    return found


def _check_lines(a: Part | None, b: Part | None) -> Iterator[Line]:
    first, second = _checks(a), _checks(b)
    for key in dict.fromkeys((*first, *second)):
        before, after = first.get(key), second.get(key)
        one = before or after
        assert one is not None  # noqa: S101 - the keys are of these two
        place = place_words(one)
        yield Line(
            f"{sentence(one.name)}{f', {place}' if place else ''}: utilisation",
            _judged(before),
            _judged(after),
            _difference(
                utilisation_words(before) if before else "",
                utilisation_words(after) if after else "",
            ),
        )


def _checks(part: Part | None) -> dict[tuple[str, str], Check]:
    return {(check.id, check.where): check for check in part.checks} if part else {}


def _judged(check: Check | None) -> str:
    return f"{SIGNS[check.verdict]} {utilisation_words(check)}" if check else NONE


def _difference(before: str, after: str) -> str:
    """Return the second number less the first with its sign; nothing where either is no number."""
    first, second = _NUMBER.fullmatch(before), _NUMBER.fullmatch(after)
    if first is None or second is None or first["unit"] != second["unit"]:
        return ""
    places = max(len(one["decimals"] or "") for one in (first, second))
    change = round(float(second["number"]) - float(first["number"]), places)
    if change == 0.0:
        return ""
    return f"{'+' if change > 0 else '−'}{abs(change):.{places}f}{first['unit']}"


_NUMBER = re.compile(r"(?P<number>-?\d+(\.(?P<decimals>\d+))?)(?P<unit>( [^\d\s]\S*)?)")
