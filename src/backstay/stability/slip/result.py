"""What the method of slices found: of one surface with all its slices, or of many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.model import Bools, Floats

Method: TypeAlias = Literal["ordinary", "bishop", "spencer", "morgenstern-price"]
METHODS: tuple[Method, ...] = get_args(Method)
SideForce: TypeAlias = Literal["constant", "half-sine"]
"""Course of the inclination of side forces over the width (Morgenstern-Price), or a table."""
SIDE_FORCES: tuple[SideForce, ...] = get_args(SideForce)
Cut: TypeAlias = Literal["equal widths", "at kinks"]
"""Where slices end."""

Status: TypeAlias = Literal[
    "converged",
    "not converged",
    "does not cut the ground",
    "overhangs",
    "within the tension crack",
    "does not drive",
    "leaves the section",
]
STATUS: tuple[Status, ...] = get_args(Status)
"""Names of the codes in `BatchResult.status`."""

Flag: TypeAlias = Literal[
    "tension between slices",
    "thrust line outside",
    "m_alpha too small",
    "tension on the base",
    "side shear beyond strength",
    "side shear against the movement",
]
FLAGS: tuple[Flag, ...] = get_args(Flag)
"""Bit i of `BatchResult.flags` stands for FLAGS[i].

Tension between slices: a pull beyond what Rankine's theory gives cohesive ground (cohesion explains a
pull near the crest, which a tension crack takes out). Thrust line outside: of more than a tenth of the
sides that press, by more than that pull explains. m_alpha too small: below 0.2 (Whitman and Bailey 1967, from memory). Tension on the base: the
strength c l + N' tan phi is negative. Side shear: beyond c h + E' tan phi of its side (Morgenstern and Price 1965), in sum by more than a tenth;
or against the movement, where what lies behind, which sinks, would in sum lift what lies in front by more
than a tenth of its push.
"""

Ints: TypeAlias = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SliceTable:
    """The slices in order of x: arrays (n), and of the sides between them (n + 1).

    x, width; base_x, base_y: where the base's forces act; alpha: inclination of the base, positive
    where it rises away from the movement; length; weight of the ground (kN/m); u: pore pressure;
    standing: what standing water alone would give there (kPa); c, phi: of the base (undrained: c is
    su, phi nil); normal (total), effective_normal, shear: on the base (kN/m). load_x, load_y: all other
    forces on the slice, weight, water and anchors included, what is divided by F as it is then;
    load_moment: theirs about (base_x, base_y), anticlockwise. E: push on the sides; X: shear, on the left
    side of a slice upward. side_x, side_y, side_top: sides, their feet and heads; thrust_y: level of E.

    Each slice balances: with N = normal - standing length, E[i] - E[i+1] and load_x against N sin and
    shear cos, X[i] - X[i+1] and load_y against N cos and shear sin. The pressure of standing water is in
    equilibrium by itself and taken out of N, E and the loads.
    """

    x: Floats
    width: Floats
    base_x: Floats
    base_y: Floats
    alpha: Floats
    length: Floats
    weight: Floats
    u: Floats
    standing: Floats
    layer: Ints
    c: Floats
    phi: Floats
    normal: Floats
    effective_normal: Floats
    shear: Floats
    load_x: Floats
    load_y: Floats
    load_moment: Floats
    m_alpha: Floats
    side_x: Floats
    side_y: Floats
    side_top: Floats
    E: Floats
    X: Floats
    thrust_y: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SlipResult:
    """Safety of one surface.

    F: NaN unless converged. lambda_: scale of the side forces' inclination, X = lambda f(x) E.
    residual_force, residual_moment: what is left of equilibrium of the whole mass, over its weight, and
    over weight times width; a method that does not satisfy one leaves more than rounding. iterations:
    passes over all slices. flags: why the solution is not admissible; tension: greatest pull over
    greatest push between slices. left, right: ends of the surface (m); weight: of the mass (kN/m);
    crack: open height at the upper end (m).
    anchors: force of each row used (kN/m). surface: the polyline of the base (m).
    """

    F: float
    method: Method
    status: Status
    lambda_: float
    residual_force: float
    residual_moment: float
    iterations: int
    flags: tuple[Flag, ...]
    tension: float
    left: float
    right: float
    weight: float
    crack: float
    slices: SliceTable | None
    anchors: Floats
    surface: Floats

    @property
    def converged(self) -> bool:
        """Say whether there is a factor of safety."""
        return self.status == "converged"

    @property
    def admissible(self) -> bool:
        """Say whether it converged without a flag."""
        return self.converged and not self.flags

    @property
    def reasons(self) -> tuple[str, ...]:
        """Return why the result cannot be used as it is; empty where it can."""
        return self.flags if self.converged else (self.status, *self.flags)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BatchResult:
    """Safety of r surfaces: F and lambda_ (NaN unless converged), status and flags as codes, (r).

    tension: greatest pull over greatest push between slices; left, right: ends of the surfaces (m);
    weight of the masses (kN/m). sheared: least share of its mobilised strength that a side above a
    sharp bend (12 degrees) of a polyline carries in full equilibrium; large without such bends.
    """

    F: Floats
    lambda_: Floats
    status: Ints
    flags: Ints
    tension: Floats
    left: Floats
    right: Floats
    weight: Floats
    sheared: Floats

    @property
    def converged(self) -> Bools:
        """Return which surfaces have a factor of safety (r)."""
        found: Bools = self.status == 0
        return found

    @property
    def admissible(self) -> Bools:
        """Return which converged without a flag (r)."""
        found: Bools = (self.status == 0) & (self.flags == 0)
        return found
