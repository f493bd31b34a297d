"""Factorisation and solution of the beam's band, node by node and from both ends, compiled."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from backstay.compiled import compiled_apart, compiled_inside

TINY = 1e-13
"""Share of its own stiffness below which what holds a node is nil but for rounding."""


class Band(NamedTuple):
    """A symmetric matrix of deflections w and rotations t at n nodes, each tied to its neighbours.

    ww, wt, tt (n): at a node. below_ww, below_wt, below_tw, below_tt (n-1): rows of the node below,
    columns of the node above: below_wt is what its deflection has from the rotation above.
    """

    ww: Any
    wt: Any
    tt: Any
    below_ww: Any
    below_wt: Any
    below_tw: Any
    below_tt: Any


@compiled_inside
def _eliminated(a, b, c, y0, y1, ww, wt, tw, tt):
    """Eliminate a node: (a, b; b, c) with the right-hand side (y0, y1).

    ww, wt, tw, tt: what couples the next node (rows) to it (columns). Returns its part of the solution,
    what the next node loses of its stiffness and right-hand side, and the coupling times the inverse.
    """
    inverse = 1.0 / (a * c - b * b)
    g0, g1, g2, g3 = ww * c - wt * b, wt * a - ww * b, tw * c - tt * b, tt * a - tw * b
    x0, x1 = inverse * (c * y0 - b * y1), inverse * (a * y1 - b * y0)
    return (
        x0, x1,
        inverse * (g0 * ww + g1 * wt), inverse * (g0 * tw + g1 * tt), inverse * (g2 * tw + g3 * tt),
        ww * x0 + wt * x1, tw * x0 + tt * x1,
        inverse * g0, inverse * g1, inverse * g2, inverse * g3,
    )  # fmt: skip


@compiled_apart
def solve_banded(band, rw, rt, w, t):
    """Solve for w, t (n) with the right-hand side -(rw, rt); `band` is spoilt.

    Two-by-two pivots (the determinant of a node is the second pivot times the first), from the head
    down and from the toe up at once, so that neither waits for the other; they meet in the middle.
    Returns -1, or the node at which the matrix is not positive definite (w and t are then spoilt).
    """
    ww, wt, tt = band.ww, band.wt, band.tt
    k_ww, k_wt, k_tw, k_tt = band.below_ww, band.below_wt, band.below_tw, band.below_tt
    toe = rw.shape[0] - 1
    m = toe // 2
    a, b, c, y0, y1 = ww[0], wt[0], tt[0], -rw[0], -rt[0]
    d, e, f, z0, z1 = ww[toe], wt[toe], tt[toe], -rw[toe], -rt[toe]
    uneven = toe - 2 * m  # one node more below the middle than above
    for step in range(-uneven, m):
        # indices without a sign: the compiler then need not look for those that count from the end
        j = np.uint64(2 * m - step)
        k = np.uint64(2 * m - step - 1)
        if not (d > TINY * ww[j] and d * f - e * e > TINY * d * tt[j]):
            return np.int64(j)
        w[j], t[j], d, e, f, z0, z1, k_ww[k], k_wt[k], k_tw[k], k_tt[k] = _eliminated(
            d, e, f, z0, z1, k_ww[k], k_tw[k], k_wt[k], k_tt[k]
        )
        d, e, f, z0, z1 = ww[k] - d, wt[k] - e, tt[k] - f, -rw[k] - z0, -rt[k] - z1
        if step < 0:
            continue
        i, k = np.uint64(step), np.uint64(step + 1)
        if not (a > TINY * ww[i] and a * c - b * b > TINY * a * tt[i]):
            return step
        w[i], t[i], a, b, c, y0, y1, k_ww[i], k_wt[i], k_tw[i], k_tt[i] = _eliminated(
            a, b, c, y0, y1, k_ww[i], k_wt[i], k_tw[i], k_tt[i]
        )
        a, b, c, y0, y1 = ww[k] - a, wt[k] - b, tt[k] - c, -rw[k] - y0, -rt[k] - y1
    a, b, c, y0, y1 = a + d - ww[m], b + e - wt[m], c + f - tt[m], y0 + z0 + rw[m], y1 + z1 + rt[m]
    if not (a > TINY * ww[m] and a * c - b * b > TINY * a * tt[m]):
        return m
    inverse = 1.0 / (a * c - b * b)
    x0, x1 = inverse * (c * y0 - b * y1), inverse * (a * y1 - b * y0)
    w[m], t[m] = x0, x1
    z0, z1 = x0, x1
    for step in range(1, m + uneven + 1):
        j, k = np.uint64(m + step), np.uint64(m + step - 1)
        z0, z1 = w[j] - k_tw[k] * z1 - k_ww[k] * z0, t[j] - k_tt[k] * z1 - k_wt[k] * z0
        w[j], t[j] = z0, z1
        if step > m:
            continue
        i = np.uint64(m - step)
        x0, x1 = w[i] - k_tw[i] * x1 - k_ww[i] * x0, t[i] - k_tt[i] * x1 - k_wt[i] * x0
        w[i], t[i] = x0, x1
    return -1
