"""Compiled kernel of the method of slices: one surface, or many in parallel.

The batch runs the same function as the single analysis; each block of surfaces keeps one workspace, so
that memory does not grow with their number.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange

from backstay.stability.slip.arrays import EDGE_F, EDGE_X, ROWS
from backstay.stability.slip.forces import add_faces, add_single
from backstay.stability.slip.methods import (
    CONVERGED,
    DOES_NOT_DRIVE,
    by_moments,
    centre_of,
)
from backstay.stability.slip.scan import full_equilibrium
from backstay.stability.slip.slices import cut, edges, side_force
from backstay.stability.slip.surface import CUTS, breaks, find_mass, room_for_breaks
from backstay.stability.slip.thrust import (
    FULL,
    ORDINARY,
    fill_forces,
    judge,
    thrust_line,
)

BLOCK = 16
"""Surfaces that share one workspace in a batch."""
(
    F, LAMBDA, STATUS, FLAGS, LEFT, RIGHT, WEIGHT, TENSION, SLICES, PASSES, FORCE, CRACK, SHEARED, RESULTS,
) = range(14)  # fmt: skip
"""What is found for one surface; FORCE: what is left of E at the right end (kN/m); SHEARED: least share
of its strength that a side above a sharp bend carries."""


@njit(cache=True, error_model="numpy")
def analyse(cx, cy, R, px, py, g, method, kind, table, slices, at_kinks, S, x, used, out):
    """Analyse one surface. S: table of slices; x: room for breaks; used (q); out (RESULTS).

    method: ORDINARY, BISHOP or FULL; kind, table: side-force function.
    """
    out[:] = np.nan
    out[FLAGS] = 0.0
    out[SLICES] = out[PASSES] = 0.0
    status, left, right, crack = find_mass(cx, cy, R, px, py, g)
    out[STATUS], out[LEFT], out[RIGHT] = status, left, right
    if status != CUTS:
        return
    places = breaks(cx, cy, R, px, py, g, left, right, at_kinks, x)
    n = edges(S, left, right, slices, x, places)
    out[WEIGHT] = cut(cx, cy, R, px, py, g, S, n)
    out[SLICES], out[CRACK] = n, crack
    add_faces(cx, cy, R, px, py, g, S, n, crack)
    add_single(cx, cy, R, px, py, g, S, n, crack, used)
    for i in range(n + 1):
        S[EDGE_F, i] = side_force(kind, table, (S[EDGE_X, i] - left) / (right - left))
    x0, y0 = cx, cy
    if R <= 0.0:
        x0, y0 = centre_of(S, n)
    lam = 0.0
    status, found, count = by_moments(
        S, n, x0, y0, method != ORDINARY, 1.5, 1e-12 if method != FULL else 1e-2
    )
    if method == FULL and (R <= 0.0 or status != DOES_NOT_DRIVE):
        status, found, lam, more = full_equilibrium(S, n, found if status == CONVERGED else 1.5)
        count += more
    out[STATUS], out[PASSES] = status, count
    if status != CONVERGED:
        return
    out[F], out[LAMBDA] = found, lam
    out[FORCE] = fill_forces(S, n, 1.0 / found, lam, method)
    if method == FULL:
        thrust_line(S, n, 1.0 / found)
    flags, tension, bends = judge(S, n, 1.0 / found, g, method)
    out[FLAGS], out[TENSION], out[SHEARED] = flags, tension, bends


@njit(cache=True, error_model="numpy")
def room(px, g, at_kinks, slices):
    """Return (places, columns) that the work on one surface needs."""
    places = 1
    if at_kinks or g.rock < g.gamma.shape[0]:
        places += room_for_breaks(px, g)
    places += px.shape[0]
    return places, slices + 2 * places + 4


@njit(cache=True, parallel=True, error_model="numpy")
def circles_batch(circles, g, method, kind, table, slices, at_kinks, out):
    """Analyse circles (r, 3) into out (r, RESULTS), in parallel."""
    total = circles.shape[0]
    for block in prange((total + BLOCK - 1) // BLOCK):
        none = np.empty(0)
        places, columns = room(none, g, at_kinks, slices)
        S, x, used = np.empty((ROWS, columns)), np.empty(places), np.empty(g.anchors.shape[0])
        for r in range(block * BLOCK, min(total, (block + 1) * BLOCK)):
            analyse(
                circles[r, 0], circles[r, 1], circles[r, 2], none, none, g, method, kind, table, slices,
                at_kinks, S, x, used, out[r],
            )  # fmt: skip


@njit(cache=True, parallel=True, error_model="numpy")
def polylines_batch(points, g, method, kind, table, slices, at_kinks, out):
    """Analyse polylines (r, m, 2) into out (r, RESULTS), in parallel."""
    total, m = points.shape[0], points.shape[1]
    for block in prange((total + BLOCK - 1) // BLOCK):
        px, py = np.empty(m), np.empty(m)
        places, columns = room(px, g, at_kinks, slices)
        S, x, used = np.empty((ROWS, columns)), np.empty(places), np.empty(g.anchors.shape[0])
        for r in range(block * BLOCK, min(total, (block + 1) * BLOCK)):
            px[:] = points[r, :, 0]
            py[:] = points[r, :, 1]
            analyse(
                0.0, 0.0, 0.0, px, py, g, method, kind, table, slices, at_kinks, S, x, used, out[r]
            )
