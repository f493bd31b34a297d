"""The plan of tests: every anchor of the wall by its name, and the kind of test that it has.

How many of each kind a row has is one rule (`backstay.anchors.load_tests`); here they are given to
anchors. The opening performance tests fall on the first anchors of the first row. The others are
spread evenly over the rest of the row, so that every stretch of ground is seen, and the extended
creep tests are the first of them, because what they teach is wanted early.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from backstay.anchors import AnchorDesign
from backstay.anchors.load_tests import PlannedTests, TestCounts, creeps, planned_tests
from backstay.cite import Citation
from backstay.data.tendons import Bar, Strand, bar, strand
from backstay.model.project import Section, Service
from backstay.model.slope import Slope
from backstay.model.testing import TestKind
from backstay.model.wall import SoldierPiles
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules


@dataclass(frozen=True, slots=True)
class AnchorIdentity:
    """Which anchor: part of the work (section of wall, or slope), row, number along it, pile.

    row: from 1, top down; number: from 1, from the left as the elevation is drawn; pile: number of
    the soldier pile it stands at, None on other walls; trial: beside the wall, for its test alone.
    """

    part: str
    row: int
    number: int
    pile: int | None = None
    trial: bool = False

    @property
    def name(self) -> str:
        """Return how the anchor is called everywhere: ``A-1-014``, a trial anchor ``A-1-T01``."""
        number = f"T{self.number:02d}" if self.trial else f"{self.number:03d}"
        return f"{self.part}-{self.row}-{number}"


@dataclass(frozen=True, slots=True)
class PlannedAnchor:
    """One anchor of the plan: who it is, its design, its tests in order, and why these."""

    identity: AnchorIdentity
    design: AnchorDesign
    tests: tuple[TestKind, ...]
    reason: str
    clause: Citation


@dataclass(frozen=True, slots=True)
class TestPlan:
    """The tests of one part of the work: every anchor row by row, and the counts of each row."""

    __test__ = False  # no test of pytest

    part: str
    rules: str
    anchors: tuple[PlannedAnchor, ...]
    rows: tuple[PlannedTests, ...]


def identities(section: Section, anchors: Sequence[AnchorDesign]) -> tuple[AnchorIdentity, ...]:
    """Return every anchor of a section of wall, row by row, as the schedule counts them."""
    return tuple(p.identity for p in _of_part(section.name, section.wall_length, anchors, section))


def plan_tests(section: Section, anchors: Sequence[AnchorDesign], rules: TestRules) -> TestPlan:
    """Return the plan of tests of a section of wall."""
    return _plan(section.name, section.wall_length, anchors, rules, section)


def plan_slope_tests(slope: Slope, anchors: Sequence[AnchorDesign], rules: TestRules) -> TestPlan:
    """Return the plan of tests of a slope."""
    return _plan(slope.name, slope.run, anchors, rules, None)


@dataclass(frozen=True, slots=True)
class _Place:
    identity: AnchorIdentity
    design: AnchorDesign


def _of_part(
    name: str, length: float, anchors: Sequence[AnchorDesign], section: Section | None
) -> Iterator[_Place]:
    for anchor, row in zip(anchors, planned_tests(length, anchors), strict=True):
        every = None
        if section is not None and isinstance(section.wall, SoldierPiles):
            every = section.anchors[anchor.row - 1].every
        for number in range(1, row.number + 1):
            pile = None if every is None else 1 + (number - 1) * every
            yield _Place(AnchorIdentity(name, anchor.row, number, pile), anchor)


def _plan(
    name: str,
    length: float,
    anchors: Sequence[AnchorDesign],
    rules: TestRules,
    section: Section | None,
) -> TestPlan:
    rows = planned_tests(length, anchors, rules.counts)
    places = iter(tuple(_of_part(name, length, anchors, section)))
    made: list[PlannedAnchor] = []
    for anchor, row in zip(anchors, rows, strict=True):
        trials = _trials(name, anchor, row, rules.counts)
        mine = [next(places) for _ in range(row.number)]
        kinds = _us(row) if rules.counts.practice == "US" else _en(row)
        made += trials
        for place, tests in zip(mine, kinds, strict=True):
            opening = place.identity.number <= row.opening
            made.append(_planned(place, tests, rules.counts, opening=opening))
    return TestPlan(name, rules.id, tuple(made), rows)


def _trials(
    name: str, anchor: AnchorDesign, row: PlannedTests, counts: TestCounts
) -> list[PlannedAnchor]:
    return [
        PlannedAnchor(
            AnchorIdentity(name, anchor.row, k + 1, None, trial=True), anchor, ("investigation",),
            "a trial anchor, asked for by the project", counts.investigation.cite,
        )
        for k in range(row.investigation)
    ]  # fmt: skip


def _us(row: PlannedTests) -> tuple[tuple[TestKind, ...], ...]:
    """Return the test of each anchor of a row, from the first."""
    kinds: list[TestKind] = ["proof"] * row.number
    for i in range(row.opening):
        kinds[i] = "performance"
    rest = row.number - row.opening
    special = row.extended_creep + row.performance - row.opening
    for k in range(special):
        place = row.opening + (2 * k + 1) * rest // (2 * special)
        kinds[place] = "extended creep" if k < row.extended_creep else "performance"
    return tuple((kind,) for kind in kinds)


def _en(row: PlannedTests) -> tuple[tuple[TestKind, ...], ...]:
    both: tuple[TestKind, ...] = ("suitability", "acceptance")
    return tuple(both if i < row.suitability else ("acceptance",) for i in range(row.number))


def _planned(
    place: _Place, tests: tuple[TestKind, ...], counts: TestCounts, *, opening: bool
) -> PlannedAnchor:
    first = tests[0]
    if first == "performance" and opening:
        why, clause = "one of the first anchors of the work", counts.first_performance.cite
    elif first == "performance":
        why, clause = "one of the share of the others", counts.performance_share.cite
    elif first == "extended creep":
        why, clause = _creeping(place.design, counts), counts.extended_creep.cite
    elif first == "suitability":
        why, clause = "one of the first anchors in its ground", counts.suitability.cite
    elif first == "acceptance":
        why, clause = "every anchor has an acceptance test", counts.acceptance.cite
    else:
        why, clause = "every other anchor is proof tested", counts.performance_share.cite
    return PlannedAnchor(place.identity, place.design, tests, why, clause)


def _creeping(anchor: AnchorDesign, counts: TestCounts) -> str:
    named = ", ".join(p.stratum for p in anchor.bond_plasticity if p.creeps(counts))
    return f"its bond lies in ground that creeps: {named}"


def anchor_to_test(
    identity: AnchorIdentity, design: AnchorDesign, service: Service, rules: TestRules
) -> TestedAnchor:
    """Return what a test must know of an anchor as it was designed.

    What is built otherwise (real area and modulus of the tendon, free length, hole) replaces the
    values of the design before the anchor is tested.
    """
    tendon = design.tendon
    product: Strand | Bar = (
        strand(tendon.product) if tendon.kind == "strand" else bar(tendon.product)
    )
    european = "EN 10138" in product.standard
    return TestedAnchor(
        name=identity.name, design_load=design.design_load, lock_off_load=design.lock_off_load,
        area=tendon.area, modulus=tendon.E, strength=tendon.strength,
        free_length=design.unbonded_length, jack_length=design.tail_length,
        bond_length=design.bond_length, hole_diameter=design.hole_diameter,
        ground=design.bond_kinds, creeps=creeps(design, rules.counts), grouting=design.grouting,
        service=service.life,
        proof_load=tendon.strands * product.proof_load if european else None,
        draw_in=design.draw_in,
    )  # fmt: skip
