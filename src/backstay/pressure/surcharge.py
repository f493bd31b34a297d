"""Pressure on the wall from loads on or in the ground behind it.

Uniform loads press with the coefficient of each stratum. Strips, lines, points and footings press
as on a rigid wall that does not yield: twice the elastic solution, or the fitted forms of
NAVFAC DM-7.02. Loads founded below the surface act from their own level down.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import atan, cos, pi, sin, sqrt, tan

from backstay.cite import Citation, common_practice
from backstay.ground import Layer, Profile
from backstay.model.loads import Footing, Line, Point, Strip, Surcharge, Traffic, Uniform
from backstay.model.project import Section
from backstay.pressure.diagram import Diagram
from backstay.pressure.rankine import rankine_active
from backstay.quantity import Angle, Force, ForcePerLength, Length, Ratio, Stress
from backstay.trace import formula, remark, state, untraced

BOUSSINESQ = Citation("Boussinesq 1885", "doubled for a wall that does not yield", "formula")
DM7 = Citation("NAVFAC DM-7.02 (1986)", "figure 11, horizontal pressures on rigid wall", "memory")
HOLL = Citation("Holl 1940", "corner of a loaded rectangle, Poisson's ratio 0.5", "memory")
_AREA_ERROR = 2e-3
_MOST_PIECES = 200
_UNIFORM = common_practice("uniform load times the coefficient of the stratum")


@formula("sigma_h", _UNIFORM)
def uniform_pressure(K: Ratio, q: Stress) -> Stress:
    """Horizontal pressure of a uniform load.

    K: coefficient of the stratum; q: load
    """
    return K * q


@formula("sigma_h", BOUSSINESQ)
def strip_pressure(q: Stress, z: Length, a: Length, b: Length) -> Stress:
    """Horizontal pressure of a strip parallel to the wall.

    q: load; z: depth below the loaded face; a: distance to the near edge
    b: distance to the far edge
    """
    near: Angle = atan(a / z)
    far: Angle = atan(b / z)
    return 2 * q / pi * (far - near - sin(far - near) * cos(far + near))


@formula("sigma_h", DM7)
def line_pressure(Q: ForcePerLength, z: Length, x: Length, H: Length) -> Stress:
    """Horizontal pressure of a line load parallel to the wall.

    Q: load per length; z: depth below the load; x: distance of the load
    H: height from the load to subgrade
    """
    m: Ratio = x / H
    n: Ratio = z / H
    if m <= 0.4:
        return 0.203 * n / (0.16 + n**2) ** 2 * Q / H
    return 1.28 * m**2 * n / (m**2 + n**2) ** 2 * Q / H


@formula("sigma_h", DM7)
def point_pressure(Q: Force, z: Length, x: Length, H: Length) -> Stress:
    """Horizontal pressure of a point load, in the plane square to the wall through it.

    Q: load; z: depth below the load; x: distance of the load
    H: height from the load to subgrade
    """
    m: Ratio = x / H
    n: Ratio = z / H
    if m <= 0.4:
        return 0.28 * n**2 / (0.16 + n**2) ** 3 * Q / H**2
    return 1.77 * m**2 * n**2 / (m**2 + n**2) ** 3 * Q / H**2


@formula("I_x", HOLL)
def corner_influence(x: Length, y: Length, z: Length) -> Ratio:
    """Horizontal stress under the corner of a rectangle, over its load, elastic.

    x: side across the wall; y: side along the wall; z: depth below the loaded face
    """
    R_1: Length = sqrt(x**2 + z**2)
    R_3: Length = sqrt(x**2 + y**2 + z**2)
    return (atan(x * y / (z * R_3)) - x * y * z / (R_1**2 * R_3)) / (2 * pi)


@formula(
    "sigma_h", Citation("superposition", "four rectangles, doubled for a rigid wall", "formula")
)
def footing_pressure(q: Stress, z: Length, a: Length, b: Length, L: Length) -> Stress:
    """Horizontal pressure of a footing, opposite its middle.

    q: load; z: depth below the underside; a: distance to the near edge
    b: distance to the far edge; L: length along the wall
    """
    return 4 * q * (corner_influence(b, L / 2, z) - corner_influence(a, L / 2, z))


def surcharge_diagram(
    surcharge: Surcharge, section: Section, ground: Profile, *, to: float | None = None
) -> Diagram:
    """Return the pressure diagram of a surcharge from the top of wall to `to` (default subgrade).

    A load founded below the surface presses from its own level down; one on ground above the top
    of wall is taken at the top. Point loads and footings are those opposite their middle: along
    the wall the pressure falls off. Curves are drawn by straight pieces, refined until their area
    is within 0.2 % of what twice as many pieces would give.
    """
    bottom = ground.H if to is None else to
    name = f"{surcharge.name} ({surcharge.acts})"
    if isinstance(surcharge, Uniform | Traffic):
        return _uniform(surcharge, ground, name, bottom)
    elevation = surcharge.elevation
    start = max(0.0, _surface(surcharge, ground) if elevation is None else section.depth(elevation))
    if start >= min(bottom, ground.H):
        remark(f"{surcharge.name} stands at or below the bottom of the cut and does not press.")
        return Diagram(name, (0.0, bottom), (0.0, 0.0))
    height = ground.H - start
    pressure = _curve(surcharge, height)
    depths, values, missing = _refined(pressure, bottom - start)
    peak = max(range(len(values)), key=values.__getitem__)
    if depths[peak] > 0.0:
        pressure(depths[peak])
        state(
            "z", f"Depth of the greatest pressure of {surcharge.name}", start + depths[peak],
            "length",
            method=f"greatest of {len(depths)} depths; area known to {missing:.0e} of itself",
        )  # fmt: skip
    if isinstance(surcharge, Point | Footing):
        remark(
            f"{surcharge.name}: the pressure opposite its middle is taken along the whole wall,"
            " although it falls off to either side."
        )
    z = [start + d for d in depths]
    p = list(values)
    if start > 0.0:
        z, p = [0.0, start, *z], [0.0, 0.0, *p]
    return Diagram(name, tuple(z), tuple(p))


def coefficient_for_uniform(layer: Layer) -> float:
    """Return the coefficient by which a uniform load presses in a layer.

    Soft clay passes the whole load on (K = 1), since its water carries it at first; ground
    without an angle of friction is taken as K = 1 as well; other ground passes its active share.
    """
    if layer.kind == "soft clay" or layer.phi is None:
        return state(
            "K", f"Coefficient for uniform load in {layer.name}", 1.0, "ratio",
            method="soft clay, undrained: its water carries the load at first"
            if layer.kind == "soft clay"
            else "no angle of friction is given",
            cite=_UNIFORM,
        )  # fmt: skip
    return rankine_active(layer.phi)


def _uniform(load: Uniform | Traffic, ground: Profile, name: str, bottom: float) -> Diagram:
    z: list[float] = []
    p: list[float] = []
    for layer, top, base in ground.layers_between(0.0, bottom):
        value = uniform_pressure(coefficient_for_uniform(layer), load.pressure)
        z += [top, base]
        p += [value, value]
    return Diagram(name, tuple(z), tuple(p))


def _surface(load: Strip | Line | Point | Footing, ground: Profile) -> float:
    """Return the depth of the ground under the near edge of a load on the surface."""
    return surface_depth(ground, load.distance)


def surface_depth(ground: Profile, x: float) -> float:
    """Return the depth of the retained ground's surface at a distance behind the wall (m)."""
    points = ground.surface
    if len(points) == 1:
        return points[0][1] - tan(ground.slope) * (x - points[0][0])
    for (x1, z1), (x2, z2) in pairwise(points):
        if x <= x2:
            return z1 + (z2 - z1) * (x - x1) / (x2 - x1) if x2 > x1 else z2
    return points[-1][1]


