"""From a design section to the flat arrays of the staged analysis.

Ground behind and in front is described by zones: strata, divided where their modulus depends on
the water or their strength changes with depth. What the kernel cannot know by itself (local
surcharges, perched water, the earthquake's increment) presses from outside, on the full spacing
above the dig and on the pile's width below it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf
from typing import Any

import numpy as np

from backstay.anchors import AnchorDesign
from backstay.data import steel_grade
from backstay.ground import Profile
from backstay.model.loads import Traffic, Uniform
from backstay.model.project import Section, Service
from backstay.model.wall import ContinuousWall
from backstay.pressure.water import WaterState
from backstay.trace import remark, state, untraced
from backstay.wall.result import WallDesign
from backstay.wall.rolled import given_member
from backstay.wall.staged.mesh import nodes
from backstay.wall.staged.outside import SURFACE, external_load, risen_ground, uniform_load
from backstay.wall.staged.result import Floats, StagedInput
from backstay.wall.staged.stages import StageState, Strut, stage_states, struts_of
from backstay.wall.staged.stiffness import Bearing
from backstay.wall.staged.supports import Spring, anchor_spring, support_arrays
from backstay.wall.staged.zones import ground_zones, strengths

DRY = 1e6
"""Depth (m) of water that is not in reach."""


def staged_input(
    section: Section,
    ground: Profile,
    anchors: tuple[AnchorDesign, ...],
    wall: WallDesign,
    *,
    service: Service,
    stiffness_factor: float = 1.0,
) -> StagedInput:
    """Return the arrays of the staged analysis of a section.

    stiffness_factor: on every subgrade modulus. Raises DesignError where the ground or a load
    leaves a number that cannot be given, with the reason.
    """
    states = stage_states(section, ground, service)
    width = wall.spacing
    isolated = wall.kind == "soldier piles"
    EI = bending_stiffness(section, wall)
    bearing = Bearing(wall.toe_width if isolated else 1.0, EI, wall.embedment, isolated)
    zones = ground_zones(section, ground, bearing, wall)
    springs = [anchor_spring(anchor, width) for anchor in anchors]
    struts = struts_of(section)
    _remarks(section, ground, states)
    changes = [(section.depth(c.below), c.factor) for c in section.wall.stiffness_changes]
    levels = [*_levels(ground, states, springs, struts), *(depth for depth, _ in changes)]
    z = nodes(levels, wall.toe)
    h = np.diff(z)
    middle = 0.5 * (z[1:] + z[:-1])
    tops = np.array([zone.top for zone in zones])
    layer = np.maximum(np.searchsorted(tops, middle, side="right") - 1, 0).astype(np.int64)
    dig = np.array([s.dig for s in states])
    drained = [not all(s.undrained[zone.index] for s in states) for zone in zones]
    given: dict[str, Any] = strengths(ground, zones, drained)
    depths = np.array([spring.z for spring in springs] + [strut.z for strut in struts])
    given |= support_arrays(states, springs, struts, width)
    return StagedInput(
        z=z, h=h, layer=layer, EI=EI * _factors(middle, changes),
        kh=stiffness_factor * np.array([zone.choice.k_h for zone in zones]),
        kh_gradient=stiffness_factor * np.array([zone.choice.growth for zone in zones]),
        layer_top=tops, dig=dig,
        water_r=np.array([min(s.water_retained, DRY) for s in states]),
        water_c=np.array([min(s.water_cut, DRY) for s in states]),
        load=np.array([uniform_load(section, ground, s) for s in states]),
        seepage=np.array([_gradient(ground, s, wall.toe) for s in states]),
        undrained=np.array([[s.undrained[zone.index] for zone in zones] for s in states], np.bool_),
        stiffness=np.array([s.stiffness for s in states]),
        spacing=width, pile_width=bearing.width,
        external=external_load(section, ground, states, z, h, width, bearing.width, wall.toe),
        node=np.array([int(np.abs(z - d).argmin()) for d in depths], np.int64),
        stage_titles=tuple(s.title for s in states),
        support_names=(*(spring.name for spring in springs), *(strut.name for strut in struts)),
        zone_names=tuple(zone.layer.name for zone in zones),
        rows=len(springs), per_pile=isolated, H=ground.H,
        anchor_share=(*(spring.share for spring in springs), *(0.0 for _ in struts)),
        accidents=tuple(
            (i, a) for i, s in enumerate(states) for a, row in enumerate(s.rows) if row.one_fails
        ),
        **given,
    )  # fmt: skip


def with_stiffness(given: StagedInput, factor: float) -> StagedInput:
    """Return the same wall in ground with a subgrade modulus `factor` times as high."""
    return replace(given, kh=factor * given.kh, kh_gradient=factor * given.kh_gradient)


def bending_stiffness(section: Section, wall: WallDesign) -> float:
    """Return EI of one pile, or of 1 m of wall (kNm2); the filling of a hole is left out."""
    if isinstance(section.wall, ContinuousWall):
        EI = section.wall.stiffness
        return state(
            "EI", "Bending stiffness of 1 m of wall", EI, "bending stiffness", method="given"
        )
    chosen = section.wall.model_copy(update={"section": wall.section_name})
    member = given_member(chosen)
    return state(
        "EI", f"Bending stiffness of one pile, {member.name}",
        steel_grade(section.wall.steel).modulus * member.count * member.I_x, "bending stiffness",
        method="of the steel alone; the filling of a hole is left out",
    )  # fmt: skip


def _factors(middle: Floats, changes: Sequence[tuple[float, float]]) -> Floats:
    """Return the factor on EI of each element; changes: (depth, factor from there down)."""
    factors = np.ones(len(middle))
    for depth, factor in changes:
        factors[middle > depth] = factor
        state("r_EI", f"Bending stiffness below {{length:{depth:.6g}}} over that of the wall", factor,
              "ratio", method="given")  # fmt: skip
    return factors


def _levels(
    ground: Profile,
    states: Sequence[StageState],
    springs: Sequence[Spring],
    struts: Sequence[Strut],
) -> list[float]:
    """Return the depths at which a node must stand."""
    levels = [ground.H, *(spring.z for spring in springs), *(strut.z for strut in struts)]
    levels += [layer.top for layer in ground.layers]
    for s in states:
        levels += [s.dig, s.water_retained, s.water_cut]
    levels += [depth for pair in ground.perched for depth in pair]
    return [level for level in levels if level != inf]


def _gradient(ground: Profile, now: StageState, toe: float) -> float:
    """Return the mean gradient of the water that seeps around the toe; 0 at rest."""
    here = replace(ground, water=now.water_retained, water_cut=now.water_cut)
    with untraced():
        return WaterState(here, toe, now.dig).gradient()


def _remarks(section: Section, ground: Profile, states: Sequence[StageState]) -> None:
    """State what the model takes for granted."""
    remark(
        "Pressures start at rest, follow the subgrade modulus, stay between active and passive "
        "pressure of the present effective stresses, and remember plastic movement."
    )
    if ground.perched:
        remark(
            "Perched water presses on the wall from behind; it does not add to the ground's weight."
        )
    if any(s.quake is not None for s in states):
        remark(
            "The earthquake presses as the Mononobe-Okabe increment above the dig; the passive "
            "resistance in front is not reduced for it."
        )
    if risen_ground(ground) > 0.0:
        state(
            "q", "Ground above the top of wall, as a load", risen_ground(ground), "stress",
            method="mean of the surveyed surface within H behind the wall", cite=SURFACE,
        )  # fmt: skip
    if any(row.one_fails for s in states for row in s.rows):
        remark(
            "Where one anchor fails, two anchors carry three spacings: the row keeps 2/3 of its "
            "stiffness, load and strength, and each of the neighbours carries 3/2 of what the row "
            "carries there. Common practice, no source; the run without the whole row bounds it."
        )
    if any(not isinstance(s, Uniform | Traffic) for s in section.surcharges):
        remark("Local surcharges press as on a wall that does not yield, whatever it does.")
