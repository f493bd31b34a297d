"""Pressure on the wall from loads on or in the ground behind it.

Uniform loads press with the coefficient of each stratum. Strips, lines, points and footings press
as on a rigid wall that does not yield: twice the elastic solution, or the fitted forms of
NAVFAC DM-7.02. Loads founded below the surface act from their own level down.
"""

from __future__ import annotations

from collections.abc import Callable
from math import atan, cos, pi, sin, sqrt

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
    return 4 / pi * m**2 * n / (m**2 + n**2) ** 2 * Q / H


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


@formula("sigma_h", Citation("superposition", "four rectangles, doubled for a rigid wall", "formula"))
def footing_pressure(q: Stress, z: Length, a: Length, b: Length, L: Length) -> Stress:
    """Horizontal pressure of a footing, opposite its middle.

    q: load; z: depth below the underside; a: distance to the near edge
    b: distance to the far edge; L: length along the wall
    """
    return 4 * q * (corner_influence(b, L / 2, z) - corner_influence(a, L / 2, z))


def surcharge_diagram(
    surcharge: Surcharge, section: Section, ground: Profile, *, to: float | None = None
) -> Diagram:
    """Return the pressure diagram of a surcharge from its level down to `to` (default subgrade).

    Curves are sampled so that the area of the diagram is within 0.5 % of the exact resultant.
    """
    bottom = ground.H if to is None else to
    name = f"{surcharge.name} ({surcharge.acts})"
    if isinstance(surcharge, Uniform | Traffic):
        return _uniform(surcharge, ground, name, bottom)
    elevation = surcharge.elevation
    start = max(0.0, section.depth(elevation)) if elevation is not None else _surface(surcharge, ground)
    if start >= bottom:
        remark(f"{surcharge.name} stands below the bottom of the diagram and presses on nothing here.")
        return Diagram(name, (0.0, bottom), (0.0, 0.0))
    pressure = _curve(surcharge, ground.H - start if ground.H > start else bottom - start)
    depths = _depths(start, bottom)
    with untraced():
        values = [0.0, *(pressure(z - start) for z in depths[1:])]
    peak = max(range(len(values)), key=lambda k: values[k])
    if peak:
        pressure(depths[peak] - start)
        state(
            "z", f"depth of the greatest pressure of {surcharge.name}", depths[peak], "length",
            method=f"largest of {len(depths)} depths",
        )  # fmt: skip
    lead = ((0.0,), (0.0,)) if start > 0.0 else ((), ())
    return Diagram(name, (*lead[0], *depths), (*lead[1], *values))


def coefficient_for_uniform(layer: Layer) -> float:
    """Return the coefficient by which a uniform load presses in a layer.

    Soft clay, undrained, passes the whole load on (K = 1); other ground its active share; ground
    without an angle of friction is taken as K = 1.
    """
    if layer.kind == "soft clay" or layer.phi is None:
        return state(
            "K", f"coefficient for uniform load in {layer.name}", 1.0, "ratio",
            method="undrained: the load is carried by the water at first", cite=_UNIFORM,
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
    """Return the depth at which a load on the surface acts: never above the top of wall."""
    return max(0.0, surface_depth(ground, load.distance))


def surface_depth(ground: Profile, x: float) -> float:
    """Return the depth of the retained ground's surface at a distance behind the wall (m)."""
    points = ground.surface
    if len(points) == 1:
        return points[0][1] - sin(ground.slope) / cos(ground.slope) * (x - points[0][0])
    for (x1, z1), (x2, z2) in zip(points, points[1:], strict=False):
        if x <= x2:
            return z1 + (z2 - z1) * (x - x1) / (x2 - x1) if x2 > x1 else z2
    return points[-1][1]


def _curve(load: Strip | Line | Point | Footing, height: float) -> Callable[[float], float]:
    match load:
        case Strip():
            return lambda z: strip_pressure(load.pressure, z, load.distance, load.distance + load.width)
        case Line():
            return lambda z: line_pressure(load.load, z, load.distance, height)
        case Point():
            return lambda z: point_pressure(load.load, z, load.distance, height)
        case Footing():
            return lambda z: footing_pressure(
                load.pressure, z, load.distance, load.distance + load.width, load.length
            )


def _depths(start: float, bottom: float, count: int = 64) -> tuple[float, ...]:
    """Return depths closer together near the load, where pressures change fastest."""
    return tuple(start + (bottom - start) * (k / count) ** 1.8 for k in range(count + 1))


