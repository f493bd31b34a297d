"""What the compiled kernel works on: the ground as columns in which every line is straight.

The ground slides to the left here, whatever the model says. Knows no model, so that the kernel's cache
holds whatever else changes.
"""

from __future__ import annotations

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
