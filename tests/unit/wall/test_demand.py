"""What acts on one pile: the greatest of every view, times the spacing."""

from __future__ import annotations

import pytest

from backstay.anchors.loads import row_loads
from backstay.pressure.envelopes.trapezoid import trapezoid
from backstay.wall.demand import WallActions, pile_demand, wall_actions
from backstay.wall.pile import PileDemand

ROWS, H = (2.5, 6.25), 10.0
ENVELOPE = trapezoid("e", 43.569, H, ROWS)


def actions() -> WallActions:
    return wall_actions(ENVELOPE, ENVELOPE, row_loads(ROWS, H, ENVELOPE), H)


def demand(moment: float, shear: float, spacing: float = 2.4) -> PileDemand:
    return pile_demand(
        actions(), spacing=spacing, H=H, anchor_vertical=50.0, facing_weight=1.0,
        cantilever=(moment, shear),
    )  # fmt: skip


def test_shear_is_the_greatest_of_the_finished_wall_and_of_the_cantilever() -> None:
    """By hand, hinge method: above row 1 2/3 H1 p, below it T1 less that; T1 171.79 kN/m."""
    above = 2 / 3 * 2.5 * 43.569
    below = 171.79 - above
    finished = 2.4 * max(above, below)
    assert demand(0.0, 0.0).shear >= finished * (1 - 1e-4)
    assert demand(0.0, 0.0).shear == pytest.approx(2.4 * actions().shear)
    assert demand(0.0, 5000.0).shear == 5000.0
    assert demand(0.0, 10.0).shear == demand(0.0, 0.0).shear


def test_moment_is_the_greatest_of_every_view() -> None:
    """By hand: 65.55 kNm/m at row 1, and 0.1 p L^2 = 61.27 kNm/m between the rows."""
    finished = demand(0.0, 0.0)
    assert finished.moment >= 2.4 * 65.55 * (1 - 1e-3)
    assert any(v.value == pytest.approx(2.4 * 61.27, rel=1e-3) for v in finished.views)
    assert demand(3000.0, 0.0).moment == 3000.0
    assert demand(3000.0, 0.0).governing == "the cantilever stage"


def test_demand_grows_with_the_spacing() -> None:
    one, two = demand(0.0, 0.0, 1.0), demand(0.0, 0.0, 2.0)
    assert two.moment == pytest.approx(2 * one.moment)
    assert two.shear == pytest.approx(2 * one.shear)
    assert two.lagging == pytest.approx(2 * one.lagging)
