"""The printed ordinates give back the areas that the design used: a hand check of every diagram."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from backstay.design import SectionDesign, design
from backstay.model import read_project
from backstay.pressure import Diagram
from backstay.quantity import UnitSystem
from backstay.report.ordinates import diagram_ordinates, pressure_ordinates

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))
SI = UnitSystem.SI


def area(rows: list[tuple[float, float]]) -> float:
    return sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in pairwise(rows))


def sections(path: Path) -> tuple[SectionDesign, ...]:
    return design(read_project(path)).sections


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_the_sum_has_the_area_of_the_design_diagram(path: Path) -> None:
    for done in sections(path):
        rows = [[float(c) for c in row] for row in pressure_ordinates(done, SI)["rows"]]
        printed = area([(row[0], row[-1]) for row in rows])
        assert printed == pytest.approx(done.pressures.design.resultant(), rel=0.01)
        for row in rows:
            assert sum(row[1:-1]) == pytest.approx(row[-1], abs=0.02)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_the_cantilever_stage_comes_to_the_shear_at_the_dig_level(path: Path) -> None:
    for done in sections(path):
        stage = done.wall.cantilever
        rows = diagram_ordinates(stage.pressure, "force per length", SI)["rows"]
        pairs = [(r[2 * k], r[2 * k + 1]) for k in range(4) for r in rows if r[2 * k]]
        points = [(float(z), float(p)) for z, p in pairs]
        assert points == sorted(points, key=lambda point: point[0])
        printed = area([p for p in points if p[0] <= stage.depth + 0.005])
        assert printed == pytest.approx(stage.pressure.resultant(0.0, stage.depth), rel=0.03, abs=1)


def test_jumps_are_shown_from_both_sides_and_straight_points_left_out() -> None:
    diagram = Diagram("", (0.0, 1.0, 2.0, 2.0, 3.0), (0.0, 5.0, 10.0, 4.0, 4.0))
    rows = diagram_ordinates(diagram, "stress", SI)["rows"]
    assert [cell for row in rows for cell in row] == [
        "0.00", "0", "2.00", "10.00", "2.00", "4.000", "3.00", "4.000",
    ]  # fmt: skip
