"""Anchors and struts as springs: stiffness, lock-off and strength, horizontally, per pile or metre."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos
from typing import Any

import numpy as np

from backstay.anchors import AnchorDesign
from backstay.cite import Citation, common_practice
from backstay.quantity import (
    Angle,
    Force,
    ForcePerLength,
    Length,
    Ratio,
    SectionArea,
    SteelModulus,
)
from backstay.trace import formula, heading, state
from backstay.wall.staged.stages import StageState, Strut, Support

_ELASTIC = Citation("Hooke's law", "", "formula")
_STATICS = Citation("statics", "", "formula")
BOND_SHARE = 1 / 3
"""Share of the bond length that stretches with the free length."""
_BOND = common_practice("a third of the bond length stretches with the free length")


@formula("k_a", _ELASTIC)
def anchor_stiffness(
    A: SectionArea, E: SteelModulus, L_u: Length, L_b: Length, r: Ratio, i: Angle, psi: Angle
) -> ForcePerLength:
    """Horizontal stiffness of one anchor.

    A: area of the tendon; E: its modulus of elasticity; L_u: unbonded length; L_b: bond length
    r: share of the bond length that stretches; i: inclination below horizontal; psi: skew on plan
    """
    return A * E / (L_u + r * L_b) * (cos(i) * cos(psi)) ** 2


@formula("T_h", _STATICS)
def horizontal_share(P: Force, i: Angle, psi: Angle, s_p: Length, s_a: Length) -> Force:
    """Horizontal force on one pile (or metre) of a load along every anchor.

    P: load along the anchor; i: inclination below horizontal; psi: skew on plan
    s_p: spacing of piles, or one metre; s_a: spacing of anchors along the wall
    """
    return P * cos(i) * cos(psi) * s_p / s_a


UNLIMITED = 1e12
"""Greatest load of a strut (kN)."""
_ONE_FAILS = 2.0 / 3.0
"""Anchors at work where one of three neighbours has failed."""
_WORK = {"absent": 0, "being stressed": 1, "holding": 2}


@dataclass(frozen=True, slots=True)
class Spring:
    """A support in the analysis: depth (m), stiffness (kN/m), lock-off and greatest load (kN).

    All horizontal, per pile or metre. share: load along one anchor over the horizontal force here.
    """

    name: str
    z: float
    k: float
    lock: float
    cap: float
    share: float

    def force(self, load: float) -> float:
        """Return the horizontal force here of a load along each anchor (kN)."""
        return load / self.share if self.share else load


def anchor_spring(anchor: AnchorDesign, width: float) -> Spring:
    """Return the spring of a row; width: spacing of piles, or 1 m of a continuous wall."""
    heading(f"Row {anchor.row} as a spring")
    i, psi = anchor.inclination, anchor.skew
    r = state("r", "Share of the bond length that stretches", BOND_SHARE, "ratio", cite=_BOND)
    one = anchor_stiffness(
        anchor.tendon.area, anchor.tendon.E, anchor.unbonded_length, anchor.bond_length, r, i, psi
    )
    lock = horizontal_share(anchor.lock_off_load, i, psi, width, anchor.spacing)
    cap = horizontal_share(anchor.tendon.strength, i, psi, width, anchor.spacing)
    return Spring(
        f"row {anchor.row}", anchor.z, one * width / anchor.spacing, lock, cap,
        anchor.lock_off_load / lock,
    )  # fmt: skip


def support_arrays(
    states: Sequence[StageState], springs: Sequence[Spring], struts: Sequence[Strut], width: float
) -> dict[str, Any]:
    """Return state, stiffness, lock-off and greatest load of each support in each stage."""
    shape = (len(states), len(springs) + len(struts))
    work = np.zeros(shape, np.int64)
    k, lock, cap = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    loads = [spring.lock for spring in springs] + [0.0 for _ in struts]
    for i, now in enumerate(states):
        both: list[tuple[Spring | Strut, Support]] = [
            *zip(springs, now.rows, strict=True), *zip(struts, now.struts, strict=True)
        ]  # fmt: skip
        for a, (thing, support) in enumerate(both):
            work[i, a] = _WORK[support.work]
            share = _ONE_FAILS if support.one_fails else 1.0
            if isinstance(thing, Spring):
                if support.work == "being stressed":
                    loads[a] = thing.lock if support.load is None else thing.force(support.load)
                k[i, a], cap[i, a] = share * thing.k, share * thing.cap
            else:
                loads[a] = (support.load or 0.0) * width
                k[i, a], cap[i, a] = thing.stiffness * width, UNLIMITED
            lock[i, a] = share * loads[a]
    return {"a_state": work, "a_k": k, "a_lock": lock, "a_cap": cap}
