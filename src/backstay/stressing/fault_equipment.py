"""Faults of the equipment: certificate, range of the gauge, jack, and the strength of the tendon.

A load that no certificate covers is no load. A load beyond the tendon's greatest test stress, or
beyond the jack, is a danger to people: the finding says stop before it says anything else.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from backstay.cite import Citation, common_practice
from backstay.stressing.findings import Finding, refused
from backstay.stressing.loads import tendon_limit
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.stays import Point

_STROKE = Citation("UFGS 02490", "3.1.4, ram travel not less than the elongation", "published")
_EXCEED = Citation("UFGS 02490", "3.2, the test load is not exceeded", "published")
_CAPACITY = common_practice("a jack is not loaded beyond its rated capacity")
_SAFE = (
    "stop: bring the load down slowly, nobody behind the jack or in line with the tendon; the "
    "engineer decides"
)
ROUNDING = 1e-9


def day_of(record: TestRecord) -> date | None:
    """Return the day of the test: as written, else of its first timed reading."""
    if record.on is not None:
        return record.on.date()
    return next((r.at.date() for r in record.readings if r.at is not None), None)


def equipment_faults(
    record: TestRecord, rules: TestRules, points: Sequence[Point]
) -> Iterator[Finding]:
    """Yield what is wrong with jack, gauge and certificate, and loads that endanger people."""
    yield from _overload(record, rules, points)
    yield from _certificate(record, rules)
    yield from _range(record)
    yield from _agreement(record, rules)
    stroke = record.jack.stroke
    far = [p.number for p in points if abs(p.movement) > stroke * (1.0 + ROUNDING)]
    if far:
        yield refused(
            "stroke", f"movement beyond the stroke of the jack, {{small length:{stroke:.9g}}}",
            "correct the movements or their unit; if the jack was set anew, enter that as a dial "
            "set back, with readings before and after", *far, cite=_STROKE,
        )  # fmt: skip


def _overload(record: TestRecord, rules: TestRules, points: Sequence[Point]) -> Iterator[Finding]:
    limit = tendon_limit(record.anchor, record.procedure.kind, rules)
    over = tuple(p.number for p in points if p.load > limit.load * (1.0 + ROUNDING))
    if over:
        yield Finding(
            code="overstress", words=f"load beyond {{force:{limit.load:.9g}}}, the greatest that "
            "the tendon may carry under test", effect=f"{_SAFE} whether the tendon may stay",
            readings=over, withholds=True, stop=True, cite=limit.clause,
        )  # fmt: skip
    capacity = record.jack.capacity
    beyond = [p.number for p in points if p.load > capacity * (1.0 + ROUNDING)]
    if beyond:
        yield refused(
            "jack capacity", f"load beyond the capacity of the jack, {{force:{capacity:.9g}}}",
            f"{_SAFE}; a jack that was overloaded is calibrated anew", *beyond, cite=_CAPACITY,
            stop=True,
        )  # fmt: skip
    if over or beyond:
        return
    most = record.procedure.test_load * (1.0 + rules.load_tolerance.value)
    high = tuple(p.number for p in points if p.load > most * (1.0 + ROUNDING))
    if high:
        yield Finding(
            code="off target", words=f"load beyond the test load, "
            f"{{force:{record.procedure.test_load:.9g}}}",
            effect="with the loads as read; the test load is not to be exceeded",
            readings=high, cite=_EXCEED,
        )  # fmt: skip


def _certificate(record: TestRecord, rules: TestRules) -> Iterator[Finding]:
    certificate = record.jack.calibration
    wait = "with the line of that certificate; acceptance waits for a calibration that shows the same line"
    day = day_of(record)
    if all(r.load is not None for r in record.readings):
        return
    if day is None:
        yield Finding(
            code="no test day", words="neither the day of the test nor any clock time is given",
            effect="with the certificate as it stands; acceptance waits for the day, to hold the "
            "certificate against", withholds=True, cite=rules.calibration_life.cite,
        )  # fmt: skip
        return
    name = f"certificate {certificate.certificate} of jack {record.jack.name}"
    if day < certificate.on:
        yield Finding(
            code="not yet calibrated", words=f"{name} was issued on {certificate.on}, after the test",
            effect=wait, withholds=True, cite=rules.calibration_life.cite,
        )  # fmt: skip
    ends = certificate.good_to(rules.calibration_life.value)
    if day > ends:
        yield Finding(
            code="certificate expired", words=f"{name} was good to {ends}, the test is of {day}",
            effect=wait, withholds=True, cite=rules.calibration_life.cite,
        )  # fmt: skip
    if certificate.scatter > rules.gauge_accuracy.value * (1.0 + ROUNDING):
        yield Finding(
            code="poor calibration", words=f"the points of {name} lie "
            f"{{percent:{certificate.scatter:.4g}}} off their line", effect=wait, withholds=True,
            cite=rules.gauge_accuracy.cite,
        )  # fmt: skip


def _range(record: TestRecord) -> Iterator[Finding]:
    """Yield pressures beyond the points of the certificate."""
    most = record.jack.calibration.greatest_pressure
    least = min(q.pressure for q in record.jack.calibration.points)
    read = [(r.number, r.gauge) for r in record.readings if r.load is None and r.gauge is not None]
    high = [number for number, p in read if p > most * (1.0 + ROUNDING)]
    if high:
        yield refused(
            "beyond calibration", f"pressure beyond {{gauge pressure:{most:.9g}}}, the last point of "
            "the certificate", "the load there is not known: use a jack and gauge calibrated to "
            "the test load", *high, cite=record_cite(record),
        )  # fmt: skip
    low = tuple(number for number, p in read if p < least * (1.0 - ROUNDING))
    if low:
        yield Finding(
            code="below calibration", words=f"pressure below {{gauge pressure:{least:.9g}}}, the first "
            "point of the certificate", effect="with the calibration line drawn on below its "
            "first point", readings=low, cite=record_cite(record),
        )  # fmt: skip


def record_cite(record: TestRecord) -> Citation:
    """Return the certificate as a citation."""
    return Citation(f"calibration certificate {record.jack.calibration.certificate}", "", "given")


def _agreement(record: TestRecord, rules: TestRules) -> Iterator[Finding]:
    """Yield loads of the cell that the gauge does not confirm."""
    P_0, area = record.jack.calibration.line
    allowed = rules.gauge_agreement
    floor = rules.gauge_graduation.value * area
    apart = []
    for reading in record.readings:
        if reading.load is None or reading.gauge is None:
            continue
        off = abs(P_0 + area * reading.gauge - reading.load)
        if off > max(allowed.value * reading.load, floor) * (1.0 + ROUNDING):
            apart.append(reading.number)
    if apart:
        yield Finding(
            code="gauges differ", words="gauge and load cell differ by more than "
            f"{{percent:{allowed.value:g}}}", effect="with the loads of the cell; acceptance waits "
            "until both are checked against a reference", readings=tuple(apart), withholds=True,
            cite=allowed.cite,
        )  # fmt: skip
