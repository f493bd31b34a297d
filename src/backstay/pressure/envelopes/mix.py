"""What the ground beside the cut is made of, as far as the choice of an envelope asks."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.pressure.averages import CLAYS

CLEAR_SHARE = 0.25
"""A kind of ground with less than this share of the height does not decide (common practice)."""

LEADING_SHARE = 0.5
"""Stiff clay in mixed ground leads the choice from this share of the height (common practice)."""


@dataclass(frozen=True, slots=True)
class Mix:
    """The ground over the height that loads the wall.

    height: down to subgrade, or to rock that stands by itself (m); granular, clay: shares of
    that height (the rest is rock that is treated as ground); uniform: one set of properties;
    level: the ground behind does not slope; rock_below: rock without strength data, from
    `height` to subgrade, gives no pressure.
    """

    height: float
    granular: float
    clay: float
    uniform: bool
    level: bool
    rock_below: bool

    @property
    def rock(self) -> float:
        """Return the share of rock that the wedge treats as ground."""
        return max(0.0, 1.0 - self.granular - self.clay)

    @property
    def mixed(self) -> bool:
        """Return whether neither granular ground nor clay decides alone."""
        return min(self.granular, self.clay) >= CLEAR_SHARE - 1e-9


def mix(ground: Profile) -> Mix:
    """Return what the ground over 0..H is made of.

    Raise DesignError where rock without friction angle fills the height, or lies above soil.
    """
    H = ground.H
    pieces = ground.layers_between(0.0, H)
    height = H
    for layer, a, _ in reversed(pieces):
        if layer.kind != "rock" or layer.phi is not None:
            break
        height = a
    if height <= 1e-9:
        raise DesignError(
            "the whole height of the cut is rock without strength data; no earth pressure follows"
            " from that. Give friction_angle (and cohesion) of the rock mass along its joints",
            f"stratum {pieces[0][0].name}",
        )
    pieces = ground.layers_between(0.0, height)
    for layer, _, _ in pieces:
        if layer.kind == "rock" and layer.phi is None:
            raise DesignError(
                "rock lies above soil and has no friction_angle, so that no wedge can pass it",
                f"stratum {layer.name}",
            )
    granular = sum(b - a for layer, a, b in pieces if layer.kind == "granular")
    clay = sum(b - a for layer, a, b in pieces if layer.kind in CLAYS)
    kinds = {(p.kind, p.gamma, p.gamma_sat, p.phi, p.c, p.su, p.su_gradient) for p, _, _ in pieces}
    level = ground.slope == 0.0 and all(abs(z) <= 1e-9 for _, z in ground.surface)
    return Mix(height, granular / height, clay / height, len(kinds) == 1, level, height < H)
