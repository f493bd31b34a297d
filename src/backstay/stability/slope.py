"""Tying back a slope or a landslide on a known slip surface.

The strength that the surface has is found from its safety as it stands; what stays uncertain is
shown as every pair of cohesion and friction that explains it, under water and safety a little
other than assumed. Then the anchor force per metre that reaches the target, at the inclination
that asks least of it, and its layout in rows with free lengths beyond the surface.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, cos, inf, sin, sqrt, tan

import numpy as np

from backstay.basis import Basis
from backstay.errors import DesignError
from backstay.stability.overall import crossing
from backstay.stability.slip.analysis import analyse_circle, analyse_surface
from backstay.stability.slip.model import AnchorForce, Circle, Convention, Floats, SlipModel
from backstay.stability.slip.result import Method, SlipResult
from backstay.trace import state

Surface = Circle | Floats
"""A known slip surface: a circle, or a polyline (m, 2)."""
STEEPEST = 1.3
"""Greatest angle of friction that is tried (rad)."""
GREATEST_FORCE = 1e5
"""Greatest anchor force that is tried (kN/m)."""
_GOLDEN = (sqrt(5) - 1) / 2


@dataclass(frozen=True, slots=True)
class Strength:
    """One pair of cohesion (kPa) and angle of friction (rad) with its residual in F."""

    c: float
    phi: float
    residual: float


@dataclass(frozen=True, slots=True)
class Locus:
    """Every pair that gives one safety under one water.

    title: what is assumed; safety: as it stands; pairs: from c nil to phi nil.
    """

    title: str
    safety: float
    pairs: tuple[Strength, ...]


@dataclass(frozen=True, slots=True)
class RequiredForce:
    """Anchor force (kN/m) for a target, at an inclination (rad), with the residual in F."""

    force: float
    inclination: float
    target: float
    residual: float
    tried: int


@dataclass(frozen=True, slots=True)
class SlopeRow:
    """One row on a slope: head (m), load per anchor (kN), lengths along the anchor (m)."""

    row: int
    x: float
    y: float
    load: float
    spacing: float
    inclination: float
    free: float
    bond: float


def safety(
    model: SlipModel, surface: Surface, method: Method = "spencer", slices: int = 50
) -> SlipResult:
    """Return the analysis of a known surface. Raises DesignError where it has no solution."""
    if isinstance(surface, Circle):
        result = analyse_circle(model, surface, method, slices)
    else:
        result = analyse_surface(model, surface, method, slices)
    if not result.converged:
        raise DesignError(f"the known slip surface cannot be analysed: {result.status}", "slope")
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
    points: int = 7,
) -> tuple[Locus, ...]:
    """Return the pairs of c and phi along the surface that explain its safety as it stands.

    safety_now: 1 where it moves; uncertainty: of it, to either side; water_change: rise and fall
    (m) of the water table that cannot be told from what was seen. The first locus is that of the
    best estimate. Raises DesignError where no strength explains the safety.
    """
    cases = [("best estimate", safety_now, 0.0)]
    if uncertainty > 0.0:
        cases += [("safety lower", safety_now - uncertainty, 0.0),
                  ("safety higher", safety_now + uncertainty, 0.0)]  # fmt: skip
    if water_change > 0.0 and model.water is not None:
        cases += [("water higher", safety_now, water_change),
                  ("water lower", safety_now, -water_change)]  # fmt: skip
    made = []
    for title, F, rise in cases:
        wet = model
        if rise and model.water is not None:
            wet = replace(model, water=model.water + np.array([0.0, rise]))
        made.append(Locus(title, F, _locus(wet, surface, F, method, points)))
    return tuple(made)


def _locus(
    model: SlipModel, surface: Surface, F: float, method: Method, points: int
) -> tuple[Strength, ...]:
    def at(c: float, phi: float) -> float:
        return safety(with_strength(model, c, phi), surface, method).F

    most = _root(lambda c: at(c, 0.0) - F, 0.0, 1.0, "cohesion")
    pairs = []
    for share in np.linspace(0.0, 1.0, points):
        c = float(share) * most
        phi = 0.0
        if share < 1.0:
            phi = _root(lambda p, c=c: at(c, p) - F, 0.0, 0.3, "friction", STEEPEST)  # type: ignore[misc]
        pairs.append(Strength(c, phi, abs(at(c, phi) - F)))
    return tuple(pairs)


def _root(
    f: Callable[[float], float], low: float, high: float, what: str, most: float = 1e6
) -> float:
    """Return where a rising function is nil, widening the bracket upward as far as `most`."""
    while f(high) < 0.0:
        if high >= most:
            raise DesignError(f"no {what} explains the safety of the slope", "back analysis")
        low, high = high, min(2.0 * high, most)
    for _ in range(60):
        middle = 0.5 * (low + high)
        if f(middle) < 0.0:
            low = middle
        else:
            high = middle
        if high - low <= 1e-9 * max(1.0, high):
            break
    return 0.5 * (low + high)


def anchored(
    model: SlipModel, heads: Sequence[tuple[float, float]], inclination: float, force: float,
    convention: Convention = "active",
) -> SlipModel:  # fmt: skip
    """Return the model with a force (kN/m) shared evenly by rows that reach beyond any surface."""
    side = 1.0 if model.to_left else -1.0
    rows = tuple(
        AnchorForce(
            x=x, y=y, dx=side * cos(inclination), dy=-sin(inclination), total=force / len(heads),
            convention=convention, name=f"row {i}",
        )
        for i, (x, y) in enumerate(heads, start=1)
    )  # fmt: skip
    return replace(model, anchors=rows)


def required_force(
    model: SlipModel,
    surface: Surface,
    heads: Sequence[tuple[float, float]],
    inclination: float,
    target: float,
    *,
    method: Method = "spencer",
    convention: Convention = "active",
) -> RequiredForce:
    """Return the force per metre, shared evenly by rows with heads (x, y), that gives the target.

    Nil where the target is reached without. Raises DesignError where no force within reach does.
    """
    tried = 0

    def at(T: float) -> float:
        nonlocal tried
        tried += 1
        made = anchored(model, heads, inclination, T, convention)
        result = (
            analyse_circle(made, surface, method)
            if isinstance(surface, Circle)
            else analyse_surface(made, surface, method)
        )
        if result.status == "does not drive":
            return inf
        return result.F if result.converged else -inf

    if target <= safety(model, surface, method).F:
        return RequiredForce(0.0, inclination, target, 0.0, 1)
    low, high = 0.0, 10.0
    while at(high) < target:
        low, high = high, 2.0 * high
        if high > GREATEST_FORCE:
            raise DesignError("no anchor force within reach gives the target", "slope")
    for _ in range(80):
        middle = 0.5 * (low + high)
        if at(middle) < target:
            low = middle
        else:
            high = middle
        if high - low <= 1e-7 * high:
            break
    return RequiredForce(high, inclination, target, abs(at(high) - target), tried)


def best_force(
    model: SlipModel,
    surface: Surface,
    heads: Sequence[tuple[float, float]],
    target: float,
    *,
    least: float,
    greatest: float,
    method: Method = "spencer",
    convention: Convention = "active",
) -> RequiredForce:
    """Return the least force per metre and its inclination within limits (rad), golden section."""

    def force(i: float) -> RequiredForce:
        try:
            return required_force(
                model, surface, heads, i, target, method=method, convention=convention
            )
        except DesignError:  # no force at this inclination: it is not the best
            return RequiredForce(inf, i, target, inf, 1)

    low, high = least, greatest
    tried = 0
    a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    fa, fb = force(a), force(b)
    while high - low > 2e-4:
        tried += fa.tried + fb.tried
        if fa.force <= fb.force:
            high, b, fb = b, a, fa
            a = high - _GOLDEN * (high - low)
            fa = force(a)
        else:
            low, a, fa = a, b, fb
            b = low + _GOLDEN * (high - low)
            fb = force(b)
    found = min((force(least), force(greatest), fa, fb), key=lambda r: r.force)
    if found.force == inf:
        raise DesignError("no anchor force at any inclination gives the target", "slope")
    state("i", "Inclination that asks the least force", found.inclination, "angle",
          method=f"golden section between the limits; force to {found.residual:.0e} in F")  # fmt: skip
    state("T", "Anchor force for the target", found.force, "force per length",
          method=f"bisection, residual {found.residual:.0e} in F")  # fmt: skip
    return replace(found, tried=tried + found.tried)


def layout(
    required: RequiredForce,
    surface_points: Floats,
    heads: Sequence[tuple[float, float]],
    *,
    to_left: bool,
    greatest_load: float,
    spacing_least: float,
    spacing_greatest: float,
    transfer: float,
    height: float,
    basis: Basis,
    free_least: float,
) -> tuple[SlopeRow, ...]:
    """Return rows that share the force evenly, at the widest spacing that keeps to the load.

    surface_points: (m, 2); greatest_load: design load of one anchor (kN); transfer: ultimate load
    transfer of the bond (kN per m of anchor); height: of the slope, for the set-back; free_least:
    of the tendon. Lengths go up to the next 0.1 m. Raises DesignError where the load does not
    suffice at the least spacing, or a row misses the surface.
    """
    each = required.force / len(heads)
    spacing = min(spacing_greatest, greatest_load / each if each > 0.0 else inf)
    if spacing < spacing_least - 1e-9:
        raise DesignError(
            f"{len(heads)} rows at the least spacing of {{length:{spacing_least:g}}} would have to "
            f"carry {{force:{each * spacing_least:.6g}}} per anchor: add rows, or stronger anchors",
            "layout",
        )
    spacing = spacing if spacing >= spacing_greatest else int(spacing * 10.0 + 1e-9) / 10.0
    spacing = max(spacing, spacing_least)
    beyond = max(basis.beyond_surface_length.value, basis.beyond_surface_share.value * height)
    side = 1.0 if to_left else -1.0
    rows = []
    for i, (x, y) in enumerate(heads, start=1):
        line = AnchorForce(x=x, y=y, dx=side * cos(required.inclination),
                           dy=-sin(required.inclination), total=each)  # fmt: skip
        s = crossing(line, surface_points)
        if s is None:
            raise DesignError("the anchor does not meet the slip surface", f"row {i}")
        load = each * spacing
        bond = max(
            load * basis.bond_safety_soil.value / transfer, basis.bond_length_least_soil.value
        )
        rows.append(
            SlopeRow(i, x, y, load, spacing, required.inclination,
                     _up(max(s + beyond, free_least)), _up(bond))
        )  # fmt: skip
    return tuple(rows)


def as_anchors(
    rows: Sequence[SlopeRow], transfer: float, basis: Basis, *, to_left: bool
) -> tuple[AnchorForce, ...]:
    """Return a layout as forces whose capacity depends on where a surface cuts them."""
    side = 1.0 if to_left else -1.0
    return tuple(
        AnchorForce(
            x=r.x, y=r.y, dx=side * cos(r.inclination), dy=-sin(r.inclination),
            total=r.load / r.spacing, free=r.free, bond=r.bond,
            pullout=transfer / basis.bond_safety_soil.value / r.spacing, name=f"row {r.row}",
        )
        for r in rows
    )  # fmt: skip


def _up(length: float) -> float:
    return ceil(length * 10.0 - 1e-6) / 10.0


def friction_of(locus: Locus, c: float) -> float:
    """Return the angle of friction (rad) that goes with a cohesion on a locus, between its pairs."""
    cs = np.array([p.c for p in locus.pairs])
    tans = np.array([tan(p.phi) for p in locus.pairs])
    return float(np.arctan(np.interp(c, cs, tans)))
