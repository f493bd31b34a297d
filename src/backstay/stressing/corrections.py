"""Corrections: what gauge and dials showed, made into load in the tendon and movement of its head.

Load is that of a load cell, else that of the gauge by the calibration line of jack and gauge.
Movement is the mean of the dials plus the movement of what carries them, from the first reading
at the alignment load, over dials set back in mid-test (`dial_resets`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from backstay.stressing.dial_resets import Offset, fallen_behind, resets
from backstay.stressing.findings import Finding, refused
from backstay.stressing.jack import calibrated_load
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.stays import Place, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """The points of a test, what was bridged, and what was found on the way.

    points: one for each reading, in their order; empty where no load or movement can be had.
    """

    points: tuple[Point, ...]
    offsets: tuple[Offset, ...]
    findings: tuple[Finding, ...]


def correct(record: TestRecord, rules: TestRules, placed: Sequence[Place]) -> Corrected:
    """Return the corrected points of a record."""
    readings = record.readings
    missing = _missing(readings)
    if missing or not readings:
        return Corrected(points=(), offsets=(), findings=missing)
    loads = loads_of(record)
    dials = len(readings[0].dials)
    offsets, found = resets(record, rules, placed, loads)
    shift = [0.0] * dials
    pending = {(o.reading, o.dial): o.offset for o in offsets}
    points: list[Point] = []
    zero = 0.0
    for reading, load in zip(readings, loads, strict=True):
        for k in range(dials):
            shift[k] += pending.get((reading.number, k), 0.0)
        head = sum(d + s for d, s in zip(reading.dials, shift, strict=True)) / dials
        head += reading.reference
        if not points:
            zero = head
        points.append(
            Point(
                number=reading.number, cycle=reading.cycle, minute=reading.minute,
                load=load, movement=head - zero,
            )
        )  # fmt: skip
    if not any(f.consequence == "refused" for f in found):
        found = (*found, *fallen_behind(record, placed, points))
    return Corrected(
        points=tuple(points), offsets=offsets, findings=(*_zero(record, placed), *found)
    )


def loads_of(record: TestRecord) -> tuple[float, ...]:
    """Return the load (kN) of each reading: of the load cell, else of the gauge."""
    P_0, area = record.jack.calibration.line
    found = []
    for reading in record.readings:
        if reading.load is not None:
            found.append(reading.load)
        else:
            pressure = reading.gauge if reading.gauge is not None else 0.0
            found.append(calibrated_load(P_0, area, pressure))
    return tuple(found)


def not_numbers(readings: Sequence[Reading]) -> tuple[Finding, ...]:
    """Return readings of which some value is not a finite number."""
    odd = []
    for r in readings:
        values = (r.minute, r.target, r.reference, r.gauge, r.load, *r.dials)
        if not all(v is None or isfinite(v) for v in values):
            odd.append(r.number)
    if not odd:
        return ()
    return (refused("not a number", "a value is not a number", "enter it anew", *odd),)


def _missing(readings: Sequence[Reading]) -> tuple[Finding, ...]:
    """Return readings that have no load, no dial, or not the dials of the first one."""
    found = []
    bare = tuple(r.number for r in readings if r.gauge is None and r.load is None)
    if bare:
        found.append(
            refused("no load", "neither gauge nor load cell was read", "enter the load", *bare)
        )
    blind = tuple(r.number for r in readings if not r.dials)
    if blind:
        found.append(refused("no dial", "no dial was read", "enter the movement", *blind))
    elif readings:
        first = len(readings[0].dials)
        other = tuple(r.number for r in readings if len(r.dials) != first)
        if other:
            found.append(
                refused(
                    "dials changed", f"the test began with {first} dials and other readings have "
                    "more or fewer", "give every reading the same dials, in the same order", *other,
                )
            )  # fmt: skip
    return tuple(found)


def _zero(record: TestRecord, placed: Sequence[Place]) -> tuple[Finding, ...]:
    """Return the finding that the test does not begin at the alignment load."""
    if placed[0].step == 0:
        return ()
    first = record.readings[0].number
    return (
        refused(
            "no zero", "the first reading is not at the first load of the procedure",
            "movement counts from the alignment load: enter the reading there", first,
        ),
    )  # fmt: skip
