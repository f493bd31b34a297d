"""The anchor schedule that goes on the drawings."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One row of the schedule. Loads per anchor (kN), lengths (m), angles (rad).

    number: of anchors over the wall length; bond_length: None where it is left to the contractor;
    performance, extended_creep, proof: number of tests of each kind (each anchor has one); tests:
    the same in words.
    """

    row: int
    number: int
    spacing: float
    design_load: float
    test_load: float
    lock_off_load: float
    inclination: float
    skew: float
    unbonded_length: float
    bond_length: float | None
    bond_by: str
    tendon: str
    hole_diameter: float
    protection: str
    performance: int
    extended_creep: int
    proof: int
    tests: str


@dataclass(frozen=True, slots=True)
class Schedule:
    """The schedule and the notes that go with it (with ``{quantity:value}`` placeholders)."""

    rows: tuple[ScheduleRow, ...]
    notes: tuple[str, ...]
