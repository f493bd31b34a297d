"""What the compiled kernel works on: the ground as columns in which every line is straight.

The ground slides to the left here, whatever the model says. Knows no model, so that the kernel's cache
holds whatever else changes.
"""

from __future__ import annotations

from math import radians
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class Ground(NamedTuple):
    """A section of m columns and k layers, sliding to the left.

    x (m+1): sides of the columns; surface, water (m, 2): levels at the left and right side of each
    column; tops (m, k, 2): of layers, those of the first being the surface; load (m): vertical, kPa;
    flow (m): factor on the depth below the table. gamma ... ru (k): as of the model; strength (k, 5): c, tan
    phi, su, its gradient and datum; anisotropy (k, 3). rock: first layer that no surface enters (k: none).
    standing: level of the standing water whose pressure is taken out. forces (p, 4): x, y, Fx, Fy;
    anchors (q, 11): x, y, dx, dy, total, free, bond, pullout, plate, passive, head; piles (r, 5): x, top, bottom,
    capacity, passive.
    """

    x: NDArray[np.float64]
    surface: NDArray[np.float64]
    tops: NDArray[np.float64]
    water: NDArray[np.float64]
    load: NDArray[np.float64]
    flow: NDArray[np.float64]
    gamma: NDArray[np.float64]
    gamma_sat: NDArray[np.float64]
    strength: NDArray[np.float64]
    anisotropy: NDArray[np.float64]
    ru: NDArray[np.float64]
    rock: int
    grid_x: NDArray[np.float64]
    grid_y: NDArray[np.float64]
    grid_u: NDArray[np.float64]
    gamma_w: float
    kh: float
    kv: float
    crack: float
    crack_water: float
    standing: float
    forces: NDArray[np.float64]
    anchors: NDArray[np.float64]
    piles: NDArray[np.float64]


FAR = 1e30
"""Stands for what is not there: water below everything, bonds without end."""

(
    EDGE_X, EDGE_Y, EDGE_TOP, EDGE_F, EDGE_E, EDGE_S, THRUST,
    BASE_X, BASE_Y, SIN, COS, LENGTH, WEIGHT, PORE, STANDING, LAYER, COHESION, TAN, HOLD,
    LOAD_X, LOAD_Y, LOAD_M, PASSIVE_X, PASSIVE_Y, PASSIVE_M, NORMAL, SHEAR, M_ALPHA, ROWS,
) = range(29)  # fmt: skip
"""Rows of the table of slices: those of sides first (n + 1), then those of slices (n).

HOLD: c l - (u - standing) l tan phi; LOAD: all but the forces of base and sides, weight included, and
its moment about the base point; PASSIVE: what is divided by F; NORMAL: above standing water's.
"""


STEEPEST = radians(85.0)
"""Inclination of a base that is not passed at the start: steeper, it is a crack."""
OUTWARD = radians(50.0)
"""Rise of a base toward its end that is not passed."""
MOST_SHIFT = 0.2
"""Greatest shift of the vertices in the middle, as a share of the chord."""
NEAREST = 2e-3
"""Share of the chord by which corners keep from its ends."""
APART = 1e-6
"""Share of the chord by which vertices keep from each other."""
LEVEL = 0.2
"""Angle (radians) by which a block may rise more at its end than along the layer below it."""

NEAR = 1e-6
"""Distance (m) from the ends of the ground at which a surface leaves it."""

MOVES = 0
STAYS = 1
THIN = 2


class Bounds(NamedTuple):
    """The ground and the limits that a search sets.

    x, y, s (n): points of the ground and the position of each along it, x rising everywhere; height: of the
    slope; beneath (k, 2): points that surfaces pass below; out, start (2): x of the ends, from and to;
    rock_x, rock_y (m): lines that slides run along, one after the other; rock_ends (r): where each ends;
    least_depth, deepest: m.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    s: NDArray[np.float64]
    height: float
    beneath: NDArray[np.float64]
    out: NDArray[np.float64]
    start: NDArray[np.float64]
    rock_x: NDArray[np.float64]
    rock_y: NDArray[np.float64]
    rock_ends: NDArray[np.int64]
    least_depth: float
    deepest: float
