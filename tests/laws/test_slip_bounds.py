"""No searched surface in clay is less safe than a stress field proves the slope to be."""

from __future__ import annotations

import numpy as np
import pytest

from backstay.stability.slip import search
from tests.verification.cases_slip_search import clay
from tests.verification.slip_bounds import lower_bound, triangles


def test_flat_slope_in_clay_over_rock() -> None:
    """Griffiths and Lane 1999, example 3 (from memory): finite elements and circles give 1.47."""
    ground = ((-40.0, 0.0), (0.0, 0.0), (20.0, 10.0), (70.0, 10.0))
    x = [-22.0, -17.0, -12.0, -7.0, -3.0, 0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 37.0, 44.0, 52.0]
    level = np.interp(x, *np.array(ground).T)
    mesh = triangles([(a, y, y) for a, y in zip(x, level, strict=True)], 6, -10.0)
    least = lower_bound(mesh, 50.0, 20.0, (-22.0, 52.0, -10.0))
    assert 1.40 < least < 1.4716
    found = search(clay(ground, 50.0, 20.0, rock=-10.0)).critical
    assert found is not None
    assert least < found.F < 1.4716 * 1.005


def test_vertical_cut_in_clay() -> None:
    """Heights of 3.77 to 3.79 su / gamma are proven (from memory): safety 1.571 to 1.579 here."""
    ground = ((-40.0, -8.0), (0.0, -8.0), (0.0, 0.0), (50.0, 0.0))
    left = [(-12.0, -8.0, -8.0), (-8.0, -8.0, -8.0), (-5.0, -8.0, -8.0), (-2.5, -8.0, -8.0)]
    right = [(2.0, 0.0, 0.0), (4.0, 0.0, 0.0), (6.0, 0.0, 0.0), (9.0, 0.0, 0.0), (14.0, 0.0, 0.0)]
    low = triangles([*left, (0.0, -8.0, -8.0), *((x, -8.0, -8.0) for x, *_ in right)], 3, -14.0)
    high = triangles([(0.0, -8.0, 0.0), *right], 7, -8.0)
    least = lower_bound(np.concatenate((low, high)), 60.0, 18.0, (-12.0, 14.0, -14.0))
    assert 1.45 < least < 1.579
    found = search(clay(ground, 60.0, 18.0)).critical
    assert found is not None
    assert found.kind == "circle"
    assert found.F == pytest.approx(60.0 / (18.0 * 8.0 * 0.261), rel=0.005)
    assert found.F > least