def _curve(load: Strip | Line | Point | Footing, height: float) -> Callable[[float], float]:
    match load:
        case Strip():
            return lambda z: strip_pressure(
                load.pressure, z, load.distance, load.distance + load.width
            )
        case Line():
            return lambda z: line_pressure(load.load, z, load.distance, height)
        case Point():
            return lambda z: point_pressure(load.load, z, load.distance, height)
        case Footing():
            return lambda z: footing_pressure(
                load.pressure, z, load.distance, load.distance + load.width, load.length
            )


def _refined(
    pressure: Callable[[float], float], length: float
) -> tuple[list[float], list[float], float]:
    """Return depths, pressures and the relative error of the area, by halving where it curves.

    The error of a piece is what its two halves would change: for a smooth curve halving divides
    it by eight, so the sum of what is left bounds the error of the area.
    """
    with untraced():
        ends = [1e-9 * length, *(length * (k / 8) ** 2 for k in range(1, 9))]
        f = [pressure(z) for z in ends]
        pieces = [_piece(pressure, *pair) for pair in pairwise(zip(ends, f, strict=True))]
        for _ in range(_MOST_PIECES):
            area = sum(0.5 * (a[1] + b[1]) * (b[0] - a[0]) for _, a, _, b in pieces)
            error = sum(abs(e) for e, *_ in pieces)
            if error <= _AREA_ERROR * abs(area):
                break
            worst = max(range(len(pieces)), key=lambda k: abs(pieces[k][0]))
            _, a, middle, b = pieces[worst]
            pieces[worst : worst + 1] = [_piece(pressure, a, middle), _piece(pressure, middle, b)]
    depths = [0.0, *(b[0] for *_, b in pieces)]
    values = [pieces[0][1][1], *(b[1] for *_, b in pieces)]
    return depths, values, error / abs(area) if area else 0.0


_At = tuple[float, float]


def _piece(pressure: Callable[[float], float], a: _At, b: _At) -> tuple[float, _At, _At, _At]:
    """Return (what halving changes in the area, start, middle, end) of a piece of a curve."""
    z = 0.5 * (a[0] + b[0])
    middle = pressure(z)
    return (middle - 0.5 * (a[1] + b[1])) * (b[0] - a[0]) / 2, a, (z, middle), b
