"""Heave of the base by slip circles: the clay below the cut turns under the weight behind it.

The ground behind stands on the clay as a load; a circle comes up in the cut and cuts off a block
behind, whose vertical side has the strength of the clay beside the cut. What the closed forms
take as given, the place and depth of the mechanism, is searched here in the clay as it lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sin
from typing import TYPE_CHECKING

import numpy as np

from backstay.cite import Citation
from backstay.ground import Profile
from backstay.quantity import Angle, Length, MomentPerLength, Ratio, Stress
from backstay.trace import formula, state

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CIRCLE = Citation("Fellenius 1927", "slip circle in clay, moments about its centre", "formula")
FLATTEST, STEEPEST = 0.3, pi / 2
"""Half the angle that circles open (rad): a flat one, and a half circle."""
PIECES = 48
"""Pieces that the strength along a circle is summed over."""
GRID = 11
"""Places tried of each of the three numbers that place a circle, at first and in each refinement."""
REFINEMENTS = 6
SHALLOW = 0.02
"""Least width of a circle as a share of the greatest."""


@formula("M_d", CIRCLE)
def driving_moment(q_b: Stress, a: Length, b: Length) -> MomentPerLength:
    """Moment of the ground behind about the centre; the ground below base level balances itself.

    q_b: vertical stress behind beyond that in front
    a: width of the circle in front of the wall; b: behind it
    """
    return q_b * a * b / 2


@formula("M_s", CIRCLE)
def side_moment(s_us: Stress, H_c: Length, a: Length, b: Length) -> MomentPerLength:
    """Moment of the strength on the vertical side of the block about the centre.

    s_us: undrained strength along the side; H_c: height of clay along it
    a: width of the circle in front of the wall; b: behind it
    """
    return s_us * H_c * (a + b) / 2


@formula("R", CIRCLE)
def circle_radius(a: Length, b: Length, theta: Angle) -> Length:
    """Radius of the circle.

    a: width of the circle in front of the wall; b: behind it
    theta: half the angle that the circle opens
    """
    return (a + b) / (2 * sin(theta))


@formula("M_r", CIRCLE)
def arc_moment(s_ua: Stress, R: Length, theta: Angle) -> MomentPerLength:
    """Moment of the strength along the circle about the centre.

    s_ua: undrained strength along the circle, average
    R: radius; theta: half the angle that the circle opens
    """
    return 2 * s_ua * R**2 * theta


@formula("FS", CIRCLE)
def circle_heave(M_r: MomentPerLength, M_s: MomentPerLength, M_d: MomentPerLength) -> Ratio:
    """Factor of safety on base heave along a slip circle.

    M_r: moment of the strength along the circle; M_s: on the side of the block
    M_d: moment of the ground behind
    """
    return (M_r + M_s) / M_d


@dataclass(frozen=True, slots=True)
class HeaveCircle:
    """The least safe circle.

    front, back: widths (m) at the top of the clay in front of the wall and behind; half_angle
    (rad); deepest: below the top of the clay (m); mean: strength along it (kPa); tried: circles
    looked at; change: of the safety in the last refinement, relative.
    """

    safety: float
    front: float
    back: float
    half_angle: float
    deepest: float
    mean: float
    tried: int
    change: float


def least_circle(
    ground: Profile, top: float, q_b: float, s_us: float, H_c: float, width: float, *,
    beneath: float = 0.0,
) -> HeaveCircle | None:  # fmt: skip
    """Return the least safe circle through clay whose top is at depth `top` (m), or None.

    q_b: vertical stress there behind beyond that in front (kPa), positive; s_us, H_c: strength on
    the side of the block (kPa) and its height (m); width: within which the circle comes up in the
    cut (m); beneath: depth below `top` that it must reach below the wall. None where no circle
    does that within the clay: it does not pass through ground without undrained strength.
    """
    depths, strengths, bottom = _strength(ground, top)
    reach = max(width, 2.0 * ground.H, 3.0 * beneath)
    low = np.array([SHALLOW * width, SHALLOW * reach, FLATTEST])
    high = np.array([width, reach, STEEPEST])
    box_low, box_high = low.copy(), high.copy()
    best, least, change, tried = low, inf, inf, 0
    for _ in range(1 + REFINEMENTS):
        axes = [np.linspace(box_low[i], box_high[i], GRID) for i in range(3)]
        a, b, theta = (m.ravel() for m in np.meshgrid(*axes, indexing="ij"))
        F = _safety(a, b, theta, depths, strengths, bottom, q_b, s_us * H_c, beneath)
        tried += F.size
        k = int(np.argmin(F))
        if F[k] < least:
            change = 1.0 - float(F[k]) / least if least < inf else inf
            least, best = float(F[k]), np.array([a[k], b[k], theta[k]])
        else:
            change = 0.0
        if least == inf:
            return None
        half = 1.5 * (box_high - box_low) / (GRID - 1)
        box_low, box_high = np.maximum(low, best - half), np.minimum(high, best + half)
    front, back, half_angle = (float(v) for v in best)
    R = (front + back) / (2.0 * sin(half_angle))
    one = np.array([[front], [back], [half_angle]])
    mean = float(_mean(one[0], one[1], one[2], depths, strengths)[0])
    deepest = R * (1.0 - float(np.cos(half_angle)))
    return HeaveCircle(least, front, back, half_angle, deepest, mean, tried, change)


def state_circle(found: HeaveCircle, q_b: float, s_us: float, H_c: float) -> float:
    """Write the derivation of a circle and return its factor of safety."""
    a = state("a", "Width of the circle in front of the wall", found.front, "length",
              method=f"least safe of {found.tried} circles; last change {found.change:.0e}")  # fmt: skip
    b = state("b", "Width of the circle behind the wall", found.back, "length", method="searched")
    theta = state(
        "theta", "Half the angle that the circle opens", found.half_angle, "angle",
        method=f"searched; the circle reaches {{length:{found.deepest:.4g}}} below the top of the clay",
    )  # fmt: skip
    s_ua = state("s_ua", "Undrained strength along the circle, average", found.mean, "stress",
                 method="by length, over the layers it passes")  # fmt: skip
    M_r = arc_moment(s_ua, circle_radius(a, b, theta), theta)
    M_s = side_moment(s_us, H_c, a, b)
    return circle_heave(M_r, M_s, driving_moment(q_b, a, b))


def _strength(ground: Profile, top: float) -> tuple[Floats, Floats, float]:
    """Return depths below `top`, strengths there (both sides of a boundary), and the clay's bottom."""
    depths: list[float] = []
    strengths: list[float] = []
    bottom = inf
    far = top + 1e4
    for layer, z1, z2 in ground.layers_between(top, far):
        if layer.su is None:
            bottom = z1 - top
            break
        depths += [z1 - top + 1e-9, z2 - top]
        strengths += [layer.su_at(z1), layer.su_at(z2)]
    return np.array(depths), np.array(strengths), bottom


