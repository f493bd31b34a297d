"""The same beam on the same elastic-plastic springs, with a general finite-element library.

scikit-fem (BSD): cubic Hermite elements, forms integrated at two Gauss points, Newton's method. The
beam's own stiffness is assembled once, the springs' in each iteration, as the library's own
examples of nonlinear problems do. Dry ground in one layer only.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_matrix
from skfem import Basis, BilinearForm, ElementLineHermite, LinearForm, MeshLine, solve
from skfem.helpers import dd, ddot

from backstay.wall.staged.result import Floats, StagedInput


@BilinearForm
def bending(u, v, w):
    return w["EI"] * ddot(dd(u), dd(v))


@BilinearForm
def springs(u, v, w):
    return w["k"] * u * v


@LinearForm
def pressure(v, w):
    return w["p"] * v


class GeneralWall:
    """One wall; `run` carries it through its stages and returns deflections and support forces."""

    def __init__(self, given: StagedInput) -> None:
        self.given = given
        self.basis = Basis(MeshLine(given.z), ElementLineHermite(), intorder=3)
        self.depth = np.asarray(self.basis.global_coordinates())[0]
        self.K = bending.assemble(self.basis, EI=np.full(self.depth.shape, given.EI[0]))
        self.dofs = self.basis.nodal_dofs[0]

    def run(self, tolerance: float = 1e-9) -> tuple[Floats, Floats, int]:
        """Return w (s, n), T (s, a) and the number of linear solutions."""
        g, basis, z = self.given, self.basis, self.depth
        u = np.zeros(basis.N)
        ref_r = ref_c = w_ref = rest_r = rest_c = was_r = was_c = np.zeros(z.shape)
        a_ref = np.zeros(len(g.node))
        dofs = self.dofs[g.node]
        deflections, supports, solves = [], [], 0
        for s, dig in enumerate(g.dig):
            open_face = (g.z[:-1] < dig - 1e-9)[:, None]
            width_r = np.where(open_face, g.spacing, g.pile_width)
            width_c = np.where(open_face, 0.0, g.pile_width)
            arching = np.where(open_face, 1.0, g.arching[0])
            eff_r = g.gamma[0] * z + g.load[s]
            eff_c = np.where(open_face, 0.0, g.gamma[0] * np.maximum(z - dig, 0.0))
            k_r = (g.kh[0] + g.kh_gradient[0] * z) * g.pile_width / width_r
            k_c = g.kh[0] + g.kh_gradient[0] * np.maximum(z - dig, 0.0)
            stays_r, stays_c = (k_r / was_r, k_c / was_c) if s else (0.0, 0.0)
            ref_r = g.K0[0] * eff_r + stays_r * (ref_r - rest_r)
            ref_c = np.where(open_face, 0.0, g.K0[0] * eff_c + stays_c * (ref_c - rest_c))
            rest_r, rest_c = g.K0[0] * eff_r, g.K0[0] * eff_c
            was_r, was_c = k_r, k_c
            holding = g.a_state[s] == 2
            locked = holding & ((g.a_state[s - 1] != 2) if s else holding)
            a_ref = np.where(locked, u[dofs], a_ref)
            for _ in range(60):
                w = np.asarray(basis.interpolate(u)) - w_ref
                p_r, p_c = ref_r - k_r * w, ref_c + k_c * w
                low_r, high_r = g.Ka[0] * eff_r, g.Kp[0] * eff_r * arching
                low_c, high_c = g.Ka[0] * eff_c, g.Kp[0] * eff_c * arching
                free_r = (p_r >= low_r) & (p_r <= high_r)
                free_c = (p_c >= low_c) & (p_c <= high_c)
                p_r, p_c = np.clip(p_r, low_r, high_r), np.clip(p_c, low_c, high_c)
                T = np.where(holding, g.a_lock[s] + g.a_k[s] * (u[dofs] - a_ref), g.a_lock[s])
                T = np.where(g.a_state[s] == 0, 0.0, np.maximum(T, 0.0))
                f = pressure.assemble(basis, p=p_r * width_r - p_c * width_c)
                R = f - self.K @ u
                R[dofs] -= T
                if np.abs(R[self.dofs]).max() <= tolerance * np.abs(f).sum():
                    break
                tangent = springs.assemble(basis, k=free_r * k_r * width_r + free_c * k_c * width_c)
                anchors = csr_matrix((g.a_k[s] * holding, (dofs, dofs)), shape=self.K.shape)
                u = u + solve(self.K + tangent + anchors, R)
                solves += 1
            else:
                raise RuntimeError(f"stage {s + 1} did not converge")
            w_ref = np.asarray(basis.interpolate(u))
            ref_r, ref_c = p_r, p_c
            deflections.append(u[self.dofs])
            supports.append(T)
        return np.array(deflections), np.array(supports), solves
