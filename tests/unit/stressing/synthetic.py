"""A mechanical model of an anchor under test, from whose readings a judgement must recover it.

An elastic tendon in a free length with friction and in a bond that yields progressively from its
near end: where tendon and ground slide against each other, friction and bond have their full value,
against the sense of sliding (rigid and plastic). The load along the tendon then follows from the
history of the load at its head, cut by cut; the head moves by the stretch of the tendon, by slip
once the whole bond has yielded, and by creep with the logarithm of time. Jack friction shows on the
way down, dials stand on a reference that may move, may be set back, and are read with scatter.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from math import log10
from random import Random

import numpy as np

from backstay.stressing.jack import Jack
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.record import Phase, Reading, TestedAnchor, TestRecord
from tests.unit.stressing.invented import anchor, jack

CUTS = 2000
BEGIN = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class Model:
    """What an anchor is made of.

    friction: kN over the free length; bond: kN/m that it yields at; creep: m per log cycle at the
    test load, in proportion to the load up to `critical` (kN) and by `steep` (m per log cycle and
    kN) more beyond it; bend: m per square of the log cycle, of a rate that grows (or falls, below
    nil); jack_friction: share by which the gauge shows less on the way down; settle: movement (m)
    of what carries the dials at the test load; scatter: standard deviation (m) of a reading.
    """

    anchor: TestedAnchor = field(default_factory=anchor)
    jack: Jack = field(default_factory=jack)
    friction: float = 0.0
    bond: float = 250.0
    creep: float = 0.0003
    critical: float = 1e9
    steep: float = 0.0
    bend: float = 0.0
    jack_friction: float = 0.0
    settle: float = 0.0
    scatter: float = 0.0
    dials: int = 2
    seed: int = 1


class Tendon:
    """The tendon of a model with its history: load at each cut, slip and creep so far."""

    def __init__(self, model: Model) -> None:
        a = model.anchor
        length = a.free_length + a.bond_length
        edges = np.linspace(0.0, length, CUTS + 1)
        x = (edges[:-1] + edges[1:]) / 2.0
        self.reach = np.where(
            x <= a.free_length,
            model.friction * x / a.free_length,
            model.friction + model.bond * (x - a.free_length),
        )
        self.most = model.friction + model.bond * a.bond_length
        self.dx = length / CUTS
        self.stiffness = a.area * a.modulus
        self.jack_length = a.jack_length
        self.load = np.zeros(CUTS)
        self.moved = 0.0

    def head(self, load: float) -> float:
        """Return the movement of the head (m) after the load went to `load` (kN)."""
        held = min(load, self.most)
        up = np.maximum(self.load, held - self.reach)
        down = np.minimum(self.load, held + self.reach)
        self.load = np.maximum(up if held >= self.load[0] else down, 0.0)
        stretch = float(self.load.sum()) * self.dx + held * self.jack_length
        return stretch / self.stiffness + self.moved


def rate(model: Model, load: float, test_load: float) -> float:
    """Return the creep rate (m per log cycle) at a load."""
    return model.creep * load / test_load + model.steep * max(0.0, load - model.critical)


def minutes_of(step: TestStep, *, extended: bool) -> tuple[float, ...]:
    """Return the minutes at which a step is read."""
    return tuple(m for m in step.readings if m > 0.0) + (step.extended if extended else ())


class Crew:
    """Reads one step after the other; live tests ask it for the next one."""

    def __init__(self, model: Model, procedure: Procedure) -> None:
        self.model, self.procedure = model, procedure
        self.tendon = Tendon(model)
        self.random = Random(model.seed)  # noqa: S311 - a reproducible sample
        self.readings: list[Reading] = []
        self.clock = BEGIN
        self.resting = 0.0

    def arrive(self, step: TestStep, cycle: int | None = None) -> None:
        """Bring the load of a step and read at once."""
        self.clock += timedelta(minutes=1)
        self.resting = self.tendon.head(step.load)
        self._read(step, "loading" if step.up else "unloading", 0.0, cycle)

    def wait(self, step: TestStep, minute: float, cycle: int | None = None) -> None:
        """Hold the load of a step and read at a minute."""
        before = max((r.minute for r in self.readings[-1:]), default=0.0)
        self.clock += timedelta(minutes=minute - before)
        k = rate(self.model, step.load, self.procedure.test_load)
        x = log10(max(minute, 1.0))
        bend = self.model.bend * step.load / self.procedure.test_load
        crept = k * x + bend * x * x
        self._read(step, "hold", minute, cycle, crept)
        self.crept = crept

    def leave(self) -> None:
        """Let the creep of the hold stay as residual movement."""
        self.tendon.moved += getattr(self, "crept", 0.0)
        self.crept = 0.0

    def _read(
        self, step: TestStep, phase: Phase, minute: float, cycle: int | None, crept: float = 0.0
    ) -> None:
        m = self.model
        settled = m.settle * step.load / self.procedure.test_load
        head = self.resting + crept - settled
        dials = tuple(
            0.01 * (k + 1) + head + self.random.gauss(0.0, m.scatter) for k in range(m.dials)
        )
        shown = step.load if step.up else step.load * (1.0 - m.jack_friction)
        self.readings.append(
            Reading(
                number=len(self.readings) + 1, cycle=cycle or step.cycle, target=step.share,
                phase=phase, minute=minute, gauge=m.jack.calibration.pressure(shown), dials=dials,
                reference=settled, at=self.clock,
            )
        )  # fmt: skip

    def record(self, *, closed: bool = False) -> TestRecord:
        """Return the record so far."""
        return TestRecord(
            anchor=self.model.anchor, procedure=self.procedure, jack=self.model.jack,
            readings=tuple(self.readings), by="invented", on=BEGIN, closed=closed,
        )  # fmt: skip


def record_of(
    model: Model, procedure: Procedure, *, extended: bool = False, closed: bool = True
) -> TestRecord:
    """Return the record of a whole test. extended: whether every hold that may go on does."""
    crew = Crew(model, procedure)
    for step in procedure.steps:
        crew.arrive(step)
        for minute in minutes_of(step, extended=extended):
            crew.wait(step, minute)
        crew.leave()
    return crew.record(closed=closed)


def set_back(record: TestRecord, number: int, by: float, *dials: int) -> TestRecord:
    """Return the record with dials set back by an amount (m) from a reading on."""
    which = dials or tuple(range(len(record.readings[0].dials)))
    return replace(
        record,
        readings=tuple(
            r
            if r.number < number
            else replace(r, dials=tuple(d - by if k in which else d for k, d in enumerate(r.dials)))
            for r in record.readings
        ),
    )


def altered(record: TestRecord, number: int, **changes: object) -> TestRecord:
    """Return the record with one reading changed."""
    return replace(
        record,
        readings=tuple(
            replace(r, **changes) if r.number == number else r  # type: ignore[arg-type]
            for r in record.readings
        ),
    )


def without(record: TestRecord, *numbers: int) -> TestRecord:
    """Return the record without some of its readings."""
    return replace(record, readings=tuple(r for r in record.readings if r.number not in numbers))