def _mean(a: Floats, b: Floats, theta: Floats, depths: Floats, strengths: Floats) -> Floats:
    """Return the average strength along circles (kPa)."""
    share = (np.arange(PIECES) + 0.5) / PIECES  # one half: the two are alike
    turned = theta[:, None] * share
    R = (a + b) / (2.0 * np.sin(theta))
    d = R[:, None] * (np.cos(turned) - np.cos(theta)[:, None])
    mean: Floats = np.interp(d, depths, strengths).mean(axis=1)
    return mean


def _safety(
    a: Floats, b: Floats, theta: Floats, depths: Floats, strengths: Floats, bottom: float,
    q_b: float, side: float, beneath: float,
) -> Floats:  # fmt: skip
    """Return the safety of circles; infinite where they leave the clay or pass above `beneath`."""
    R = (a + b) / (2.0 * np.sin(theta))
    deepest = R * (1.0 - np.cos(theta))
    off = 0.5 * (b - a)
    at_wall = np.sqrt(np.maximum(R**2 - off**2, 0.0)) - R * np.cos(theta)
    allowed = (deepest <= bottom * (1 + 1e-12)) & (at_wall >= beneath)
    F = np.full(a.shape, inf)
    if allowed.any():
        one = allowed.nonzero()[0]
        mean = _mean(a[one], b[one], theta[one], depths, strengths)
        resisting = 2.0 * mean * R[one] ** 2 * theta[one] + side * 0.5 * (a[one] + b[one])
        F[one] = resisting / (0.5 * q_b * a[one] * b[one])
    return F
