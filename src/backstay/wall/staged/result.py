"""What the staged analysis works on, and what it finds: plain frozen data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

Status = Literal["stands", "no equilibrium", "not converged"]


@dataclass(frozen=True, slots=True, eq=False)
class StagedInput:
    """Everything that the compiled kernel is given, in its order (see `kernel.run`).

    n nodes, m zones of ground, s stages, a supports (rows of anchors first, then struts). Depths
    in m below the top of wall; forces per pile, or per metre of a continuous wall.

    z (n): nodes; h (n-1): lengths of elements; layer (n-1): zone of each; EI (n-1): kNm2.
    gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient, layer_top, arching (m): of
    the zones, which go on below the toe. kh and its gradient: subgrade modulus at the surface of
    the ground on either side, and its growth with depth below that surface, for `pile_width`.
    dig, water_r, water_c (depths), load (kPa behind), seepage (mean gradient), stiffness (factor
    on EI) (s); undrained (s, m); external (s, n-1, 2): kN/m toward the cut at the Gauss points.
    node (a); a_state (s, a): 0 absent, 1 being stressed, 2 holding; a_k, a_lock, a_cap (s, a):
    horizontal stiffness, lock-off load and greatest load.

    zone_names: stratum of each zone; support_names; rows: number of anchor rows;
    spacing: width that bears above the dig; pile_width: below it; H: height of cut;
    tolerance: on the residual, over the sum of forces; bound: deflection (m) that no wall stands.
    anchor_share (a): what one anchor carries along its own axis over the support's horizontal
    force (nil for struts); accidents: (stage, row) from 0, where one anchor of a row fails.
    """

    z: Floats
    h: Floats
    layer: Ints
    EI: Floats
    gamma: Floats
    gamma_sat: Floats
    Ka: Floats
    Kp: Floats
    c: Floats
    su: Floats
    su_gradient: Floats
    K0: Floats
    kh: Floats
    kh_gradient: Floats
    layer_top: Floats
    dig: Floats
    water_r: Floats
    water_c: Floats
    load: Floats
    seepage: Floats
    undrained: Bools
    stiffness: Floats
    spacing: float
    pile_width: float
    arching: Floats
    external: Floats
    node: Ints
    a_state: Ints
    a_k: Floats
    a_lock: Floats
    a_cap: Floats
    stage_titles: tuple[str, ...]
    support_names: tuple[str, ...]
    zone_names: tuple[str, ...]
    rows: int
    per_pile: bool
    H: float
    anchor_share: tuple[float, ...]
    accidents: tuple[tuple[int, int], ...] = ()
    tolerance: float = 1e-10
    bound: float = 3.0

    @property
    def stages(self) -> int:
        """Return the number of stages."""
        return len(self.stage_titles)

    def arguments(self) -> tuple[object, ...]:
        """Return the arguments of `kernel.run` up to its outputs."""
        return (
            self.z, self.h, self.layer, self.EI, self.gamma, self.gamma_sat, self.Ka, self.Kp,
            self.c, self.su, self.su_gradient, self.K0, self.kh, self.kh_gradient, self.layer_top,
            self.dig, self.water_r, self.water_c, self.load, self.seepage, self.undrained,
            self.stiffness, self.spacing, self.pile_width, self.arching, self.external, self.node,
            self.a_state, self.a_k, self.a_lock, self.a_cap, self.tolerance, self.bound,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class StageResult:
    """The wall at the end of one stage.

    number: from 1; dig: depth dug to (m); status; residual: greatest unbalanced force over the
    sum of all forces.
    z (n): nodes, m; w (n): deflection toward the cut, m; theta (n): its slope, dw/dz; V (n, 2):
    shear just above and below each node, kN; M (n): moment, kNm, positive where it sags toward
    the cut between supports. Per pile, or per metre of a continuous wall.
    depth_g (2(n-1)): Gauss points, m; p_retained, p_cut: total pressure there, kPa, water
    included; active_*, passive_*: their limits (nil in front above the dig).
    T (a): support forces, horizontal, kN; anchor_loads: along the anchor, kN per anchor, for the
    rows. toe_use: called-upon share of the total resistance in front below the dig.
    force_balance, moment_balance: what is left over at the toe, over the sum of forces (and their
    arm, the length of the wall).
    """

    number: int
    title: str
    dig: float
    status: Status
    residual: float
    z: Floats
    w: Floats
    theta: Floats
    V: Floats
    M: Floats
    depth_g: Floats
    p_retained: Floats
    p_cut: Floats
    active_retained: Floats
    passive_retained: Floats
    active_cut: Floats
    passive_cut: Floats
    T: tuple[float, ...]
    anchor_loads: tuple[float, ...]
    toe_use: float
    force_balance: float
    moment_balance: float

    @property
    def reaction(self) -> float:
        """Return the net force by which the ground below the dig holds the wall (kN): the shear there."""
        node = int(np.argmin(np.abs(self.z - self.dig)))
        return float(self.V[node, 1])


@dataclass(frozen=True, slots=True)
class Extreme:
    """A greatest or least value, with its stage (from 1) and depth (m)."""

    value: float
    stage: int
    depth: float


@dataclass(frozen=True, slots=True)
class Envelope:
    """Extremes over the stages that stand.

    M_max, M_min (kNm), V_max (kN, greatest magnitude), w_max, w_min (m).
    """

    M_max: Extreme
    M_min: Extreme
    V_max: Extreme
    w_max: Extreme
    w_min: Extreme


@dataclass(frozen=True, slots=True)
class FailedStage:
    """A stage in which the wall does not stand.

    stage: from 1; title; mechanism: in words; depth: where (m); exhausted: from and to depth
    between which resistance is used up (m), or None; remedy: nearest, in words, with placeholders.
    """

    stage: int
    title: str
    mechanism: str
    depth: float
    exhausted: tuple[float, float] | None
    remedy: str


@dataclass(frozen=True, slots=True)
class Accident:
    """One anchor of a row fails and its neighbours take over.

    stage, row: from 1; before: load of each anchor before, kN along the anchor; neighbours: load
    of the two neighbours by the analysis, in which two anchors carry three spacings;
    neighbours_bound: 3/2 of the load before, as if nothing went to other rows or the ground;
    stands_without_row: whether the wall would stand were the whole row gone (plane, an upper
    bound of what the pile at the failed anchor meets); M_without_row: the greatest moment then,
    kNm, None where it does not stand.
    """

    stage: int
    row: int
    before: float
    neighbours: float
    neighbours_bound: float
    stands_without_row: bool
    M_without_row: float | None


@dataclass(frozen=True, slots=True, eq=False)
class StagedResult:
    """The wall through its stages, up to the one that fails, if one does.

    support_history: support forces by stage, kN, horizontal, per pile or metre;
    mesh_error: relative change of the extreme moment and deflection with every element halved,
    None where it was not asked for; solves, assemblies: banded solutions and assemblies made.
    """

    input: StagedInput
    stages: tuple[StageResult, ...]
    stands: bool
    failed: FailedStage | None
    envelope: Envelope | None
    support_history: tuple[tuple[float, ...], ...]
    accidents: tuple[Accident, ...]
    mesh_error: float | None
    solves: int
    assemblies: int
