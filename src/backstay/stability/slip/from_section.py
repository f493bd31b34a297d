"""The slip model of a wall section, at a stage of the dig or as it is left.

Here x is the distance behind the wall and y = -z, so that the top of wall is the origin and the
ground slides to the left. The cut lies on the left at the dig level and is taken to go on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf, tan
from typing import Literal

import numpy as np

from backstay.anchors import AnchorDesign
from backstay.anchors.geometry import surface_depth
from backstay.ground import GAMMA_W, Profile
from backstay.model.loads import Footing, Line, Strip, Surcharge, Traffic, Uniform
from backstay.model.project import Section
from backstay.pressure.lateral import acts_undrained
from backstay.pressure.slices import Strength
from backstay.stability.slip.model import (
    AnchorForce,
    Convention,
    Floats,
    PressureGrid,
    ShearForce,
    SlipModel,
)

Force = Literal["design load", "lock-off load"]
IN_FRONT, BEHIND = 4.0, 5.0
"""Heights of ground in front of the wall, and behind the last bond."""
STEP = 1e-3
"""Width (m) over which the water table steps down at the wall."""
_LINE_WIDTH = 0.1
_JUMP = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class StageOfWork:
    """What stands at one stage.

    title: in words; dug_to: depth of the dig (m); rows: anchors that are stressed, from 1;
    strength: of clay; earthquake: whether it shakes.
    """

    title: str
    dug_to: float
    rows: tuple[int, ...]
    strength: Strength
    earthquake: bool = False


def slip_model(
    section: Section,
    ground: Profile,
    anchors: Sequence[AnchorDesign],
    stage: StageOfWork,
    *,
    force: Force = "design load",
    convention: Convention = "active",
    piles: tuple[ShearForce, ...] = (),
    added: dict[int, float] | None = None,
) -> SlipModel:
    """Return the model of a section at a stage.

    force: which load of the anchors counts where the surface leaves it whole; convention: whether
    it is taken off the driving side or divided by the factor of safety; piles: shear of the wall;
    added: lengths (m) by row that the unbonded parts are longer than designed.
    """
    more = added or {}
    ties = tuple(
        anchor_force(a, force=force, convention=convention, added=more.get(a.row, 0.0))
        for a in anchors
        if a.row in stage.rows
    )
    front, back = _extent(section, ground, anchors, stage, max(more.values(), default=0.0))
    layers = ground.layers
    acting = [(la, acts_undrained(la, stage.strength)) for la in layers]
    return SlipModel(
        surface=_surface(ground, stage.dug_to, front, back),
        tops=tuple(_level(-la.top, front, back) for la in layers[1:]),
        gamma=np.array([la.gamma for la in layers]),
        gamma_sat=np.array([la.gamma_sat for la in layers]),
        phi=np.array([0.0 if u else la.phi or 0.0 for la, u in acting]),
        c=np.array([0.0 if u else la.c for la, u in acting]),
        su=np.array([(la.su or 0.0) if u else 0.0 for la, u in acting]),
        su_gradient=np.array([la.su_gradient if u else 0.0 for la, u in acting]),
        su_datum=np.array([-la.top for la in layers]),
        water=_water_line(section, ground, stage.dug_to, front, back),
        gamma_w=GAMMA_W,
        grid=_perched(section, ground, stage.dug_to, front, back) if ground.perched else None,
        strips=strips(section.surcharges, back),
        kh=section.earthquake.kh if stage.earthquake and section.earthquake else 0.0,
        kv=section.earthquake.kv if stage.earthquake and section.earthquake else 0.0,
        slides="left",
        anchors=ties,
        piles=piles,
    )


def anchor_force(
    anchor: AnchorDesign, *, force: Force = "design load", convention: Convention = "active",
    added: float = 0.0,
) -> AnchorForce:  # fmt: skip
    """Return a row of anchors as the force it can give, projected on the section.

    Ahead of the bond the whole load counts. Along the bond the load that may be put on the part
    behind the surface counts: the design load over the bond length that it needs (or has, where
    that is shorter than needed, the load over the needed length). The head is held by the wall.
    """
    (x0, z0), (x2, z2) = anchor.head, anchor.bond_end
    plane = hypot(x2 - x0, z2 - z0)
    share = plane / anchor.total_length  # what a skew anchor shows in the section
    load = anchor.design_load if force == "design load" else anchor.lock_off_load
    needed = next(
        (r.length for r in anchor.bond_required if r.grouting == anchor.grouting),
        anchor.bond_length,
    )
    return AnchorForce(
        x=x0, y=-z0, dx=(x2 - x0) / plane, dy=-(z2 - z0) / plane,
        total=load * share / anchor.spacing,
        free=(anchor.unbonded_length + added) * share,
        bond=anchor.bond_length * share,
        pullout=anchor.design_load / needed / anchor.spacing,
        convention=convention, name=f"row {anchor.row}",
    )  # fmt: skip


def strips(surcharges: Sequence[Surcharge], back: float) -> Floats:
    """Return loads on the surface as strips (q, 3); point loads are too local to count."""
    found: list[tuple[float, float, float]] = []
    for s in surcharges:
        if isinstance(s, Uniform | Traffic):
            found.append((0.0, back, s.pressure))
        elif isinstance(s, Strip | Footing):
            found.append((s.distance, s.distance + s.width, s.pressure))
        elif isinstance(s, Line):
            half = 0.5 * _LINE_WIDTH
            found.append((s.distance - half, s.distance + half, s.load / _LINE_WIDTH))
    return np.array(found, dtype=float).reshape(-1, 3)


def _extent(
    section: Section, ground: Profile, anchors: Sequence[AnchorDesign], stage: StageOfWork,
    added: float,
) -> tuple[float, float]:  # fmt: skip
    """Return x of the left and the right end of the model (m)."""
    H = max(stage.dug_to, 0.3 * ground.H)
    last = max((a.bond_end[0] for a in anchors), default=0.0) + added
    edges = [last, ground.surface[-1][0]]
    edges += [s.distance + s.width for s in section.surcharges if isinstance(s, Strip | Footing)]
    return -IN_FRONT * H, max(edges) + BEHIND * H


def _surface(ground: Profile, dug_to: float, front: float, back: float) -> Floats:
    points = [(front, -dug_to), (0.0, -dug_to), (0.0, 0.0)]
    if len(ground.surface) == 1:
        points.append((back, back * tan(ground.slope)))
    else:
        points += [(x, -z) for x, z in ground.surface if x > 0.0]
        points.append((back, -surface_depth(ground, back)))
    return np.array(points)


def _level(y: float, front: float, back: float) -> Floats:
    return np.array([(front, y), (back, y)])


def water_in_cut(section: Section, ground: Profile, dug_to: float) -> float:
    """Return the depth of water in the cut at a stage: as given, else not above the dig level."""
    if section.ground.water.cut is not None:
        return ground.water_cut
    return inf if ground.water == inf else max(dug_to, ground.water)


def _water_line(
    section: Section, ground: Profile, dug_to: float, front: float, back: float
) -> Floats | None:
    behind, cut = ground.water, water_in_cut(section, ground, dug_to)
    if behind == inf and cut == inf:
        return None
    deep = ground.H + 100.0 * max(ground.H, 1.0)  # no water on that side
    y1, y2 = -min(cut, deep), -min(behind, deep)
    if y1 == y2:
        return np.array([(front, y1), (back, y2)])
    return np.array([(front, y1), (-STEP, y1), (0.0, y2), (back, y2)])


def _perched(
    section: Section, ground: Profile, dug_to: float, front: float, back: float
) -> PressureGrid:
    """Return the pore pressure by a grid, which can hold water above dry ground."""
    cut = water_in_cut(section, ground, dug_to)
    deep = 3.0 * ground.H + 50.0
    marks = {0.0, ground.H, deep, ground.water, cut, *(z for p in ground.perched for z in p)}
    z = sorted({q for m in marks if m < inf for q in (m - _JUMP, m, m + _JUMP)})
    behind = [ground.hydrostatic(q) for q in z]
    ahead = [GAMMA_W * max(0.0, q - cut) if cut < inf else 0.0 for q in z]
    x = np.array([front, -STEP, 0.0, back])
    y = -np.array(z[::-1])
    u = np.array([[a, a, b, b] for a, b in zip(ahead[::-1], behind[::-1], strict=True)])
    return PressureGrid(x=x, y=y, u=u)
