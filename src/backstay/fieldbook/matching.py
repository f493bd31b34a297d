"""Readings of a table put to the steps of the procedure.

A row says its step by number as on the field sheet, or by cycle and share of the design load, or
by share alone, or by nothing but its load and minute. In the last two cases the steps are taken
in the order of the procedure: the minutes that begin anew and the load tell the next one. A row that
no step fits is named, and nothing is guessed beyond that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import cast

from backstay.errors import Fault
from backstay.fieldbook.heads import ReadingTable
from backstay.fieldbook.table_rows import WrittenRow
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.stressing.jack import Jack
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.record import Phase, Reading
from backstay.stressing.stays import SHARE_TOLERANCE, places

LOAD_WITHIN = 0.12
"""Share of its load by which a step may be missed to be known by its load."""
LEAST_WITHIN = 0.05
"""Share of the design load by which any step may be missed."""


@dataclass(frozen=True, slots=True)
class Matched:
    """The readings of one test in order, and what no step fits."""

    readings: tuple[Reading, ...]
    faults: tuple[Fault, ...]


def match_steps(
    table: ReadingTable, rows: Sequence[WrittenRow], procedure: Procedure, jack: Jack,
    before: Sequence[Reading], units: UnitSystem,
) -> Matched:  # fmt: skip
    """Return rows as readings of a procedure.

    before: the readings of the same test that are recorded already; units: of the words.
    """
    start = max((r.number for r in before), default=0)
    at, minute = -1, -1.0
    if before:
        placed = places(before, procedure)[-1].step
        at, minute = (placed if placed is not None else -1), before[-1].minute
    faults: list[Fault] = []
    readings: list[Reading] = []
    highest = _highest(before)
    for k, row in enumerate(rows, start=1):
        number = row.number if row.number is not None else start + k
        if row.cycle is not None and row.share is not None and row.step is None:
            step, cycle, share = None, row.cycle, row.share
        else:
            found = _step_of(row, procedure, jack, at, minute)
            if found is None:
                faults.append(_unplaced(table, row, procedure, jack, at, units))
                continue
            at = found
            step = procedure.steps[at]
            cycle, share = step.cycle, step.share
        minute = row.minute
        phase = row.phase or _phase(row, step, highest.get(cycle, 0.0), share)
        highest[cycle] = max(highest.get(cycle, 0.0), share)
        readings.append(
            Reading(
                number=number, cycle=cycle, target=share, phase=cast(Phase, phase),
                minute=row.minute, gauge=row.gauge, load=row.load, dials=row.dials,
                reference=row.reference, at=row.at, remark=row.remark,
            )
        )  # fmt: skip
    return Matched(tuple(readings), tuple(faults))


def _highest(readings: Sequence[Reading]) -> dict[int, float]:
    found: dict[int, float] = {}
    for r in readings:
        found[r.cycle] = max(found.get(r.cycle, 0.0), r.target)
    return found


def _phase(row: WrittenRow, step: TestStep | None, top: float, share: float) -> Phase:
    if row.minute > 0.0:
        return "hold"
    up = step.up if step is not None else share >= top - SHARE_TOLERANCE
    return "loading" if up else "unloading"


def _step_of(
    row: WrittenRow, procedure: Procedure, jack: Jack, at: int, minute: float
) -> int | None:
    """Return the number of the step (from 0) that a row belongs to, None where there is none."""
    steps = procedure.steps
    if row.step is not None:
        return row.step - 1 if row.step <= len(steps) else None
    off: Callable[[TestStep], float]
    if row.share is not None:
        share = row.share
        off = lambda step: abs(step.share - share) / SHARE_TOLERANCE  # noqa: E731
    else:
        load = row.load if row.load is not None else jack.calibration.load(row.gauge or 0.0)
        off = lambda step: abs(step.load - load) / _within(step, procedure)  # noqa: E731
    return _in_order(row, steps, off, at, minute)


def _within(step: TestStep, procedure: Procedure) -> float:
    return max(LOAD_WITHIN * step.load, LEAST_WITHIN * procedure.design_load)


def _in_order(
    row: WrittenRow,
    steps: Sequence[TestStep],
    off: Callable[[TestStep], float],
    at: int,
    minute: float,
) -> int | None:
    """Return the present step while its minutes go on, else the nearest later one that fits."""
    stays = at >= 0 and off(steps[at]) <= 1.0
    if stays and row.minute > minute:
        beyond = steps[at + 1] if at + 1 < len(steps) else None
        if beyond is None or off(steps[at]) <= off(beyond) or row.minute > beyond.hold + 1.0:
            return at
    fitting = [i for i in range(at + 1, len(steps)) if off(steps[i]) <= 1.0]
    if stays and (not fitting or fitting[0] > at + 1):
        return at  # written twice, or its minutes run backwards: the judgement names it
    if fitting:
        first = fitting[0]
        if first + 1 in fitting and off(steps[first + 1]) < off(steps[first]):
            return first + 1
        return first
    return None


def _unplaced(
    table: ReadingTable,
    row: WrittenRow,
    procedure: Procedure,
    jack: Jack,
    at: int,
    units: UnitSystem,
) -> Fault:
    """Say why a row has no step."""
    force = QUANTITIES["force"]
    steps = procedure.steps
    coming = steps[at + 1] if at + 1 < len(steps) else None
    next_one = (
        f"the next step is {coming.share:.3g} of the design load, {force.text(coming.load, units)}"
        if coming else "the procedure is at its end"
    )  # fmt: skip
    if row.step is not None:
        column, rule = table.of("step"), f"the procedure has {len(steps)} steps"
        return Fault(row.line, column.index + 1 if column else 1, "Step", rule, f"'{row.step}'")
    if row.share is not None:
        column, read = table.of("share"), f"'{row.share:g}'"
        rule = f"no step from here on has this share of the design load: {next_one}"
    else:
        column = table.of("load") if row.load is not None else table.of("gauge")
        load = row.load if row.load is not None else jack.calibration.load(row.gauge or 0.0)
        read = force.text(load, units)
        rule = f"no step from here on has such a load: {next_one}; is the unit of the head right?"
    return Fault(
        row.line, column.index + 1 if column else 1, column.head if column else "", rule, read,
        "the load of a step, or a column Step as on the field sheet",
    )  # fmt: skip
