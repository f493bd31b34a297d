"""Pressures of the ground from first principles, for second solutions of the staged analysis.

Effective stress, active and passive pressure and water are summed up here from the strata as the
textbooks have them; nothing of the program is used but the words in which a test describes a wall.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.unit.wall.staged.arrays import Floats, Stage, Wall

WATER = 9.81


@dataclass(frozen=True)
class Side:
    """Effective stress and pore pressure, limits of total pressure (kPa), width of contact (m)."""

    effective: Floats
    pore: Floats
    low: Floats
    high: Floats
    width: Floats


def of_layers(wall: Wall, name: str, z: Floats) -> Floats:
    """Return a property of the stratum at depths z."""
    found = np.full(z.shape, np.nan)
    for layer in wall.layers:
        found = np.where(z >= layer.top, getattr(layer, name), found)
    return found


def total_stress(wall: Wall, z: Floats, surface: float, water: float, load: float) -> Floats:
    """Return total vertical stress (kPa) at z below a surface: the weight of all that is above."""
    weight = np.full(z.shape, load + WATER * max(surface - water, 0.0))
    tops = [layer.top for layer in wall.layers] + [1e9]
    for layer, below in zip(wall.layers, tops[1:], strict=True):
        start = max(layer.top, surface)
        dry = np.clip(np.minimum(z, min(below, water)) - start, 0.0, None)
        wet = np.clip(np.minimum(z, below) - max(start, water), 0.0, None)
        weight = weight + layer.gamma * dry + layer.gamma_sat * wet
    return weight


def side(wall: Wall, stage: Stage, z: Floats, behind: bool) -> Side:
    """Return what the ground on one side can exert at depths z in a stage."""
    surface = 0.0 if behind else stage.dig
    water = stage.water_r if behind else stage.water_c
    # head is lost on the way down behind and on the way up in front, in the ground alone
    way = np.clip(z - max(water, surface), 0.0, None)
    lost = stage.seepage * (way if behind else -way)
    pore = WATER * (np.clip(z - water, 0.0, None) - lost)
    total = total_stress(wall, z, surface, water, stage.load if behind else 0.0)
    effective = np.clip(total - pore, 0.0, None)
    open_face = z < stage.dig
    Ka, Kp, c, su, arching = (
        of_layers(wall, name, z) for name in ("Ka", "Kp", "c", "su", "arching")
    )
    arching = np.where(open_face, 1.0, arching)
    low = pore + np.clip(Ka * effective - 2 * c * np.sqrt(Ka), 0.0, None)
    high = pore + arching * (Kp * effective + 2 * c * np.sqrt(Kp))
    below = z - of_layers(wall, "top", z)
    su = np.where(su > 0, su + of_layers(wall, "su_gradient", z) * below, 0.0)
    if stage.undrained:
        clay = su > 0
        low = np.where(clay, np.clip(total - 2 * su, 0.0, None), low)
        high = np.where(clay, pore + arching * (total + 2 * su - pore), high)
    width = np.where(open_face, wall.spacing, wall.pile_width)
    if not behind:
        nothing = np.zeros_like(z)
        effective = np.where(open_face, nothing, effective)
        standing = np.where(open_face, pore, nothing)  # water in the open cut
        low = np.where(open_face, standing, low)
        high = np.where(open_face, standing, high)
        width = np.where(open_face & (pore == 0), 0.0, width)
    return Side(effective, pore, low, high, width)


def modulus(wall: Wall, stage: Stage, z: Floats, behind: bool) -> Floats:
    """Return the subgrade modulus of one side (kN/m3), growing below that side's own ground.

    Over the wide open face the ground gives the force of one pile width per metre of movement.
    """
    depth = z if behind else np.clip(z - stage.dig, 0.0, None)
    k = of_layers(wall, "kh", z) + of_layers(wall, "kh_gradient", z) * depth
    return np.where(z < stage.dig, k * wall.pile_width / wall.spacing, k)
