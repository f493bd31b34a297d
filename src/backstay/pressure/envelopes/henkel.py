"""Henkel's coefficient for a cut in clay whose base yields: the surface of failure goes below it.

The depth d of that surface is not known beforehand. It is searched between subgrade and the
greatest depth possible: where the clay ends on firm ground, and B / sqrt(2) for a cut of width B.
The depth that gives the greatest coefficient counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt

from backstay.cite import GEC4, Citation
from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.pressure.averages import CLAYS, average_strength
from backstay.pressure.stability_number import StabilityNumber
from backstay.quantity import Length, Ratio, Stress, UnitWeight
from backstay.trace import formula, state, untraced

_HENKEL = Citation(
    "Henkel 1971, in " + GEC4 + " and AASHTO LRFD 3.11.5.7.2b",
    "section 5.2, soft to medium clay with a weak base",
    "memory",
)
_STEPS_PER_LAYER = 8


@formula("K_base", _HENKEL)
def henkel_coefficient(s_u: Stress, gamma: UnitWeight, H: Length, d: Length, s_ub: Stress) -> Ratio:
    """Coefficient p / (gamma H) of a cut in clay over a yielding base.

    s_u: average undrained strength beside the cut
    gamma: average total unit weight beside the cut
    H: height of the cut
    d: depth of the surface of failure below subgrade
    s_ub: average undrained strength over that depth
    """
    K: Ratio = 1 - 4 * s_u / (gamma * H) + 2 * sqrt(2) * d / H * (1 - (2 + pi) * s_ub / (gamma * H))
    return max(K, 0.22)


@formula("d_max", Citation("Terzaghi 1943", "surface of base failure, B over root 2", "memory"))
def deepest_surface(B: Length) -> Length:
    """Greatest depth below subgrade of a surface of base failure in a cut of limited width.

    B: width of the cut
    """
    return B / sqrt(2)


@dataclass(frozen=True, slots=True)
class WeakBase:
    """What the base does to the coefficient: K, with depth d (m) and strength su (kPa) there."""

    K: float
    d: float
    su: float


def weak_base(ground: Profile, number: StabilityNumber, width: float | None) -> WeakBase | None:
    """Return the coefficient with the worst surface of failure below subgrade.

    width: of the cut (m), None where not given. Return None where no clay lies at subgrade.
    Raise DesignError where the width decides and is not given, or a clay has no strength.
    """
    H = ground.H
    ends = _clay_depths(ground)
    if not ends:
        return None
    limit = inf
    if width is not None:
        limit = deepest_surface(width)
    elif ends[-1] == inf:
        with untraced():
            deep = average_strength(ground, *_below(ground, ends))
        if (2 + pi) * deep < number.gamma * H:
            raise DesignError(
                "soft clay goes on below subgrade without an end, so the width of the cut decides"
                " how deep the ground yields; give cut.width",
                "base of the cut",
            )
        ends[-1] = ends[-2] if len(ends) > 1 else H
    with untraced():
        best = max(
            (
                (henkel_coefficient(number.su, number.gamma, H, d, su), d, su)
                for d in _trial_depths(H, ends, limit)
                for su in (average_strength(ground, H, H + d),)
            ),
            default=None,
        )
    if best is None:
        return None
    d = state(
        "d", "Depth of the surface of failure below subgrade", best[1], "length",
        method=_how(width, limit, ends[-1] - H),
    )  # fmt: skip
    s_ub = state(
        "s_ub", "Average undrained strength below subgrade over d", best[2], "stress",
        method="by thickness, at the middle of each layer",
    )  # fmt: skip
    return WeakBase(henkel_coefficient(number.su, number.gamma, H, d, s_ub), d, s_ub)


def _how(width: float | None, limit: float, thickness: float) -> str:
    bounds = []
    if thickness < inf:
        bounds.append(f"the clay ends {{length:{thickness:.6g}}} below subgrade")
    if width is None:
        bounds.append("the width of the cut is not given: a wide cut is assumed")
    else:
        bounds.append(f"the width of the cut allows {{length:{limit:.6g}}}")
    return "the depth with the greatest coefficient of those possible: " + "; ".join(bounds)


def _clay_depths(ground: Profile) -> list[float]:
    """Return the bottoms of the clays that follow each other down from subgrade."""
    ends = []
    for layer in ground.layers:
        if layer.bottom <= ground.H + 1e-9:
            continue
        if layer.kind not in CLAYS:
            break
        ends.append(layer.bottom)
    return ends


def _below(ground: Profile, ends: list[float]) -> tuple[float, float]:
    """Return a slice at the top of the last clay, to judge its strength."""
    top = ends[-2] if len(ends) > 1 else ground.H
    return top, top + 1e-3


def _trial_depths(H: float, ends: list[float], limit: float) -> list[float]:
    trials = []
    top = 0.0
    for end in ends:
        bottom = min(end - H, limit)
        trials += [
            top + (bottom - top) * i / _STEPS_PER_LAYER
            for i in range(1, _STEPS_PER_LAYER + 1)
            if bottom > top
        ]
        top = max(top, bottom)
    return trials
