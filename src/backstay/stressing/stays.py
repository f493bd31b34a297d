"""Stays: the readings of a test put to the steps of its procedure, one stay at one load.

A reading says its cycle, the load it aims at and its phase. Going up and coming down through the
same load are different steps, because friction makes them different loads in the tendon.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from backstay.stressing.findings import Finding, refused
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.record import Phase, Reading

SHARE_TOLERANCE = 0.015
"""How far the share written with a reading may be off that of its step (1.33 for 4/3)."""
EXTRA_CYCLES = 2
"""Cycles that may be run again after the last, to show what comes back (see `next_step`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One reading, corrected: load (kN) in the tendon at the jack, movement (m) of the head.

    Movement counts from the first reading at the alignment load, outward positive.
    """

    number: int
    cycle: int
    minute: float
    load: float
    movement: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a reading belongs.

    step: number in the procedure, nil where it has no such step; again: which repetition of the
    last cycle, nil for the procedure itself; hold: how often the load was brought up anew to be
    held from the start, nil for the first hold.
    """

    step: int | None
    again: int = 0
    hold: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """What was read at one step: the step, its number in the procedure, and the points in order.

    again, hold: as in `Place`.
    """

    step: TestStep
    index: int
    points: tuple[Point, ...]
    again: int = 0
    hold: int = 0

    @property
    def last(self) -> Point:
        """Return the last point."""
        return self.points[-1]

    @property
    def timed(self) -> tuple[Point, ...]:
        """Return the points after the load was reached, by their minutes."""
        return tuple(sorted((p for p in self.points if p.minute > 0.0), key=lambda p: p.minute))

    @property
    def held(self) -> float:
        """Return the minutes up to the last reading."""
        return max(p.minute for p in self.points)


def places(readings: Sequence[Reading], procedure: Procedure) -> tuple[Place, ...]:
    """Return the step that each reading belongs to.

    A hold is on the way up unless a greater load was already read in its cycle. Where loading is
    read after a hold at the same load, the load was brought up to be held anew from the start.
    """
    last = max(step.cycle for step in procedure.steps)
    extra = 0 if procedure.method == "lock-off" else EXTRA_CYCLES
    by_way: dict[tuple[int, bool], list[tuple[float, int]]] = {}
    for index, step in enumerate(procedure.steps):
        by_way.setdefault((step.cycle, step.up), []).append((step.share, index))
    highest: dict[int, float] = {}
    found: list[Place] = []
    phase: Phase = "loading"
    for reading in readings:
        top = highest.get(reading.cycle, 0.0)
        highest[reading.cycle] = max(top, reading.target)
        up = reading.phase == "loading" or (
            reading.phase == "hold" and reading.target >= top - SHARE_TOLERANCE
        )
        again = max(0, reading.cycle - last) if reading.cycle <= last + extra else 0
        cycle = last if again else reading.cycle
        choices = by_way.get((cycle, up), [])
        near = [(abs(share - reading.target), i) for share, i in choices]
        off, index = min(near, default=(1.0, -1))
        at = index if off <= SHARE_TOLERANCE else None
        hold = 0
        if found and at is not None and (found[-1].again, found[-1].step) == (again, at):
            anew = phase == "hold" and reading.phase == "loading"
            hold = found[-1].hold + anew
        found.append(Place(step=at, again=again, hold=hold))
        phase = reading.phase
    return tuple(found)


def stays(
    points: Sequence[Point], placed: Sequence[Place], procedure: Procedure
) -> tuple[Stay, ...]:
    """Return the stays in the order read. Readings without a step are left out."""
    pairs = [(place, point) for place, point in zip(placed, points, strict=True)]
    found = []
    for place, group in groupby(pairs, key=lambda pair: pair[0]):
        if place.step is None:
            continue
        found.append(
            Stay(
                step=procedure.steps[place.step], index=place.step, again=place.again,
                points=tuple(point for _, point in group),
            )
        )  # fmt: skip
    return tuple(found)


def sequence_faults(readings: Sequence[Reading], placed: Sequence[Place]) -> tuple[Finding, ...]:
    """Return what is wrong with the order of the readings.

    Refused: numbers that fall or repeat, steps read backwards or left and come back to, minutes
    that fall within a step, readings for a cycle or load that the procedure does not have.
    """
    found: list[Finding] = []
    unknown = tuple(
        r.number for r, place in zip(readings, placed, strict=True) if place.step is None
    )
    if unknown:
        found.append(
            refused(
                "unknown step", "the procedure has no such load in that cycle",
                "correct cycle, load or phase of these readings", *unknown,
            )
        )  # fmt: skip
    turned: list[int] = []
    before: tuple[int, int] | None = None
    for earlier, later in pairwise(readings):
        if later.number <= earlier.number:
            turned.append(later.number)
    backwards: list[int] = []
    for reading, place in zip(readings, placed, strict=True):
        if place.step is None:
            continue
        key = (place.again, place.step)
        if before is not None and key < before:
            backwards.append(reading.number)
        before = key
    if turned:
        found.append(
            refused(
                "order", "the numbers of the readings do not rise",
                "put the readings in the order in which they were taken", *turned,
            )
        )  # fmt: skip
    if backwards:
        found.append(
            refused(
                "order", "a step is read after a later step of the procedure",
                "correct cycle or load, or put the readings in the order in which they were taken: "
                "what an anchor does depends on what it carried before", *backwards,
            )
        )  # fmt: skip
    return (*found, *_minutes(readings, placed))


def _minutes(readings: Sequence[Reading], placed: Sequence[Place]) -> tuple[Finding, ...]:
    """Return minutes that fall within a step, and minutes that the clock does not confirm."""
    falls: list[int] = []
    clock: list[int] = []
    pairs = list(zip(readings, placed, strict=True))
    for (earlier, at), (later, then) in pairwise(pairs):
        if earlier.at is not None and later.at is not None and later.at < earlier.at:
            clock.append(later.number)
        if at != then or at.step is None:
            continue
        if later.minute < earlier.minute - 1e-9:
            falls.append(later.number)
        elif earlier.at is not None and later.at is not None:
            passed = (later.at - earlier.at).total_seconds() / 60.0
            said = later.minute - earlier.minute
            if abs(passed - said) > max(1.0, 0.1 * said):
                clock.append(later.number)
    found = []
    if falls:
        found.append(
            refused(
                "order", "the minutes of a hold fall from one reading to the next",
                "put the readings in order or correct their minutes", *falls,
            )
        )  # fmt: skip
    if clock:
        found.append(
            Finding(
                code="clock", words="the clock and the minutes of the readings do not agree",
                effect="with the minutes as written; acceptance waits until the times are right",
                readings=tuple(dict.fromkeys(clock)), withholds=True,
            )
        )  # fmt: skip
    return tuple(found)
