"""How far wall and ground are likely to move, from published experience with such walls."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf, isfinite
from typing import TYPE_CHECKING

from backstay.basis import Basis
from backstay.checks import Check
from backstay.cite import Citation, common_practice
from backstay.data import typical_movements
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.movement.building import BuildingEffect, building_effect
from backstay.movement.strain import largest_settlement, wall_movement
from backstay.movement.trough import TroughKind, TroughShape, trough_shape
from backstay.quantity import QUANTITIES
from backstay.stability import base_at
from backstay.trace import Step, heading, remark, state, trace, untraced

if TYPE_CHECKING:
    from backstay.wall import WallDesign

SOFT_CLAY = Citation(
    "Mana and Clough 1981; Clough and O'Rourke 1990", "movement by base-heave safety", "memory"
)
SOFT_CLAY_SHARES = ((1.0, 0.025), (1.5, 0.010), (2.0, 0.006), (3.0, 0.004))
"""Factor of safety on base heave, wall movement over height of cut; straight in between."""
STIFF_RANGE = 0.005
"""Upper end of the range of movement over height seen in stiff ground (Clough and O'Rourke)."""


@dataclass(frozen=True, slots=True)
class MovementDesign:
    """Estimated movement: m.

    ground: the kind that the estimate stands on; wall_movement: the larger of experience and the
    cantilever stage; by_experience, cantilever: the two; settlement: largest behind the wall;
    trough: points (x behind the wall, settlement) of the carried trough; trough_kind: its name;
    notes: assumptions in words.
    """

    ground: str
    wall_movement: float
    by_experience: float
    cantilever: float
    settlement: float
    trough: tuple[tuple[float, float], ...]
    trough_kind: TroughKind
    buildings: tuple[BuildingEffect, ...]
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def design_movement(
    section: Section, ground: Profile, wall: WallDesign, service: Service, basis: Basis
) -> MovementDesign:
    """Estimate movement of wall and ground, and its effect on named buildings."""
    with untraced():
        heave = base_at(section, ground, wall.toe, service, basis).heave_safety
    return movement_of(section, ground, cantilever=wall.cantilever.deflection, heave=heave)


def movement_of(
    section: Section, ground: Profile, *, cantilever: float, heave: float | None
) -> MovementDesign:
    """Estimate movement from the deflection of the cantilever stage and the base-heave safety.

    cantilever: m, inf where that stage has no equilibrium; heave: None where heave does not apply.
    """
    H = ground.H
    notes: list[str] = []
    kind = ground_kind(ground, notes)
    r_h, r_v, cite = _shares(kind, heave, notes)
    with trace() as t:
        heading("Movement of wall and ground")
        remark(
            "An estimate from published experience with good workmanship. Ground lost through "
            "lagging or drilling, and settlement by lowered ground water, are not in it."
        )
        state("r_h", f"Typical wall movement over height of cut, {kind}", r_h, "percent", cite=cite)
        state("r_v", f"Typical settlement over height of cut, {kind}", r_v, "percent", cite=cite)
        by_experience = wall_movement(r_h, H)
        if isfinite(cantilever):
            state("y", "Deflection of the head at the cantilever stage", cantilever, "small length",
                  method="from its own derivation")  # fmt: skip
            delta_h = max(by_experience, cantilever)
        else:
            notes.append(
                "The cantilever stage has no equilibrium: its movement cannot be estimated, and "
                "the figures here are for a wall that stands."
            )
            delta_h = by_experience
        by_cantilever = isfinite(cantilever) and cantilever > by_experience
        remark(
            "The deflection of the cantilever stage is the larger and is carried."
            if by_cantilever
            else "The movement by experience is carried."
        )
        delta_h = state("delta_h", "Wall movement carried", delta_h, "small length",
                        method="the larger of both above" if isfinite(cantilever) else "by experience")  # fmt: skip
        delta_v = largest_settlement(r_v, r_h, delta_h)
        envelope = trough_shape(_ENVELOPES[kind])
        if by_cantilever:
            carried = trough_shape("spandrel")
        else:
            carried = trough_shape("concave") if kind == "soft clay" else envelope
        remark(f"Trough: {carried.kind} ({carried.cite}).")
    shapes: tuple[TroughShape, ...] = (carried,) if carried is envelope else (carried, envelope)
    effects = tuple(
        building_effect(b, H=H, delta_h=delta_h, delta_v=delta_v, shapes=shapes, envelope=envelope,
                        steps=t.steps)
        for b in section.buildings
    )  # fmt: skip
    checks = (
        *_target(section, "wall", "movement of the wall", delta_h, t.steps),
        *_target(section, "settlement", "settlement of the ground", delta_v, t.steps),
        *(effect.check for effect in effects),
    )
    points = tuple((d * H, carried.at(d) * delta_v) for d in carried.marks(0.0, carried.extent))
    return MovementDesign(
        kind, delta_h, by_experience, cantilever, delta_v, points, carried.kind, effects,
        tuple(notes), checks, t.steps,
    )  # fmt: skip


_ENVELOPES: dict[str, TroughKind] = {
    "granular": "sand",
    "stiff clay": "stiff clay",
    "soft clay": "soft clay",
}


def ground_kind(ground: Profile, notes: list[str]) -> str:
    """Return the kind of ground that an estimate of movement stands on.

    Soft clay where it makes up a quarter of the cut or lies at its base; otherwise the kind with
    the greatest thickness within the cut. Rock moves less, and is taken as stiff clay.
    """
    H = ground.H
    thickness = {"granular": 0.0, "stiff clay": 0.0, "soft clay": 0.0}
    for layer, a, b in ground.layers_between(0.0, H):
        thickness["stiff clay" if layer.kind == "rock" else layer.kind] += b - a
    if thickness["soft clay"] >= 0.25 * H or ground.layer_at(H).kind == "soft clay":
        return "soft clay"
    if any(layer.kind == "rock" for layer, _, _ in ground.layers_between(0.0, H)):
        notes.append("Rock within the cut is taken as stiff clay: it moves less.")
    return max(("granular", "stiff clay"), key=lambda kind: thickness[kind])


def soft_clay_share(heave: float) -> float:
    """Return the wall movement over height of cut in soft clay, by base-heave safety."""
    points = SOFT_CLAY_SHARES
    if heave <= points[0][0]:
        return points[0][1]
    for (f1, r1), (f2, r2) in pairwise(points):
        if heave <= f2:
            return r1 + (r2 - r1) * (heave - f1) / (f2 - f1)
    return points[-1][1]


def _shares(kind: str, heave: float | None, notes: list[str]) -> tuple[float, float, Citation]:
    """Return typical wall movement and settlement over height of cut, with their source."""
    if kind != "soft clay":
        row = next(r for r in typical_movements() if r.ground == kind)
        notes.append(
            f"Typical of {kind}; single walls have moved up to {100 * STIFF_RANGE:.1f} % of the "
            "height of the cut."
        )
        return row.horizontal, row.vertical, Citation(row.source, "typical", row.provenance)
    if heave is not None and heave < SOFT_CLAY_SHARES[0][0]:
        notes.append(
            "The base is not stable: movement has no limit, and the figures here stand for a "
            "factor of safety of 1.0."
        )
    share = soft_clay_share(inf if heave is None else heave)
    notes.append("In soft clay the largest settlement is taken equal to the wall movement.")
    return share, share, SOFT_CLAY


def _target(
    section: Section, which: str, name: str, value: float, steps: tuple[Step, ...]
) -> tuple[Check, ...]:
    limit = section.targets.wall_movement if which == "wall" else section.targets.settlement
    if limit is None:
        return ()
    return (
        Check(
            f"movement.{which}", name, value, limit, QUANTITIES["small length"],
            common_practice("the engineer's own target"), steps=steps,
            remedy="" if value <= limit else (
                "raise the first row or dig less below it, close the rows, stiffen the wall, lock "
                "off at a higher load, or relax the target"
            ),
        ),
    )  # fmt: skip
