"""The block of ground behind a wall: what lies on a plane through it, and what presses on its sides.

Depths z in m below the top of wall, x behind it, forces in kN per m of wall. Weight, pore
pressure and strength change linearly between the places where the plane or the surface crosses a
layer, a water level or the edge of a load, so the sums are exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan, hypot, inf, tan

from backstay.anchors.geometry import Point, surface_depth
from backstay.errors import DesignError
from backstay.ground import GAMMA_W, Layer, Profile
from backstay.model.loads import Surcharge, Uniform
from backstay.pressure.lateral import acts_undrained, limit_diagram
from backstay.pressure.slices import Strength
from backstay.pressure.wedge import active_wedge

Load = tuple[float, float, float]
"""A load on the surface: from x, to x (m), and pressure (kPa)."""


@dataclass(frozen=True, slots=True)
class OnPlane:
    """What stands on one plane: weight with loads, pore water force, cohesion force, friction."""

    G: float
    U: float
    C: float
    phi: float
    layers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Thrust:
    """Active force on a vertical side: horizontal, and downward on the side (kN/m)."""

    horizontal: float
    vertical: float
    method: str


def weight_above(ground: Profile, z_s: float, z: float) -> float:
    """Return the weight on depth z of the ground (and standing water) below surface z_s (kPa)."""
    water = ground.water
    weight = GAMMA_W * (z_s - water) if water < z_s else 0.0
    for i, layer in enumerate(ground.layers):
        a, b = max(-inf if i == 0 else layer.top, z_s), min(layer.bottom, z)
        if b <= a:
            continue
        wet = max(0.0, b - max(a, water))
        wet += sum(max(0.0, min(b, base, water) - max(a, level)) for level, base in ground.perched)
        weight += layer.gamma * (b - a - wet) + layer.gamma_sat * wet
    return weight


def on_plane(
    ground: Profile, start: Point, end: Point, loads: Sequence[Load], strength: Strength
) -> OnPlane:
    """Return what stands on the plane from `start` up (or down) to `end`, per m of wall.

    Friction is averaged by the effective weight that each part carries. Raises DesignError where
    a layer has no strength, or water lifts the block off the plane.
    """
    (xa, za), (xb, zb) = start, end
    rise = (zb - za) / (xb - xa)
    factor = hypot(1.0, rise)
    G = U = C = carried = friction = 0.0
    names: dict[str, None] = {}
    for x1, x2 in pairwise(_breaks(ground, start, end, loads)):
        x = 0.5 * (x1 + x2)
        z, dx = za + rise * (x - xa), x2 - x1
        z_s = surface_depth(ground, x)
        if z <= z_s:
            raise DesignError("the plane comes out of the ground before the middle of the bond")
        layer = ground.layer_at(z)
        names[layer.name] = None
        weight = weight_above(ground, z_s, z) * dx
        weight += sum(q * dx for a, b, q in loads if a < x < b)
        G += weight
        if acts_undrained(layer, strength):
            C += max(0.0, layer.su_at(z)) * dx * factor
            carried += weight
            continue
        u = ground.hydrostatic(z)
        U += u * dx * factor
        C += layer.c * dx * factor
        carried += weight - u * dx
        friction += tan(layer.phi or 0.0) * (weight - u * dx)
    if carried <= 0.0:
        raise DesignError("water carries the block: no effective weight stands on the plane")
    return OnPlane(G, U, C, atan(max(0.0, friction) / carried), tuple(names))


def _breaks(ground: Profile, start: Point, end: Point, loads: Sequence[Load]) -> list[float]:
    (xa, za), (xb, zb) = start, end
    depths = {layer.top for layer in ground.layers[1:]} | {ground.water}
    depths |= {z for pair in ground.perched for z in pair}
    depths.discard(inf)
    marks = {xa, xb, *(x for x, _ in ground.surface), *(x for a, b, _ in loads for x in (a, b))}
    if zb != za:
        marks |= {xa + (z - za) * (xb - xa) / (zb - za) for z in depths}
    inside = sorted({xa, xb} | {x for x in marks if xa < x < xb})
    more: list[float] = []
    for x1, x2 in pairwise(inside):  # where the surface itself crosses a level
        s1, s2 = surface_depth(ground, x1), surface_depth(ground, x2)
        more += [
            x1 + (z - s1) * (x2 - x1) / (s2 - s1)
            for z in depths
            if min(s1, s2) < z < max(s1, s2)
        ]  # fmt: skip
    return sorted({*inside, *more})


def behind(ground: Profile, x: float) -> Profile:
    """Return the ground as seen from a vertical at x behind the wall, its surface there at 0."""
    z_s = surface_depth(ground, x)
    layers: list[Layer] = []
    for i, layer in enumerate(ground.layers):
        if layer.bottom <= z_s:
            continue
        top = layer.top - z_s
        if not layers and i == 0 and top > 0.0:
            su = None if layer.su is None else max(0.0, layer.su - layer.su_gradient * top)
            layer = replace(layer, top=0.0, bottom=layer.bottom - z_s, su=su)  # ground up to it
        else:
            layer = replace(layer, top=top, bottom=layer.bottom - z_s)
        layers.append(layer)
    surface: list[Point] = [(0.0, 0.0)]
    surface += [(px - x, pz - z_s) for px, pz in ground.surface if px > x + 1e-9]
    return replace(
        ground, H=ground.H - z_s, layers=tuple(layers), water=ground.water - z_s,
        water_cut=ground.water_cut - z_s, surface=tuple(surface), flow="hydrostatic",
        slope=ground.slope if len(ground.surface) == 1 else 0.0,
        perched=tuple((a - z_s, b - z_s) for a, b in ground.perched),
    )  # fmt: skip


def smooth(ground: Profile) -> Profile:
    """Return the ground with nil friction on vertical sides."""
    return replace(
        ground, layers=tuple(replace(layer, wall_friction_ratio=0.0) for layer in ground.layers)
    )


def active_thrust(
    ground: Profile, depth: float, q: float, local: Sequence[Surcharge], strength: Strength
) -> Thrust:
    """Return the active force on the vertical from the surface at 0 down to `depth`.

    q: on the whole surface (kPa); local: strip and line loads behind. By the coefficients where
    the surface is plane; with local loads or another surface by the wedge that pushes most, not
    less than the coefficients give without the local loads.
    """
    level = len(ground.surface) == 1 and ground.slope == 0.0
    drained = [
        layer
        for layer, _, _ in ground.layers_between(0.0, depth)
        if not acts_undrained(layer, strength)
    ]
    sloped = (
        len(ground.surface) == 1
        and len(drained) == len(ground.layers_between(0.0, depth))
        and all((layer.phi or 0.0) > ground.slope for layer in drained)
    )
    plain: Thrust | None = None
    if level or sloped:
        diagram = limit_diagram(ground, "active", to=depth, strength=strength, surcharge=q)
        vertical = 0.0
        for layer, a, b in ground.layers_between(0.0, depth):
            if not acts_undrained(layer, strength):
                friction = layer.wall_friction_ratio * (layer.phi or 0.0)
                vertical += diagram.resultant(a, b) * tan(friction)
        plain = Thrust(diagram.resultant(), vertical, "area of the active pressure, layer by layer")
        if not local:
            return plain
    loads: list[Surcharge] = list(local)
    if q:
        loads.append(Uniform.model_construct(kind="uniform", name="surcharge", pressure=q))
    wedge = active_wedge(ground, z_base=depth, surcharges=loads, strength=strength)
    if plain is not None and plain.horizontal >= wedge.thrust:
        return plain
    steepest = max((la.wall_friction_ratio * (la.phi or 0.0) for la in drained), default=0.0)
    return Thrust(
        wedge.thrust, wedge.thrust * tan(steepest),
        f"{wedge.method}; inclined at the largest wall friction of its layers, loads included",
    )  # fmt: skip


def water_force(ground: Profile, depth: float, strength: Strength) -> float:
    """Return the water force on the vertical from the surface at 0 down to `depth` (kN/m).

    In ground that acts undrained the total pressure holds it already: nil there.
    """
    force = 0.0
    start = min(0.0, ground.water)
    for a, b in pairwise(ground.boundaries(start, depth)):
        z = 0.5 * (a + b)
        if z < 0.0 or not acts_undrained(ground.layer_at(z), strength):
            force += ground.hydrostatic(z) * (b - a)
    return force
