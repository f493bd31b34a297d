"""What presses on the wall from outside the springs of the ground.

Uniform loads are weight on the ground behind, and press through it. Local surcharges, perched
water and the increment of an earthquake press as they are: on the full spacing above the dig, on
the pile's width below it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from backstay.cite import common_practice
from backstay.ground import GAMMA_W, Profile
from backstay.model.loads import Traffic, Uniform
from backstay.model.project import Section
from backstay.pressure.diagram import Diagram
from backstay.pressure.increment import earthquake_diagram
from backstay.pressure.surcharge import surcharge_diagram
from backstay.trace import untraced
from backstay.wall.staged.result import Floats
from backstay.wall.staged.stages import StageState

SURFACE = common_practice("ground that rises behind the wall counts as load within H")


def uniform_load(section: Section, ground: Profile, now: StageState) -> float:
    """Return the load on the whole surface behind (kPa): uniform loads, and ground that rises."""
    acting = sum(
        s.pressure
        for s in section.surcharges
        if isinstance(s, Uniform | Traffic) and s.name in now.surcharges
    )
    return acting + risen_ground(ground)


def risen_ground(ground: Profile) -> float:
    """Return the weight of surveyed ground above the top of wall, as its mean within H (kPa)."""
    if len(ground.surface) < 2:
        return 0.0
    x = np.linspace(0.0, ground.H, 41)
    at, depth = zip(*ground.surface, strict=True)
    mean = float(np.maximum(-np.interp(x, at, depth), 0.0).mean())
    return mean * ground.layers[0].gamma


def external_load(
    section: Section,
    ground: Profile,
    states: Sequence[StageState],
    z: Floats,
    h: Floats,
    spacing: float,
    pile_width: float,
    toe: float,
) -> Floats:
    """Return what presses from outside at the Gauss points of each stage (kN/m)."""
    gauss = 0.5 / 3**0.5
    depth = z[:-1, None] + h[:, None] * np.array([0.5 - gauss, 0.5 + gauss])
    p = np.zeros((len(states), len(h), 2))
    with untraced():
        local = {
            s.name: _sampled(surcharge_diagram(s, section, ground, to=toe), depth)
            for s in section.surcharges
            if not isinstance(s, Uniform | Traffic)
        }
        for i, now in enumerate(states):
            for name, pressure in local.items():
                if name in now.surcharges:
                    p[i] += pressure
            if now.quake is not None and now.dig > 0.0:
                p[i] += _sampled(earthquake_diagram(ground, now.dig, now.quake), depth)
    for level, base in ground.perched:
        p += np.where((depth > level) & (depth <= base), GAMMA_W * (depth - level), 0.0)
    above = z[None, :-1] < np.array([s.dig for s in states])[:, None] - 1e-9
    widened: Floats = p * np.where(above, spacing, pile_width)[:, :, None]
    return widened


def _sampled(diagram: Diagram, depth: Floats) -> Floats:
    return np.interp(depth, diagram.z, diagram.p, left=0.0, right=0.0)
