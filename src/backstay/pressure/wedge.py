"""The wedge that pushes most, and the wedge that resists least: general ground, plane surfaces.

`active_wedge` turns the plane through the foot of the wall until the push of the wedge above it
(`backstay.pressure.slices`) is greatest; `passive_wedge` until the resistance in front is least.
Strength, layers, water, ground surface and loads are as general as the project file allows.

The search first looks at planes a few degrees apart and at those that come out at the edges of
loads and the breaks of the ground, then closer ones wherever the push is nearly the greatest,
then narrows the best bracket by golden section.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import atan, ceil, degrees, inf, pi, radians, sqrt

from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.model.loads import Surcharge
from backstay.pressure.slices import Sliced, Strength, Strong
from backstay.trace import state

__all__ = [
    "ActiveWedge",
    "PassiveWedge",
    "Strength",
    "active_wedge",
    "passive_wedge",
    "state_wedge",
]

_GOLDEN = (sqrt(5) - 1) / 2
_FLATTEST, _STEEPEST, _PLANES = radians(4), radians(88.5), 20
_NARROW = 2e-5
"""The bracket of angles (rad) at which the search ends: the thrust is then known to about 1e-9."""
_JUST_BEYOND = 1e-6
_NEARLY_BEST, _CLOSE = 0.05, radians(0.75)
"""Where planes push within this share of the greatest, they are tried this close together."""


@dataclass(frozen=True, slots=True)
class ActiveWedge:
    """The wedge that pushes most.

    thrust: horizontal push of the ground per length of wall, water apart where strength is
    drained (kN/m); angle: of the plane above horizontal (rad); points: (x, z) from the foot of
    the wall to the ground; tried: planes tried; residual: spread of the thrust over the last
    bracket of the search, relative.
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


@dataclass(frozen=True, slots=True)
class PassiveWedge:
    """The wedge that resists least; members as those of `ActiveWedge`."""

    resistance: float
    angle: float
    points: tuple[tuple[float, float], ...]
    tried: int
    residual: float

    @property
    def method(self) -> str:
        """Return how it was found, with the residual."""
        return (
            f"least resistance of {self.tried} plane wedges; last change of the search "
            f"{self.residual:.0e} of it"
        )


def active_wedge(
    ground: Profile,
    *,
    z_base: float,
    surcharges: Sequence[Surcharge] = (),
    delta: float | None = None,
    strength: Strength = "drained",
    kh: float = 0.0,
    kv: float = 0.0,
    strong: Strong = "holds the rest",
) -> ActiveWedge:
    """Return the active wedge from the foot of the wall at depth z_base.

    surcharges: uniform, traffic, strip and line loads behind the wall, all taken to stand on the
    surface; delta: angle of wall friction (rad, not above phi), default each layer's own ratio
    times its phi; strength: "undrained" takes su where a layer has it; kh, kv: pseudo-static
    coefficients, kv positive upward; strong: whether ground that is stronger than its own push
    takes off the push of the rest of the wedge. Water is at rest.

    Where no wedge pushes, the thrust is nil and the plane is that of the layer at the foot.

    Planes through the foot alone are tried. Strong ground low on the wall then holds weaker ground
    above it back: where that must not be counted on, try the base of the weaker ground as well.

    Raises DesignError where a layer has no strength to take, a load is too local for a plane
    wedge, or the flattest planes push most: then the ground cannot stand as it slopes.
    """
    made = Sliced.of(
        ground, z_base, sign=1.0, surface=ground.surface,
        slope=ground.slope if len(ground.surface) == 1 else 0.0, water=ground.water,
        perched=ground.perched, surcharges=surcharges, delta=delta, strength=strength, kh=kh, kv=kv,
        strong=strong,
    )  # fmt: skip
    angle, thrust, tried, residual, at_limit = _search(made)
    if thrust <= 0.0:
        layer = ground.layer_at(z_base - 1e-6)
        undrained = strength == "undrained" and layer.su is not None
        angle = pi / 4 + (0.0 if undrained or layer.phi is None else layer.phi / 2)
        thrust = 0.0
    elif at_limit:
        raise DesignError(
            f"the push of the ground grows as the plane flattens to {degrees(angle):.1f} degrees: "
            "the ground behind the wall cannot stand at this slope",
            "active wedge",
        )
    end = made.exit(angle)
    if end is None:
        raise DesignError("no plane from the foot of the wall reaches the ground", "active wedge")
    return ActiveWedge(thrust, angle, ((0.0, z_base), end), tried, residual)


