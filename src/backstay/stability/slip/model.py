"""The ground that may slide: what the method of slices works on, as frozen arrays.

Coordinates: x horizontal, y positive up (m). The ground runs from left to right and may have vertical
faces, no overhangs. Forces in kN per metre run, stresses in kPa, angles in radians.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]

Convention: TypeAlias = Literal["active", "passive"]
"""Of a force: taken off the driving side as it is, or divided by F like strength."""
Acts: TypeAlias = Literal["base", "head"]
"""Where an anchor's force enters the slices: at the base that it cuts, or at its head on the face."""
Slides: TypeAlias = Literal["lower end", "left", "right"]
"""Where the ground moves to; "lower end": toward the lower end of its surface (level: to the left)."""
Flow: TypeAlias = Literal["hydrostatic", "along the table"]
"""Pore pressure below the table: its depth, or its depth times the squared cosine of its slope."""


def _none(columns: int) -> Floats:
    return np.empty((0, columns))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AnchorForce:
    """A row of anchors: the force that it can give to the ground in front of a slip surface.

    x, y: head (m). dx, dy: unit vector from the head into the ground. total: force that is set
    (lock-off or design, kN/m). free, bond: lengths from the head (m). pullout: resistance of the bond
    (kN per m of bond and m run). plate: capacity of the head on the face (kN/m). acts: moments of the
    whole do not depend on it; a head that presses on the face keeps the ground behind it in compression.

    A surface that cuts the row at the length s from its head leaves
    min(total, plate + pullout (s - free)+, pullout (free + bond - max(s, free))+).
    """

    x: float
    y: float
    dx: float
    dy: float
    total: float
    free: float = np.inf
    bond: float = 0.0
    pullout: float = np.inf
    plate: float = np.inf
    convention: Convention = "active"
    acts: Acts = "base"
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ShearForce:
    """A row of piles or a wall: the shear that it gives where a slip surface passes through it.

    x: place (m); top, bottom: levels between which it resists (m); capacity: kN/m, horizontal.
    """

    x: float
    top: float
    bottom: float
    capacity: float
    convention: Convention = "active"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PressureGrid:
    """Pore pressure on a grid: x (nx), y (ny) rising, u (ny, nx) in kPa; linear between, held outside."""

    x: Floats
    y: Floats
    u: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True, weakref_slot=True)
class SlipModel:
    """A section of ground with k layers, its water, loads and anchors.

    surface: (n, 2), left to right. tops: of the second layer down, each (m, 2) over the whole width; a
    top that lies above one before it, or above the ground, is held at that. gamma (above the water
    table), gamma_sat, phi, c, su, su_gradient, su_datum: (k). A layer with su > 0 is undrained, with
    su + su_gradient (su_datum - y); su_datum: the level at which su holds. anisotropy: (k, 3), factors
    on su for bases inclined +45 degrees (active), level (direct shear) and -45 degrees (passive),
    between them s = d + (a - p)/2 sin 2alpha + ((a + p)/2 - d) sin^2 2alpha (Casagrande and Carillo
    1944 where d is the mean of a and p). impenetrable: (k), surfaces run along the top of such layers.

    water: (m, 2) line of the water table; above the surface it is standing water. flow: how pore
    pressure follows from it. ru: (k), u over the vertical stress of the ground; where it is above nil
    it stands in place of the table's. grid: pore pressure in place of the table's.

    strips: (q, 3) x1, x2 and vertical load (kPa). forces: (p, 4) x, y, Fx, Fy (kN/m, up positive) on
    the mass that contains the point. kh: toward where the ground slides; kv: up, both as shares of
    gravity, on the ground alone. crack: depth of the tension crack (m); crack_water: share of its depth
    that is full. slides: where to.
    """

    surface: Floats
    gamma: Floats
    phi: Floats
    c: Floats
    tops: tuple[Floats, ...] = ()
    gamma_sat: Floats | None = None
    su: Floats | None = None
    su_gradient: Floats | None = None
    su_datum: Floats | None = None
    anisotropy: Floats | None = None
    impenetrable: Bools | None = None
    water: Floats | None = None
    gamma_w: float = 9.81
    flow: Flow = "hydrostatic"
    ru: Floats | None = None
    grid: PressureGrid | None = None
    strips: Floats = field(default_factory=lambda: _none(3))
    forces: Floats = field(default_factory=lambda: _none(4))
    kh: float = 0.0
    kv: float = 0.0
    crack: float = 0.0
    crack_water: float = 0.0
    slides: Slides = "lower end"
    anchors: tuple[AnchorForce, ...] = ()
    piles: tuple[ShearForce, ...] = ()

    @property
    def layers(self) -> int:
        """Return the number of layers."""
        return len(self.tops) + 1

    @property
    def to_left(self) -> bool:
        """Say whether the ground slides to the left."""
        if self.slides == "lower end":
            return bool(self.surface[0, 1] <= self.surface[-1, 1])
        return self.slides == "left"


@dataclass(frozen=True, slots=True)
class Circle:
    """A slip circle: centre and radius (m)."""

    x: float
    y: float
    radius: float
