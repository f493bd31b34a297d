"""Figures and tables of slopes: text clear and on the canvas, numbers those of the design."""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from backstay.design import design
from backstay.quantity import UnitSystem
from backstay.report.slope_figures import force_figure, strength_figure
from backstay.report.slopes import as_minimum
from backstay.slope_tables import (
    force_table,
    inclinations_table,
    pairs_table,
    rows_table,
    slips_table,
    slope_schedule_table,
    slope_strata_table,
    strength_table,
)
from backstay.stability.slope_design import SlopeDesign
from tests.unit.slopes import CASES, changed, read

TABLES = (
    force_table, inclinations_table, pairs_table, rows_table, slope_schedule_table, strength_table,
)  # fmt: skip


@pytest.fixture(scope="module", params=["example", "no anchors needed", "sure"])
def done(request: pytest.FixtureRequest) -> SlopeDesign:
    data = CASES.get(request.param) or changed(
        movement={"uncertainty": 0, "water_change": 0}, anchors={"inclination": 30}
    )
    return design(read(data), slip_surfaces="leave out").slopes[0]


@pytest.mark.parametrize("units", UnitSystem)
def test_tables_are_whole(done: SlopeDesign, units: UnitSystem) -> None:
    for make in TABLES:
        table = make(done, units)
        assert len(table.align) == len(table.head)
        assert all(len(row) == len(table.head) for row in table.rows), table.title
        assert not table.weights or len(table.weights) == len(table.head)
        assert not any("nan" in cell for row in table.rows for cell in row)
    assert slips_table(done, units) is None
    strata = slope_strata_table(done.slope, units)
    assert [row[0] for row in strata.rows] == [s.name for s in done.slope.strata]


def test_tables_say_what_was_designed(done: SlopeDesign) -> None:
    forces = force_table(done, UnitSystem.SI)
    for row, case in zip(forces.rows, done.cases, strict=True):
        assert float(row[3]) == pytest.approx(case.required.force, abs=0.06)
        assert float(row[4]) == pytest.approx(case.tied.F, abs=6e-4)
    carried = [row for row in strength_table(done, UnitSystem.SI).rows if "carried" in row[0]]
    assert len(carried) == 1
    schedule = slope_schedule_table(done, UnitSystem.SI)
    column = schedule.head.index("Spacing (m)")
    assert [row[column] for row in schedule.rows] == [f"{r.anchor.spacing:.2f}" for r in done.rows]


@pytest.mark.parametrize("units", UnitSystem)
@pytest.mark.parametrize("make", [strength_figure, force_figure])
def test_figures_are_clear(done: SlopeDesign, units: UnitSystem, make) -> None:  # type: ignore[no-untyped-def]
    from backstay.report import slope_figures

    kept = []
    plain = slope_figures.Canvas

    class Kept(plain):  # type: ignore[misc,valid-type]
        def __init__(self, width: float, height: float) -> None:
            super().__init__(width, height)
            kept.append(self)

    slope_figures.Canvas = Kept  # type: ignore[misc]
    try:
        svg = make(done, units)
    finally:
        slope_figures.Canvas = plain  # type: ignore[misc]
    assert svg.startswith("<svg")
    assert "nan" not in svg
    (canvas,) = kept
    for words, (left, top, right, bottom) in canvas.boxes:
        assert left >= 0.0, words
        assert right <= canvas.width, words
        assert top >= 0.0, words
        assert bottom <= canvas.height, words
    for (a, box_a), (b, box_b) in combinations(canvas.boxes, 2):
        apart = (
            box_a[2] <= box_b[0]
            or box_b[2] <= box_a[0]
            or box_a[3] <= box_b[1]
            or box_b[3] <= box_a[1]
        )
        assert apart, (a, b)
    for x, y in re.findall(r"(-?\d+\.\d+),(-?\d+\.\d+)", svg):
        assert -0.5 <= float(x) <= canvas.width + 0.5
        assert -0.5 <= float(y) <= canvas.height + 0.5


def test_the_known_surface_as_a_minimum(done: SlopeDesign) -> None:
    one = as_minimum(done, done.cases[0])
    assert one.F == done.cases[0].tied.F
    assert one.out[1] < one.start[1]
    assert 5.0 < one.thickness < 12.0
