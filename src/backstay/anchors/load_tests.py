"""How many load tests of each kind a row of anchors has, and in which ground extended creep tests.

One rule for all who need it: the schedule on the drawings, the bill of quantities and the plan of
tests that names the anchor of each (`backstay.stressing.plan`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING, Any

from backstay.basis import Factor
from backstay.cite import GEC4, Citation, common_practice
from backstay.model.testing import Practice, TestKind

if TYPE_CHECKING:
    from backstay.anchors.anchor import AnchorDesign
    from backstay.model.testing import CountRule, LoadTests, MinutesRule, MovementRule, ShareRule

_UFGS = Citation("UFGS 02490", "field tests, demonstration test anchors", "published")
_CREEP = Citation(GEC4, "section 7.4, extended creep tests", "memory")
_SUITABILITY = Citation("EN 1537:1999", "9.6", "published")
CLAY = ("stiff clay", "soft clay")


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCounts:
    """How many anchors have which test.

    US: first_performance: at the start of the work; performance_share: of the rest of each row;
    extended_creep: of the first row whose bond lies in ground that creeps, that is with a liquid
    limit over liquid_limit or a plasticity index over plasticity_index (shares of the dry mass).
    EN: suitability: of the first anchors in each ground; acceptance: share of all anchors;
    investigation: on trial anchors, only where asked for. All other US anchors are proof tested.
    """

    __test__ = False  # no test of pytest

    practice: Practice
    first_performance: Factor
    performance_share: Factor
    extended_creep: Factor
    liquid_limit: Factor
    plasticity_index: Factor
    suitability: Factor
    acceptance: Factor
    investigation: Factor


_NONE = common_practice("not a test of this practice")
US_COUNTS = TestCounts(
    practice="US",
    first_performance=Factor(3, _UFGS),
    performance_share=Factor(0.02, _UFGS),
    extended_creep=Factor(2, _CREEP),
    liquid_limit=Factor(0.50, _CREEP),
    plasticity_index=Factor(0.20, _CREEP),
    suitability=Factor(0, _NONE),
    acceptance=Factor(0, _NONE),
    investigation=Factor(0, _NONE),
)
EN_COUNTS = TestCounts(
    practice="EN",
    first_performance=Factor(0, _NONE),
    performance_share=Factor(0, _NONE),
    extended_creep=Factor(0, _NONE),
    liquid_limit=US_COUNTS.liquid_limit,
    plasticity_index=US_COUNTS.plasticity_index,
    suitability=Factor(3, _SUITABILITY),
    acceptance=Factor(1.0, Citation("EN 1537:1999", "9.7", "published")),
    investigation=Factor(0, common_practice("investigation tests only where they are asked for")),
)
_PRACTICES: dict[Practice, TestCounts] = {"US": US_COUNTS, "EN": EN_COUNTS}


def counts_of(tests: LoadTests) -> TestCounts:
    """Return the counts of a project: of its practice, with what the project says instead."""
    counts = _PRACTICES[tests.practice]
    said = {
        "first_performance": tests.first_performance,
        "performance_share": tests.performance_share,
        "extended_creep_tests": tests.extended_creep_tests,
        "suitability_tests": tests.suitability_tests,
        "investigation_tests": tests.investigation_tests,
    }
    changes: dict[str, Any] = {
        key.removesuffix("_tests"): given_factor(key, value)
        for key, value in said.items()
        if value is not None
    }
    return replace(counts, **changes)


def given_factor(
    key: str, said: float | ShareRule | CountRule | MinutesRule | MovementRule
) -> Factor:
    """Return a value that the project file gives under `tests`, with the clause it names."""
    if isinstance(said, int | float):
        return Factor(float(said), given(key))
    return Factor(float(said.value), given(key, said.clause))


def given(key: str, clause: str | None = None) -> Citation:
    """Return the citation of a value that the project file gives under `tests`."""
    return Citation("project file", f"tests.{key}" + (f": {clause}" if clause else ""), "given")


@dataclass(frozen=True, slots=True)
class Plasticity:
    """What the project knows of the plasticity of one stratum that a bond crosses (shares)."""

    stratum: str
    kind: str
    liquid_limit: float | None
    plasticity_index: float | None

    def creeps(self, counts: TestCounts) -> bool:
        """Say whether an anchor in it is held to creep: by its limits, or as clay without any."""
        if self.liquid_limit is None and self.plasticity_index is None:
            return self.kind in CLAY
        return (self.liquid_limit or 0.0) > counts.liquid_limit.value or (
            self.plasticity_index or 0.0
        ) > counts.plasticity_index.value


def creeps(anchor: AnchorDesign, counts: TestCounts) -> bool:
    """Say whether the bond of an anchor crosses ground that creeps."""
    return any(part.creeps(counts) for part in anchor.bond_plasticity)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTests:
    """The anchors of one row over the wall length, and how many have each kind of test.

    opening: of the performance tests, those at the start of the work, on the first of the row.
    US: performance, extended_creep and proof add up to number. EN: acceptance is number, and
    suitability is of the first of them; investigation is on trial anchors beside them.
    """

    number: int
    opening: int = 0
    performance: int = 0
    extended_creep: int = 0
    proof: int = 0
    suitability: int = 0
    acceptance: int = 0
    investigation: int = 0

    @property
    def kinds(self) -> tuple[tuple[TestKind, int], ...]:
        """Return (kind, number) of the kinds that there are."""
        every: tuple[tuple[TestKind, int], ...] = (
            ("investigation", self.investigation), ("suitability", self.suitability),
            ("performance", self.performance), ("extended creep", self.extended_creep),
            ("proof", self.proof), ("acceptance", self.acceptance),
        )  # fmt: skip
        return tuple((kind, count) for kind, count in every if count)

    @property
    def words(self) -> str:
        """Return them in words: ``4 performance, 16 proof``."""
        return ", ".join(f"{count} {kind}" for kind, count in self.kinds)


def anchors_along(wall_length: float, spacing: float) -> int:
    """Return the number of anchors of a row: one for each spacing of wall that is begun."""
    return max(1, ceil(wall_length / spacing - 1e-6))


def planned_tests(
    length: float, anchors: Sequence[AnchorDesign], counts: TestCounts = US_COUNTS
) -> tuple[PlannedTests, ...]:
    """Return the number of anchors of each row over a length (m), and of the tests of each kind.

    US: the first anchors, counted from the top row, and a share of the rest of each row (rounded
    up) are performance tested. Where a bond crosses ground that creeps, some of the first such row
    are tested for creep at length. All others are proof tested. EN: the first anchors in each
    ground, counted from the top row, are tested for suitability; all for acceptance; trial anchors
    are put beside the top row.
    """
    rows = _us(length, anchors, counts) if counts.practice == "US" else _en(length, anchors, counts)
    return tuple(rows)


def _us(
    length: float, anchors: Sequence[AnchorDesign], counts: TestCounts
) -> Iterator[PlannedTests]:
    first, creep = int(counts.first_performance.value), int(counts.extended_creep.value)
    share = counts.performance_share.value
    for anchor in anchors:
        number = anchors_along(length, anchor.spacing)
        extended = min(creep, number) if creeps(anchor, counts) else 0
        creep -= extended
        opening = min(first, number - extended)
        first -= opening
        left = number - extended - opening
        performance = opening + min(left, ceil(share * left - 1e-9))
        yield PlannedTests(
            number=number, opening=opening, performance=performance, extended_creep=extended,
            proof=number - extended - performance,
        )  # fmt: skip


def _en(
    length: float, anchors: Sequence[AnchorDesign], counts: TestCounts
) -> Iterator[PlannedTests]:
    wanted: dict[frozenset[str], int] = {}
    trial = int(counts.investigation.value)
    for anchor in anchors:
        number = anchors_along(length, anchor.spacing)
        ground = frozenset(anchor.bond_kinds)
        left = wanted.setdefault(ground, int(counts.suitability.value))
        suitability = min(left, number)
        wanted[ground] -= suitability
        yield PlannedTests(
            number=number, suitability=suitability, acceptance=number, investigation=trial
        )
        trial = 0
