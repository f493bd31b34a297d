"""How a load test goes: which loads in which order, how long each is held, and when to read."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.cite import Citation
from backstay.model.testing import TestKind, TestMethod

__all__ = ["Procedure", "TestKind", "TestMethod", "TestStep", "minutes_between"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestStep:
    """One step.

    cycle: from 1; share: of the design load; load: kN; up: whether it is reached going up; hold:
    minutes at least; readings: minutes after the load is reached at which to read; extended:
    minutes of the readings that follow where the movement up to then asks for a longer hold; most:
    minutes of hold at most, where the rules limit it (a longer stay lets creep pass for stretch).
    """

    __test__ = False

    cycle: int
    share: float
    load: float
    up: bool
    hold: float
    readings: tuple[float, ...]
    extended: tuple[float, ...] = ()
    most: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """A test of one anchor: rules it goes by, kind, method, loads (kN), steps, and the clause."""

    rules: str
    kind: TestKind
    method: TestMethod
    design_load: float
    test_load: float
    alignment_load: float
    steps: tuple[TestStep, ...]
    clause: Citation

    @property
    def cycles(self) -> int:
        """Return the number of cycles."""
        return max(step.cycle for step in self.steps)

    @property
    def least_minutes(self) -> float:
        """Return the sum of the least holds: the test takes longer by pumping and waiting."""
        return sum(step.hold for step in self.steps)

    @property
    def extended_minutes(self) -> float:
        """Return the same with every hold extended."""
        return sum(step.extended[-1] if step.extended else step.hold for step in self.steps)


def minutes_between(minutes: tuple[float, ...], start: float, end: float) -> tuple[float, ...]:
    """Return the minutes after start up to end; where end is later, it is the last of them."""
    kept = [float(m) for m in minutes if start < m <= end + 1e-9]
    if end <= start + 1e-9 or (kept and kept[-1] >= end - 1e-9):
        return tuple(kept)
    return (*kept, float(end))
