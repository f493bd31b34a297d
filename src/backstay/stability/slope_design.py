"""The design of a slope that is tied back: from its known slip surface to rows and pads."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import atan2, pi

import numpy as np

from backstay.basis import Basis
from backstay.checks import Check, safety_check
from backstay.cite import common_practice
from backstay.model.slope import Slope
from backstay.stability.pads import Pad, Under, check_pad
from backstay.stability.slip.from_slope import known_surface, slope_model
from backstay.stability.slip.model import Circle, Floats, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import SearchResult
from backstay.stability.slope import (
    Locus,
    RequiredForce,
    SlopeRow,
    as_anchors,
    back_analysis,
    best_force,
    friction_of,
    layout,
    required_force,
    safety,
    with_strength,
)
from backstay.trace import Step, heading, remark, state, trace

TARGET = common_practice("target of the anchored slope, as the engineer states it")
Search = Callable[[SlipModel, SearchOptions], SearchResult]


@dataclass(frozen=True, slots=True, eq=False)
class SlopeDesign:
    """A slope tied back.

    loci: strength that explains the movement; cohesion, friction: along the surface, carried;
    required: force for the target at the carried strength; rows: layout; anchored: model with the
    rows, ground as described; smaller: what a search finds between and above them, or None.
    """

    slope: Slope
    loci: tuple[Locus, ...]
    cohesion: float
    friction: float
    required: RequiredForce
    rows: tuple[SlopeRow, ...]
    anchored: SlipModel
    smaller: SearchResult | None
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def design_slope(slope: Slope, basis: Basis, *, search: Search | None = None) -> SlopeDesign:
    """Design the anchors of a slope.

    The strength carried is the least that the best estimate, the safety and the water allow at
    the cohesion that the engineer counts on. search: for smaller slips; without it they are left
    out, and said so. Raises DesignError where no strength or force is found.
    """
    ground = slope_model(slope)
    surface = known_surface(slope.slip_surface)
    moved = slope.movement
    with trace() as t:
        heading("Strength along the slip surface")
        loci = back_analysis(
            ground, surface, safety_now=moved.safety, uncertainty=moved.uncertainty,
            water_change=moved.water_change,
        )  # fmt: skip
        carried = min(loci, key=lambda x: friction_of(x, moved.slip_cohesion))
        c = state("c", "Cohesion along the surface", moved.slip_cohesion, "stress", method="given")
        phi = state(
            "phi", "Angle of friction along the surface", friction_of(carried, c), "angle",
            method=f"back-calculated, {carried.title}; F to {max(p.residual for p in carried.pairs):.0e}",
        )  # fmt: skip
        remark("The least of the cases tried is carried into the design.")
        weak = with_strength(ground, c, phi)
        heading("Anchor force")
        heads = [(h.x, h.elevation) for h in slope.anchors.heads]
        required = _force(slope, weak, surface, heads, basis)
        rows = _rows(slope, ground, required, surface, heads, basis)
    tied = as_anchors(rows, slope.anchors.transfer, basis, to_left=ground.to_left)
    reached = safety(replace(weak, anchors=tied), surface).F
    checks = [
        safety_check(
            "slope.known-surface", "anchored slope on the known surface", reached, slope.target,
            TARGET, steps=t.steps,
            remedy="" if slope.target <= reached else "longer bond, or more anchors",
        )
    ]  # fmt: skip
    model = replace(ground, anchors=tied)
    found = None if search is None else search(model, SearchOptions())
    if found is not None:
        checks.append(_smaller(found, slope.target))
    checks += _pads(slope, ground, rows)
    return SlopeDesign(
        slope, loci, c, phi, required, rows, model, found, tuple(checks),
        tuple(step for check in checks for step in check.steps),
    )  # fmt: skip


def _force(
    slope: Slope, weak: SlipModel, surface: Circle | Floats, heads: list[tuple[float, float]],
    basis: Basis,
) -> RequiredForce:  # fmt: skip
    given = slope.anchors.inclination
    if given == "best":
        return best_force(
            weak, surface, heads, slope.target, least=basis.inclination_least.value,
            greatest=basis.inclination_greatest.value,
        )  # fmt: skip
    made = required_force(weak, surface, heads, given, slope.target)
    state("T", "Anchor force for the target", made.force, "force per length",
          method=f"bisection, residual {made.residual:.0e} in F")  # fmt: skip
    return made


def _rows(
    slope: Slope, ground: SlipModel, required: RequiredForce, surface: Circle | Floats,
    heads: list[tuple[float, float]], basis: Basis,
) -> tuple[SlopeRow, ...]:  # fmt: skip
    given = slope.anchors
    points = safety(ground, surface).surface
    y = ground.surface[:, 1]
    least = basis.free_length_strand if given.tendon_kind == "strand" else basis.free_length_bar
    return layout(
        required, points, heads, to_left=ground.to_left, greatest_load=given.greatest_load,
        spacing_least=given.spacing_least, spacing_greatest=given.spacing_greatest,
        transfer=given.transfer, height=float(y.max() - y.min()), basis=basis,
        free_least=least.value,
    )  # fmt: skip


def _smaller(found: SearchResult, target: float) -> Check:
    least = found.critical
    value = least.F if least is not None else target
    return safety_check(
        "slope.smaller-slips", "smaller slips between and above the rows", value, target, TARGET,
        remedy="" if target <= value else "a row there, a beam or mesh on the face, or a flatter face",
        note=f"{found.analysed} surfaces searched, ground as described, with the anchors",
    )  # fmt: skip


def face_angle(face: Floats, x: float) -> float:
    """Return the angle of the face above horizontal at x (rad)."""
    i = int(np.clip(np.searchsorted(face[:, 0], x) - 1, 0, len(face) - 2))
    return abs(atan2(face[i + 1, 1] - face[i, 1], abs(face[i + 1, 0] - face[i, 0])))


def _pads(slope: Slope, ground: SlipModel, rows: tuple[SlopeRow, ...]) -> list[Check]:
    if slope.pad is None:
        return []
    given = slope.pad
    pad = Pad(
        side=given.side, thickness=given.thickness, depth=given.effective_depth,
        plate=given.plate, concrete=given.concrete, reinforcement=given.reinforcement,
        yield_stress=given.yield_stress,
    )  # fmt: skip
    checks: list[Check] = []
    for r in rows:
        layer = sum(
            1 for top in ground.tops if float(np.interp(r.x, top[:, 0], top[:, 1])) > r.y - 1e-9
        )
        su = 0.0 if ground.su is None else float(ground.su[layer])
        wet = ground.water is not None and (
            float(np.interp(r.x, ground.water[:, 0], ground.water[:, 1])) > r.y - given.side
        )
        gamma = float(ground.gamma[layer])
        if wet and ground.gamma_sat is not None:
            gamma = float(ground.gamma_sat[layer]) - ground.gamma_w
        under = Under(
            su or float(ground.c[layer]), float(ground.phi[layer]), gamma,
            min(face_angle(ground.surface, r.x), pi / 4),
        )  # fmt: skip
        checks += check_pad(
            pad, under, design_load=r.load,
            test_load=r.load * slope.anchors.load_test_factor,
            inclination=r.inclination, where=f"row {r.row}",
        )  # fmt: skip
    return checks
