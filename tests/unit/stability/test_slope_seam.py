"""The known surface as a seam: what each place of the ground is, before and after."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from backstay.stability.slip.model import SlipModel
from backstay.stability.slope_seam import simpler, with_seam

SURFACE = np.array([(-20.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 12.0)])
UPPER = np.array([(-20.0, -1.0), (10.0, 4.5), (20.0, 6.0), (50.0, 9.0)])
LOWER = np.array(
    [(-20.0, -4.0), (8.0, 5.0), (30.0, 3.0), (50.0, 6.0)]
)  # cut off by the upper near x = 8
ROCK = np.array([(-20.0, -8.0), (50.0, -2.0)])
LINE = np.array([(-2.0, 0.0), (3.0, -1.5), (10.0, 1.0), (18.0, 5.2), (24.0, 10.5142857142857)])
C, PHI = 1.5, 0.19


def ground(**more: Any) -> SlipModel:
    return SlipModel(
        surface=SURFACE, tops=(UPPER, LOWER, ROCK), gamma=np.array([17.0, 18.0, 19.0, 24.0]),
        phi=np.array([0.5, 0.4, 0.0, 0.7]), c=np.array([1.0, 5.0, 0.0, 100.0]),
        su=np.array([0.0, 0.0, 60.0, 0.0]), impenetrable=np.array([False, False, False, True]),
        **more,
    )  # fmt: skip


def at(model: SlipModel, x: float, y: float) -> tuple[float, ...]:
    """Return gamma, phi, c, su of a place, and whether surfaces pass there.

    Where tops cross, the upper one cuts the lower off.
    """
    assert model.su is not None
    assert model.impenetrable is not None
    k = 0
    for top in model.tops:
        if np.interp(x, *top.T) < y:
            break
        k += 1
    return (
        float(model.gamma[k]), float(model.phi[k]), float(model.c[k]), float(model.su[k]),
        float(model.impenetrable[k]),
    )  # fmt: skip


def test_the_ground_stays_what_it_was_but_for_a_thin_seam_under_the_line() -> None:
    """At places over the whole section; the seam is a thousandth or two of the height thick."""
    before, after = ground(), with_seam(ground(), LINE, C, PHI)
    rng = np.random.default_rng(7)
    inside = outside = 0
    for _ in range(6000):
        x = rng.uniform(-19.9, 49.9)
        y = np.interp(x, *SURFACE.T) - rng.uniform(0.001, 14.0)
        if -2.0 < x < 24.0:
            off = np.interp(x, *LINE.T) - y
            if -0.02 < off < 0.07:
                continue  # at the seam
        assert at(after, x, y) == at(before, x, y), (x, y)
        outside += 1
    for x in np.linspace(-1.9, 23.9, 400):
        y = np.interp(x, *LINE.T)
        gamma, phi, c, su, hard = at(after, x, y - 0.012)
        assert (phi, c, su, hard) == (PHI, C, 0.0, 0.0)
        inside += gamma in (17.0, 18.0, 19.0)
    assert inside == 400
    assert outside > 4000


def test_the_seam_weighs_what_the_ground_at_its_middle_does() -> None:
    after = with_seam(ground(), LINE, C, PHI)
    assert at(after, 11.0, np.interp(11.0, *LINE.T) - 0.012)[0] == at(
        ground(), 11.0, np.interp(11.0, *LINE.T) - 0.012
    )[0]  # fmt: skip


def test_where_the_line_meets_the_top_of_a_stratum_is_where_the_strata_part() -> None:
    """Above the line nothing is changed, however near it: strata are cut where they cross it."""
    before, after = ground(), with_seam(ground(), LINE, C, PHI)
    for x in np.linspace(-1.9, 23.9, 2000):
        y = np.interp(x, *LINE.T) + 0.016
        if y < np.interp(x, *SURFACE.T):
            assert at(after, x, y) == at(before, x, y), x


def test_a_line_keeps_the_points_it_needs() -> None:
    """Within the distance of what it was, with no more points than corners (geometry)."""
    x = np.linspace(0.0, 10.0, 101)
    bent = np.column_stack((x, np.where(x < 4.0, 0.5 * x, 2.0 + 0.1 * (x - 4.0))))
    kept = simpler(bent, 0.01)
    assert kept == pytest.approx(np.array([(0.0, 0.0), (4.0, 2.0), (10.0, 2.6)]))
    arc = np.column_stack((10 * np.cos(x / 4), 10 * np.sin(x / 4)))
    few = simpler(arc, 0.05)
    assert len(few) < 25
    for a, b in pairwise(few):
        chord = np.linalg.norm(b - a)
        assert 10.0 - np.sqrt(100.0 - chord**2 / 4) <= 0.05 + 1e-9  # sagitta
