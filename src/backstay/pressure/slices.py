"""Trial wedges by slices: the push (or resistance) of the ground above one plane through the foot.

A plane rises from the foot of a vertical wall. The ground above it is cut into vertical slices
wherever layer, water, surface or load change, so that every force varies linearly within a slice.
Each slice is in equilibrium under its weight and loads, the effective normal force and the
strength of the ground on its base, pore pressure on base and sides, and the difference of the
forces on its sides, which is inclined at the angle of wall friction of the stratum at its base:

    vertical    N cos(a) + T sin(a) + u + E tan(delta) = (1 - kv) W
    horizontal  E = N sin(a) - T cos(a) + kh W,     T = c L + N tan(phi)

for the active wedge; the passive wedge has T and the wall friction reversed. With water at rest
the pore pressure on the base balances its difference on the sides horizontally, so E is the
effective thrust where strength is drained; where it is undrained, E is a total thrust (u = 0).
For one stratum with plane ground the sum of E is Coulomb's thrust exactly.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, inf, sin, tan
from typing import Literal

from backstay.errors import DesignError
from backstay.ground import GAMMA_W, Layer, Profile
from backstay.model.loads import Line, Strip, Surcharge, Traffic, Uniform

Strength = Literal["drained", "undrained"]
Strong = Literal["holds the rest", "stands by itself"]
"""What a slice does whose strength exceeds its own push: take off the push of the others, or not."""


@dataclass(frozen=True, slots=True)
class _Base:
    """The strength on a plane in one layer: c is that at z = 0 and grows by `gradient` per metre."""

    tan_phi: float
    c: float
    gradient: float
    wall: float
    undrained: bool


@dataclass(frozen=True, slots=True)
class Sliced:
    """What does not change from plane to plane. x outward from the wall, z down (m).

    sign: 1 active, -1 passive; last: slope beyond the last point of the surface; tops: of the
    layers, the first without end; weights: (from, to, unit weight), moist or saturated; bounds:
    depths where something changes; loads: (from, to, pressure); lines: (x, load per length).
    """

    sign: float
    foot: float
    xs: tuple[float, ...]
    zs: tuple[float, ...]
    last: float
    bases: tuple[_Base, ...]
    tops: tuple[float, ...]
    weights: tuple[tuple[float, float, float], ...]
    bounds: tuple[float, ...]
    water: float
    perched: tuple[tuple[float, float], ...]
    loads: tuple[tuple[float, float, float], ...]
    lines: tuple[tuple[float, float], ...]
    kh: float
    kv: float
    strong: Strong

    @classmethod
    def of(
        cls,
        ground: Profile,
        foot: float,
        *,
        sign: float,
        surface: Sequence[tuple[float, float]],
        slope: float,
        water: float,
        perched: tuple[tuple[float, float], ...],
        surcharges: Sequence[Surcharge],
        delta: float | None,
        strength: Strength,
        kh: float = 0.0,
        kv: float = 0.0,
        strong: Strong = "holds the rest",
    ) -> Sliced:
        """Prepare a wedge; raise DesignError where a layer has no strength to take."""
        top = surface[0][1]
        if foot <= top:
            raise DesignError("the foot of the wedge must lie below the ground surface", "wedge")
        for layer, _, _ in ground.layers_between(top, foot):
            if layer.phi is None and not _is_undrained(layer, strength):
                raise DesignError(
                    "there is no angle of friction to take for the wedge",
                    f"stratum {layer.name}",
                )
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
                    raise DesignError(
                        f"a plane wedge cannot carry a {load.kind} load: it is local", load.name
                    )
        marks = {layer.top for layer in ground.layers[1:]} | {water}
        marks |= {z for pair in perched for z in pair}
        tops = (-inf, *(layer.top for layer in ground.layers[1:]))
        weights = _weights(ground, tops, water, perched)
        return cls(
            sign, foot, tuple(x for x, _ in surface), tuple(z for _, z in surface), tan(slope),
            tuple(_base(layer, strength, delta) for layer in ground.layers), tops, weights,
            tuple(sorted(z for z in marks if z < inf)), water, perched, tuple(loads),
            tuple(lines), kh, kv, strong,
        )  # fmt: skip

    def loaded(self, q: float) -> Sliced:
        """Return the same with a uniform load on the whole surface (kPa)."""
        return replace(self, loads=(*self.loads, (0.0, inf, q)))

    def surface(self, x: float) -> float:
        """Return the depth of the ground surface at x."""
        if x >= self.xs[-1]:
            return self.zs[-1] - self.last * (x - self.xs[-1])
        i = bisect_right(self.xs, x) - 1
        x1, x2, z1, z2 = self.xs[i], self.xs[i + 1], self.zs[i], self.zs[i + 1]
        return z1 + (z2 - z1) * (x - x1) / (x2 - x1)

    def exit(self, angle: float) -> tuple[float, float] | None:
        """Return where the plane first meets the ground surface, or None if it never does."""
        t = tan(angle)
        gap = self.foot - self.zs[0]
        for i in range(len(self.xs) - 1):
            after = self.foot - self.xs[i + 1] * t - self.zs[i + 1]
            if after <= 0.0:
                x = self.xs[i] + (self.xs[i + 1] - self.xs[i]) * gap / (gap - after)
                return x, self.foot - x * t
            gap = after
        if t <= self.last:
            return None
        x = self.xs[-1] + gap / (t - self.last)
        return x, self.foot - x * t

    def thrust(self, angle: float) -> float | None:
        """Return the horizontal force on the wall (kN/m), or None where the plane cannot act.

        Active: slices far up that would pull are left out, since a crack is open there.
        """
        end = self.exit(angle)
        if end is None:
            return None
        t, s, c = tan(angle), sin(angle), cos(angle)
        edges = self._edges(end[0], t)
        force = 0.0
        for far, near in pairwise(edges):
            middle = 0.5 * (far + near)
            base = self.bases[bisect_right(self.tops, self.foot - middle * t) - 1]
            friction, wall = self.sign * base.tan_phi, self.sign * base.wall
            gain = s - friction * c
            denominator = c + friction * s + gain * wall
            if denominator <= 0.0:
                return None
            q = sum(load for x1, x2, load in self.loads if x1 <= middle < x2)
            m = gain / denominator
            # a force per horizontal length: (W' m) from load, less what cohesion takes
            cohesion = self.sign * (1.0 + m * (t - wall))
            e_far = self._density(base, far, middle, t, q, m, cohesion)
            e_near = self._density(base, near, middle, t, q, m, cohesion)
            width = far - near
            if self.strong == "stands by itself":
                force += positive_area(e_far, e_near, width)
            elif self.sign > 0.0:
                force = _accumulated(force, e_far, e_near, width)
            else:
                force += 0.5 * (e_far + e_near) * width
            for x, load in self.lines:
                if near <= x < far:
                    vertical, level = load * (1.0 - self.kv), load * self.kh
                    force += vertical * m + level * (1.0 - m * wall)
        return max(force, 0.0) if self.sign > 0.0 else force

    def _edges(self, end: float, t: float) -> list[float]:
        """Return where slices begin and end, from the far end to the wall."""
        marks = {0.0, end, *self.xs}
        for z in self.bounds:
            marks.add((self.foot - z) / t)
            for i in range(len(self.xs) - 1):
                z1, z2 = self.zs[i], self.zs[i + 1]
                if (z1 - z) * (z2 - z) < 0.0:
                    share = (z - z1) / (z2 - z1)
                    marks.add(self.xs[i] + (self.xs[i + 1] - self.xs[i]) * share)
            if self.last:
                marks.add(self.xs[-1] + (self.zs[-1] - z) / self.last)
        for x1, x2, _ in self.loads:
            marks |= {x1, x2}
        return sorted((x for x in marks if 0.0 <= x <= end), reverse=True)

    def _density(
        self, base: _Base, x: float, middle: float, t: float, q: float, m: float, cohesion: float
    ) -> float:
        """Return the push of a slice per horizontal length at x, read from the side of `middle`."""
        plane = self.foot - x * t
        top = self.surface(x)
        weight = q
        for z1, z2, gamma in self.weights:
            if z1 >= plane:
                break
            thickness = min(z2, plane) - max(z1, top)
            if thickness > 0.0:
                weight += gamma * thickness
        # where the ground rises above a layer's top, a strength that grows with depth ends at nil
        c = max(base.c + base.gradient * plane, 0.0)
        u = 0.0 if base.undrained else self._pore(plane, self.foot - middle * t)
        push = ((1.0 - self.kv) * weight - u) * m - c * cohesion
        if self.kh:
            push += self.kh * weight * (1.0 - m * self.sign * base.wall)
        return push

    def _pore(self, z: float, within: float) -> float:
        """Return the pore pressure at z, perched water counted only where the slice is in it."""
        u = GAMMA_W * (z - self.water) if within > self.water else 0.0
        for level, base in self.perched:
            if level < within < base:
                u = max(u, GAMMA_W * (z - level))
        return max(u, 0.0)


def _is_undrained(layer: Layer, strength: Strength) -> bool:
    return strength == "undrained" and layer.su is not None


def _base(layer: Layer, strength: Strength, delta: float | None) -> _Base:
    if strength == "undrained" and layer.su is not None:
        return _Base(0.0, layer.su - layer.su_gradient * layer.top, layer.su_gradient, 0.0, True)
    phi = layer.phi or 0.0
    friction = layer.wall_friction_ratio * phi if delta is None else min(delta, phi)
    return _Base(tan(phi), layer.c, 0.0, tan(friction), False)


def _weights(
    ground: Profile, tops: tuple[float, ...], water: float, perched: tuple[tuple[float, float], ...]
) -> tuple[tuple[float, float, float], ...]:
    """Return (from, to, unit weight) of all ground, moist or saturated, from above to below."""
    found = []
    for top, layer in zip(tops, ground.layers, strict=True):
        marks = {top, layer.bottom}
        marks |= {
            z for z in (water, *(z for pair in perched for z in pair)) if top < z < layer.bottom
        }
        for a, b in pairwise(sorted(marks)):
            wet = a >= water or any(level <= a and b <= base for level, base in perched)
            found.append((a, b, layer.gamma_sat if wet else layer.gamma))
    return tuple(found)


def _accumulated(push: float, e1: float, e2: float, width: float) -> float:
    """Add a slice of linearly varying push, never letting the sum fall below nil (open crack)."""
    if e1 >= 0.0 and e2 >= 0.0:
        return push + 0.5 * (e1 + e2) * width
    if e1 <= 0.0 and e2 <= 0.0:
        return max(push + 0.5 * (e1 + e2) * width, 0.0)
    turn = width * e1 / (e1 - e2)
    first = max(push + 0.5 * e1 * turn, 0.0)
    return max(first + 0.5 * e2 * (width - turn), 0.0)


def positive_area(e1: float, e2: float, width: float) -> float:
    """Return the area of the positive part of a push that varies from e1 to e2 over a width."""
    if e1 >= 0.0 and e2 >= 0.0:
        return 0.5 * (e1 + e2) * width
    most = max(e1, e2)
    return 0.5 * most * width * most / abs(e1 - e2) if most > 0.0 else 0.0
