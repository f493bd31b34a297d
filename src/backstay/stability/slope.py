"""The strength along a known slip surface, from its safety as it stands.

What stays uncertain is shown as every pair of cohesion and friction that explains the safety, under
water and safety a little other than assumed.

Equilibrium of the slices contains strength as c/F and tan(phi)/F alone. So where one pair gives the
safety F, the pair scaled by F_wanted/F gives F_wanted: no root has to be searched.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan, isfinite, tan

import numpy as np

from backstay.errors import DesignError
from backstay.stability.slip.analysis import analyse_circle, analyse_surface
from backstay.stability.slip.model import Circle, Floats, SlipModel
from backstay.stability.slip.result import Method, SlipResult

Surface = Circle | Floats
"""A known slip surface: a circle, or a polyline (m, 2)."""
STEEPEST = 1.3
"""Greatest angle of friction that explains anything (rad)."""
PAIRS = 7
"""Pairs on one locus, unless told otherwise."""


@dataclass(frozen=True, slots=True)
class Strength:
    """One pair of cohesion (kPa) and angle of friction (rad)."""

    c: float
    phi: float


@dataclass(frozen=True, slots=True)
class Locus:
    """Every pair that gives one safety under one water.

    title: what is assumed; safety: as it stands; pairs: from c nil to phi nil; residual: greatest
    difference of F that a pair was found to have.
    """

    title: str
    safety: float
    pairs: tuple[Strength, ...]
    residual: float

    @property
    def most(self) -> float:
        """Return the cohesion (kPa) that explains the safety without friction."""
        return max(pair.c for pair in self.pairs)


def analysed(
    model: SlipModel, surface: Surface, method: Method = "spencer", slices: int = 50
) -> SlipResult:
    """Return the analysis of a surface, whether it has a solution or not."""
    if isinstance(surface, Circle):
        return analyse_circle(model, surface, method, slices)
    return analyse_surface(model, surface, method, slices)


def safety(
    model: SlipModel, surface: Surface, method: Method = "spencer", slices: int = 50
) -> SlipResult:
    """Return the analysis of a known surface. Raises DesignError where it has no solution."""
    result = analysed(model, surface, method, slices)
    if not result.converged:
        raise DesignError(
            f"the known slip surface cannot be analysed: {result.status}", "slip surface"
        )
    return result


def with_strength(model: SlipModel, c: float, phi: float) -> SlipModel:
    """Return the model with one drained strength along the whole slip surface."""
    k = model.layers
    return replace(model, c=np.full(k, c), phi=np.full(k, phi), su=None, anisotropy=None)


def back_analysis(
    model: SlipModel,
    surface: Surface,
    *,
    safety_now: float = 1.0,
    uncertainty: float = 0.05,
    water_change: float = 0.0,
    method: Method = "spencer",
    points: int = PAIRS,
) -> tuple[Locus, ...]:
    """Return the pairs of c and phi along the surface that explain its safety as it stands.

    safety_now: 1 where it moves; uncertainty: of it, to either side; water_change: rise and fall
    (m) of the water table that cannot be told from what was seen. The first locus is that of the
    best estimate. Raises DesignError where no strength explains the safety.
    """
    unit = _unit_pairs(model, surface, method, points)
    made = [_locus("best estimate", model, surface, unit, safety_now, method)]
    if uncertainty > 0.0:
        made += [
            _locus(title, model, surface, unit, F, method)
            for title, F in (("safety lower", safety_now - uncertainty), ("safety higher", safety_now + uncertainty))
        ]  # fmt: skip
    if water_change > 0.0 and model.water is not None:
        for title, rise in (("water higher", water_change), ("water lower", -water_change)):
            wet = replace(model, water=model.water + np.array([0.0, rise]))
            pairs = _unit_pairs(wet, surface, method, points)
            made.append(_locus(title, wet, surface, pairs, safety_now, method))
    return tuple(made)


Pairs = tuple[tuple[float, float], ...]
"""Pairs of c (kPa) and tan phi."""


def _unit_pairs(model: SlipModel, surface: Surface, method: Method, points: int) -> Pairs:
    """Return the pairs that give the safety one, from c nil to phi nil."""
    cohesive = safety(with_strength(model, 10.0, 0.0), surface, method).F
    frictional = analysed(with_strength(model, 0.0, atan(0.5)), surface, method)
    most_c = 10.0 / cohesive
    most_tan = 0.5 / frictional.F if frictional.converged else tan(STEEPEST)
    found = []
    for share in np.linspace(0.0, 1.0, points):
        c, t = float(share) * most_c, float(1.0 - share) * most_tan
        result = analysed(with_strength(model, c, atan(t)), surface, method)
        if result.converged and result.F > 0.0:
            found.append((c / result.F, t / result.F))
    return tuple(found)


def _locus(
    title: str, model: SlipModel, surface: Surface, unit: Pairs, F: float, method: Method
) -> Locus:
    pairs = tuple(Strength(c * F, atan(t * F)) for c, t in unit if t * F <= tan(STEEPEST))
    if len(pairs) < 2:
        raise DesignError("no strength explains the safety of the slope", "back analysis")
    middle = pairs[len(pairs) // 2]
    again = analysed(with_strength(model, middle.c, middle.phi), surface, method)
    residual = abs(again.F - F)
    if not isfinite(residual) or residual > 1e-3:
        raise DesignError("the strength found does not give the safety back", "back analysis")
    return Locus(title, F, pairs, residual)


def friction_of(locus: Locus, c: float) -> float:
    """Return the angle of friction (rad) that goes with a cohesion on a locus, between its pairs.

    Raises DesignError where the cohesion alone gives more than the safety, or the locus does not
    reach down to it.
    """
    cs = np.array([p.c for p in locus.pairs])
    tans = np.array([tan(p.phi) for p in locus.pairs])
    if c > cs[-1] * (1 + 1e-9):
        raise DesignError(
            f"a cohesion of {{stress:{c:.6g}}} alone gives more than the safety as it stands "
            f"({locus.title}): at most {{stress:{cs[-1]:.6g}}} can be counted on",
            "back analysis",
        )
    if c < cs[0] - 1e-9:
        raise DesignError(
            f"with a cohesion of {{stress:{c:.6g}}} no friction explains the safety as it stands "
            f"({locus.title}): it takes {{stress:{cs[0]:.6g}}} or more",
            "back analysis",
        )
    return float(np.arctan(np.interp(c, cs, tans)))


def friction_at(
    model: SlipModel, surface: Surface, locus: Locus, c: float, method: Method = "spencer"
) -> Strength:
    """Return the pair of a locus with a given cohesion, not interpolated.

    model: with the water of the locus. F is nearly straight in tan(phi): the secant through the
    interpolated value and the safety it gives is followed until F is right to 1e-9.
    """
    t = tan(friction_of(locus, c))
    before: tuple[float, float] | None = None
    for _ in range(12):
        F = safety(with_strength(model, c, atan(t)), surface, method).F
        off = F - locus.safety
        if abs(off) < 1e-9 or t <= 0.0:
            break
        if before is None or before[1] == off:
            step = off / F * (t + 1e-6)  # strength in proportion: exact where c is nil
        else:
            step = off * (t - before[0]) / (off - before[1])
        before = (t, off)
        t = max(0.0, t - step)
    return Strength(c, atan(t))
