"""How a load test goes: which loads in which order, how long each is held, and when to read."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.cite import Citation
from backstay.model.testing import TestKind, TestMethod

__all__ = ["Procedure", "TestKind", "TestMethod", "TestStep"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestStep:
    """One step.

    cycle: from 1; share: of the design load; load: kN; up: whether it is reached going up; hold:
    minutes at least; readings: minutes after the load is reached at which to read; extended:
    minutes of the readings that follow where the movement up to then asks for a longer hold.
    """

    __test__ = False

    cycle: int
    share: float
    load: float
    up: bool
    hold: float
    readings: tuple[float, ...]
    extended: tuple[float, ...] = ()


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
