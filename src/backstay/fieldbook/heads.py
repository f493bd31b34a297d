"""The head of a table of readings: which column is what, and in which unit.

A head says what the column holds and, in brackets, its unit: ``Gauge (psi)``, ``Dial 1 (in)``,
``Minute``. Pressures, loads and movements have no unit unless the head says it, because a number
in the wrong unit looks like a number. The columns may stand in any order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from pydantic_core import PydanticCustomError

from backstay.errors import Fault, ProjectError
from backstay.fieldbook.cells import HEAD_WITHIN, Cells, Row
from backstay.fieldbook.column_words import ROLES, Role, role_of
from backstay.model.units import parse
from backstay.quantity import QUANTITIES, Quantity, UnitSystem

_QUANTITY: Mapping[Role, str] = {
    "minute": "minutes", "gauge": "gauge pressure", "load": "force", "dial": "small length",
    "reference": "small length",
}  # fmt: skip
_ASKED: Mapping[Role, tuple[str, str]] = {
    "gauge": ("psi", "bar"), "load": ("kip", "kN"), "dial": ("in", "mm"), "reference": ("in", "mm"),
}  # fmt: skip
_SHARE_UNITS = {"": 1.0, "DL": 1.0, "P": 1.0, "%": 0.01, "% DL": 0.01, "%DL": 0.01}


@dataclass(frozen=True, slots=True)
class Column:
    """A column that is read. index: from 0; factor: to kN, m, kPa, minutes; dial: its number."""

    role: Role
    index: int
    head: str
    factor: float = 1.0
    quantity: Quantity | None = None
    dial: int = 1


@dataclass(frozen=True, slots=True)
class ReadingTable:
    """A table whose head was understood: columns, rows below the head, heads that are not read."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    passed_over: tuple[str, ...]

    def of(self, role: Role) -> Column | None:
        """Return the column of a role, the first of several dials."""
        return next((c for c in self.columns if c.role == role), None)

    @property
    def dials(self) -> tuple[Column, ...]:
        """Return the columns of the dials, in the order of their numbers."""
        return tuple(sorted((c for c in self.columns if c.role == "dial"), key=lambda c: c.dial))


def reading_table(tables: Sequence[Cells]) -> ReadingTable:
    """Return the table of readings among the sheets of a file, the first that has a head.

    Raises ProjectError with every fault of the head.
    """
    for cells in tables:
        for i, row in enumerate(cells.rows[:HEAD_WITHIN]):
            found = {role for cell in row.cells if (role := role_of(cell)[0]) is not None}
            if "dial" in found and found & {"gauge", "load"}:
                return _understood(cells, i)
    name = tables[0].name if tables else ""
    near = max(
        ((len([c for c in row.cells if role_of(c)[0]]), t, i) for t in tables for i, row in enumerate(t.rows[:HEAD_WITHIN])),
        key=lambda found: found[0], default=None,
    )  # fmt: skip
    if near is not None and near[0] >= 2:
        _understood(near[1], near[2])
    rule = "there is no head of a table of readings"
    accepted = "a line such as: Step, Minute, Gauge (psi), Dial 1 (in)"
    raise ProjectError([Fault(0, 0, "", rule, accepted=accepted)], name)


def _understood(cells: Cells, at: int) -> ReadingTable:
    """Return the table whose head is a row. Raises ProjectError with every fault of it."""
    head = cells.rows[at]
    columns: list[Column] = []
    faults: list[Fault] = []
    passed: list[str] = []
    for index, cell in enumerate(head.cells):
        if cell is None:
            continue
        text = " ".join(str(cell).split())
        role, unit, number = role_of(cell)
        if role is None:
            stem = text.split("(")[0].casefold().strip(" 0123456789.:")
            near = get_close_matches(stem, list(ROLES), n=1, cutoff=0.7)
            if near:
                hint = f'did you mean "{near[0]}"?'
                faults.append(
                    Fault(head.line, index + 1, text[:40], "this head is unknown", "", "", hint)
                )
            else:
                passed.append(text[:40])
            continue
        factor, rule, accepted = _factor(role, unit)
        if any((c.role, c.dial) == (role, number) for c in columns):
            rule, accepted = "a second column of this", "one column of each, dials numbered"
        if rule:
            faults.append(Fault(head.line, index + 1, text[:40], rule, accepted=accepted))
        name = _QUANTITY.get(role)
        quantity = QUANTITIES[name] if name else None
        columns.append(Column(role, index, text[:40], factor, quantity, number))
    faults += _missing(head.line, columns)
    if faults:
        raise ProjectError(faults, cells.name)
    return ReadingTable(cells.name, tuple(columns), cells.rows[at + 1 :], tuple(passed))


def _factor(role: Role, unit: str) -> tuple[float, str, str]:
    """Return the factor of a head's unit, or a rule that it breaks and what would be accepted."""
    if role == "share":
        if unit in _SHARE_UNITS:
            return _SHARE_UNITS[unit], "", ""
        return 1.0, f"{unit!r} is no unit of a share", "no unit, or %"
    name = _QUANTITY.get(role)
    if name is None:
        return 1.0, "", ""
    if not unit and role == "minute":
        return 1.0, "", ""
    us, si = _ASKED.get(role, ("min", "min"))
    if not unit:
        return 1.0, "the head does not say the unit", f"such as ({us}) or ({si})"
    try:
        return parse(f"1 {unit}", QUANTITIES[name], UnitSystem.SI), "", ""
    except PydanticCustomError:
        return 1.0, f"{unit!r} is no unit of {name}", f"such as ({us}) or ({si})"


def _missing(line: int, columns: Sequence[Column]) -> list[Fault]:
    roles = {c.role for c in columns}
    found = []
    if "minute" not in roles:
        rule, accepted = (
            "there is no column of minutes",
            "Minute: since the load was reached, 0 on arrival",
        )
        found.append(Fault(line, 1, "", rule, accepted=accepted))
    if not roles & {"gauge", "load"}:
        found.append(
            Fault(
                line, 1, "", "there is no column of the load", accepted="Gauge (psi) or Load (kip)"
            )
        )
    if "dial" not in roles:
        found.append(Fault(line, 1, "", "there is no column of a dial", accepted="Dial 1 (in)"))
    return found
