"""Corrections: what gauge and dials showed, made into load in the tendon and movement of its head.

Load is that of a load cell, else that of the gauge by the calibration line of jack and gauge.
Movement is the mean of the dials plus the movement of what carries them, from the first reading
at the alignment load. Dials should follow the whole test without a reset (UFGS 02490, 3.1.4); where
one was set back all the same it is bridged only if another dial went on reading, or if it was read
before and after at one load and one minute. Any other jump is refused.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from backstay.cite import Citation, common_practice
from backstay.quantity import Force, Length, SectionArea, SmallLength, SteelModulus
from backstay.stressing.findings import Finding, refused
from backstay.stressing.jack import calibrated_load
from backstay.stressing.record import Reading, TestedAnchor, TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.stays import Place, Point
from backstay.trace import formula

UFGS_DIAL = Citation(
    "UFGS 02490", "3.1.3, dial gauges follow the entire movement without being reset", "published"
)
JUMP = 0.001
"""Least movement (m) against the load that is taken for a dial set back, not for scatter."""
_JUMP = common_practice("a dial that moves 1 mm against the load was set back or misread")
SLACK = 1.25
"""Elastic movement of the whole tendon is multiplied by this before a dial is doubted."""
SAME_MINUTE = 0.1


@formula("delta_max", Citation("Hooke's law", "", "formula"))
def greatest_elastic_change(
    Delta_P: Force, L_u: Length, L_b: Length, L_j: Length, A: SectionArea, E: SteelModulus
) -> SmallLength:
    """Elastic movement if the whole tendon, bond length included, were free.

    Delta_P: change of load; L_u: free length; L_b: bond length; L_j: length in the jack; A: area
    of the tendon; E: modulus of elasticity of the tendon
    """
    return Delta_P * (L_u + L_b + L_j) / (A * E)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """A dial set back and bridged: from which reading on, which dial, and what is added (m)."""

    reading: int
    dial: int
    offset: float
    by: str


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
    offsets, found = _resets(record, rules, placed, loads)
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


def _compliance(anchor: TestedAnchor) -> float:
    return SLACK * greatest_elastic_change(
        1.0, anchor.free_length, anchor.bond_length, anchor.jack_length, anchor.area, anchor.modulus
    )


def _against(change: float, load_change: float, compliance: float, coming_down: bool) -> bool:
    """Say whether a dial moved in a way that no anchor moves.

    Backward more than the whole tendon would spring back; or outward while the load comes down.
    """
    if change < min(0.0, load_change) * compliance - JUMP:
        return True
    return coming_down and load_change < 0.0 and change > JUMP


def _resets(
    record: TestRecord, rules: TestRules, placed: Sequence[Place], loads: Sequence[float]
) -> tuple[tuple[Offset, ...], tuple[Finding, ...]]:
    """Return the dials set back that can be bridged, and findings for those and for the others."""
    readings = record.readings
    compliance = _compliance(record.anchor)
    tolerance = rules.load_tolerance.value

    def jumped(i: int, j: int) -> list[int]:
        """Return the dials that moved against the load from reading i to reading j."""
        a, b = readings[i], readings[j]
        down = b.phase == "unloading" and a.phase == "unloading"
        change = b.reference - a.reference
        return [
            k
            for k, (x, y) in enumerate(zip(a.dials, b.dials, strict=True))
            if _against(y - x + change, loads[j] - loads[i], compliance, down)
        ]

    offsets: list[Offset] = []
    found: list[Finding] = []
    for j in range(1, len(readings)):
        bad = jumped(j - 1, j)
        if not bad:
            continue
        a, b = readings[j - 1], readings[j]
        if stray := _stray(j, jumped, loads, tolerance):
            number = readings[stray].number
            if not any(f.code == "stray reading" and number in f.readings for f in found):
                found.append(_stray_finding(number))
            continue
        good = [k for k in range(len(a.dials)) if k not in bad]
        steady = abs(loads[j] - loads[j - 1]) <= tolerance * abs(loads[j - 1])
        same = placed[j] == placed[j - 1]
        at_once = same and steady and abs(b.minute - a.minute) <= SAME_MINUTE
        rest = steady and all(_at_alignment(record, place) for place in placed[j - 1 : j + 1])
        if good:
            moved = sum(b.dials[k] - a.dials[k] for k in good) / len(good)
            by = "the dial that went on reading" if len(good) == 1 else "the dials that went on"
        elif at_once or rest:
            moved, by = 0.0, "readings before and after at one load"
        else:
            found.append(_unbridged(a.number, b.number))
            continue
        new = [
            Offset(reading=b.number, dial=k, offset=moved - (b.dials[k] - a.dials[k]), by=by)
            for k in bad
        ]
        offsets += new
        found.append(_bridged(a.number, b.number, new, loses=rest and not at_once and not good))
    return tuple(offsets), tuple(found)


def _at_alignment(record: TestRecord, place: Place) -> bool:
    if place.step is None:
        return False
    load = record.procedure.steps[place.step].load
    return load <= record.procedure.alignment_load * (1.0 + 1e-6)


def _stray(
    j: int, jumped: Callable[[int, int], list[int]], loads: Sequence[float], tolerance: float
) -> int:
    """Return the reading that alone is out of line, j - 1 or j; 0 where the jump stays.

    Only at one load: while the load rises, a dial set back may look like one that came back.
    """

    def steady(first: int) -> bool:
        three = loads[first : first + 3]
        return len(three) == 3 and max(three) - min(three) <= tolerance * max(three)

    if j >= 2 and steady(j - 2) and not jumped(j - 2, j):
        return j - 1
    if steady(j - 1) and not jumped(j - 1, j + 1):
        return j
    return 0


def _stray_finding(number: int) -> Finding:
    return refused(
        "stray reading", "it stands off from the readings before and after it, against the load",
        "correct the reading; an entry once made is kept beside its correction", number,
        cite=_JUMP,
    )  # fmt: skip


def _unbridged(before: int, after: int) -> Finding:
    return refused(
        "dial reset", "the dials went back against the load, and nothing says by how much they were "
        "set back", "give the reading of each dial just before and just after it was set back, at "
        "one load and one minute; else unload to the alignment load and test again", before, after,
        cite=UFGS_DIAL,
    )  # fmt: skip


def _bridged(before: int, after: int, offsets: Sequence[Offset], *, loses: bool) -> Finding:
    amounts = ", ".join(f"dial {o.dial + 1} {{small length:{o.offset:.9g}}}" for o in offsets)
    creep = "; movement at the alignment load while it was set is not seen" if loses else ""
    return Finding(
        code="dial reset", words="the dial was set back in mid-test",
        effect=f"with the offset added from there on ({amounts}), by {offsets[0].by}{creep}",
        readings=(before, after), cite=UFGS_DIAL,
    )  # fmt: skip
