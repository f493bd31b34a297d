"""Shear and moment in the wall from a pressure diagram, rows of anchors and a support at subgrade.

Two views of the same beam, both shown:

- the published closed form: hinges at every row but the first, so that statics alone give the
  reactions (the hinge method), and 0.1 p L^2 over interior spans;
- the wall as a continuous beam on its rows and on a fictitious support at subgrade, by the
  equation of three moments (constant stiffness, supports that do not yield).

Per metre of wall. Shear is the slope of the moment; the moment is positive where the side of
the cut is in tension, so it is negative over the anchors.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, sqrt

from backstay.cite import GEC4, Citation
from backstay.errors import DesignError
from backstay.pressure.diagram import Diagram
from backstay.quantity import Length, MomentPerLength, Stress
from backstay.trace import formula

CLOSURE = 1e-6
"""Greatest moment left at subgrade, as a share of the greatest moment, that counts as zero."""

THREE_MOMENTS = Citation("Clapeyron 1857", "equation of three moments", "formula")


@formula(
    "M_cant", Citation(GEC4, "section 5.4, single and multiple levels: 13/54 H1^2 p", "memory")
)
def cantilever_moment(H_1: Length, p: Stress) -> MomentPerLength:
    """Moment at the first row from a ramp over two thirds of H1 and a constant pressure below it.

    H_1: depth of the first row
    p: greatest ordinate of the envelope
    """
    return 13 / 54 * H_1**2 * p


@formula("M_span", Citation(GEC4, "section 5.4, interior spans: 0.1 p L^2", "memory"))
def interior_span_moment(p: Stress, L: Length) -> MomentPerLength:
    """Moment of an interior span, and over its supports, by the published rule.

    p: greatest pressure on the span
    L: distance between rows
    """
    return 0.1 * p * L**2


@dataclass(frozen=True, slots=True)
class Actions:
    """Shear (kN/m) and moment (kNm/m) at depths z (m); a depth repeats where the shear jumps.

    supports: depths of the rows and of subgrade; reactions: of each (kN/m); residual: moment
    left at subgrade (kNm/m), nil but for rounding.
    """

    title: str
    z: tuple[float, ...]
    shear: tuple[float, ...]
    moment: tuple[float, ...]
    supports: tuple[float, ...]
    reactions: tuple[float, ...]
    residual: float

    @property
    def greatest_moment(self) -> float:
        """Return the greatest moment of either sign (kNm/m, positive)."""
        return max(abs(m) for m in self.moment)

    @property
    def greatest_shear(self) -> float:
        """Return the greatest shear of either sign (kN/m, positive)."""
        return max(abs(v) for v in self.shear)

    @property
    def depth_of_greatest_moment(self) -> float:
        """Return the depth of the greatest moment (m)."""
        return max(zip(self.z, self.moment, strict=True), key=lambda pair: abs(pair[1]))[0]

    def moment_at(self, depth: float) -> float:
        """Return the moment at a support or any other sampled depth, else interpolated (kNm/m)."""
        for i in range(len(self.z) - 1):
            a, b = self.z[i], self.z[i + 1]
            if a <= depth <= b:
                share = 0.0 if b == a else (depth - a) / (b - a)
                return self.moment[i] + share * (self.moment[i + 1] - self.moment[i])
        raise ValueError(f"depth {depth} lies outside the wall")


def hinge_actions(
    diagram: Diagram, depths: Sequence[float], reactions: Sequence[float], H: float
) -> Actions:
    """Return the actions of the statically determinate wall with hinges at rows 2 and below.

    depths: of the rows (m, falling below one another); reactions: of the rows and of subgrade by
    the hinge method (kN/m). Raises DesignError if the reactions do not balance the diagram.
    """
    return _integrated("closed form (hinges at the rows)", diagram, (*depths, H), tuple(reactions))


def continuous_actions(diagram: Diagram, depths: Sequence[float], H: float) -> Actions:
    """Return the actions of the continuous beam on its rows and a support at subgrade.

    Equation of three moments with the exact end slopes of piecewise linear loads; the moment at
    the first row is that of the cantilever above it, the moment at subgrade is nil.
    """
    supports = (*depths, H)
    _refuse_disorder(supports)
    above = -_moment_above(diagram, supports[0])
    moments = [above, *_support_moments(diagram, supports, above), 0.0]
    reactions = _reactions(diagram, supports, moments)
    return _integrated("continuous beam", diagram, supports, reactions)


def _refuse_disorder(supports: Sequence[float]) -> None:
    if any(b - a < 1e-6 for a, b in pairwise(supports)) or supports[0] < 0:
        raise DesignError("rows must follow one another downward and lie above subgrade", "wall")


def _moment_above(diagram: Diagram, depth: float) -> float:
    return -diagram.moment_about(depth, None, depth)


def _pieces(diagram: Diagram, a: float, b: float) -> Iterator[tuple[float, float, float, float]]:
    """Yield the linear pieces of the load between two depths, with the gaps of no load filled."""
    at = a
    part = diagram.clipped(a, b) if diagram.z else diagram
    for z1, z2, p1, p2 in part.segments():
        if z1 > at:
            yield at, z1, 0.0, 0.0
        yield z1, z2, p1, p2
        at = z2
    if b > at:
        yield at, b, 0.0, 0.0


_GAUSS = ((-sqrt(0.6), 5 / 9), (0.0, 8 / 9), (sqrt(0.6), 5 / 9))


def _end_slopes(diagram: Diagram, a: float, b: float) -> tuple[float, float]:
    """Return EI times the slopes at the ends of a simple span under the diagram.

    Three Gauss points integrate (linear load) x (cubic influence line) without error.
    """
    L = b - a
    near = far = 0.0
    for z1, z2, p1, p2 in _pieces(diagram, a, b):
        half = 0.5 * (z2 - z1)
        for xi, weight in _GAUSS:
            x = z1 - a + half * (1 + xi)
            load = weight * half * (p1 + (p2 - p1) * 0.5 * (1 + xi))
            near += load * x * (L - x) * (2 * L - x) / (6 * L)
            far += load * x * (L * L - x * x) / (6 * L)
    return near, far


def _support_moments(diagram: Diagram, supports: Sequence[float], above: float) -> list[float]:
    """Return the moments at rows 2 to n: three diagonals, eliminated downward."""
    L = [b - a for a, b in pairwise(supports)]
    if len(L) < 2:
        return []
    slopes = [_end_slopes(diagram, a, b) for a, b in pairwise(supports)]
    n = len(L) - 1
    right = [-6 * (slopes[i][1] + slopes[i + 1][0]) for i in range(n)]
    right[0] -= L[0] * above
    pivot = [2 * (L[i] + L[i + 1]) for i in range(n)]
    for i in range(1, n):
        share = L[i] / pivot[i - 1]
        pivot[i] -= share * L[i]
        right[i] -= share * right[i - 1]
    moments = [0.0] * n
    moments[-1] = right[-1] / pivot[-1]
    for i in range(n - 2, -1, -1):
        moments[i] = (right[i] - L[i + 1] * moments[i + 1]) / pivot[i]
    return moments


def _reactions(
    diagram: Diagram, supports: Sequence[float], moments: Sequence[float]
) -> tuple[float, ...]:
    """Return the reactions of supports whose moments are known (kN/m)."""
    found = [0.0] * len(supports)
    found[0] = diagram.resultant(None, supports[0])
    for i, (a, b) in enumerate(pairwise(supports)):
        L = b - a
        far = diagram.moment_about(a, a, b) / L
        near = diagram.resultant(a, b) - far
        tilt = (moments[i + 1] - moments[i]) / L
        found[i] += near + tilt
        found[i + 1] += far - tilt
    return tuple(found)


def _integrated(
    title: str, diagram: Diagram, supports: Sequence[float], reactions: Sequence[float]
) -> Actions:
    """Return shear and moment by integrating the load downward, exactly, piece by piece."""
    _refuse_disorder(supports)
    H = supports[-1]
    zs, vs, ms = [0.0], [0.0], [0.0]
    start = 0.0
    V = M = 0.0
    step = H / 80
    for support, reaction in zip(supports, reactions, strict=True):
        for z1, z2, p1, p2 in _pieces(diagram, start, support):
            slope = (p2 - p1) / (z2 - z1)
            for x in _stations(z2 - z1, p1, slope, V, step):
                zs.append(z1 + x)
                vs.append(V - p1 * x - slope * x * x / 2)
                ms.append(M + V * x - p1 * x * x / 2 - slope * x**3 / 6)
            zs[-1] = z2
            V, M = vs[-1], ms[-1]
        V += reaction
        zs.append(support)
        vs.append(V)
        ms.append(M)
        start = support
    scale = max(abs(m) for m in ms)
    if abs(M) > CLOSURE * scale + 1e-9 or abs(V) > CLOSURE * max(abs(v) for v in vs) + 1e-9:
        raise DesignError(
            f"{title}: the reactions leave {{moment per length:{M:.6g}}} and "
            f"{{force per length:{V:.6g}}} at subgrade",
            "wall",
        )
    return Actions(title, tuple(zs), tuple(vs), tuple(ms), tuple(supports), tuple(reactions), M)


def _stations(length: float, p: float, slope: float, V: float, step: float) -> list[float]:
    """Return the places at which a piece is sampled: even steps and its points of zero shear."""
    count = max(1, ceil(length / step))
    even = length / count
    places = [even * (k + 1) for k in range(count)]
    for x in _zero_shear(p, slope, V):
        if 0.0 < x < length and abs(x / even - round(x / even)) > 1e-9:
            places.append(x)
    return sorted(places)


def _zero_shear(p: float, slope: float, V: float) -> tuple[float, ...]:
    """Return the roots of V - p x - slope x^2 / 2."""
    if abs(slope) < 1e-12:
        return (V / p,) if p else ()
    inside = p * p + 2 * slope * V
    if inside < 0.0:
        return ()
    # The sign that avoids a difference of near-equal numbers; the other root by their product.
    q = -(p + (sqrt(inside) if p >= 0 else -sqrt(inside)))
    return (q / slope, -2 * V / q) if q else (0.0,)
