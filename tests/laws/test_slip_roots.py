"""Where Spencer's method has a solution in undrained ground, and why elsewhere it has none.

With no friction the moment about the centre fixes F whatever the side forces are. Forces then have to
close by the inclination of the side forces alone: with T = su l / F - W sin a of a slice, of which
the moment makes the sum nil, they close where sum T / (cos a + lambda sin a) = 0. Under a steep face
the slices at the crest hold more than they drive (T > 0) on the steepest bases, where that factor is
greatest: the sum is then positive for every lambda that leaves no base pulled over.
"""

from __future__ import annotations

import numpy as np
import pytest

from backstay.stability.slip import SlipModel, analyse_batch, analyse_circle

SU, GAMMA, H = 60.0, 18.0, 8.0


def cut(crack: float = 0.0) -> SlipModel:
    """Return a vertical cut in clay."""
    return SlipModel(
        surface=np.array([(-30.0, -H), (0.0, -H), (0.0, 0.0), (50.0, 0.0)]),
        gamma=np.array([GAMMA]), phi=np.zeros(1), c=np.zeros(1), su=np.array([SU]), crack=crack,
    )  # fmt: skip


def circles(number: int) -> np.ndarray:
    """Return circles below the foot of the cut that have their centres above its head."""
    rng = np.random.default_rng(1)
    out, into = rng.uniform(0.0, 6.0, number), rng.uniform(2.0, 14.0, number)
    chord = np.column_stack([out + into, np.full(number, H)])
    length, tilt = np.hypot(*chord.T), np.arctan2(chord[:, 1], chord[:, 0])
    half = rng.uniform(0.2, 1.2, number)
    R = 0.5 * length / np.sin(half)
    up = (R * np.cos(half))[:, None] * np.column_stack([-np.sin(tilt), np.cos(tilt)])
    centre = np.column_stack([-out, np.full(number, -H)]) + 0.5 * chord + up
    below = centre[:, 1] - np.sqrt(np.maximum(R**2 - centre[:, 0] ** 2, 0.0)) < -H
    return np.column_stack([centre, R])[(centre[:, 1] > 0.0) & below]


def least_gap(xc: float, yc: float, R: float, n: int = 4000) -> tuple[float, float]:
    """Return F by moments, and the least |sum T / (cos a + lambda sin a)| over the weight, signed.

    Nil where it changes its sign; over all lambda that leave every factor positive.
    """
    left, right = xc - np.sqrt(R * R - (yc + H) ** 2), xc + np.sqrt(R * R - yc * yc)
    x = np.concatenate([np.linspace(left, 0.0, n), np.linspace(0.0, right, n)[1:]])
    middle, width = 0.5 * (x[1:] + x[:-1]), np.diff(x)
    a = np.arcsin((middle - xc) / R)
    y = yc - np.sqrt(R * R - (middle - xc) ** 2)
    W = GAMMA * (np.where(middle < 0.0, -H, 0.0) - y) * width
    hold = SU * width / np.cos(a)
    F = hold.sum() / (W * np.sin(a)).sum()
    T = hold / F - W * np.sin(a)
    steep, back = np.tan(a.max()), np.tan(a.min())
    low = -1.0 / steep + 1e-3
    high = 1e3 if back >= 0.0 else -1.0 / back - 1e-3
    trials = np.tan(np.linspace(np.arctan(low), np.arctan(high), 400))
    gaps = np.array([(T / (np.cos(a) + lam * np.sin(a))).sum() for lam in trials]) / W.sum()
    if gaps.min() * gaps.max() < 0.0:
        return float(F), 0.0
    return float(F), float(gaps[abs(gaps).argmin()])


def test_spencer_gives_the_moments_safety_or_proves_to_have_no_root() -> None:
    given = circles(12000)
    spencer, bishop = analyse_batch(cut(), given), analyse_batch(cut(), given, "bishop")
    counts = (bishop.status == 0) & (bishop.F < 4.0)
    both = np.flatnonzero(counts & (spencer.status == 0))
    assert len(both) > 10
    assert abs(spencer.F[both] / bishop.F[both] - 1.0).max() < 1e-9
    for k in both[:10]:
        assert abs(least_gap(*given[k])[1]) < 2e-3
    none = np.flatnonzero(counts & (spencer.status == 1))
    assert len(none) > 300
    for k in none[np.argsort(bishop.F[none])][:12]:
        F, gap = least_gap(*given[k])
        assert pytest.approx(bishop.F[k], rel=1e-3) == F
        assert gap > 1e-3


def test_a_crack_at_the_crest_lets_the_method_solve_it() -> None:
    given = circles(3000)
    plain, cracked = (analyse_batch(cut(depth), given) for depth in (0.0, 2.0 * SU / GAMMA / 1.6))
    counts = analyse_batch(cut(), given, "bishop").F < 2.5
    solved = [float((b.status[counts] == 0).mean()) for b in (plain, cracked)]
    assert solved[1] > solved[0] + 0.2
    worst = int(
        np.nanargmin(np.where(plain.status == 1, analyse_batch(cut(), given, "bishop").F, np.inf))
    )
    assert analyse_circle(cut(), given[worst]).status == "not converged"
    assert analyse_circle(cut(), given[worst], slices=400).status == "not converged"