def passive_wedge(
    ground: Profile,
    *,
    z_base: float,
    dug_to: float | None = None,
    delta: float | None = None,
    strength: Strength = "drained",
    surcharge: float = 0.0,
) -> PassiveWedge:
    """Return the passive wedge in front of the wall, from `dug_to` (default subgrade) to z_base.

    delta: angle of wall friction (rad), default each layer's own ratio times its phi. A plane
    overstates the resistance of rough walls: above a third of phi use `passive_coefficient`.
    surcharge: on the ground in front (kPa).

    Raises DesignError where a layer has no strength to take, or no plane can act.
    """
    top = ground.H if dug_to is None else dug_to
    # water that stands above the dig loads the ground by its weight and its pressure alike
    made = Sliced.of(
        ground, z_base, sign=-1.0, surface=((0.0, top),), slope=0.0,
        water=max(ground.water_cut, top) if ground.water_cut < inf else inf, perched=(),
        surcharges=(), delta=delta, strength=strength,
    )  # fmt: skip
    if surcharge:
        made = made.loaded(surcharge)
    angle, resistance, tried, residual, at_limit = _search(made)
    end = made.exit(angle)
    if at_limit or end is None:
        raise DesignError(
            "no plane passive wedge exists: the wall is too rough for a plane", "passive wedge"
        )
    return PassiveWedge(resistance, angle, ((0.0, z_base), end), tried, residual)


def state_wedge(wedge: ActiveWedge | PassiveWedge) -> None:
    """Record a wedge in the open trace."""
    state(
        "alpha", "Angle of the critical plane above horizontal", wedge.angle, "angle",
        method=wedge.method,
    )  # fmt: skip
    if isinstance(wedge, ActiveWedge):
        symbol, title, value = "P_h", "Horizontal push of the active wedge", wedge.thrust
    else:
        symbol, title, value = "P_p", "Resistance of the passive wedge", wedge.resistance
    state(symbol, f"{title}, water apart", value, "force per length", method=wedge.method)


def _search(made: Sliced) -> tuple[float, float, int, float, bool]:
    """Return (angle, force, planes tried, residual, whether the flattest plane governs)."""
    sign = made.sign

    def gain(angle: float) -> float:
        force = made.thrust(angle)
        return -inf if force is None else sign * force

    lowest = max(_FLATTEST, atan(made.last) + 1e-3)
    angles = {lowest + (_STEEPEST - lowest) * k / _PLANES for k in range(_PLANES + 1)}
    breaks = _breaks(made)
    turns = [atan((made.foot - made.surface(x)) / x) for x in breaks]
    # a line load stands on another stratum once the plane leaves a layer right below it
    turns += [atan((made.foot - z) / x) for x in breaks for z in made.bounds if z < made.foot]
    for angle in turns:
        if lowest < angle < _STEEPEST:
            # just steeper and just flatter: a load at the very edge stands on one, not the other
            angles |= {angle - _JUST_BEYOND, angle + _JUST_BEYOND}
    ordered = sorted(angles)
    gains = [gain(angle) for angle in ordered]
    best = max(range(len(ordered)), key=gains.__getitem__)
    near = gains[best] - _NEARLY_BEST * abs(gains[best])
    spans = [
        i for i in range(len(ordered) - 1)
        if max(gains[i], gains[i + 1]) >= near and ordered[i + 1] - ordered[i] > _CLOSE
    ]  # fmt: skip
    for i in spans:  # loads, breaks and cracks give the push several tops: look closer there
        pieces = ceil((ordered[i + 1] - ordered[i]) / _CLOSE)
        between = [
            ordered[i] + (ordered[i + 1] - ordered[i]) * k / pieces for k in range(1, pieces)
        ]
        ordered += between
        gains += [gain(angle) for angle in between]
    pairs = sorted(zip(ordered, gains, strict=True))
    best = max(range(len(pairs)), key=lambda i: pairs[i][1])
    angle, force = pairs[best]
    low, high = pairs[max(best - 1, 0)][0], pairs[min(best + 1, len(pairs) - 1)][0]
    at, found, steps, residual = _climb(gain, low, high)
    if found >= force:
        angle, force = at, found
    tried = len(pairs) + steps
    return angle, sign * force, tried, residual, angle - lowest < 2 * _NARROW


def _climb(
    gain: Callable[[float], float], low: float, high: float
) -> tuple[float, float, int, float]:
    """Return the angle between two with the most gain, the gain, the planes tried, the residual."""
    a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    fa, fb = gain(a), gain(b)
    tried = 2
    while high - low > _NARROW:
        if fa >= fb:
            high, b, fb = b, a, fa
            a = high - _GOLDEN * (high - low)
            fa = gain(a)
        else:
            low, a, fa = a, b, fb
            b = low + _GOLDEN * (high - low)
            fb = gain(b)
        tried += 1
    angle, force = (a, fa) if fa >= fb else (b, fb)
    residual = abs(fa - fb) / abs(force) if force and abs(force) < inf else 0.0
    return angle, force, tried, residual


def _breaks(made: Sliced) -> list[float]:
    """Return where loads begin or end and the ground surface breaks (x > 0, m)."""
    marks = {x for x1, x2, _ in made.loads for x in (x1, x2)}
    marks |= {x for x, _ in made.lines} | set(made.xs)
    return [x for x in marks if 0.0 < x < inf]
