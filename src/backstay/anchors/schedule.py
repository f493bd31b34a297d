"""The anchor schedule that goes on the drawings, with the notes that belong to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from backstay.anchors.anchor import AnchorDesign
from backstay.anchors.load_tests import (
    US_COUNTS,
    PlannedTests,
    TestCounts,
    anchors_along,
    planned_tests,
)
from backstay.basis import Basis
from backstay.model.project import Section
from backstay.model.testing import Practice

__all__ = [
    "PlannedTests", "Schedule", "ScheduleRow", "anchors_along", "planned_tests", "schedule",
    "slope_schedule",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One row of the schedule. Loads per anchor (kN), lengths (m), angles (rad).

    number: of anchors over the wall length; bond_length: None where it is left to the contractor;
    planned: number of tests of each kind; tests: the same in words.
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
    planned: PlannedTests

    @property
    def tests(self) -> str:
        """Return the tests in words."""
        return self.planned.words


@dataclass(frozen=True, slots=True)
class Schedule:
    """The schedule and the notes that go with it (with ``{quantity:value}`` placeholders)."""

    rows: tuple[ScheduleRow, ...]
    notes: tuple[str, ...]


def schedule(
    section: Section, anchors: Sequence[AnchorDesign], basis: Basis, counts: TestCounts = US_COUNTS,
    *, longer: Mapping[int, float] | None = None,
) -> Schedule:  # fmt: skip
    """Return the schedule of a section, with its tests and notes.

    longer: by how much the unbonded length of a row falls short of reaching ground that stays (m).
    """
    made = _schedule(section.wall_length, anchors, basis, counts, _CUT)
    return Schedule(made.rows, (*_short(anchors, longer or {}), *made.notes))


def _short(anchors: Sequence[AnchorDesign], longer: Mapping[int, float]) -> tuple[str, ...]:
    return tuple(
        f"Row {a.row} is too short for the ground that it is to reach: its unbonded length is to be "
        f"{{length:{a.unbonded_length + longer[a.row]:.6g}}} at least, "
        f"{{length:{longer[a.row]:.6g}}} more than scheduled."
        for a in anchors
        if longer.get(a.row, 0.0) > 0.0
    )


def slope_schedule(
    length: float, anchors: Sequence[AnchorDesign], basis: Basis, counts: TestCounts = US_COUNTS
) -> Schedule:
    """Return the schedule of a slope over its length (m), with its tests and notes."""
    return _schedule(length, anchors, basis, counts, _SLOPE)


def _schedule(
    length: float, anchors: Sequence[AnchorDesign], basis: Basis, counts: TestCounts, own: str
) -> Schedule:
    planned = planned_tests(length, anchors, counts)
    rows = tuple(_row(anchor, tests) for anchor, tests in zip(anchors, planned, strict=True))
    return Schedule(rows, _notes(rows, anchors, basis, counts, own))


def _row(anchor: AnchorDesign, tests: PlannedTests) -> ScheduleRow:
    return ScheduleRow(
        row=anchor.row, number=tests.number, spacing=anchor.spacing, design_load=anchor.design_load,
        test_load=anchor.test_load, lock_off_load=anchor.lock_off_load,
        inclination=anchor.inclination, skew=anchor.skew, unbonded_length=anchor.unbonded_length,
        bond_length=None if anchor.bond_open else anchor.bond_length, bond_by=anchor.bond_by,
        tendon=anchor.tendon.title, hole_diameter=anchor.hole_diameter,
        protection=anchor.protection, planned=tests,
    )  # fmt: skip


_CUT = (
    "The cut is not dug below the level shown for a row until all anchors of the row above are "
    "tested, accepted and locked off."
)
_SLOPE = (
    "Drilling on ground that moves: holes are cased through the moving ground, and flush is kept from "
    "the slip surface (air, or water that returns). Movement and water levels are read before, during "
    "and after the work, and drilling stops where movement quickens."
)


_TESTS: dict[Practice, str] = {
    "US": "Every anchor is load tested before it is accepted: performance, extended creep or proof "
    "test as scheduled, to the test load shown. The first anchors of the work are performance "
    "tested.",
    "EN": "Every anchor has an acceptance test before it goes into service, to the proof load shown. "
    "The first anchors of the work, in each ground, have a suitability test.",
}


def _notes(
    rows: Sequence[ScheduleRow],
    anchors: Sequence[AnchorDesign],
    basis: Basis,
    counts: TestCounts,
    own: str,
) -> tuple[str, ...]:
    """Return the notes: common practice, worded for the drawings. own: of a cut, or of a slope."""
    most = basis.tendon_test_stress.value
    notes = [
        _TESTS[counts.practice],
        f"No load on a tendon exceeds {{percent:{most:g}}} of its guaranteed strength at any time.",
        "Stressing: nobody stands behind the jack, in line with the tendon, or below the head while "
        "a tendon is under load; the area is closed off, and jack, gauge and hoses are inspected "
        "before use. Jack and gauge are calibrated as one unit.",
        "No anchor is stressed before its grout, and the concrete or welds that its head bears on, "
        "have reached the specified strength, shown by tests.",
        "Utilities, basements and other buried works are located and exposed or proved clear before "
        "drilling starts. Drilling stops where loss of flush, voids or running ground is met.",
        own,
        "Unbonded lengths are least values along the anchor. They may be longer, not shorter.",
        "Lengths along the anchor are measured from the bearing plate; the tendon is longer by the "
        "tail that the jack needs.",
        "The record of each anchor gives strata met, drilled and grouted lengths, grout volume and "
        "pressure, test readings, lock-off and lift-off load.",
        "Local codes, the specifications of the owner and the judgement of the licensed engineer in "
        "responsible charge take precedence over this schedule.",
    ]
    if any(anchor.bond_open for anchor in anchors):
        notes.insert(
            1,
            "Bond length, hole diameter and grouting method are chosen by the contractor where "
            "shown so. He submits them before work with the reasons, and the load tests prove them.",
        )
    if any(row.planned.extended_creep for row in rows):
        limits = (100 * counts.liquid_limit.value, 100 * counts.plasticity_index.value)
        notes.insert(
            1,
            f"Bond zones lie in clay: where the liquid limit exceeds {limits[0]:g} or the plasticity "
            f"index {limits[1]:g}, extended creep tests are made as scheduled; in clay of lower "
            "plasticity performance tests may stand in their place.",
        )
    if any(anchor.protection == "none" for anchor in anchors):
        notes.append(
            "Unprotected tendons are for the temporary service stated only, in ground that is not "
            "aggressive."
        )
    return tuple(notes)
