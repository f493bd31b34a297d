"""The general active wedge: any surface, layers, water, loads and earthquake behind a vertical wall.

A plane rises from the foot of the wall to the ground. The wedge above it is cut into vertical
slices at every change of layer, water, surface or load. On each slice the strength is that of the ground
at the plane; forces between slices and on the wall are inclined at the angle of wall friction. The
horizontal push of each slice then follows from its own equilibrium, and the sum is the push of the
wedge. A push that would be tension (cohesive ground near the surface) is not counted: the crack
is open. The plane is turned until the push is greatest. For one stratum with a plane surface this is
Coulomb's wedge exactly; for cohesive ground with a smooth wall it is Rankine's with the crack open.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, cos, inf, radians, sin, sqrt, tan
from typing import Literal

from backstay.errors import DesignError
from backstay.ground import GAMMA_W, Layer, Profile
from backstay.model.loads import Line, Strip, Surcharge, Traffic, Uniform
from backstay.trace import state

Strength = Literal["drained", "undrained"]


@dataclass(frozen=True, slots=True)
class ActiveWedge:
    """The wedge that pushes most.

    thrust: horizontal push of the ground per length of wall, water apart (kN/m); angle: of the plane
    from horizontal (rad); points: (x, z) from the foot of the wall to the ground; tried: planes
    tried; residual: change of thrust over the last step of the search, relative.
    """

    thrust: float
    angle: float
    points: tuple[tuple[float, float], ...]
    tried: int
    residual: float

    @property
    def method(self) -> str:
        """Return how it was found, with the residual."""
        return (
            f"greatest push of {self.tried} plane wedges; last change of the search "
            f"{self.residual:.0e} of the push"
        )


@dataclass(slots=True)
class _Ground:
    """What does not change from plane to plane."""

    xs: list[float]
    zs: list[float]
    last_slope: float
    layers: tuple[Layer, ...]
    bounds: list[float]
    water: float
    weights: list[tuple[float, float, float, float]]
    strength: Strength
    friction: float | None
    base: float
    kh: float
    kv: float
    loads: Sequence[tuple[float, float, float]]
    lines: Sequence[tuple[float, float]]

    def surface(self, x: float) -> float:
        if x >= self.xs[-1]:
            return self.zs[-1] - self.last_slope * (x - self.xs[-1])
        i = bisect_right(self.xs, x) - 1
        x1, x2, z1, z2 = self.xs[i], self.xs[i + 1], self.zs[i], self.zs[i + 1]
        return z1 + (z2 - z1) * (x - x1) / (x2 - x1)


def active_wedge(
    ground: Profile,
    *,
    z_base: float,
    surcharges: Sequence[Surcharge] = (),
    delta: float | None = None,
    strength: Strength = "drained",
    kh: float = 0.0,
    kv: float = 0.0,
) -> ActiveWedge:
    """Return the active wedge from the foot of the wall at depth z_base.

    surcharges: uniform, traffic, strip and line loads on the surface that stand on the wedge;
    delta: angle of wall friction (rad), default each layer's own ratio times its phi;
    strength: "undrained" takes su where a layer has it; kh, kv: pseudo-static coefficients.

    Raises DesignError where a layer has no strength to take, or no plane reaches the ground.
    """
    made = _prepared(ground, z_base, surcharges, delta, strength, kh, kv)
    lowest = max(radians(12), atan(max(_steepest(made), 0.0)) + 1e-3)
    coarse = [lowest + (radians(89) - lowest) * k / 16 for k in range(17)]
    pushes = [_push(made, a) for a in coarse]
    tried = len(coarse)
    best = max(range(len(coarse)), key=lambda k: pushes[k])
    low, high = coarse[max(best - 1, 0)], coarse[min(best + 1, len(coarse) - 1)]
    ratio = (sqrt(5) - 1) / 2
    a, b = high - ratio * (high - low), low + ratio * (high - low)
    fa, fb = _push(made, a), _push(made, b)
    last = max(fa, fb)
    residual = 1.0
    while high - low > 2e-5:
        if fa >= fb:
            high, b, fb = b, a, fa
            a = high - ratio * (high - low)
            fa = _push(made, a)
        else:
            low, a, fa = a, b, fb
            b = low + ratio * (high - low)
            fb = _push(made, b)
        tried += 1
        residual = abs(max(fa, fb) - last) / last if last > 0 else 0.0
        last = max(fa, fb)
    angle, thrust = (a, fa) if fa >= fb else (b, fb)
    if pushes[best] > thrust:
        angle, thrust = coarse[best], pushes[best]
    return ActiveWedge(thrust, angle, ((0.0, z_base), _exit(made, angle)), tried, residual)


def state_wedge(wedge: ActiveWedge) -> None:
    """Record the wedge in the open trace."""
    state("alpha", "angle of the critical plane from horizontal", wedge.angle, "angle", method=wedge.method)
    state("P_a", "horizontal push of the active wedge, water apart", wedge.thrust, "force per length",
          method=wedge.method)  # fmt: skip


def _prepared(
    ground: Profile, z_base: float, surcharges: Sequence[Surcharge], delta: float | None,
    strength: Strength, kh: float, kv: float,
) -> _Ground:  # fmt: skip
    if z_base <= 0.0:
        raise DesignError("the foot of the wedge must lie below the top of wall")
    for layer, _, _ in ground.layers_between(0.0, z_base):
        undrained = strength == "undrained" and layer.su is not None
        if layer.phi is None and not undrained:
            raise DesignError("there is no angle of friction to take for the wedge", f"stratum {layer.name}")
    xs = [x for x, _ in ground.surface]
    zs = [z for _, z in ground.surface]
    slope = tan(ground.slope) if len(xs) == 1 else 0.0
    loads: list[tuple[float, float, float]] = []
    lines: list[tuple[float, float]] = []
    for load in surcharges:
        match load:
            case Uniform() | Traffic():
                loads.append((0.0, inf, load.pressure))
            case Strip():
                loads.append((load.distance, load.distance + load.width, load.pressure))
            case Line():
                lines.append((load.distance, load.load))
            case _:
                raise DesignError(f"the wedge cannot carry a load of kind {load.kind}", load.name)
    bounds = sorted({*(layer.top for layer in ground.layers[1:]), ground.water} - {inf})
    weights = []
    for layer in ground.layers:
        top = -inf if layer is ground.layers[0] else layer.top
        weights.append((top, layer.bottom, layer.gamma, layer.gamma_sat))
    return _Ground(
        xs, zs, slope, ground.layers, bounds, ground.water, weights, strength, delta, z_base,
        kh, kv, loads, lines,
    )  # fmt: skip


def _steepest(g: _Ground) -> float:
    """Return the slope that the plane must exceed to come out at the ground: of the last reach."""
    return g.last_slope


def _exit(g: _Ground, angle: float) -> tuple[float, float]:
    """Return where the plane comes out at the ground."""
    t = tan(angle)
    for i in range(len(g.xs) - 1):
        x1, x2 = g.xs[i], g.xs[i + 1]
        gap1 = g.base - x1 * t - g.zs[i]
        gap2 = g.base - x2 * t - g.zs[i + 1]
        if gap2 <= 0.0:
            x = x1 + (x2 - x1) * gap1 / (gap1 - gap2)
            return x, g.base - x * t
    gap = g.base - g.xs[-1] * t - g.zs[-1]
    x = g.xs[-1] + gap / (t - g.last_slope)
    return x, g.base - x * t


def _push(g: _Ground, angle: float) -> float:
    """Return the horizontal push of the wedge above one plane (kN/m)."""
    t, s, c = tan(angle), sin(angle), cos(angle)
    end, _ = _exit(g, angle)
    marks = {0.0, end, *(x for x in g.xs if 0.0 < x < end)}
    for z in g.bounds:
        x = (g.base - z) / t
        if 0.0 < x < end:
            marks.add(x)
        marks.update(x for x in _crossings(g, z, end))
    for x1, x2, _ in g.loads:
        marks.update(x for x in (x1, x2) if 0.0 < x < end)
    xs = sorted(marks, reverse=True)
    push = 0.0
    for far, near in zip(xs, xs[1:], strict=False):
        middle = 0.5 * (far + near)
        layer = _layer(g, g.base - middle * t)
        e_far = _density(g, layer, far - 1e-12 * (far - near), t, s, c, middle)
        e_near = _density(g, layer, near, t, s, c, middle)
        push = _accumulated(push, e_far, e_near, far - near)
        for x, load in g.lines:
            if near <= x < far:
                push += load * _share(g, layer, s, c)
    return max(push, 0.0)


def _accumulated(push: float, e1: float, e2: float, width: float) -> float:
    """Add a slice of linearly varying push, never letting the sum fall below nil (open crack)."""
    whole = push + 0.5 * (e1 + e2) * width
    if e1 >= 0.0 or push > 0.0:
        lowest = whole
        if e1 < 0.0 < e2:
            lowest = push - 0.5 * e1 * e1 * width / (e2 - e1)
        if lowest >= 0.0 or e2 <= 0.0:
            return max(whole, 0.0)
    if e2 <= 0.0:
        return 0.0
    return 0.5 * e2 * e2 * width / (e2 - e1)


def _layer(g: _Ground, z: float) -> Layer:
    for layer in g.layers[:-1]:
        if z < layer.bottom:
            return layer
    return g.layers[-1]


def _crossings(g: _Ground, z: float, end: float) -> list[float]:
    """Return where the surface crosses a level."""
    found = []
    for i in range(len(g.xs) - 1):
        z1, z2 = g.zs[i], g.zs[i + 1]
        if (z1 - z) * (z2 - z) < 0.0:
            found.append(g.xs[i] + (g.xs[i + 1] - g.xs[i]) * (z - z1) / (z2 - z1))
    if g.last_slope and (g.zs[-1] - z) / g.last_slope > 0.0:
        found.append(g.xs[-1] + (g.zs[-1] - z) / g.last_slope)
    return [x for x in found if 0.0 < x < end]


def _density(
    g: _Ground, layer: Layer, x: float, t: float, s: float, c: float, middle: float
) -> float:
    """Return the push per horizontal length of a slice at x (kN/m per m)."""
    plane, top = g.base - x * t, g.surface(x)
    weight = 0.0
    for z1, z2, moist, wet in g.weights:
        a, b = max(z1, top), min(z2, plane)
        if b > a:
            below = max(0.0, b - max(a, g.water))
            weight += moist * (b - a - below) + wet * below
    weight += sum(q for x1, x2, q in g.loads if x1 <= middle < x2)
    load = weight * (1.0 - g.kv)
    undrained = g.strength == "undrained" and layer.su is not None
    length = 1.0 / c
    if undrained:
        friction, cohesion, u, wall = 0.0, layer.su_at(plane), 0.0, 0.0
    else:
        friction = tan(layer.phi or 0.0)
        cohesion = layer.c
        u = GAMMA_W * max(0.0, plane - g.water) if g.water < inf else 0.0
        ratio = layer.wall_friction_ratio * (layer.phi or 0.0)
        wall = tan(ratio if g.friction is None else g.friction)
    # vertical: load = N c + u + T s + dE tan(delta); horizontal: dE = N s - T c + kh W
    # T = cohesion L + N tan(phi); N is the effective normal force, u per horizontal length
    gain, loss = s - friction * c, cohesion * length * c
    quake = g.kh * weight
    normal = (load - u - cohesion * length * s + (loss - quake) * wall) / (
        c + friction * s + gain * wall
    )
    return normal * gain - loss + quake


def _share(g: _Ground, layer: Layer, s: float, c: float) -> float:
    """Return the push per unit of a concentrated load on the wedge."""
    undrained = g.strength == "undrained" and layer.su is not None
    friction = 0.0 if undrained else tan(layer.phi or 0.0)
    ratio = layer.wall_friction_ratio * (layer.phi or 0.0)
    wall = 0.0 if undrained else tan(ratio if g.friction is None else g.friction)
    gain = s - friction * c
    return gain / (c + friction * s + gain * wall)


