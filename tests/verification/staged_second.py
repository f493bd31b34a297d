"""Second solutions of walls on elastic-plastic springs, by general-purpose libraries.

`by_elements`: scikit-fem's Hermite elements with six points each, a Newton iteration of its own and
its own memory of plastic movement, stage by stage. `by_collocation`: the differential equation of
the beam, by scipy's boundary-value solver, for walls dug in one stage.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from scipy.integrate import solve_bvp
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, ElementLineHermite, LinearForm, MeshLine
from skfem.helpers import dd

from tests.unit.wall.staged.arrays import ABSENT, STRESSING, Floats, Stage, Wall, nodes
from tests.verification.staged_ground import Side, modulus, of_layers, side


@dataclass(frozen=True)
class Second:
    """Depths and deflections at nodes; depths and moments at points; forces of supports."""

    z: Floats
    w: Floats
    z_moment: Floats
    M: Floats
    T: Floats


@BilinearForm
def bending(u, v, x):  # type: ignore[no-untyped-def]
    return x["EI"] * dd(u)[0, 0] * dd(v)[0, 0]


@BilinearForm
def springs(u, v, x):  # type: ignore[no-untyped-def]
    return x["k"] * u * v


@LinearForm
def loads(v, x):  # type: ignore[no-untyped-def]
    return x["f"] * v


def unbalanced(
    basis: Basis, K: csr_matrix, dof: list[int], wall: Wall, stage: Stage, sides: tuple[Side, Side],
    k: list[Floats], rest: list[Floats], start: Floats, u: Floats,
) -> tuple[Floats, csr_matrix, list[Floats], Floats]:  # fmt: skip
    """Return unbalanced forces, tangent, pressures at all points, and forces of supports at u."""
    w = np.asarray(basis.interpolate(u))
    z = np.asarray(basis.global_coordinates())[0]
    trial = [rest[0] - k[0] * w, rest[1] + k[1] * w]
    p = [np.clip(trial[j], sides[j].low, sides[j].high) for j in (0, 1)]
    free = [(trial[j] > sides[j].low) & (trial[j] < sides[j].high) for j in (0, 1)]
    pressed = np.where((z > stage.pressure[0]) & (z < stage.pressure[1]), stage.pressure[2], 0)
    f = p[0] * sides[0].width - p[1] * sides[1].width + pressed
    kt = sum(free[j] * k[j] * sides[j].width for j in (0, 1))
    r = K @ u - loads.assemble(basis, f=f)
    tangent = (K + springs.assemble(basis, k=kt)).tolil()
    lock = stage.lock or tuple(row.lock for row in wall.rows)
    T = np.zeros(len(wall.rows))
    for a, state in enumerate(stage.rows):
        if state == ABSENT:
            continue
        row = wall.rows[a]
        T[a] = lock[a]
        if state != STRESSING:
            T[a] += row.k * (u[dof[a]] - start[a])
            if 0.0 < T[a] < row.cap:
                tangent[dof[a], dof[a]] += row.k
            T[a] = np.clip(T[a], 0.0, row.cap)
        r[dof[a]] += T[a]
    return r, csr_matrix(tangent), p, T


def by_elements(wall: Wall, *, mesh: float = 0.07) -> list[Second]:
    """Solve a wall through its stages with scikit-fem; raises where Newton finds no rest."""
    line = MeshLine(nodes(replace(wall, mesh=mesh)))
    basis = Basis(line, ElementLineHermite(), intorder=10)
    z = np.asarray(basis.global_coordinates())[0]
    flexural = np.full(z.shape, wall.EI)
    if wall.EI_below:
        flexural = np.where(z > wall.EI_below[0], wall.EI_below[1], flexural)
    K = bending.assemble(basis, EI=flexural)
    head = line.p[0]
    dof = [int(basis.nodal_dofs[0, np.argmin(abs(head - row.depth))]) for row in wall.rows]
    K0 = of_layers(wall, "K0", z)
    u = np.zeros(basis.N)
    found = []
    start = np.zeros(len(wall.rows))
    held: list[int] = [ABSENT] * len(wall.rows)
    slip = [np.zeros(z.shape), np.zeros(z.shape)]  # plastic movement, behind and in front
    for stage in wall.stages:
        sides = side(wall, stage, z, True), side(wall, stage, z, False)
        k = [modulus(wall, stage, z, behind) for behind in (True, False)]
        still = [K0 * now.effective + now.pore for now in sides]
        rest = [still[0] + k[0] * slip[0], still[1] - k[1] * slip[1]]
        for a, state in enumerate(stage.rows):
            if state not in (ABSENT, STRESSING) and held[a] in (ABSENT, STRESSING):
                start[a] = u[dof[a]]
            held[a] = state
        at_rest = partial(unbalanced, basis, K, dof, wall, stage, sides, k, rest, start)
        scale = float(np.sum(loads.assemble(basis, f=sides[0].high * sides[0].width)))
        for _ in range(100):
            r, tangent, p, T = at_rest(u)
            if np.abs(r).max() <= 1e-9 * abs(scale):
                break
            step = -spsolve(tangent.tocsc(), r)
            factor, size = 1.0, np.linalg.norm(r)
            while np.linalg.norm(at_rest(u + factor * step)[0]) > size and factor > 1e-3:
                factor /= 2
            u = u + factor * step
        else:
            raise RuntimeError("no rest")
        bent = np.asarray(basis.interpolate(u).hess)[0, 0]
        w = np.asarray(basis.interpolate(u))
        for j, sign in enumerate((-1.0, 1.0)):
            given = sign * (p[j] - still[j])
            slip[j] = w - np.divide(given, k[j], out=np.zeros(z.shape), where=k[j] > 0)
        order = np.argsort(head)
        found.append(
            Second(
                head[order], u[basis.nodal_dofs[0]][order], z.ravel(), (-flexural * bent).ravel(), T
            )
        )
    return found


def by_collocation(wall: Wall) -> Second:
    """Solve a wall dug in one stage with scipy's solver of boundary-value problems.

    Each stretch between places where anything jumps is mapped to 0..1, and all are solved at once:
    deflection, rotation, moment and shear pass from one to the next, but for the force of a support.
    """
    (stage,) = wall.stages
    water = {stage.water_r, stage.water_c}
    places = sorted({*wall.depths(), *(d for d in water if 0 < d < wall.length)})
    top, length = np.array(places[:-1]), np.diff(places)
    m = len(length)

    def forces(w: Floats, z: Floats) -> Floats:
        behind, front = side(wall, stage, z, True), side(wall, stage, z, False)
        k_r, k_c = (modulus(wall, stage, z, at_back) for at_back in (True, False))
        K0 = of_layers(wall, "K0", z)
        p_r = np.clip(K0 * behind.effective + behind.pore - k_r * w, behind.low, behind.high)
        p_c = np.clip(K0 * front.effective + front.pore + k_c * w, front.low, front.high)
        pressed = np.where((z > stage.pressure[0]) & (z < stage.pressure[1]), stage.pressure[2], 0)
        return np.asarray(p_r * behind.width - p_c * front.width + pressed)

    inner = 1e-9  # so that the ends of a stretch belong to it

    def slopes(x: Floats, y: Floats) -> Floats:
        # unknowns in mm, mrad, kNm, kN
        out = np.empty_like(y)
        for j in range(m):
            z = top[j] + length[j] * np.clip(x, inner, 1 - inner)
            w, theta, M, V = y[4 * j : 4 * j + 4]
            out[4 * j : 4 * j + 4] = length[j] * np.array(
                [theta, -1e3 * M / wall.EI, -V, forces(w / 1e3, z)]
            )
        return out

    def support(depth: float, w: float) -> float:
        force = 0.0
        for row, state in zip(wall.rows, stage.rows, strict=True):
            if abs(row.depth - depth) < 1e-9 and state != ABSENT:
                spring = row.k * w / 1e3 if state != STRESSING else 0.0
                force += float(np.clip(row.lock + spring, 0.0, row.cap))
        return force

    def ends(ya: Floats, yb: Floats) -> Floats:
        out = [ya[2], ya[3] + support(places[0], ya[0])]
        for j in range(m - 1):
            a, b = yb[4 * j : 4 * j + 4], ya[4 * j + 4 : 4 * j + 8]
            out += [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
            out += [b[3] - a[3] + support(places[j + 1], a[0])]
        return np.array([*out, yb[-2], yb[-1]])

    x = np.linspace(0, 1, 12)
    found = solve_bvp(slopes, ends, x, np.zeros((4 * m, len(x))), tol=1e-5, max_nodes=20000)
    if not found.success:
        raise RuntimeError(found.message)
    fine = np.linspace(0, 1, 60)
    y = found.sol(fine)
    z = np.concatenate([top[j] + length[j] * fine for j in range(m)])
    w = np.concatenate([y[4 * j] for j in range(m)]) / 1e3
    M = np.concatenate([y[4 * j + 2] for j in range(m)])
    at = [float(np.interp(row.depth, z, w)) for row in wall.rows]
    T = np.array([support(row.depth, 1e3 * w0) for row, w0 in zip(wall.rows, at, strict=True)])
    return Second(z, w, z, M, T)
