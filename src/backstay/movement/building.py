"""What the trough does to a building: extension, angular distortion, damage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from backstay.checks import Check
from backstay.cite import Citation
from backstay.data import DamageCategory, damage_categories
from backstay.model.site import Building
from backstay.movement.strain import (
    angular_distortion,
    horizontal_strain,
    principal_strain,
    settlement_at,
)
from backstay.movement.trough import TroughKind, TroughShape
from backstay.quantity import QUANTITIES
from backstay.trace import Step, heading, remark, state, trace, untraced


@dataclass(frozen=True, slots=True)
class BuildingEffect:
    """The effect on one building. Settlements in m, strains without unit.

    distortion: steepest slope below the building; extension: horizontal strain; strain: largest
    tensile strain; category, severity: of damage (0 to 4); limit: the category that is accepted.
    """

    name: str
    near: float
    far: float
    settlement_near: float
    settlement_far: float
    distortion: float
    extension: float
    strain: float
    category: str
    severity: int
    limit: str
    trough: TroughKind
    check: Check


def damage_of(strain: float) -> DamageCategory:
    """Return the category of damage for a largest tensile strain."""
    return next(c for c in damage_categories() if strain <= c.strain_to)


def building_effect(
    building: Building,
    *,
    H: float,
    delta_h: float,
    delta_v: float,
    shapes: Sequence[TroughShape],
    envelope: TroughShape,
    steps: tuple[Step, ...],
) -> BuildingEffect:
    """Return the worst effect of several troughs on a building.

    envelope: whose shape the horizontal movement of the ground follows, from delta_h at the wall.
    """
    with untraced():
        shape = max(shapes, key=lambda s: _strain(building, s, envelope, H, delta_h, delta_v)[0])
    with trace() as t:
        heading(f"Building: {building.name}")
        remark(
            f"Trough: {shape.kind} ({shape.cite}). Horizontal movement falls from the wall as the "
            f"{envelope.kind} envelope. The building follows the ground: its own stiffness, which "
            "helps, is left out."
        )
        strain, beta, extension, s_near, s_far = _strain(
            building, shape, envelope, H, delta_h, delta_v
        )
    category = damage_of(strain)
    accepted = next(c for c in damage_categories() if c.category == building.limit)
    check = Check(
        "movement.building", "tensile strain in the building", strain, accepted.strain_to,
        QUANTITIES["strain"], Citation(accepted.source, "limiting tensile strain", accepted.provenance),
        where=building.name, steps=(*steps, *t.steps),
        note=f"damage category: {category.category}; accepted: {building.limit}",
        remedy="" if strain <= accepted.strain_to else (
            "stiffen the wall or add a row to move less, underpin the building, or accept the "
            f"category {category.category!r} with its owner; survey it before digging"
        ),
    )  # fmt: skip
    return BuildingEffect(
        building.name, building.near, building.far, s_near, s_far, beta, extension, strain,
        category.category, category.severity, building.limit, shape.kind, check,
    )  # fmt: skip


def _strain(
    building: Building,
    shape: TroughShape,
    envelope: TroughShape,
    H: float,
    delta_h: float,
    delta_v: float,
) -> tuple[float, float, float, float, float]:
    """Return strain, distortion, extension, and the settlements of both faces."""
    near, far = building.near / H, building.far / H
    marks = shape.marks(near, far)
    eta = [shape.at(d) for d in marks]
    steepest = max(
        range(len(marks) - 1), key=lambda i: abs(eta[i + 1] - eta[i]) / (marks[i + 1] - marks[i])
    )
    s_near = settlement_at(eta[0], delta_v)
    s_far = settlement_at(eta[-1], delta_v)
    s_1 = settlement_at(eta[steepest], delta_v)
    s_2 = settlement_at(eta[steepest + 1], delta_v)
    beta = angular_distortion(s_1, s_2, (marks[steepest + 1] - marks[steepest]) * H)
    u_near = state("u_near", "Horizontal movement, near face", envelope.at(near) * delta_h,
                   "small length", method=f"share {envelope.at(near):.4f} of the wall movement")  # fmt: skip
    u_far = state("u_far", "Horizontal movement, far face", envelope.at(far) * delta_h,
                  "small length", method=f"share {envelope.at(far):.4f} of the wall movement")  # fmt: skip
    extension = horizontal_strain(u_near, u_far, building.far - building.near)
    return principal_strain(extension, beta), beta, extension, s_near, s_far
