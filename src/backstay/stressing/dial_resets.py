"""Dials set back in mid-test: seen, and bridged only where nothing has to be guessed.

Dials should follow the whole test without a reset (UFGS 02490, 3.1.3). One that was set back all
the same goes against the load, or parts from the other dials, or is behind where the anchor already
stood at the same load. It is bridged if another dial went on reading, or if it was read before and
after at one load and one minute (at the alignment load: at rest). Any other jump is refused.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median

from backstay.cite import Citation, common_practice
from backstay.quantity import Force, Length, SectionArea, SmallLength, SteelModulus
from backstay.stressing.findings import Finding, refused
from backstay.stressing.record import TestedAnchor, TestRecord
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
PARTED = 0.25
"""Share of the movement by which dials may differ, because the head turns."""


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


def resets(
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
        a, b = readings[j - 1], readings[j]
        bad = jumped(j - 1, j)
        if not bad:
            apart = _parted([y - x for x, y in zip(a.dials, b.dials, strict=True)])
            if apart is None:
                found.append(_apart(a.number, b.number))
            bad = apart or []
        if not bad:
            continue
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


def _parted(changes: Sequence[float]) -> list[int] | None:
    """Return the dials that part from the others; nil where two part and nothing tells which."""
    if len(changes) < 2:
        return []
    middle = median(changes)
    allowed = JUMP + PARTED * abs(middle)
    if len(changes) == 2:
        return [] if abs(changes[1] - changes[0]) <= allowed else None
    apart = [k for k, change in enumerate(changes) if abs(change - middle) > allowed]
    return apart if 2 * len(apart) < len(changes) else None


def fallen_behind(
    record: TestRecord, placed: Sequence[Place], points: Sequence[Point]
) -> tuple[Finding, ...]:
    """Return readings at which the head is behind where it already stood at the same load.

    What stays of one cycle carries over to the next: the head is never back by more than scatter.
    A cycle run again is left out, because friction that lets go takes the head back.
    """
    compliance = _compliance(record.anchor)
    stood: dict[tuple[float, bool], tuple[Point, tuple[int, int]]] = {}
    behind: list[int] = []
    for point, place in zip(points, placed, strict=True):
        if place.step is None or place.again:
            continue
        step = record.procedure.steps[place.step]
        key, cycle = (step.share, step.up), (place.again, step.cycle)
        before = stood.get(key)
        if before is not None and before[1] != cycle:
            load = min(0.0, point.load - before[0].load)
            if point.movement < before[0].movement + load * compliance - JUMP:
                behind.append(point.number)
        if before is None or point.movement >= before[0].movement:
            stood[key] = (point, cycle)
    if not behind:
        return ()
    return (
        refused(
            "dial reset", "the head is behind where it stood at the same load in an earlier cycle: a "
            "dial was set back unseen, or a load or movement is wrong", "give the reading of each "
            "dial just before and just after it was set back, at one load and one minute",
            *behind, cite=_JUMP,
        ),
    )  # fmt: skip


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


def _apart(before: int, after: int) -> Finding:
    return refused(
        "dials apart", "the dials moved by different amounts, and nothing tells which of them is "
        "right", "correct the one that was misread; if one was set back, give its reading just "
        "before and just after", before, after, cite=_JUMP,
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
