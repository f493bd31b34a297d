"""A slope with an anchor down-rated: its safety with the load that is left."""

from __future__ import annotations

from dataclasses import replace

import pytest

from backstay.stability.slope import safety
from backstay.stability.slope_anchors import as_forces
from tests.unit.stressing.deratings import SLOPE, derated, designed


def test_a_slope_loses_safety_and_nothing_when_nothing_is_lacking() -> None:
    made = designed(SLOPE)
    row = made.slopes[0].rows[0].anchor
    whole = derated(SLOPE, "Mill Hill-1-005", row.test_load, rate="proven")
    assert whole.rated.lacking == pytest.approx(0.0, abs=1e-6)
    assert whole.lines[0].after == pytest.approx(made.slopes[0].cases[0].tied.F)
    assert whole.carries
    weak = derated(SLOPE, "Mill Hill-1-005", 300.0)
    end = derated(SLOPE, "Mill Hill-1-001", 300.0)
    bare = made.slopes[0].cases[0].bare.F
    assert bare < end.lines[0].after < weak.lines[0].after < whole.lines[0].after  # type: ignore[operator]
    assert not weak.carries
    assert weak.governing is None


@pytest.mark.parametrize("row", [1, 2, 3])
def test_a_slope_has_the_mean_load_in_the_row_of_the_anchor_and_no_other(row: int) -> None:
    """The known surface again, with the force of that row by hand: an anchor that may carry 150 kN
    between two that carry what they were designed for."""
    made = designed(SLOPE).slopes[0]
    found = derated(SLOPE, f"Mill Hill-{row}-005", 300.0)
    assert found.rated.load == pytest.approx(150.0)
    design_load = made.rows[row - 1].anchor.design_load
    share = (2.0 * design_load + 150.0) / 3.0 / design_load
    case = made.cases[0]
    forces = list(as_forces(made.slope, made.rows))
    forces[row - 1] = replace(forces[row - 1], total=share * forces[row - 1].total)
    model = replace(case.model, anchors=tuple(forces))
    wanted = safety(model, made.surface, made.slope.method).F
    assert found.lines[0].before == pytest.approx(case.tied.F)
    assert found.lines[0].after == pytest.approx(wanted, rel=1e-9)
    assert wanted < case.tied.F
