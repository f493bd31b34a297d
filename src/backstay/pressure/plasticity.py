"""Limit states of ground behind a rough vertical wall, by integrating the equations of plasticity.

In ground without cohesion, under its own weight, stresses on each ray from the top of the wall
grow in proportion to the distance from it. Equilibrium and Mohr-Coulomb failure then become two
ordinary differential equations in the angle of the ray, for the mean stress and the direction of
the major principal stress (Boussinesq 1885; integrated and tabulated by Caquot and Kerisel 1948
and Kerisel and Absi 1990). Near the surface Rankine's state of a slope holds; it ends at the ray
that is itself a slip line, where the equations are singular. From the wall, where the angle of
wall friction fixes the direction of stress, the field is integrated toward that ray in a
variable in which nothing is singular, and the coefficient is turned until the field meets
Rankine's there. Solved by the secant method in the logarithm of the coefficient.

Unlike the plane wedge this neither overstates passive resistance nor understates active pressure
on rough walls.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import asin, atan2, cos, degrees, exp, log, pi, sin, sqrt, tan

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.pressure.coulomb import coulomb_active
from backstay.pressure.weightless import surcharge_passive_coefficient
from backstay.trace import state, untraced

KERISEL_ABSI = Citation(
    "Caquot and Kerisel 1948; Kerisel and Absi 1990", "plastic zone, integrated here", "formula"
)
_STEPS = ((0.12, 0.02), (0.08, 0.006), (0.05, 0.003))
"""(step, distance from the singular ray at which the field is compared), coarse to fine."""
_CONVERGED = 1e-6
_MOST_STEPS = 400


@dataclass(frozen=True, slots=True)
class PlasticSolution:
    """A coefficient and what makes it credible.

    K: along the thrust, inclined at the angle of wall friction to the normal of the wall;
    residual: angle (rad) by which the field misses Rankine's state; integrations: of the field.
    """

    K: float
    residual: float
    integrations: int


def passive_coefficient(phi: float, delta: float, beta: float = 0.0) -> float:
    """Return the passive coefficient along the thrust, vertical wall; p = K sigma_v'.

    phi: angle of friction; delta: angle of wall friction, 0 to phi, pressing the wall upward;
    beta: slope of the ground in front, positive where it rises away from the wall (rad).

    Raises DesignError for angles without a solution.
    """
    found = solve("passive", phi, delta, beta)
    return state(
        "K_p", f"Passive coefficient along the thrust, {_angles(phi, delta, beta)}", found.K,
        "ratio", method=_method(found), cite=KERISEL_ABSI,
    )  # fmt: skip


def active_coefficient(phi: float, delta: float, beta: float = 0.0) -> float:
    """Return the active coefficient along the thrust, vertical wall; p = K sigma_v'.

    phi: angle of friction; delta: angle of wall friction, 0 to phi, pressing the wall down;
    beta: slope of the ground behind, positive where it rises away from the wall (rad).

    Raises DesignError for angles without a solution.
    """
    found = solve("active", phi, delta, beta)
    return state(
        "K_a", f"Active coefficient along the thrust, {_angles(phi, delta, beta)}", found.K,
        "ratio", method=_method(found), cite=KERISEL_ABSI,
    )  # fmt: skip


def _method(found: PlasticSolution) -> str:
    return (
        f"plasticity equations integrated from the wall to Rankine's zone, {found.integrations} "
        f"trials; misses it by {abs(found.residual):.0e} rad"
    )


def _angles(phi: float, delta: float, beta: float) -> str:
    slope = f", beta {{angle:{beta:.6g}}}" if beta else ""
    return f"phi {{angle:{phi:.6g}}}, delta {{angle:{delta:.6g}}}{slope}"


@lru_cache(maxsize=4096)
def solve(kind: str, phi: float, delta: float, beta: float = 0.0) -> PlasticSolution:
    """Return the solution of the "passive" or "active" state; raise DesignError where none is."""
    if kind not in ("active", "passive"):
        raise ValueError(f"no limit state {kind!r}; there are: active, passive")
    if not 0.0 <= phi < pi / 3:
        raise DesignError(
            f"the angle of friction {{angle:{phi:.6g}}} is not between 0 and {{angle:{pi / 3:.6g}}}",
            f"{kind} coefficient",
        )
    if not -1e-12 <= delta <= phi + 1e-9:
        raise DesignError(
            f"the angle of wall friction {{angle:{delta:.6g}}} is not between nil and the angle of "
            f"friction {{angle:{phi:.6g}}}",
            f"{kind} coefficient",
        )
    if phi < 1e-6 and beta == 0.0:
        return PlasticSolution(1.0, 0.0, 0)
    if abs(beta) >= phi:
        raise DesignError(
            f"a slope of {{angle:{beta:.6g}}} cannot stand with an angle of friction of "
            f"{{angle:{phi:.6g}}}",
            f"{kind} coefficient",
        )
    zone = _Zone.of(kind, phi, min(max(delta, 0.0), phi), beta)
    # ground that falls from the wall turns the field against the slip line: it needs the finer steps
    for step, gap in _STEPS if beta >= 0.0 else _STEPS[1:]:
        found = zone.solve(step, gap)
        if found is not None:
            return found
    raise DesignError(
        f"the plasticity equations did not converge for phi {degrees(phi):.4g}, delta "
        f"{degrees(delta):.4g}, slope {degrees(beta):.4g} degrees",
        f"{kind} coefficient",
    )


@dataclass(frozen=True, slots=True)
class _Zone:
    """The plastic zone between the wall (ray 0, straight down) and Rankine's zone.

    sign: 1 passive, -1 active; S: sin phi; m: 2 tan phi; mean: Rankine's mean stress over
    gamma h; turn: direction of the major principal stress; end: ray where Rankine's zone ends;
    surface: ray of the ground; psi: direction of stress from the ray at the wall; share: normal
    stress on the wall over the mean stress there; guess: of the coefficient.
    """

    sign: float
    S: float
    m: float
    mean: float
    turn: float
    end: float
    surface: float
    psi: float
    share: float
    cos_delta: float
    cos_beta: float
    guess: float

    @classmethod
    def of(cls, kind: str, phi: float, delta: float, beta: float) -> _Zone:
        sign = 1.0 if kind == "passive" else -1.0
        S, cb = sin(phi), cos(beta)
        mean = cb * (cb + sign * sqrt(cb**2 - cos(phi) ** 2)) / cos(phi) ** 2
        twice = atan2(sin(beta) * cb / (mean * S), (1 - cb**2 / mean) / S)
        if sign < 0.0 and twice < 0.0:
            twice += 2 * pi
        surface = pi / 2 + beta
        turn = twice / 2 + surface
        slip = pi / 4 - phi / 2 if sign > 0.0 else 3 * pi / 4 + phi / 2
        omega = asin(min(1.0, sin(delta) / S))
        psi = 0.5 * (pi - omega - delta) if sign > 0.0 else 0.5 * (2 * pi - omega + delta)
        with untraced():
            guess = (
                surcharge_passive_coefficient(phi, delta, beta)
                / cos(delta)
                * (1 + 0.35 * tan(phi) * tan(delta))  # near enough to start from
                if sign > 0.0
                else coulomb_active(phi, delta, 0.0, beta)
            )
        return cls(
            sign, S, 2 * tan(phi), mean, turn, turn - slip, surface, psi, 1 - S * cos(2 * psi),
            cos(delta), cb, guess,
        )  # fmt: skip

    def solve(self, step: float, gap: float) -> PlasticSolution | None:
        """Return the solution by the secant method, or None where it does not converge."""
        gap = min(gap, 0.02 * self.end)
        if abs(self.psi - self.turn) < 1e-12:  # Rankine's zone reaches the wall
            s = self.mean * sin(self.surface) / self.cos_beta
            return PlasticSolution(s * self.share / self.cos_delta, 0.0, 0)
        x0 = log(self.guess)
        x1 = x0 + 0.02
        f0, f1 = self.miss(exp(x0), step, gap), self.miss(exp(x1), step, gap)
        for trial in range(2, 20):
            if abs(f1) < _CONVERGED and abs(x1 - x0) < 1e-4:
                return PlasticSolution(exp(x1), f1, trial)
            if f1 == f0:
                return None
            change = -f1 * (x1 - x0) / (f1 - f0)
            x0, f0 = x1, f1
            x1 += min(max(change, -0.5), 0.5)
            f1 = self.miss(exp(x1), step, gap)
        return None

    def miss(self, K: float, step: float, gap: float) -> float:
        """Return by how much (rad) the field that starts at the wall with K misses Rankine's.

        Classical fourth-order Runge-Kutta, in a variable whose end at the singular ray is
        infinity. Near that ray a deviation along the other slip line dies away by itself; the
        part that does not is the miss.
        """
        S, sign = self.S, self.sign

        def rate(a: float, s: float, b: float) -> tuple[float, float, float]:
            c, d = cos(2 * b), sin(2 * b)
            along = cos(a) - s * (1 + 3 * S * c)
            across = -sin(a) - 3 * S * s * d
            return (
                sign * (S - c),
                sign * (along * d - across * c),
                sign * (S * d * across - (1 - S * c) * along) / (2 * S * s),
            )

        ray, s, psi = 0.0, K * self.cos_delta / self.share, self.psi
        half = 0.5 * step
        last = self.end - gap
        for _ in range(_MOST_STEPS):
            if ray >= last:
                break
            a1, b1, c1 = rate(ray, s, psi)
            a2, b2, c2 = rate(ray + half * a1, s + half * b1, psi + half * c1)
            a3, b3, c3 = rate(ray + half * a2, s + half * b2, psi + half * c2)
            a4, b4, c4 = rate(ray + step * a3, s + step * b3, psi + step * c3)
            ray += step / 6 * (a1 + 2 * a2 + 2 * a3 + a4)
            s += step / 6 * (b1 + 2 * b2 + 2 * b3 + b4)
            psi += step / 6 * (c1 + 2 * c2 + 2 * c3 + c4)
        rankine = self.mean * sin(self.surface - ray) / self.cos_beta
        return 0.5 * (psi - (self.turn - ray) + sign * (s / rankine - 1) / self.m)
