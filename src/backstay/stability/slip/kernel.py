"""Compiled kernel of the method of slices: surfaces one after the other, in one workspace."""

from __future__ import annotations

import numpy as np

from backstay.compiled import compiled, compiled_entry
from backstay.stability.slip.arrays import EDGE_F, EDGE_X, ROWS
from backstay.stability.slip.forces import add_faces, add_single
from backstay.stability.slip.methods import (
    CONVERGED,
    DOES_NOT_DRIVE,
    by_moments,
    centre_of,
)
from backstay.stability.slip.polyline import lay, weigh
from backstay.stability.slip.scan import full_equilibrium
from backstay.stability.slip.slices import between_breaks, cut, edges, side_force
from backstay.stability.slip.surface import CUTS, breaks, find_mass
from backstay.stability.slip.thrust import (
    FULL,
    ORDINARY,
    fill_forces,
    judge,
    thrust_line,
)

__all__ = ["analyse", "lay", "weigh", "workspace"]

(
    F, LAMBDA, STATUS, FLAGS, LEFT, RIGHT, WEIGHT, TENSION, SLICES, PASSES, FORCE, CRACK, SHEARED, RESULTS,
) = range(14)  # fmt: skip
"""What is found for one surface; FORCE: what is left of E at the right end (kN/m); SHEARED: least share
of its strength that a side above a sharp bend carries."""


@compiled
def _analyse(cx, cy, R, px, py, g, method, kind, table, slices, at_kinks, S, x, used, out):
    """Analyse one surface, as `analyse`; out (RESULTS)."""
    out[:] = np.nan
    out[FLAGS] = 0.0
    out[SLICES] = out[PASSES] = 0.0
    status, left, right, crack = find_mass(cx, cy, R, px, py, g)
    out[STATUS], out[LEFT], out[RIGHT] = status, left, right
    if status != CUTS:
        return
    places = breaks(cx, cy, R, px, py, g, left, right, at_kinks, x)
    # a wedge behind a wall rises so steeply that equal widths leave it three or four slices
    lengthwise = at_kinks and R <= 0.0
    total = between_breaks(cx, cy, R, px, py, g, left, right, x, places, lengthwise, S)
    n = edges(S, left, right, slices, x, places, total)
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


@compiled_entry
def analyse(circles, lines, g, method, kind, table, slices, at_kinks, S, x, used, out):
    """Analyse circles (r, 3) or, where their radii are nil, polylines (r, 2, m) into out (r, RESULTS).

    method: ORDINARY, BISHOP or FULL; kind, table: side-force function. Workspace: S, table of slices;
    x, room for breaks; used (q), of anchors. In the end it holds what was found for the last surface.
    """
    for r in range(circles.shape[0]):
        _analyse(
            circles[r, 0], circles[r, 1], circles[r, 2], lines[r, 0], lines[r, 1], g, method, kind,
            table, slices, at_kinks, S, x, used, out[r],
        )  # fmt: skip


def workspace(m, g, at_kinks, slices):
    """Return the workspace (S, x, used) of `analyse` for polylines of m points, or nil for circles."""
    columns, layers = g.x.shape[0], g.gamma.shape[0]
    places = 1 + m
    if at_kinks or g.rock < layers:
        # a line of columns and a convex surface cross in at most so many places
        crossings = m + columns if m else 2 * columns
        places += m + columns + (layers + 1) * crossings
    return np.empty((ROWS, slices + 2 * places + 4)), np.empty(places), np.empty(len(g.anchors))
